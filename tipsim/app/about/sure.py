"""How sure the default pair is: its ratios solved again after each change of one number."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from tipsim.app.about.results import SPACE, defaults, percent, ratio
from tipsim.app.words import listed, micro
from tipsim.motion.nearby import nearest_resonance
from tipsim.motion.sensitivity import CHANGES, STEP
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
ONE_PERCENT = {1 - STEP: f"−1{SPACE}%", 1 + STEP: f"+1{SPACE}%"}
FIFTH = 4
"""Index of the marker 4 mm behind the end."""


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
        """Return three ratios: end (counter-bent over single-bend), 4 mm and shaft (inverse)."""
        a, b = self.single.motion, self.counter.motion
        return (
            b.end_stroke / a.end_stroke,
            a.markers[FIFTH].stroke / b.markers[FIFTH].stroke,
            a.character.shaft_rms / b.character.shaft_rms,
        )

    @property
    def top_speed(self) -> float:
        """Speed of the faster end [m/s]."""
        return max(self.single.motion.end_speed, self.counter.motion.end_speed)

    def change(self, base: Case) -> float:
        """Return the largest relative change of a ratio against a case [no unit].

        Counted by factors, so that half and double weigh alike.
        """
        pairs = zip(self.ratios, base.ratios, strict=True)
        return max(max(x / y, y / x) - 1 for x, y in pairs)


def _scaled(s: Scenario, change: str, factor: float) -> Scenario:
    return CHANGES[change](s, factor)


def _mobility(s: Scenario, mobility: float) -> Scenario:
    assert s.sleeve is not None
    return replace(s, sleeve=replace(s.sleeve, mobility=mobility))


def _gap(s: Scenario, gap: float) -> Scenario:
    assert s.sleeve is not None
    return replace(s, sleeve=replace(s.sleeve, inner_radius=s.needle.outer_radius + gap))


def _taper(s: Scenario, length: float) -> Scenario:
    return replace(s, needle=replace(s.needle, taper_length=length))


def _loss(s: Scenario, loss_factor: float) -> Scenario:
    return replace(s, loss_factor=loss_factor)


def _spacing(s: Scenario, factor: float) -> Scenario:
    return replace(s, spacing=s.spacing * factor)


def changes() -> list[tuple[str, str, Edit]]:
    """Return every change that is tried: what, setting, and how a scenario is changed.

    >>> [what for what, _, _ in changes()][:3]
    ['Frequency of the drive', 'Frequency of the drive', "Young's modulus"]
    """
    mobility, loss = number("sleeve.mobility"), number("motion.loss_factor")
    out: list[tuple[str, str, Edit]] = []
    for what, name in (
        ("Frequency of the drive", "frequency"),
        ("Young's modulus", "stiffness"),
        ("Length of all pieces", "length"),
    ):
        for factor, said in ONE_PERCENT.items():
            out.append((what, said, partial(_scaled, change=name, factor=factor)))
    for value, name in ((mobility.low, "held rigid"), (mobility.high, "floating free")):
        said = f"{value:g}, {name}"
        out.append(("Sleeve's mobility", said, partial(_mobility, mobility=value)))
    for gap in GAPS:
        out.append(("Gap to the sleeve", f"{gap * 1e3:g}{SPACE}mm", partial(_gap, gap=gap)))
    for taper in TAPERS:
        said = f"{taper * 1e3:g}{SPACE}mm"
        out.append(("Length of the hub's taper", said, partial(_taper, length=taper)))
    for value in (loss.low, loss.high):
        out.append(("Loss factor", f"{value:g}", partial(_loss, loss_factor=value)))
    out.append(("Node spacing", "halved", partial(_spacing, factor=0.5)))
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
    """Name the size of a change.

    >>> effect(0.005), effect(0.06), effect(4.0)
    ('next to none', 'small', 'decisive')
    """
    return next((word for limit, word in STEPS if change < limit), DECISIVE)


def ceiling() -> float:
    """Return the highest end speed quoted for any needle [m/s]."""
    return number("published.top_speed").si


def table(found: Sequence[Case]) -> list[dict[str, Any]]:
    """Write the cases as rows of text; ``rows`` counts those that begin here with the same name."""
    out: list[dict[str, Any]] = []
    counts = Counter(case.what for case in found)
    for case in found:
        end, fifth, shaft = case.ratios
        said = "" if case is found[0] else effect(case.change(found[0]))
        if case.top_speed > ceiling():
            said += f"; an end at {case.top_speed:.1f}{SPACE}m/s"
        out.append(
            {
                "what": case.what,
                "rows": counts.pop(case.what, 0),
                "setting": case.setting,
                "single": micro(case.single.motion.end_stroke),
                "counter": micro(case.counter.motion.end_stroke),
                "end": ratio(end),
                "fifth": ratio(fifth),
                "shaft": ratio(shaft),
                "effect": said,
            }
        )
    return out


def sentences(found: Sequence[Case]) -> list[str]:
    """Return in words what the table shows; every word follows from the cases."""
    return [_ranked(found), _kept(found), _fast(found), _near_resonance()]


def ranking(found: Sequence[Case]) -> list[tuple[str, float]]:
    """Return what was changed and the largest change that it made, least first."""
    worst: dict[str, float] = {}
    for case in found[1:]:
        worst[case.what] = max(worst.get(case.what, 0.0), case.change(found[0]))
    return sorted(worst.items(), key=lambda item: item[1])


def _ranked(found: Sequence[Case]) -> str:
    by_word: dict[str, list[str]] = {}
    for what, change in ranking(found):
        by_word.setdefault(effect(change), []).append(_spoken(what))
    parts = [f"{word} for {listed(whats)}" for word, whats in by_word.items()]
    return f"By the worse of its rows, the effect is {'; '.join(parts)}."


def _spoken(what: str) -> str:
    """Put a row's name into a sentence.

    >>> _spoken("Loss factor"), _spoken("Young's modulus")
    ('the loss factor', "Young's modulus")
    """
    return what if what.startswith("Young") else f"the {what[0].lower()}{what[1:]}"


def _kept(found: Sequence[Case]) -> str:
    further = [c.ratios[0] > 1 for c in found]
    quieter = [c.ratios[2] > 1 for c in found]
    return (
        f"The counter-bent end moves further in {_of(further)} rows, and its shaft less in "
        f"{_of(quieter)}: trust an order as far as it holds here, and a figure as far as its "
        "column stands still."
    )


def _of(held: Sequence[bool]) -> str:
    """Count how many hold.

    >>> _of([True, True]), _of([True, False])
    ('all 2', '1 of 2')
    """
    return f"all {len(held)}" if all(held) else f"{sum(held)} of {len(held)}"


def _fast(found: Sequence[Case]) -> str:
    fast = [c for c in found if c.top_speed > ceiling()]
    if not fast:
        return f"No end runs faster than {ceiling():g} m/s, the highest speed quoted for a needle."
    worst = max(fast, key=lambda c: c.top_speed)
    return (
        f"In {_of([c in fast for c in found])} rows an end passes {ceiling():g} m/s, the highest "
        f"speed quoted for any needle. At the worst ({_spoken(worst.what)} at {worst.setting}) it "
        f"would be {worst.top_speed:.1f} m/s: the drive has met a resonance, and the model ends."
    )


def _near_resonance() -> str:
    base = defaults().single.scenario
    drive = base.drive.frequency
    held = number("sleeve.mobility").low
    own, rigid = (nearest_resonance(s) for s in (base, _mobility(base, held)))

    def place(f: float) -> str:
        off = f / drive - 1
        side = "above" if off > 0 else "below"
        far = "at the drive itself" if abs(off) < 0.005 else f"{percent(abs(off))} {side} the drive"
        return f"{f / 1e3:.1f} kHz, {far}"

    return (
        f"Behind this: the single bend's nearest resonance lies at {place(own)}. More "
        "water, less stiffness or more length bring it down; with the sleeve held rigid it lies "
        f"at {place(rigid)}."
    )
