"""What happens once no water comes, held against what studies without flow saw."""

from __future__ import annotations

import numpy as np

from tipsim.app.heat.words import seconds
from tipsim.flow.balance import flows
from tipsim.heat.timeline import HeatRun
from tipsim.heat.validation.rows import Row, row
from tipsim.motion.sections import Floats
from tipsim.setup.units import CELSIUS

SLEEVE, BURN = "no-flow", "irrigation-off"
"""Published rows: seconds to 100 °C at the sleeve, and to a visible burn of the wound."""
BURNT = CELSIUS.to_si(60)
"""A visible burn is taken to be 60 °C in the tissue next to the sleeve [K]; assumed."""


def lost_at(run: HeatRun) -> float | None:
    """Give from when on no water comes: 0, or the first event that takes it away [s].

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> lost_at(solve(Scenario.preset("straight, axial")).heat) is None
    True
    """
    if flows(run.scenario).irrigation <= 0:
        return 0.0
    events = (e for e in run.scenario.events if e.what == "flow lost" and not e.flow)
    first = min((e.time for e in events), default=None)
    return first if first is not None and first < run.scenario.duration else None


def lost_lines(a: HeatRun, b: HeatRun) -> list[str]:
    """Tell what comes of lost flow on each bench, and what studies saw; nothing without it."""
    benches = [(key, run, lost_at(run)) for key, run in (("A", a), ("B", b))]
    lost = [(key, run, since) for key, run, since in benches if since is not None]
    if not lost:
        return []
    out = [_line(key, run, since) for key, run, since in lost]
    sleeve, burn = row(SLEEVE), row(BURN)
    out.append(
        f"{_cited(sleeve)}: without any flow over 100 °C at the sleeve {sleeve.published}. "
        + _held(lost, sleeve)
    )
    out.append(
        f"{_cited(burn)}: with the irrigation off, at 40 % power, a visible burn after "
        f"{burn.published}. " + _burns(lost)
    )
    out.append(
        "Other set-ups than this one: the page Bench studies sets the model up as they were."
    )
    return out


def _cited(published: Row) -> str:
    return published.study.removesuffix(" (abstract)")


def _line(key: str, run: HeatRun, since: float) -> str:
    parts = [
        f"{limit:g} °C outside after {seconds(reached)}"
        for limit in (45.0, 60.0)
        if (reached := _after(run, run.sleeve_peak, CELSIUS.to_si(limit), since)) is not None
    ]
    if run.boiled is not None and run.boiled >= since:
        parts.append(f"boiling after {seconds(run.boiled - since)}")
    found = ", ".join(parts) or "it stays below 45 °C outside"
    return f"{key} without water from {since:g} s on: {found}."


def _held(lost: list[tuple[str, HeatRun, float]], published: Row) -> str:
    """Say whether the water boils here within the published seconds."""
    taken = [run.boiled - since for _, run, since in lost if run.boiled is not None]
    if len(taken) < len(lost):
        return "Here it does not come to that on every bench."
    slowest = max(taken)
    verdict = "So it does here" if slowest <= published.value else "Here it takes longer"
    return f"{verdict}: the water boils after {seconds(slowest)} at most."


def _burns(lost: list[tuple[str, HeatRun, float]]) -> str:
    """Say whether the wound burns here before the model ends."""
    wounds = [(key, run, since) for key, run, since in lost if run.cells.wound.any()]
    if not wounds:
        return "There is no wound on this bench."
    words = []
    for key, run, since in wounds:
        reached = _after(run, run.wound_peak, BURNT, since)
        if reached is not None:
            words.append(f"{key}'s tissue is at 60 °C after {seconds(reached)}")
        else:
            why = ", for the water boils before" if run.boiled is not None else ""
            words.append(f"{key}'s tissue does not come to 60 °C{why}")
    return f"{'; '.join(words)}."


def _after(run: HeatRun, course: Floats, level: float, since: float) -> float | None:
    """Give how long after a moment a course first stands at a level [s]; None if never."""
    above = np.flatnonzero((course >= level) & (run.time >= since))
    if not len(above):
        return None
    i = int(above[0])
    if i == 0 or run.time[i - 1] < since or course[i - 1] >= level:
        return float(run.time[i] - since)
    w = (level - course[i - 1]) / (course[i] - course[i - 1])
    return float(run.time[i - 1] + w * (run.time[i] - run.time[i - 1]) - since)
