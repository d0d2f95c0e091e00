"""Where the energy goes: power by cause, from the declared outputs."""

from __future__ import annotations

from typing import Any

from tipsim.app.pages.heat.state import HeatState
from tipsim.app.pages.heat.story import story
from tipsim.quantities import quantity
from tipsim.solve import Result

HEATING = {
    "metal": "heat.source_metal",
    "water-sleeve": "heat.in_sleeve",
    "water-bore": "heat.source_films_bore",
    "rubbing": "heat.source_rubbing",
    "squeezing": "heat.source_squeezing",
    "lens": "heat.source_lens",
}
"""What warms needle, sleeve and the fluid inside: class of its bar, and output."""
OTHER = {"water-free": "heat.beyond_sleeve", "unresolved": "heat.source_unresolved"}
"""What warms neither."""
LEAST = 5e-4
"""Less is written as nothing [W]."""


def energy(state: HeatState) -> dict[str, Any]:
    """Return the bars and their table, in watts, in the order of the bar.

    With the load that is set at the start; events are left out.
    """
    both = state.results
    causes = HEATING | OTHER
    rows = [_row(id, name, both) for id, name in causes.items()]
    totals = [
        ("All together", [sum(r[name] for name in causes.values()) for r in both]),
        ("Heats needle, sleeve and the fluid in them", [r["heat.warming"] for r in both]),
    ]
    number = quantity("heat.warming").number
    return {
        "rows": rows,
        "totals": [{"title": t, "text": [number(v) for v in values]} for t, values in totals],
        "most": max(*totals[0][1], 1e-9),
        "story": story(both),
        "averaged": any(r.heat.duty < 1 for r in both),
    }


def _row(id: str, name: str, both: tuple[Result, Result]) -> dict[str, Any]:
    q = quantity(name)
    values = [float(q.get(r)) for r in both]
    return {
        "id": id,
        "title": q.short or q.label,
        "why": q.meaning,
        "heats": id in HEATING,
        "watts": values,
        "text": [q.number(v if v > LEAST else 0.0) for v in values],
    }
