"""Beside the films: what they read and what is true, and the size of all that misleads."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tipsim.app.framework.numbers import sources
from tipsim.app.framework.words import micro, percent
from tipsim.app.pages.endoscope.glance import stroke, times
from tipsim.app.pages.endoscope.state import EndoscopeState
from tipsim.quantities.declare import figures
from tipsim.tissue.endoscope import Ratio, Study
from tipsim.tissue.endoscope.verdict import (
    DARK,
    FEW_CONTACTS,
    FULL,
    RIGHT,
    Facts,
    blur_outcome,
    count_outcome,
    facts,
    light_outcome,
    ratio_outcome,
)

PIXELS = 2.0
"""A smear or streak longer than this is told as such [pixels]; a convention."""
CROWDED = 0.1
"""Share of hidden specks from which a film counts as crowded; a convention."""


def filmed(state: EndoscopeState) -> dict[str, Any]:
    """Return the names that `outcome.html` uses."""
    studies = state.studies
    return {
        "d": {
            "held": state.held,
            "verdicts": verdicts(state.ratio, *studies),
            "sides": [_side(k, s) for k, s in zip("ab", studies, strict=True)],
            "rows": rows(*studies),
            "ratio": ratio_words(state.ratio),
        }
    }


def ahead(_: EndoscopeState) -> dict[str, Any]:
    """Return the same before the films are there."""
    return {"d": None}


def verdicts(ratio: Ratio, a: Study, b: Study) -> list[tuple[str, str, str]]:
    """Return for each reading: what, "good", "bad" or "open", few words."""
    out = [("A over B", ratio_outcome(ratio), ratio_words(ratio))]
    for key, study in (("A", a), ("B", b)):
        count, blur, light = study.count, study.blur, study.brightness
        seen = f"{figures(count.mean, 2)} ± {figures(count.mean_bar, 2)} counted"
        out.append(
            (f"{key}, specks", count_outcome(study), f"{seen}, {figures(count.true_mean, 2)} true")
        )
        read = f"{stroke(study)} ± {micro(blur.bar)} µm by the blur" if blur.inside else "no mark"
        out.append((f"{key}, stroke", blur_outcome(study), f"{read}, {micro(blur.true)} µm true"))
        dark = f"{_share(light.mean)} ± {_share(light.mean_bar)} darker"
        out.append(
            (f"{key}, region", light_outcome(study), f"{dark}, {_share(light.true_mean)} by specks")
        )
    return out


def ratio_words(ratio: Ratio) -> str:
    """Return the ratio with its interval and both truths.

    >>> ratio_words(Ratio(2.0, 1.0, 4.0, 2.2, 2.1))
    '2.0 (1.0 to 4.0) by the films; 2.2 came in them, 2.1 in the long run'
    """
    if ratio.seen is None:
        return "too few specks"
    span = " to ".join(times(v) if v < 1000 else "any number" for v in (ratio.low, ratio.high))
    truth = f"{times(ratio.released)} came in them, {times(ratio.expected)} in the long run"
    return f"{times(ratio.seen)} ({span}) by the films; {truth}"


def _share(value: float) -> str:
    return f"{figures(100 * value, 2)} %"


def rows(a: Study, b: Study) -> list[tuple[str, str, str]]:
    """Return what misleads as rows of a table: what, and its size in both films."""
    sides = [(study, facts(study)) for study in (a, b)]
    made: list[tuple[str, Callable[[Study, Facts], str]]] = [
        ("Contacts in the film", lambda _, f: str(f.contacts)),
        ("Specks that the program finds", lambda _, f: percent(min(f.found, 1.0))),
        ("Specks hidden by a neighbour, at most", lambda _, f: percent(f.crowding)),
        ("Streak of a speck, pixels", lambda _, f: figures(f.streak, 2)),
        ("Blur of a speck, pixels", lambda _, f: figures(f.spread, 2)),
        ("Stroke of the mark, pixels", lambda _, f: figures(f.blur_pixels, 2)),
        ("Cycles in an exposure", lambda _, f: figures(f.cycles, 2)),
        ("Stroke along the line of sight", lambda _, f: percent(f.hidden)),
        ("Scale at the mark, error", lambda _, f: _signed(f.scale)),
        ("Scale at the rim over the middle", lambda _, f: _signed(f.edge)),
        ("Signal over noise at half of white", lambda _, f: figures(f.noise, 2)),
        ("Full pixels", lambda _, f: percent(f.full)),
        ("Region darker, not by specks", lambda _, f: _signed(f.darkened)),
    ]
    return [(label, text(*sides[0]), text(*sides[1])) for label, text in made]


def _signed(value: float) -> str:
    text = f"{figures(100 * value, decimals=1)} %"
    return f"+{text}" if value >= 5e-4 else text


def _side(key: str, study: Study) -> dict[str, Any]:
    return {"key": key, "reasons": reasons(study, facts(study))}


def reasons(study: Study, f: Facts) -> list[str]:
    """Return in sentences what misleads in a film, most telling first."""
    setting = study.film.setting
    out = []
    if f.full >= FULL:
        out.append(f"{percent(f.full)} of the pixels are full: what is brighter shows no specks.")
    if f.noise < DARK:
        out.append(f"It is dark: a grey pixel is {figures(f.noise, 2)} times its noise.")
    if f.contacts < FEW_CONTACTS:
        out.append(
            f"The iris touches {f.contacts} times in {figures(setting.seconds, 2)} s: how many "
            "specks come is mostly chance. A longer film at a lower video rate shows more contacts."
        )
    if f.crowding >= CROWDED:
        out.append(
            f"Specks crowd: where most are in view, {percent(f.crowding)} lie on a neighbour "
            "and count as one. Specks that come in clouds hide more than the program corrects."
        )
    if f.streak > PIXELS:
        out.append(
            f"A speck moves {figures(f.streak, 2)} pixels in an exposure: streaks are faint."
        )
    if f.spread > PIXELS:
        out.append(f"Out of focus: a speck's spot spreads over {figures(f.spread, 2)} pixels.")
    out.append(_of_drive(f, study))
    if abs(f.scale) > RIGHT / 2:
        out.append(
            f"At the mark the program's scale is off by {_signed(f.scale)}: the mark lies nearer "
            "or farther than what the lens is aimed at, and the lens distorts."
        )
    if f.hidden > RIGHT / 2:
        out.append(
            f"{percent(f.hidden)} of the mark's stroke lies along the line of sight, unseen."
        )
    if abs(f.darkened) > study.brightness.mean_bar:
        out.append("The region's brightness changes by more than specks: the iris moves in it.")
    return out


def _of_drive(f: Facts, study: Study) -> str:
    if study.blur.true == 0:
        return "Nothing moves: there is no blur of the mark."
    if f.cycles >= 1:
        return (
            f"An exposure lasts {figures(f.cycles, 2)} cycles of the drive: the mark shows its "
            f"whole path as a blur of {figures(f.blur_pixels, 2)} pixels, and no video rate "
            "follows it."
        )
    return (
        f"An exposure lasts {percent(f.cycles)} of a cycle: the mark is sharp, and at this video "
        f"rate its motion seems to run at {figures(f.apparent, 3)} Hz."
    )


def origins(_: EndoscopeState) -> list[dict[str, str]]:
    """Return every number of the endoscope and of the iris with its origin."""
    return sources(groups=("endoscope.", "iris.", "eye.iris"))
