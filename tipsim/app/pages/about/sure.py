"""How sure the default pair is: its ratios solved again after each change of one number."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from tipsim.app.framework.words import listed, micro
from tipsim.app.pages.about.results import SPACE, defaults, percent, ratio
from tipsim.motion.nearby import nearest_resonance
from tipsim.motion.sensitivity import CHANGES, STEP
from tipsim.setup.inputs import changed, find_input
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.solve import Result, solve

Edit = Callable[[Scenario], Scenario]

GAPS = (0.1e-3, 0.3e-3)
"""Gaps between shaft and sleeve that are tried [m]: half, and half as much again; assumed."""
TAPERS = (3e-3, 8e-3)
"""Lengths of the hub's taper that are tried [m]: the assumed range that needles.toml gives."""
STEPS = ((0.02, "next to none"), (0.10, "small"), (0.30, "marked"))
"""Largest relative change of a ratio below which its effect is called so; beyond: `DECISIVE`."""
DECISIVE = "decisive"
HELD = "Sleeve coupling"
SURROUNDINGS = ("air", "chamber", "wound")
"""What is tried around the needle, other than what it stands in."""
FIFTH = 4
"""Index of the marker 4 mm behind the tip."""


@dataclass(frozen=True, eq=False)
class Case:
    """The default pair after one change.

    Attributes
    ----------
    what, setting : str
        What was changed, and to what.
    single, counter : Result
        Single-bend and counter-bent needle, torsional, the hub's motion as frozen.
    """

    what: str
    setting: str
    single: Result
    counter: Result

    @property
    def ratios(self) -> tuple[float, float, float]:
        """Three ratios: tip (counter-bent over single-bend), 4 mm and shaft (inverse)."""
        a, b = self.single.motion, self.counter.motion
        return (
            b.end_stroke / a.end_stroke,
            a.markers[FIFTH].stroke / b.markers[FIFTH].stroke,
            a.character.shaft_rms / b.character.shaft_rms,
        )

    @property
    def top_speed(self) -> float:
        """Speed of the faster tip [m/s]."""
        return max(self.single.motion.end_speed, self.counter.motion.end_speed)

    def change(self, base: Case) -> float:
        """Return the largest relative change of a ratio against a case [no unit].

        Counted by factors, so that half and double weigh alike.
        """
        pairs = zip(self.ratios, base.ratios, strict=True)
        return max(max(x / y, y / x) - 1 for x, y in pairs)


def _scaled(s: Scenario, name: str, factor: float) -> Scenario:
    return CHANGES[name](s, factor)


def _set(s: Scenario, name: str, value: float | str) -> Scenario:
    return changed(s, {name: value})


def _gap(s: Scenario, gap: float) -> Scenario:
    return changed(s, {"sleeve.inner_radius": s.needle.outer_radius + gap})


def changes() -> list[tuple[str, str, Edit]]:
    """Return every change that is tried: what, setting, and how a scenario is changed.

    >>> [what for what, _, _ in changes()][:3]
    ['Frequency', 'Frequency', "Young's modulus"]
    """
    out: list[tuple[str, str, Edit]] = []
    scaled = {"frequency": "drive.frequency", "stiffness": "needle.material.young", "length": ""}
    for name, path in scaled.items():
        what = find_input(Scenario, path).label if path else "Length of all pieces"
        for sign, factor in (("−", 1 - STEP), ("+", 1 + STEP)):
            out.append((what, f"{sign}1{SPACE}%", partial(_scaled, name=name, factor=factor)))
    out.append((HELD, "0, held all along", partial(_set, name="sleeve.mobility", value=0.0)))
    around = find_input(Scenario, "outside.kind")
    for kind in SURROUNDINGS:
        if kind != defaults().single.scenario.outside.kind:
            said = around.said(kind).lower()
            out.append((around.label, said, partial(_set, name=around.name, value=kind)))
    loss = find_input(Scenario, "loss_factor")
    assert loss.source is not None
    for value in (loss.source.low, loss.source.high):
        out.append((loss.label, f"{value:g}", partial(_set, name=loss.name, value=value)))
    for gap in GAPS:
        out.append(("Gap to the sleeve", f"{gap * 1e3:g}{SPACE}mm", partial(_gap, gap=gap)))
    taper, spacing = (find_input(Scenario, n) for n in ("needle.taper_length", "spacing"))
    for value in TAPERS:
        said = f"{value * 1e3:g}{SPACE}mm"
        out.append((taper.label, said, partial(_set, name=taper.name, value=value)))
    half = defaults().single.scenario.spacing / 2
    out.append((spacing.label, "halved", partial(_set, name=spacing.name, value=half)))
    return out


