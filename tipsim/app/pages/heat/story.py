"""What decides how warm a sleeve gets: what holds it, and what passes a blocked opening."""

from __future__ import annotations

from tipsim.flow.balance import flows
from tipsim.heat.state import first_state
from tipsim.heat.validation.rows import row
from tipsim.setup.link import from_items, pair_to_query
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import ML_MIN, MM
from tipsim.solve import Result

PAIR = ("practice-single", "practice-counter")
"""Rows of common practice: a held sleeve without a bypass hole, a free one with a hole."""


def story(both: tuple[Result, Result]) -> dict[str, object]:
    """Return a sentence on each needle, and the link of common practice's pair.

    >>> from tipsim import Scenario, solve
    >>> one = solve(Scenario.preset("straight, axial").with_(outside="air"))
    >>> story((one, one))["lines"][0]
    'Nothing holds the sleeve: it follows 0.51 times as far as the shaft swings. 28 mL/min flow.'
    """
    a, b = (from_items(row(id).bench) for id in PAIR)
    return {
        "lines": [f"{_held(r)} {_flow(r.scenario)}" for r in both],
        "pair": pair_to_query(a, b),
        "degrees": [f"{row(id).value:g}" for id in PAIR],
    }


def _held(r: Result) -> str:
    """Return what holds the sleeve."""
    s = r.scenario
    if s.sleeve is None:
        return "There is no sleeve."
    if s.press is not None:
        near, far = s.press.span(s.incision)
        return (
            f"A load holds the sleeve still, {MM.show(near, 2)} to {MM.show(far, 2)} from the tip: "
            "the fluid there takes all of the shaft's swing."
        )
    if s.support is not None:
        return "The wound's support holds the sleeve still: the fluid there takes all of the swing."
    follows = r["motion.sleeve_coupling"]
    return f"Nothing holds the sleeve: it follows {follows:.2f} times as far as the shaft swings."


def _flow(s: Scenario) -> str:
    """Return what flows, and whether a hole lets it."""
    found = flows(s, first_state(s).flowing)
    total, hole = (
        float(ML_MIN.from_si(max(q, 0.0))) for q in (found.irrigation or found.mouth, found.bypass)
    )
    amount = f"{total:.0f}" if total >= 10 else f"{total:.1f}"
    if s.flow.occlusion < 1:
        return f"{amount} mL/min flow."
    if hole > 0:
        return f"With the opening blocked, its bypass hole keeps {amount} mL/min flowing."
    return f"With the opening blocked and no bypass hole, {amount} mL/min are left."
