"""What a film shows, compared with the truth, in plain sentences."""

from __future__ import annotations

from tipsim.app.words import listed, micro
from tipsim.motion.camera import Film, Measurement, Reading, Take
from tipsim.motion.camera.measure import BAD, GOOD, OPEN, STILL, UNCLEAR
from tipsim.motion.camera.sampling import alias, greatest_miss
from tipsim.motion.camera.settings import US
from tipsim.motion.camera.verdict import (
    ALLOWED_MISS,
    BLUR,
    RIGHT,
    SHORT,
    Facts,
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
    return [
        ("Stroke", stroke_outcome(measured), _stroke(reading)),
        ("Frequency", frequency_outcome(film, measured), _frequency(film, measured)),
        ("Direction", direction_outcome(measured), _direction(measured)),
    ]


def _stroke(reading: Reading) -> str:
    if reading.true == 0:
        return "nothing moves"
    if reading.error is None:
        return f"marker {reading.dot.number} is lost"
    if is_right(reading):
        return f"right within {percent(RIGHT)}"
    return f"{change(reading.error)} at marker {reading.dot.number}"


def _frequency(film: Take, measured: Measurement) -> str:
    seems, true = measured.frequency, hertz(film.frequency)
    if seems is None:
        still = all(r.direction in (STILL, UNCLEAR) for r in measured.readings)
        return "seems to stand still" if still else "none is seen"
    if frequency_outcome(film, measured) == GOOD:
        return f"{hertz(seems)}, as the drive"
    return f"seems {hertz(seems)}, is {true}"


def _direction(measured: Measurement) -> str:
    others = measured.readings[1:]
    wrong = [r.dot.number for r in others if r.outcome == BAD]
    open_ = [r.dot.number for r in others if r.outcome == OPEN]
    if not others:
        return "needs two markers in the picture"
    if wrong or open_:
        return f"wrong for {_numbered(wrong)}" if wrong else f"cannot tell for {_numbered(open_)}"
    return f"right for all {len(measured.readings)}"


def _numbered(numbers: list[int]) -> str:
    word = "marker" if len(numbers) == 1 else "markers"
    return f"{word} {listed([str(n) for n in numbers])}"


def reasons(film: Take, measured: Measurement) -> list[str]:
    """Return in sentences why the film shows what it shows, most telling first."""
    reading, f = largest(measured), facts(film)
    if reading is None:
        return ["No marker lies wholly in this picture: aim elsewhere or let a pixel cover more."]
    if reading.true == 0:
        return ["Nothing moves: the drive is at 0 % power."]
    long = f.exposed_cycles >= SHORT
    exposure = _exposure(film, f)
    parts = [
        _seen(film, reading),
        _surface(film),
        _view(film, reading),
        exposure if long else "",
        _sampling(film, f),
        _backwards(film),
        "" if long else exposure,
        _resolution(film, measured),
        _lost(film, measured),
        _bars(reading),
    ]
    return [part for part in parts if part]


def _seen(film: Take, reading: Reading) -> str:
    number, true = reading.dot.number, micro(reading.true)
    if reading.seen is None:
        return f"Marker {number} cannot be followed. In truth it travels {true} µm."
    shows = "this film shows" if isinstance(film, Film) else "this film should show"
    return (
        f"Marker {number}: {shows} {micro(reading.seen)} ± {bar_text(reading)} µm; the truth is "
        f"{true} µm."
    )


def bar_text(reading: Reading) -> str:
    """Return an error bar in micrometres, as text."""
    value = reading.bar * 1e6
    return f"{value:.0f}" if value >= 9.95 else f"{value:.1f}"


def _exposure(film: Take, f: Facts) -> str:
    start = f"The exposure of {microseconds(film.camera.exposure)}"
    if f.exposed_cycles >= BLUR:
        return (
            f"{start} lasts {f.exposed_cycles:.3g} cycles: every picture is the same blur of the "
            "whole path, darkest where the mark turns round."
        )
    if f.exposed_cycles >= SHORT:
        return (
            f"{start} lasts {percent(f.exposed_cycles)} of a cycle and smears a mark over up to "
            f"{micro(f.smear)} µm. The software finds the densest part of the smear, which hardly "
            "moves as far."
        )
    return f"{start} is short: a mark moves at most {micro(f.smear)} µm in it."


def _sampling(film: Take, f: Facts) -> str:
    if f.exposed_cycles >= BLUR:
        return ""
    if f.per_cycle > 2:
        miss = greatest_miss(f.per_cycle)
        out = (
            f"There are {f.per_cycle:.3g} pictures in a cycle; a single cycle may miss "
            f"{percent(max(miss, 0.01))} of its stroke between them."
        )
        if round(miss, 3) > ALLOWED_MISS:
            wanted = figures(round(f.wanted_rate, -3), decimals=0)
            out += f" To miss at most {percent(ALLOWED_MISS)} takes {wanted} pictures a second."
        return out
    start = f"{_few(f.per_cycle)}; to follow {hertz(film.frequency)} takes more than two in each"
    if f.apparent * film.camera.count / film.camera.frame_rate < SLOW:
        return f"{start}: each catches the same moment, so the motion seems to stand still."
    return (
        f"{start}: it seems to run at {hertz(f.apparent)}. The stroke can come out right all the "
        "same, because every cycle here is like the last; in a real film that must be known."
    )


def _few(per_cycle: float) -> str:
    if per_cycle < 0.995:
        return f"There is one picture in {1 / per_cycle:.4g} cycles"
    if per_cycle < 1.005:
        return "There is one picture in each cycle"
    return f"There are {per_cycle:.3g} pictures in a cycle"


def _backwards(film: Take) -> str:
    loops = any(d.loops for d in film.scene.dots)
    if loops and alias(film.frequency, film.camera.frame_rate) < 0:
        return "The marks run through loops here, and at this rate they seem to turn backwards."
    return ""


def _view(film: Take, reading: Reading) -> str:
    seen, true = reading.dot.stroke_in_view, reading.true
    if film.camera.marks == "surface" or seen > (1 - RIGHT) * true:
        return ""
    return (
        f"From this side only {micro(seen)} of the {micro(true)} µm lie in the picture; the rest "
        "goes toward the camera and back."
    )


def _surface(film: Take) -> str:
    if film.camera.marks != "surface":
        return ""
    worst = max(film.scene.dots, key=lambda d: abs(d.stroke_in_view - d.stroke))
    return (
        "The marks sit on the surface of a needle that turns about itself, and a camera cannot "
        f"tell turning from swinging: mark {worst.number} travels {micro(worst.stroke_in_view)} "
        f"µm, the needle's middle there {micro(worst.stroke)} µm."
    )


def _resolution(film: Take, measured: Measurement) -> str:
    least = min((r for r in measured.readings if r.true > 0), key=lambda r: r.true)
    pixels = least.true / film.camera.pixel
    if pixels >= 3:
        return ""
    return (
        f"Marker {least.dot.number} travels {micro(least.true)} µm, {pixels:.1f} pixels: it is "
        "followed by fractions of a pixel."
    )


def _lost(film: Take, measured: Measurement) -> str:
    lost = {r.dot.number: int((~r.track.is_found).sum()) for r in measured.readings}
    words = [f"marker {n} in {k}" for n, k in lost.items() if k]
    return f"Not found: {listed(words)} of {film.camera.count} pictures." if words else ""


def _bars(reading: Reading) -> str:
    if reading.seen is None or abs(reading.seen - reading.true) < 3 * reading.bar:
        return ""
    return (
        f"The error bar (± {bar_text(reading)} µm) comes from noise alone, tried on the needle at "
        "rest. It knows nothing of rate, exposure or view, and is no excuse for them."
    )


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
