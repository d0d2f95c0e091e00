"""What a film shows, held against the truth, in plain sentences."""

from __future__ import annotations

from dataclasses import dataclass

from tipsim.app.words import listed, micro
from tipsim.motion.camera import Measurement, Reading, Take
from tipsim.motion.camera.measure import BAD, GOOD, OPEN, STILL, UNCLEAR
from tipsim.motion.camera.sampling import (
    alias,
    apparent_frequency,
    exposed_cycles,
    frames_per_cycle,
    greatest_miss,
    rate_for,
    smear,
)

RIGHT = 0.05
"""A stroke that is off by less than this share counts as right here; a convention."""
SAME_FREQUENCY = 0.02
"""An apparent frequency that is off by less than this share counts as right; a convention."""
ALLOWED_MISS = 0.02
BLUR = 1.5
"""Cycles from which an exposure shows nothing but a blur; a convention."""
SHORT = 0.1
"""Cycles below which an exposure counts as short; a convention."""


@dataclass(frozen=True)
class Verdict:
    """One question, and how the film does.

    Attributes
    ----------
    about : str
        "Stroke", "Frequency" or "Direction".
    outcome : str
        "good", "bad" or "open".
    short : str
        The outcome in a few words.
    """

    about: str
    outcome: str
    short: str


def verdicts(film: Take, measured: Measurement) -> list[Verdict]:
    """Say whether stroke, frequency and direction are what they seem.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> from tipsim.motion.camera import Camera, measure, shoot
    >>> one = Scenario.preset("single-bend, torsional")
    >>> film = shoot(solve(one).motion, one.needle, Camera(frame_rate=35.2e3))
    >>> for verdict in verdicts(film, measure(film)):
    ...     print(verdict.about, verdict.outcome, verdict.short)
    Stroke good right within 5 %
    Frequency bad seems 3.20 kHz, is 32.0 kHz
    Direction good right for all 5
    """
    if not measured.readings:
        return [Verdict("Stroke", OPEN, "no marker in the picture")]
    return [_stroke(measured), _frequency(film, measured), _direction(measured)]


def largest(measured: Measurement) -> Reading:
    """Give the reading of the marker that truly moves most."""
    return max(measured.readings, key=lambda r: r.true)


def _stroke(measured: Measurement) -> Verdict:
    reading = largest(measured)
    if reading.true == 0:
        return Verdict("Stroke", OPEN, "nothing moves")
    if reading.seen is None or reading.error is None:
        return Verdict("Stroke", BAD, f"marker {reading.dot.number} is lost")
    if abs(reading.error) < RIGHT:
        return Verdict("Stroke", GOOD, f"right within {RIGHT:.0%}".replace("%", " %"))
    return Verdict("Stroke", BAD, f"{percent(reading.error)} at marker {reading.dot.number}")


def _frequency(film: Take, measured: Measurement) -> Verdict:
    if measured.frequency is None:
        still = all(r.direction in (STILL, UNCLEAR) for r in measured.readings)
        moves = largest(measured).true > 0
        outcome = BAD if moves else OPEN
        return Verdict("Frequency", outcome, "seems to stand still" if still else "none is seen")
    off = abs(measured.frequency / film.frequency - 1)
    if off < SAME_FREQUENCY:
        return Verdict("Frequency", GOOD, f"{hertz(measured.frequency)}, as the drive")
    seems, true = hertz(measured.frequency), hertz(film.frequency)
    return Verdict("Frequency", BAD, f"seems {seems}, is {true}")


def _direction(measured: Measurement) -> Verdict:
    others = measured.readings[1:]
    wrong = [r.dot.number for r in others if r.outcome == BAD]
    open_ = [r.dot.number for r in others if r.outcome == OPEN]
    if not others:
        return Verdict("Direction", OPEN, "needs two markers in the picture")
    if wrong:
        return Verdict("Direction", BAD, f"wrong for {_numbered(wrong)}")
    if open_:
        return Verdict("Direction", OPEN, f"cannot tell for {_numbered(open_)}")
    return Verdict("Direction", GOOD, f"right for all {len(measured.readings)}")


def _numbered(numbers: list[int]) -> str:
    word = "marker" if len(numbers) == 1 else "markers"
    return f"{word} {listed([str(n) for n in numbers])}"


def reasons(film: Take, measured: Measurement) -> list[str]:
    """Explain in sentences why the film shows what it shows.

    Parameters
    ----------
    film : Take
    measured : Measurement

    Returns
    -------
    list of str
        Most telling first.
    """
    if not measured.readings:
        return ["No marker lies wholly in this picture: aim elsewhere or let a pixel cover more."]
    reading = largest(measured)
    if reading.true == 0:
        return ["Nothing moves: the drive is at 0 % power."]
    long = exposed_cycles(film.frequency, film.camera.exposure) >= SHORT
    parts = [
        _seen(reading),
        _surface(film),
        _view(film, reading),
        _exposure(film, reading) if long else "",
        _sampling(film),
        _backwards(film),
        "" if long else _exposure(film, reading),
        _resolution(film, measured),
        _lost(film, measured),
        _bars(reading),
    ]
    return [part for part in parts if part]


