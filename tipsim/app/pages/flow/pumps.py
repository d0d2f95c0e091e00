"""Both kinds of pump side by side: what the pedal's travel does on each, with the same needle."""

from __future__ import annotations

from dataclasses import replace

from tipsim.app.pages.flow.words import flow_text, mmhg
from tipsim.flow.balance import Balance, balance
from tipsim.setup.flow import BY_FLOW, BY_VACUUM, PUMPS
from tipsim.setup.scenario import Scenario

TRAVEL = (0.25, 0.5, 0.75, 1.0)
"""Shares of the pedal's travel in position 2 that are compared."""
HEADS = ("Pedal", "Free: flow", "Free: vacuum", "Occluded: vacuum")
TITLES = {
    BY_FLOW: "Flow-controlled (peristaltic)",
    BY_VACUUM: "Vacuum-controlled (venturi)",
}
WORDS = {
    BY_FLOW: (
        "Rollers push the fluid along. The pedal sets the flow; vacuum builds up only where "
        "something hinders the flow, up to its limit. An occlusion costs time before it holds."
    ),
    BY_VACUUM: (
        "A reservoir is held at a vacuum. The pedal sets that vacuum, occluded or not; the flow "
        "follows what needle and line resist. An occlusion holds almost at once. Nothing but the "
        "resistance holds the flow back, so the line is narrower."
    ),
}


def at_pedal(scenario: Scenario, pump: str, travel: float, occlusion: float) -> Balance:
    """Return the steady balance at a share of the pedal's travel.

    A flow-controlled pump's pedal sets the flow, a vacuum-controlled one's the vacuum; both in
    proportion to the travel (assumed: many pedals can also be set to all or nothing).
    """
    flow = replace(scenario.flow, pump=pump, occlusion=occlusion)
    if pump == BY_FLOW:
        flow = replace(flow, aspiration=travel * flow.aspiration)
    else:
        flow = replace(flow, vacuum_limit=travel * flow.vacuum_limit)
    return balance(scenario, flow)


def tables(scenario: Scenario) -> list[dict[str, object]]:
    """Return a table for each kind of pump, with the needle and settings of a bench."""
    return [
        {
            "title": TITLES[pump],
            "words": WORDS[pump],
            "heads": HEADS,
            "rows": [_row(scenario, pump, travel) for travel in TRAVEL],
        }
        for pump in PUMPS
    ]


def _row(scenario: Scenario, pump: str, travel: float) -> list[str]:
    free, shut = (at_pedal(scenario, pump, travel, occlusion) for occlusion in (0.0, 1.0))
    drawn = free.flows.mouth + free.flows.bypass
    flat = ", chamber flat" if free.collapses else ""
    vacuum = f"{mmhg(free.vacuum)} mmHg" + (" (the chamber pushes)" if free.pushes else "")
    return [
        f"{travel * 100:.0f} %",
        f"{flow_text(drawn)} mL/min{flat}",
        vacuum,
        f"{mmhg(shut.vacuum)} mmHg",
    ]