def cases() -> list[Case]:
    """Solve the pair as it is, then after each change: the first case is the unchanged one."""
    pair = defaults()
    out = [Case("As it stands", "", pair.single, pair.counter)]
    for what, setting, edit in changes():
        a, b = (solve(edit(r.scenario)) for r in (pair.single, pair.counter))
        out.append(Case(what, setting, a, b))
    return out


def effect(change: float) -> str:
    """Return a word for the size of a change.

    >>> effect(0.005), effect(0.06), effect(4.0)
    ('next to none', 'small', 'decisive')
    """
    return next((word for limit, word in STEPS if change < limit), DECISIVE)


def table(found: Sequence[Case]) -> list[dict[str, Any]]:
    """Write the cases as rows of text; ``rows`` counts those that begin here with the same name."""
    out: list[dict[str, Any]] = []
    counts, top = Counter(case.what for case in found), number("published.top_speed").si
    for case in found:
        tip, fifth, shaft = map(ratio, case.ratios)
        said = "" if case is found[0] else effect(case.change(found[0]))
        if case.top_speed > top:
            said += f"; a tip at {case.top_speed:.1f}{SPACE}m/s"
        strokes = [micro(r.motion.end_stroke) for r in (case.single, case.counter)]
        out.append(
            {
                "what": case.what,
                "rows": counts.pop(case.what, 0),
                "cells": (*strokes, tip, fifth, shaft),
                "setting": case.setting,
                "effect": said,
            }
        )
    return out


def summary(found: Sequence[Case]) -> dict[str, Any]:
    """Return what the table shows, for the sentences below it; every word follows from the cases.

    Returns
    -------
    dict
        ``ranked`` (word, what, by the worse row), ``further`` and ``quieter`` (in how many rows the
        counter-bent tip moves further, its shaft less), ``fast`` (rows with a tip beyond the
        highest quoted speed) with ``worst``, and ``steps``: limits and words.
    """
    largest: dict[str, float] = {}
    for case in found[1:]:
        largest[case.what] = max(largest.get(case.what, 0.0), case.change(found[0]))
    by_word: dict[str, list[str]] = {}
    for what, change in sorted(largest.items(), key=lambda item: item[1]):
        by_word.setdefault(effect(change), []).append(what.lower() if what[0] != "Y" else what)
    top = number("published.top_speed").si
    fast = [c for c in found if c.top_speed > top]
    return {
        "ranked": [(word, listed(whats)) for word, whats in by_word.items()],
        "further": _of([c.ratios[0] > 1 for c in found]),
        "quieter": _of([c.ratios[2] > 1 for c in found]),
        "fast": _of([c in fast for c in found]) if fast else "",
        "worst": max(fast, key=lambda c: c.top_speed, default=None),
        "top": f"{top:g}",
        "steps": [(percent(limit), word) for limit, word in STEPS],
        "decisive": DECISIVE,
    }


def _of(held: Sequence[bool]) -> str:
    """Return how many are true.

    >>> _of([True, True]), _of([True, False])
    ('all 2', '1 of 2')
    """
    return f"all {len(held)}" if all(held) else f"{sum(held)} of {len(held)}"


def resonances() -> tuple[str, str]:
    """Return where the single bend's nearest resonance lies, as it is and with a rigid sleeve."""
    base = defaults().single.scenario
    drive = base.drive.frequency
    rigid = changed(base, {"sleeve.mobility": 0.0})

    def place(f: float) -> str:
        off = f / drive - 1
        side = "above" if off > 0 else "below"
        far = "at the drive itself" if abs(off) < 0.005 else f"{percent(abs(off))} {side} the drive"
        return f"{f / 1e3:.1f} kHz, {far}"

    return place(nearest_resonance(base)), place(nearest_resonance(rigid))