def _seen(reading: Reading) -> str:
    number, true = reading.dot.number, micro(reading.true)
    if reading.seen is None:
        return f"Marker {number} cannot be followed. In truth it travels {true} µm."
    seen = f"{micro(reading.seen)} ± {bar_text(reading)} µm"
    return f"Marker {number}: this film shows {seen}; the truth is {true} µm."


def bar_text(reading: Reading) -> str:
    """Write an error bar in micrometres."""
    value = reading.bar * 1e6
    return f"{value:.0f}" if value >= 9.95 else f"{value:.1f}"


def _exposure(film: Take, reading: Reading) -> str:
    exposure, f = film.camera.exposure, film.frequency
    cycles = exposed_cycles(f, exposure)
    travel = smear(reading.dot.stroke_in_view, f, exposure)
    time = microseconds(exposure)
    if cycles >= BLUR:
        return (
            f"The exposure of {time} lasts {cycles:.3g} cycles: every picture is the same blur of "
            f"the whole path, darkest where the mark turns round."
        )
    if cycles >= SHORT:
        share = f"{cycles:.0%}".replace("%", " %")
        return (
            f"The exposure of {time} lasts {share} of a cycle and smears a mark over up to "
            f"{micro(travel)} µm. The software finds the densest part of the smear, which hardly "
            f"moves as far."
        )
    return f"The exposure of {time} is short: a mark moves at most {micro(travel)} µm in it."


def _sampling(film: Take) -> str:
    f, rate = film.frequency, film.camera.frame_rate
    if exposed_cycles(f, film.camera.exposure) >= BLUR:
        return ""
    per_cycle = frames_per_cycle(f, rate)
    seems = apparent_frequency(f, rate)
    if per_cycle > 2:
        miss = greatest_miss(per_cycle)
        most = f"{miss:.0%}".replace("%", " %") if miss >= 0.01 else "1 %"
        out = f"There are {per_cycle:.3g} pictures in a cycle; a single cycle may miss {most} of "
        out += "its stroke between them."
        if round(miss, 3) > ALLOWED_MISS:
            wanted = round(rate_for(f, ALLOWED_MISS), -3)
            out += f" To miss at most 2 % takes {thousands(wanted)} pictures a second."
        return out
    start = f"{_few(per_cycle)}; to follow {hertz(f)} takes more than two in each"
    if seems * film.camera.count / rate < 0.05:
        return f"{start}: each catches the same moment, so the motion seems to stand still."
    return (
        f"{start}: it seems to run at {hertz(seems)}. The stroke can come out right all the same, "
        "because every cycle here is like the last; in a real film that must be known."
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
    if film.camera.marks == "surface":
        return ""
    seen, true = reading.dot.stroke_in_view, reading.true
    if seen > (1 - RIGHT) * true:
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
        "The marks sit on the skin of a needle that turns about itself, and a camera cannot tell "
        f"turning from swinging: mark {worst.number} travels {micro(worst.stroke_in_view)} µm, "
        f"the needle's middle there {micro(worst.stroke)} µm."
    )


def _resolution(film: Take, measured: Measurement) -> str:
    moving = [r for r in measured.readings if r.true > 0]
    least = min(moving, key=lambda r: r.true)
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
    if not words:
        return ""
    return f"Not found: {listed(words)} of {film.camera.count} pictures."


def _bars(reading: Reading) -> str:
    if reading.seen is None or abs(reading.seen - reading.true) < 3 * reading.bar:
        return ""
    return (
        f"The error bar (± {bar_text(reading)} µm) comes from noise alone, tried on the needle at "
        "rest. It knows nothing of rate, exposure or view, and is no excuse for them."
    )


def percent(share: float) -> str:
    """Write a relative error with its sign.

    >>> percent(-0.454), percent(0.021), percent(0.0004)
    ('−45 %', '+2 %', '0 %')
    """
    whole = round(100 * share)
    return f"{'+' if whole > 0 else '−' if whole < 0 else ''}{abs(whole)} %"


def hertz(value: float) -> str:
    """Write a frequency.

    >>> hertz(32e3), hertz(3200.1), hertz(51.2)
    ('32.0 kHz', '3.20 kHz', '51.2 Hz')
    """
    return f"{value / 1e3:#.3g} kHz" if value >= 999.5 else f"{value:#.3g} Hz"


def microseconds(value: float) -> str:
    """Write a short time.

    >>> microseconds(1e-6), microseconds(20e-6), microseconds(1e-3)
    ('1 µs', '20 µs', '1 ms')
    """
    return f"{value * 1e3:.3g} ms" if value >= 0.9995e-3 else f"{value * 1e6:.3g} µs"


def thousands(value: float) -> str:
    r"""Write a large number in groups of three, which no line break parts.

    >>> thousands(502000).split("\xa0")
    ['502', '000']
    """
    return f"{value:,.0f}".replace(",", "\xa0")
