"""What lies behind the motion, section by section: words, rows, and what the charts draw."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from tipsim.app.framework.belief import KEYS
from tipsim.app.framework.words import listed, micro, percent
from tipsim.motion.buildup import pulse, pulse_times
from tipsim.setup.sourced import number
from tipsim.solve import Result

Data = dict[str, Any]


def sensitivity(a: Result, b: Result) -> Data:
    """Return how much 1 % of frequency, stiffness and length moves the tip strokes."""
    effects = zip(a.sensitivity.effects, b.sensitivity.effects, strict=True)
    rows = [(one.what, _changes(one.end), _changes(other.end)) for one, other in effects]
    steady = "Steady: no change of 1 % moves a tip stroke by more than 5 %."
    return {"rows": rows, "words": sensitive(a, b) or [steady]}


def sensitive(*results: Result) -> list[str]:
    """Return a warning for each needle that is sensitive to small changes."""
    out = []
    for key, r in zip(KEYS, results, strict=False):
        if r.sensitivity.delicate and r.motion.end_stroke > 0:
            worst = max(r.sensitivity.effects, key=lambda e: e.largest)
            out.append(
                f"Sensitive: 1 % of {worst.what} changes {key}'s tip stroke by up to "
                f"{percent(worst.largest)}."
            )
    return out


def _changes(pair: tuple[float | None, float | None]) -> str:
    shown = ["–" if v is None else f"{v * 100:+.1f} %".replace("-", "−") for v in pair]
    return f"{shown[0]} / {shown[1]}"


def resonance(a: Result, b: Result) -> Data:
    """Return response curves, natural frequencies, and where the drive lies between the peaks."""
    both = {"a": a, "b": b}
    curves = {side: r.response for side, r in both.items()}
    modes = {side: r.modes().frequency / 1e3 for side, r in both.items()}
    drives = {side: r.scenario.drive.frequency / 1e3 for side, r in both.items()}
    one = drives["a"] == drives["b"]
    shared = {
        "marks": [
            {"x": drives[side], "label": "drive" if one else f"drive {side.upper()}"}
            for side in ("a" if one else "ab")
        ],
        "ticks": [{"x": float(x), "side": side} for side in "ab" for x in modes[side]],
    }
    words = [_peaks(side.upper(), curves[side].peaks, drives[side]) for side in "ab"]
    scales = {"end": 1e6, "shaft": 1e6, "torque": 1e3, "force": 1.0, "power": 1.0}
    charts = {
        f"resonance.{name}": {
            "lines": {
                side: {"x": c.frequency / 1e3, "y": getattr(c, name) * scale}
                for side, c in curves.items()
            },
            "words": " ".join(words),
            **shared,
        }
        for name, scale in scales.items()
    }
    pairs = enumerate(zip(modes["a"], modes["b"], strict=False), 1)
    buttons = [f"{k}: A {x:.1f}, B {y:.1f} kHz" for k, (x, y) in pairs]
    return {"charts": charts, "words": words, "modes": ["Driven motion", *buttons]}


def _peaks(key: str, places: Sequence[float], drive: float) -> str:
    peaks = [place / 1e3 for place in places]
    if not peaks:
        return f"{key}: the tip has no resonance peak between 10 and 60 kHz."
    near = min(peaks, key=lambda p: abs(p - drive))
    where = "above" if drive > near else "below"
    return (
        f"{key}: the tip peaks at {listed([f'{p:.1f}' for p in peaks])} kHz; the drive, "
        f"{drive:g} kHz, lies {abs(drive - near):.1f} kHz {where} the nearest."
    )


def strength(a: Result, b: Result) -> Data:
    """Return stress along both needles beside the fatigue strength of the alloy."""
    smooth, notched = number("fatigue.smooth"), number("fatigue.notched")
    words = [_stressed("A", a), _stressed("B", b)]
    lines = {
        side: {"x": (r.scenario.needle.length - r.stress.s) * 1e3, "y": r.stress.equivalent / 1e6}
        for side, r in (("a", a), ("b", b))
    }
    band = {
        "low": smooth.low, "high": smooth.high, "label": "fatigue strength, smooth, with scatter",
    }  # fmt: skip
    levels = [{"y": smooth.value}, {"y": notched.value, "label": "fatigue strength, notched"}]
    drawn = {"lines": lines, "bands": [band], "levels": levels, "words": " ".join(words)}
    return {
        "charts": {"strength": drawn},
        "words": words,
        "source": f"{smooth.source} {number('fatigue.long_life').source}",
    }


def _stressed(key: str, r: Result) -> str:
    low, high = r["stress.share_of_strength_range"]
    verdict = (
        "it may crack there within minutes of full drive"
        if low > 1
        else "within the scatter of the alloy: it may crack there"
        if high > 1
        else "below the scatter of the alloy"
    )
    return (
        f"{key}: highest stress {r.text('stress.peak')}, {r.text('stress.peak_place')}: "
        f"{r.text('stress.share_of_strength')} of {number('fatigue.smooth').value:g} MPa "
        f"({percent(low)} to {percent(high)} over its scatter); {verdict}. "
        "Notches, threads and scratches are not in the model; notched test pieces "
        "last to less than a third of that stress."
    )


def build_up(a: Result, b: Result) -> Data:
    """Return the tip stroke of both needles over one pulse and the rest after it."""
    lines, words, ends = {}, [], {}
    for side, r in (("a", a), ("b", b)):
        on, off = pulse_times(r.scenario)
        p = pulse(r.scenario, on, off)
        lines[side] = {"x": p.time * 1e3, "y": p.end * 1e6}
        ends[round(on * 1e3, 3)] = "drive off"
        words.append(
            f"{side.upper()}: within 10 % of its steady {micro(p.steady)} µm after "
            f"{_ms(p.rise_time)}; below a tenth of it {_ms(p.fall_time)} after the drive went off."
        )
    words.append(
        f"The hub's own rise and fall, {number('drive.hub_time').text}, is assumed and sets most "
        "of this; the needle's own damping the rest."
    )
    marks = [{"x": x, "label": label} for x, label in ends.items()]
    drawn = {"lines": lines, "marks": marks, "words": " ".join(words)}
    return {"charts": {"build-up": drawn}, "words": words}


def _ms(time: float | None) -> str:
    return "not within the time drawn" if time is None else f"{time * 1e3:.1f} ms"


SECTIONS: dict[str, Callable[[Result, Result], Data]] = {
    "sensitivity": sensitivity,
    "resonance": resonance,
    "strength": strength,
    "build_up": build_up,
}
"""Sections by name."""
