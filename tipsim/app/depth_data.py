"""What lies behind the motion: resonance, strength, build-up, and how delicate it all is.

Each function gives plain data for one section of the page; they are asked for only while the
section is open and nothing has changed for a moment.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipsim.app.words import listed, micro
from tipsim.motion.buildup import pulse, pulse_times
from tipsim.setup.sourced import number
from tipsim.solve import Result

Data = dict[str, Any]


def _list(values: NDArray[np.float64], digits: int = 4) -> list[float]:
    return [float(f"{v:.{digits}g}") for v in values]


def _pair(a: Result, b: Result) -> tuple[tuple[str, Result], tuple[str, Result]]:
    return ("A", a), ("B", b)


def delicate(a: Result, b: Result) -> Data:
    """Return how much 1 % of frequency, stiffness and length moves the end strokes.

    Returns
    -------
    dict
        ``rows`` (what, A's and B's changes) and ``a``, ``b``: a warning, empty when steady.
    """
    out: Data = {"rows": [], "a": "", "b": ""}
    for ea, eb in zip(a.sensitivity.effects, b.sensitivity.effects, strict=True):
        out["rows"].append({"what": ea.what, "a": _changes(ea.end), "b": _changes(eb.end)})
    for key, r in _pair(a, b):
        if r.sensitivity.delicate and r.motion.end_stroke > 0:
            worst = max(r.sensitivity.effects, key=lambda e: e.largest)
            out[key.lower()] = (
                f"Delicate: 1 % of {worst.what} moves {key}'s end stroke by up to "
                f"{worst.largest:.0%}."
            )
    return out


def _changes(pair: tuple[float | None, float | None]) -> str:
    shown = ["–" if v is None else f"{v:+.1%}".replace("-", "−") for v in pair]
    return f"{shown[0]} / {shown[1]}"


def resonance(a: Result, b: Result) -> Data:
    """Return response curves and natural frequencies of both needles.

    Returns
    -------
    dict
        ``frequency`` in kHz, per side ``end`` and ``shaft`` in µm, ``torque`` in N mm,
        ``force`` in N, ``power`` in W, ``modes`` and ``peaks`` in kHz, ``drive`` in kHz.
    """
    sides = []
    for key, r in _pair(a, b):
        curve, modes = r.response, r.modes()
        sides.append(
            {
                "key": key,
                "drive": round(r.scenario.drive.frequency / 1e3, 3),
                "end": _list(curve.end * 1e6),
                "shaft": _list(curve.shaft * 1e6),
                "torque": _list(curve.torque * 1e3),
                "force": _list(curve.force),
                "power": _list(curve.power),
                "peaks": _list(np.array(curve.peaks) / 1e3),
                "modes": _list(modes.frequency / 1e3),
            }
        )
    frequency = _list(a.response.frequency / 1e3, 5)
    return {"frequency": frequency, "sides": sides, "words": _resonance_words(sides)}


def _resonance_words(sides: list[Data]) -> list[str]:
    out = []
    for side in sides:
        if not side["peaks"]:
            out.append(f"{side['key']}: the end has no resonance peak between 10 and 60 kHz.")
            continue
        peaks = listed([f"{p:.1f}" for p in side["peaks"]])
        near = min(side["peaks"], key=lambda p: abs(p - side["drive"]))
        gap = side["drive"] - near
        where = "above" if gap > 0 else "below"
        out.append(
            f"{side['key']}: the end peaks at {peaks} kHz; the drive, {side['drive']:g} kHz, lies "
            f"{abs(gap):.1f} kHz {where} the nearest."
        )
    return out


def strength(a: Result, b: Result) -> Data:
    """Return stress along both needles beside the fatigue strength of the alloy.

    Returns
    -------
    dict
        Per side ``x`` (mm from the end) and ``equivalent`` (MPa); ``band`` (low, value, high)
        and ``notched`` in MPa; ``words``.
    """
    smooth, notched = number("fatigue.smooth"), number("fatigue.notched")
    sides, words = [], []
    for key, r in _pair(a, b):
        s = r.stress
        length = r.scenario.needle.length
        sides.append(
            {
                "key": key,
                "x": _list((length - s.s) * 1e3),
                "equivalent": _list(s.equivalent / 1e6),
            }
        )
        words.append(_strength_words(key, r))
    return {
        "sides": sides,
        "band": [smooth.low, smooth.value, smooth.high],
        "notched": notched.value,
        "words": words,
        "source": f"{smooth.source} {number('fatigue.long_life').source}",
    }


def _strength_words(key: str, r: Result) -> str:
    s, smooth = r.stress, number("fatigue.smooth")
    share = s.peak / smooth.si
    low, high = s.peak / 1e6 / smooth.high, s.peak / 1e6 / smooth.low
    place = (r.scenario.needle.length - s.peak_place) * 1e3
    verdict = (
        "it may crack there within minutes of full drive"
        if low > 1
        else "within the scatter of the alloy: it may crack there"
        if high > 1
        else "below the scatter of the alloy"
    )
    return (
        f"{key}: highest stress {s.peak / 1e6:.0f} MPa, {place:.1f} mm from the end: "
        f"{share:.0%} of {smooth.value:g} MPa ({low:.0%} to {high:.0%} over its scatter); "
        f"{verdict}. Notches, threads and scratches are not in the model; notched test pieces "
        "last to less than a third of that stress."
    )


def build_up(a: Result, b: Result) -> Data:
    """Return the end stroke of both needles over one pulse and the rest after it.

    Returns
    -------
    dict
        Per side ``x`` (ms) and ``y`` (µm peak to peak); ``on`` (ms); ``words``.
    """
    hub = number("drive.hub_time")
    sides, words = [], []
    for key, r in _pair(a, b):
        on, off = pulse_times(r.scenario)
        p = pulse(r.scenario, on, off)
        sides.append(
            {
                "key": key,
                "x": _list(p.time * 1e3),
                "y": _list(p.end * 1e6),
                "on": round(on * 1e3, 3),
            }
        )
        words.append(
            f"{key}: within 10 % of its steady {micro(p.steady)} µm after {_ms(p.rise_time)}; "
            f"below a tenth of it {_ms(p.fall_time)} after the drive went off."
        )
    note = (
        f"The hub's own rise and fall, {hub.text}, is assumed and sets most of this; the needle's "
        "own damping the rest."
    )
    return {"sides": sides, "words": [*words, note]}


def _ms(time: float | None) -> str:
    return "not within the time drawn" if time is None else f"{time * 1e3:.1f} ms"


SECTIONS: dict[str, Callable[[Result, Result], Data]] = {
    "delicate": delicate,
    "resonance": resonance,
    "strength": strength,
    "buildup": build_up,
}
"""Sections by name."""
