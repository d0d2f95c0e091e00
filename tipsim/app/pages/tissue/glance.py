"""The tissue page at a glance: who rubs, who heats, who cuts."""

from __future__ import annotations

from typing import Any

from tipsim.app.framework import belief
from tipsim.app.framework.belief import outside, uncompared
from tipsim.app.framework.glance import Glance, Number
from tipsim.app.pages.tissue.rows import shown
from tipsim.app.pages.tissue.state import TissueState
from tipsim.quantities import quantity
from tipsim.solve import Result
from tipsim.tissue.bands import Band

ALIKE = 1.1
"""Below this ratio two values are called alike; a convention."""
RUBS, CUTS = "iris.speed", "cutting.rate"


def at_a_glance(state: TissueState) -> Glance:
    """Return the headline and the three numbers of both needles."""
    a, b = state.results
    return Glance(
        headline(a, b),
        [
            _number(RUBS, "Rubbing speed at the iris", a, b),
            Number(
                "to-45", "Sleeve reaches 45 °C", "s", {k: _time(r) for k, r in (("a", a), ("b", b))}
            ),
            _number(CUTS, "Cutting rate", a, b),
        ],
    )


def headline(a: Result, b: Result) -> str:
    """Return in a sentence which needle does more of what, as set.

    The numbers behind it are mostly assumed: so it says which is more, not how much.
    """
    if outside(a) or outside(b):
        return uncompared(a, b)
    return f"As set, {_more(RUBS, 'rubs the iris', a, b)}, and {_more(CUTS, 'cuts', a, b)}."


def _more(name: str, does: str, a: Result, b: Result) -> str:
    one, two = (_usual(quantity(name).get(r)) for r in (a, b))
    low, high = sorted((one, two))
    if high <= 0 or high < ALIKE * low:
        return f"both {does.replace('rubs', 'rub').replace('cuts', 'cut')} alike"
    return f"{'A' if one > two else 'B'} {does} faster"


def _usual(value: Any) -> float:
    return float(value.usual if isinstance(value, Band) else value)


def _number(name: str, label: str, a: Result, b: Result) -> Number:
    q = quantity(name)
    texts = {
        key: belief.shown(r, name, shown(q, _usual(q.get(r)))) for key, r in (("a", a), ("b", b))
    }
    return Number(name.replace(".", "-"), label, q.units, texts)


def _time(r: Result) -> str:
    time = "not reached" if r["heat.to_45"] is None else r.text("heat.to_45").removesuffix(" s")
    return belief.shown(r, "heat.to_45", time)
