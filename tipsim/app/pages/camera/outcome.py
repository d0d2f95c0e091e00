"""What stands beside the film: verdicts, why, measured and true strokes, what follows by formula.

The sentences are in `outcome.html` and `reasons.html`.
"""

from __future__ import annotations

from typing import Any

from tipsim.app.framework.numbers import MOTION, sources
from tipsim.app.framework.words import listed, micro
from tipsim.app.pages.camera.state import CameraState
from tipsim.motion.camera import Film, Measurement, Reading, Take
from tipsim.motion.camera.measure import BAD, GOOD, OPEN, STILL, UNCLEAR
from tipsim.motion.camera.sampling import alias, greatest_miss
from tipsim.motion.camera.settings import US
from tipsim.motion.camera.tracking import UPSAMPLING
from tipsim.motion.camera.verdict import (
    ALLOWED_MISS,
    BLUR,
    RIGHT,
    SHORT,
    direction_outcome,
    facts,
    frequency_outcome,
    is_right,
    largest,
    stroke_outcome,
)
from tipsim.quantities.declare import figures
from tipsim.setup.units import MS

SLOW = 0.05
"""Cycles in the whole film below which a motion seems to stand still; a convention."""


def expected(state: CameraState) -> dict[str, Any]:
    """Return what the film should show, for `outcome.html`."""
    return {"d": content(*state.ahead) | {"held": state.held}}


def filmed(state: CameraState) -> dict[str, Any]:
    """Return what the film shows, for `outcome.html`."""
    return {"d": content(*state.film) | {"held": state.held}}


def content(film: Take, measured: Measurement) -> dict[str, Any]:
    """Return the names that `outcome.html` uses; without pictures they are a preview."""
    f, camera, readings = facts(film), film.camera, measured.readings
    lost = {r.dot.number: int((~r.track.is_found).sum()) for r in readings}
    dots = film.scene.dots
    return {
        "preview": not isinstance(film, Film),
        "verdicts": verdicts(film, measured),
        "readings": readings,
        "largest": largest(measured),
        "least": min((r for r in readings if r.true > 0), key=lambda r: r.true, default=None),
        "worst": max(dots, key=lambda d: abs(d.stroke_in_view - d.stroke), default=None),
        "lost": listed([f"marker {n} in {k}" for n, k in lost.items() if k]),
        "camera": camera,
        "facts": f,
        "drive": film.frequency,
        "seems": measured.frequency,
        "kind": "blur" if f.exposed_cycles >= BLUR else "long" if f.exposed_cycles >= SHORT else "",
        "miss": greatest_miss(f.per_cycle),
        "still": f.apparent * camera.count / camera.frame_rate < SLOW,
        "backwards": any(d.loops for d in dots) and alias(film.frequency, camera.frame_rate) < 0,
        "right": RIGHT,
        "allowed_miss": ALLOWED_MISS,
        "upsampling": UPSAMPLING,
        # How numbers are written.
        "um": micro,
        "percent": percent,
        "change": change,
        "hertz": hertz,
        "bar": bar_text,
        "short_time": microseconds,
        "figures": figures,
        "is_right": is_right,
    }


def verdicts(film: Take, measured: Measurement) -> list[tuple[str, str, str]]:
    """Return for stroke, frequency and direction: what, "good", "bad" or "open", few words.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> from tipsim.motion.camera import Camera, measure, shoot
    >>> one = Scenario.preset("single-bend, torsional")
    >>> film = shoot(solve(one).motion, one.needle, Camera(frame_rate=35.2e3))
    >>> for about, outcome, short in verdicts(film, measure(film)):
    ...     print(about, outcome, short)
    Stroke good right within 5 %
    Frequency bad seems 3.20 kHz, is 32.0 kHz
    Direction good right for all 5
    """
    reading = largest(measured)
    if reading is None:
        return [("Stroke", OPEN, "no marker in the picture")]
    if reading.true == 0:
        return [(about, OPEN, "nothing moves") for about in ("Stroke", "Frequency", "Direction")]
    return [
        ("Stroke", stroke_outcome(measured), _stroke(reading)),
        ("Frequency", frequency_outcome(film, measured), _frequency(film, measured)),
        ("Direction", direction_outcome(measured), _direction(measured)),
    ]


def _stroke(reading: Reading) -> str:
    if reading.error is None:
        return f"marker {reading.dot.number} is lost"
    if is_right(reading):
        return f"right within {percent(RIGHT)}"
    return f"{change(reading.error)} at marker {reading.dot.number}"


def _frequency(film: Take, measured: Measurement) -> str:
    seems = measured.frequency
    if seems is None:
        still = all(r.direction in (STILL, UNCLEAR) for r in measured.readings)
        return "seems to stand still" if still else "none is seen"
    if frequency_outcome(film, measured) == GOOD:
        return f"{hertz(seems)}, as the drive"
    return f"seems {hertz(seems)}, is {hertz(film.frequency)}"


def _direction(measured: Measurement) -> str:
    others = measured.readings[1:]
    if not others:
        return "needs two markers in the picture"
    for outcome, words in ((BAD, "wrong for"), (OPEN, "cannot tell for")):
        numbers = [str(r.dot.number) for r in others if r.outcome == outcome]
        if numbers:
            return f"{words} {'marker' if len(numbers) == 1 else 'markers'} {listed(numbers)}"
    return f"right for all {len(measured.readings)}"


def bar_text(reading: Reading) -> str:
    """Return an error bar in micrometres, as text."""
    return figures(reading.bar * 1e6, decimals=0 if reading.bar >= 9.95e-6 else 1)


def percent(share: float) -> str:
    """Return a share in percent, as text."""
    return f"{figures(100 * share, decimals=0)} %"


def change(share: float) -> str:
    """Return a relative error with its sign, as text.

    >>> change(-0.454), change(0.021), change(0.0004)
    ('−45 %', '+2 %', '0 %')
    """
    return ("+" if share >= 0.005 else "") + percent(share)


def hertz(value: float) -> str:
    """Return a frequency as text.

    >>> hertz(32e3), hertz(3200.1), hertz(51.2)
    ('32.0 kHz', '3.20 kHz', '51.2 Hz')
    """
    return f"{figures(value / 1e3)} kHz" if value >= 999.5 else f"{figures(value)} Hz"


def microseconds(value: float) -> str:
    """Return a short time as text.

    >>> microseconds(1e-6), microseconds(20e-6), microseconds(1e-3)
    ('1 µs', '20 µs', '1 ms')
    """
    return (MS if value >= 0.9995e-3 else US).show(value, 3)


def origins(state: CameraState) -> list[dict[str, str]]:
    """Return where the numbers of the needle that is filmed and of the camera come from."""
    return sources(state.scenario, groups=("camera.", *MOTION))
