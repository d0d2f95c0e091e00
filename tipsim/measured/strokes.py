"""Strokes and directions of marks from their tracks, with 95 % intervals, and their ratios.

An interval holds the scatter of one film, no more: not how needle, mounting and drive vary from
run to run. It takes what is left of the fit as independent from picture to picture.
"""

import math
from collections.abc import Sequence

import numpy as np
from scipy import special

from tipsim.measured.sine import Sine, fit_sine, shared_frequency
from tipsim.measured.tracks import Tracks
from tipsim.motion.camera.measure import STILL, true_direction
from tipsim.motion.camera.sampling import apparent_frequency, averaged_share, frames_per_cycle
from tipsim.motion.lumped import Complexes
from tipsim.motion.sections import Floats
from tipsim.motion.travel import path_axes, stroke
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput
from tipsim.setup.units import HZ, UM

SHARE = 0.95
LEAST_EXPLAINED = 0.9
"""Below this share of the motion a sine is said to be a poor description; a convention."""
LEAST_SEEN = 0.2
"""An exposure that leaves less of the stroke than this is refused: what is left would be noise."""


@described(eq=False)
class Stroke:
    """What one mark did."""

    number: int = about("Of the mark.")
    value: float = about("Stroke, peak to peak, along the longest way [m].")
    low: float = about("Bounds of its 95 % interval [m].")
    high: float
    freedom: float = about("Degrees of freedom of the interval.")
    direction: str = about('Against the first mark: "with", "against", "across" or "still".')
    angle: float = about("Of the longest way from the picture's right, -90° to 90° [rad].")
    sine: Sine

    @property
    def error(self) -> float:
        """One standard error [m]."""
        return (self.high - self.value) / _sure(self.freedom)


@described(eq=False)
class Strokes:
    """What a film's tracks say."""

    tracks: Tracks
    frequency: float = about("Of the motion [Hz].")
    frequency_error: float | None = about("One standard error [Hz]; None where it was given.")
    per_cycle: float = about("Pictures a cycle.")
    marks: tuple[Stroke, ...]
    doubts: tuple[str, ...] = about("Sentences on what speaks against these numbers.")


@described(eq=False)
class Ratio:
    """Strokes of one mark on two needles."""

    number: int = about("Of the mark.")
    value: float = about("First over second.")
    low: float | None = about("Bounds of the 95 % interval; None when it has no end.")
    high: float | None


def strokes(
    tracks: Tracks,
    frequency: float,
    *,
    band: float = 0.0,
    exposure: float = 0.0,
    drift: int = 1,
    aliased: bool = False,
) -> Strokes:
    """Fit a sinusoid at the drive frequency to each mark.

    Parameters
    ----------
    frequency : float
        Of the drive [Hz].
    band : float
        How far either way the frequency is looked for [Hz]; 0 takes it as given.
    exposure : float
        For how long each picture gathers light [s]: the mean over it makes a motion look smaller,
        by sin(pi f te) / (pi f te), which is put right here.
    drift : int
        Degree of the polynomial that is taken away as slow drift.
    aliased : bool
        Whether a film of fewer than two pictures a cycle may be read by what it seems to show:
        only true if the drive frequency is known.

    Raises
    ------
    BadInput
        For a film that leaves the stroke open, or is undersampled and not allowed to be.

    Examples
    --------
    >>> t = np.arange(40) / 500e3
    >>> up = 65e-6 * np.cos(2 * np.pi * 32e3 * t)
    >>> from tipsim.measured.tracks import Tracks
    >>> film = Tracks("a.csv", t, (1,), np.stack([0 * t, up], axis=1)[None], {})
    >>> found = strokes(film, 32e3)
    >>> UM.show(found.marks[0].value), found.marks[0].direction, round(found.per_cycle, 2)
    ('130 µm', 'with', 15.62)
    """
    _check(frequency, band, exposure)
    per_cycle = frames_per_cycle(frequency, tracks.rate)
    _refuse_alias(tracks, frequency, band, per_cycle, aliased)
    found, error = frequency, None
    if band > 0:
        found, error = shared_frequency(
            tracks.times, tracks.places, frequency - band, frequency + band, drift
        )
    seen = averaged_share(found, exposure)
    if seen < LEAST_SEEN:
        raise BadInput(
            "exposure",
            f"{exposure * found:.3g} of a cycle",
            "shorter: a picture that gathers light for whole cycles shows no motion",
        )
    sines = [fit_sine(tracks.times, p, found, drift) for p in tracks.places]
    marks = tuple(
        _stroke(n, s, sines[0].amplitude, seen) for n, s in zip(tracks.numbers, sines, strict=True)
    )
    doubts = tuple(_doubts(tracks, found, error, band, per_cycle, marks))
    return Strokes(tracks, found, error, per_cycle, marks, doubts)


def ratios(first: Strokes, second: Strokes) -> tuple[Ratio, ...]:
    """Return the strokes of the first over those of the second, mark by mark.

    Interval by Fieller's theorem: E. C. Fieller, "Some problems in interval estimation", J. R.
    Stat. Soc. B 16 (1954) 175-185; both films are independent. Marks of one film only are left out.

    Raises
    ------
    BadInput
        When the films share no mark.
    """
    other = {m.number: m for m in second.marks}
    both = [(m, other[m.number]) for m in first.marks if m.number in other]
    if not both:
        known = ", ".join(map(str, other))
        raise BadInput("marks of both films", "none", f"numbers in common, such as {known}")
    return tuple(_ratio(a, b) for a, b in both)


