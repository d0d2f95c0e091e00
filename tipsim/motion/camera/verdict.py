"""Whether a film can be believed, and what follows from the camera's settings alone."""

from tipsim.motion.camera.film import Take
from tipsim.motion.camera.measure import BAD, GOOD, OPEN, Measurement, Reading
from tipsim.motion.camera.sampling import (
    apparent_frequency,
    exposed_cycles,
    frames_per_cycle,
    rate_for,
    smear,
)
from tipsim.setup.described import about, described

RIGHT = 0.05
"""A stroke that is off by less than this share counts as right; a convention."""
SAME_FREQUENCY = 0.02
"""An apparent frequency that is off by less than this share counts as right; a convention."""
ALLOWED_MISS = 0.02
"""Share of a stroke that may be missed between two pictures; a convention."""
BLUR = 1.5
"""Cycles from which an exposure shows nothing but a blur; a convention."""
SHORT = 0.1
"""Cycles below which an exposure counts as short; a convention."""
DAYLIGHT = 1e-3
"""An ordinary exposure, with which the need of light is compared [s]."""


def largest(measured: Measurement) -> Reading | None:
    """Return the reading of the marker that truly moves most; None without a marker."""
    return max(measured.readings, key=lambda r: r.true, default=None)


def is_right(reading: Reading) -> bool:
    """Return whether a stroke is read, and within `RIGHT` of the truth."""
    return reading.error is not None and abs(reading.error) < RIGHT


def stroke_outcome(measured: Measurement) -> str:
    """Return whether the largest stroke is "good", "bad", or "open" where nothing moves."""
    reading = largest(measured)
    if reading is None or reading.true == 0:
        return OPEN
    return GOOD if is_right(reading) else BAD


def frequency_outcome(take: Take, measured: Measurement) -> str:
    """Return whether the motion seems to run at the drive's frequency: "good", "bad" or "open"."""
    reading = largest(measured)
    if measured.frequency is None:
        return BAD if reading is not None and reading.true > 0 else OPEN
    off = abs(measured.frequency / take.frequency - 1)
    return GOOD if off < SAME_FREQUENCY else BAD


def direction_outcome(measured: Measurement) -> str:
    """Return whether all directions against the first marker are right: "good", "bad", "open"."""
    outcomes = {r.outcome for r in measured.readings[1:]}
    if not any(r.true for r in measured.readings):
        return OPEN
    return BAD if BAD in outcomes else GOOD if outcomes == {GOOD} else OPEN


@described()
class Facts:
    """What the settings of a camera come to by formula; see `tipsim.motion.camera.sampling`."""

    per_cycle: float = about("Pictures in a cycle, and cycles in an exposure.")
    exposed_cycles: float
    apparent: float = about("Frequency at which the motion should seem to run [Hz].")
    smear: float = about("Longest travel of a mark in one exposure [m].")
    pixels: float = about("Largest stroke in the picture, in pixels.")
    wanted_rate: float = about("Frame rate that misses at most `ALLOWED_MISS` of a stroke [1/s].")
    light: float = about("Light that is needed, over that of an exposure of `DAYLIGHT`.")


def facts(take: Take) -> Facts:
    """Return what the settings come to.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> from tipsim.motion.camera import Camera, take
    >>> one = Scenario.preset("single-bend, torsional")
    >>> found = facts(take(solve(one).motion, one.needle, Camera(frame_rate=35.2e3)))
    >>> round(found.per_cycle, 3), round(found.apparent), round(found.light)
    (1.1, 3200, 1000)
    """
    camera, f = take.camera, take.frequency
    reach = max((d.stroke_in_view for d in take.scene.dots), default=0.0)
    return Facts(
        per_cycle=frames_per_cycle(f, camera.frame_rate),
        exposed_cycles=exposed_cycles(f, camera.exposure),
        apparent=apparent_frequency(f, camera.frame_rate),
        smear=smear(reach, f, camera.exposure),
        pixels=reach / camera.pixel,
        wanted_rate=rate_for(f, ALLOWED_MISS),
        light=DAYLIGHT / camera.exposure,
    )
