"""What happens once no fluid comes, compared with what studies without flow saw."""

from __future__ import annotations

from tipsim.app.pages.heat.words import seconds
from tipsim.heat.state import no_flow_from
from tipsim.heat.timeline import HeatRun, reached_after
from tipsim.heat.validation.rows import Row, row
from tipsim.setup.units import CELSIUS

SLEEVE, BURN = "no-flow", "irrigation-off"
"""Published rows: seconds to 100 °C at the sleeve, and to a visible burn of the wound."""
BURNT = CELSIUS.to_si(60)
"""A visible burn is taken to be 60 °C in the tissue next to the sleeve [K]; assumed."""
Side = tuple[str, HeatRun, float]


def lost_lines(a: HeatRun, b: HeatRun) -> list[str]:
    """Return what lost flow leads to on each side, and what studies saw; nothing without it."""
    sides = [(key, run, no_flow_from(run.scenario)) for key, run in (("A", a), ("B", b))]
    lost = [(key, run, since) for key, run, since in sides if since is not None]
    if not lost:
        return []
    sleeve, burn = row(SLEEVE), row(BURN)
    return [
        *(_line(*side) for side in lost),
        f"{_cited(sleeve)}: without any flow over 100 °C at the sleeve {sleeve.published}. "
        + _boiling(lost, sleeve),
        f"{_cited(burn)}: with the irrigation off, at 40 % power, a visible burn after "
        f"{burn.published}. " + _burns(lost),
        "The set-ups differ from this one: the page Evidence sets the model up as in the studies.",
    ]


def _cited(published: Row) -> str:
    return published.study.removesuffix(" (abstract)")


def _line(key: str, run: HeatRun, since: float) -> str:
    parts = [
        f"{limit:g} °C outside after {seconds(after)}"
        for limit in (45.0, 60.0)
        if (after := reached_after(run.time, run.sleeve_peak, CELSIUS.to_si(limit), since))
        is not None
    ]
    if run.boiled is not None and run.boiled >= since:
        parts.append(f"boiling after {seconds(run.boiled - since)}")
    found = ", ".join(parts) or "it stays below 45 °C outside"
    return f"{key} without fluid from {since:g} s on: {found}."


def _boiling(lost: list[Side], published: Row) -> str:
    """Return whether the fluid boils here within the published seconds."""
    taken = [run.boiled - since for _, run, since in lost if run.boiled is not None]
    if len(taken) < len(lost):
        return "Here that is not reached on every side."
    slowest = max(taken)
    verdict = "The model agrees" if slowest <= published.value else "In the model it takes longer"
    return f"{verdict}: the fluid boils after {seconds(slowest)} at most."


def _burns(lost: list[Side]) -> str:
    """Return whether the tissue reaches a burn here."""
    wounds = [side for side in lost if side[1].cells.wound.any()]
    if not wounds:
        return "There is no incision in this setting."
    words = []
    for key, run, since in wounds:
        after = reached_after(run.time, run.wound_peak, BURNT, since)
        if after is not None:
            words.append(f"{key}'s tissue is at 60 °C after {seconds(after)}")
        else:
            why = ", although the fluid boils" if run.boiled is not None else ""
            words.append(f"{key}'s tissue does not reach 60 °C{why}")
    return f"{'; '.join(words)}."