def _ratio(a: Stroke, b: Stroke) -> Ratio:
    # Degrees of freedom of the sum of both, after Welch and Satterthwaite.
    va, vb = a.error**2, b.error**2
    total = va + vb
    freedom = total**2 / (va**2 / a.freedom + vb**2 / b.freedom) if total > 0 else a.freedom
    low, high = fieller(a.value, va, b.value, vb, _sure(freedom))
    return Ratio(a.number, a.value / b.value if b.value else math.inf, low, high)


def fieller(
    a: float, variance_a: float, b: float, variance_b: float, sure: float
) -> tuple[float | None, float | None]:
    """Return the interval of a / b; (None, None) when b may be 0.

    Examples
    --------
    >>> [round(v, 4) for v in fieller(2.0, 0.01, 1.0, 0.0, 2.0)]
    [1.8, 2.2]
    >>> fieller(2.0, 0.01, 0.1, 0.01, 2.0)
    (None, None)
    """
    g = sure**2 * variance_b / b**2 if b else math.inf
    if g >= 1:
        return None, None
    middle = a / b / (1 - g)
    root = math.sqrt(variance_a * (1 - g) + (a / b) ** 2 * variance_b)
    half = sure / (b * (1 - g)) * root
    return max(middle - half, 0.0), middle + half


def _slope(amplitude: Complexes) -> Floats:
    """Return how the stroke follows Re x, Im x, Re y, Im y, shape (4,).

    From its square, 2 (S + R) with S = |x|² + |y|² and R = |x² + y²|; see `motion.travel.stroke`.
    """
    q = complex((amplitude**2).sum())
    parts = np.stack([amplitude.real, amplitude.imag], axis=1).ravel()
    by_r = np.zeros(4)
    if abs(q) > 0:
        turned = np.conj(q) * amplitude / abs(q)
        by_r = np.stack([turned.real, -turned.imag], axis=1).ravel()
    size = float(stroke(amplitude))
    return 2 * (parts + by_r) / size if size > 0 else np.zeros(4)


def _stroke(number: int, sine: Sine, first: Complexes, seen: float) -> Stroke:
    slope = _slope(sine.amplitude)
    error = math.sqrt(max(float(slope @ sine.covariance @ slope), 0.0)) / seen
    value = float(stroke(sine.amplitude)) / seen
    half = _sure(sine.freedom) * error
    still = value < half
    return Stroke(
        number,
        value,
        max(value - half, 0.0),
        value + half,
        sine.freedom,
        STILL if still else true_direction(sine.amplitude, first),
        _angle(sine.amplitude),
        sine,
    )


def _angle(amplitude: Complexes) -> float:
    turn = path_axes(*amplitude)[2]
    return (turn + math.pi / 2) % math.pi - math.pi / 2


def _sure(freedom: float) -> float:
    """Return how many standard errors either way hold 95 % (Student's t)."""
    return float(special.stdtrit(freedom, (1 + SHARE) / 2))


def _check(frequency: float, band: float, exposure: float) -> None:
    if not (math.isfinite(frequency) and frequency > 0):
        raise BadInput("drive frequency", f"{frequency:g} Hz", "above 0")
    if not 0 <= band < frequency:
        raise BadInput("band of frequency", f"{band:g} Hz", f"0 to {HZ.show(frequency)}")
    if not (math.isfinite(exposure) and exposure >= 0):
        raise BadInput("exposure", f"{exposure:g} s", "0 or more")


def _refuse_alias(
    tracks: Tracks, frequency: float, band: float, per_cycle: float, aliased: bool
) -> None:
    if per_cycle > 2:
        return
    rate = f"{tracks.rate:.6g} pictures per second: {per_cycle:.3g} a cycle"
    if not aliased:
        raise BadInput(
            "frame rate",
            rate,
            f"more than two a cycle ({HZ.show(2 * frequency)}), or say that the drive frequency is "
            "known and the film may be read by what it seems to show",
        )
    seems = apparent_frequency(frequency, tracks.rate)
    if min(seems, tracks.rate / 2 - seems) <= band:
        raise BadInput("band of frequency", f"{band:g} Hz", f"below {seems:.4g} Hz at {rate}")


def _doubts(
    tracks: Tracks,
    frequency: float,
    error: float | None,
    band: float,
    per_cycle: float,
    marks: Sequence[Stroke],
) -> list[str]:
    said = []
    if per_cycle <= 2:
        seems = apparent_frequency(frequency, tracks.rate)
        said.append(
            f"Undersampled: {per_cycle:.3g} pictures a cycle. The motion seems to run at "
            f"{HZ.show(seems)}; the strokes hold only if the drive runs at {HZ.show(frequency)}."
        )
    if error is not None and error > band:
        said.append("The film is too short or too noisy to find the frequency within its band.")
    for m in marks:
        if m.direction != STILL and m.sine.explained < LEAST_EXPLAINED:
            share = f"{m.sine.explained:.0%}".replace("%", " %")
            said.append(f"Mark {m.number}: the sine explains {share} of the motion only.")
        if m.sine.drift > m.value > 0:
            far = UM.show(m.sine.drift, 3)
            said.append(f"Mark {m.number} drifted by {far}, further than its stroke.")
    return said
