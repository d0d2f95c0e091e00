"""Temperatures that matter, as lines and marks on the page."""

from __future__ import annotations

from tipsim.setup.sourced import STATUSES, number

SHORT = {
    "limit.bench": "bench endpoint",
    "contact.brief": "standard, under 1 min",
    "contact.minutes": "standard, 1 to 10 min",
    "contact.long": "standard, 10 min and more",
    "limit.collagen_from": "collagen begins to shrink",
    "limit.collagen_to": "collagen shrinks",
}
"""What stands at the line of each limit, by the number's id."""


def limits() -> list[dict[str, str | float]]:
    """Return every limit, coolest first.

    Examples
    --------
    >>> [(one["celsius"], one["short"]) for one in limits()][:2]
    [(43.0, 'standard, 10 min and more'), (45.0, 'bench endpoint')]
    """
    out: list[dict[str, str | float]] = []
    for id, short in SHORT.items():
        n = number(id)
        out.append(
            {
                "id": id,
                "celsius": n.value,
                "short": short,
                "label": n.label,
                "text": n.text,
                "status": n.status,
                "meaning": STATUSES[n.status],
                "source": n.source,
            }
        )
    return sorted(out, key=lambda one: float(one["celsius"]))
