"""The iris in words and rows."""

from __future__ import annotations

from typing import Any

from tipsim.app.pages.tissue.rows import figure, rows
from tipsim.app.pages.tissue.state import TissueState
from tipsim.flow.balance import flows
from tipsim.setup.units import ML_MIN
from tipsim.solve import Result
from tipsim.tissue.texts import notes

RARE = 0.5
"""Fewer contacts a minute than this are called rare."""
FLOW = ("iris.reference_flow", "iris.reference_modulus", "eye.iris_modulus")
PLACE = ("eye.iris_place", "eye.iris_side")
ROWS: dict[str, tuple[str, ...]] = {
    "iris.flutter": ("iris.spread", "iris.spread_exponent", "iris.spread_limit", *FLOW),
    "iris.flutter_rate": ("iris.rate", "iris.rate_share", *FLOW),
    "iris.reach": PLACE,
    "iris.contacts": ("eye.iris_gap",),
    "iris.contact_share": ("eye.iris_gap",),
    "iris.speed": PLACE,
    "iris.work": (),
    "iris.index": ("iris.reference_work",),
}
"""Outputs that are shown, with what they rest on besides the numbers of their ranges."""


def content(state: TissueState) -> dict[str, Any]:
    """Return what `iris.html` shows: words, rows and what lowers rubbing."""
    results = state.results
    return {
        "words": [words(r) for r in results],
        "rows": rows(results, ROWS),
        "lower": notes()["lower"],
    }


def words(r: Result) -> str:
    """Return in a sentence or two what the iris meets.

    >>> from tipsim import Scenario, solve
    >>> words(solve(Scenario.preset("single-bend, torsional"))).split(". ")[0]
    'The iris touches the sleeve about 66 times a minute, for 2.3 % of the time'
    """
    found, flow = r.iris, float(ML_MIN.from_si(flows(r.scenario).irrigation))
    per_minute, share = found.contacts_per_minute.usual, found.contact_share.usual * 100
    what = "sleeve" if r.scenario.sleeve else "needle"
    if share >= 50:
        first = f"The iris lies on the {what} for {share:.0f} % of the time."
    elif per_minute < RARE:
        first = f"As set, the iris hardly ever touches the {what}."
    else:
        first = (
            f"The iris touches the {what} about {figure(per_minute)} times a minute, for "
            f"{figure(share)} % of the time."
        )
    return (
        f"{first} There the {what} slides at {figure(found.speed.usual)} m/s while the drive is "
        f"on. The irrigation brings {flow:.0f} mL/min."
    )
