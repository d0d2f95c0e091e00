"""The page that compares the heat model with published rows; the same for everybody."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from tipsim.app.framework.fixed import routes
from tipsim.app.framework.template import shell_variables, templates
from tipsim.heat.validation.compute import Outcome
from tipsim.heat.validation.measure import IN_WORDS, SECONDS
from tipsim.heat.validation.rows import RULES, Row, rows
from tipsim.heat.validation.table import Table, boils_at, kept, line, table

TOP = 120.0
"""Seconds at which a scale of times ends; later and never are drawn at its end."""


@dataclass(frozen=True)
class Scale:
    """Where a row's values lie on its strip, in percent of its width.

    Attributes
    ----------
    low, high, value, published : float
    ends : pair of str
        What stands at the strip's ends.
    open : bool
        Whether the band goes on beyond the strip: boiling, or never.
    """

    low: float
    high: float
    value: float
    published: float
    ends: tuple[str, str]
    open: bool


def scale(found: Outcome) -> Scale:
    """Put a row's band, value and published number on one strip.

    Examples
    --------
    >>> from tipsim.heat.validation.table import kept
    >>> strip = scale(kept()["axial-30g"])
    >>> 0 <= strip.low <= strip.value <= strip.high <= 100, strip.open
    (True, False)
    """
    row = found.row
    celsius = row.measure in ("sleeve", "wound", "wound_mean")
    most = boils_at() if celsius else TOP if row.measure in SECONDS else math.inf
    raw = (found.low, found.high, found.value, row.value)
    inside = [min(v, most) if math.isfinite(v) else min(most, TOP) for v in raw]
    first = 20.0 if celsius else 0.0
    last = max(*inside, first + 1e-9)
    last = most if celsius and last > 0.9 * most else last * 1.05
    at = [100 * (v - first) / (last - first) for v in inside]
    low, high, value, published = (round(min(max(p, 0.0), 100.0), 2) for p in at)
    unit = "°C" if celsius else _unit(row)
    ends = (f"{first:.0f} {unit}".strip(), f"{_short(last)} {unit}".strip())
    return Scale(low, high, value, published, ends, any(v > most for v in raw))


def _unit(row: Row) -> str:
    if row.measure in SECONDS:
        return "s"
    if row.rule == "ratio":
        return "times"
    return "K/s" if row.measure == "chamber_rate" else "K"


def _short(value: float) -> str:
    return f"{value:.0f}" if value >= 10 else f"{value:.2g}"


def link(row: Row) -> str:
    """Return the link that puts a row on the heat page: A is the row's bench.

    B is the row's second bench, or the counter-bent needle in the same set-up.
    """
    if row.over is None:
        shared = {k: v for k, v in row.bench.items() if k != "needle"}
        return "./heat?" + urlencode({"a.needle": row.bench["needle"], **shared})
    both = {k: v for k, v in row.bench.items() if row.over.get(k) == v}
    sides = {f"a.{k}": v for k, v in row.bench.items() if k not in both}
    sides |= {f"b.{k}": v for k, v in row.over.items() if k not in both}
    return "./heat?" + urlencode({**sides, **both})


CHIPS = {
    "fitted": "fitted",
    "hit": "hit",
    "missed, in the band": "within",
    "missed": "missed",
}
"""How a verdict looks."""


def context() -> dict[str, Any]:
    """Return everything that the template fills in."""
    found = kept()
    whole = table(found)
    groups: dict[str, list[dict[str, Any]]] = {}
    for each in found.values():
        groups.setdefault(each.row.study, []).append(_row(each))
    return {
        **shell_variables("studies"),
        "layout": (Path(__file__).parent / "page.css").read_text(encoding="utf-8"),
        "groups": [(study, _tally(found), found) for study, found in groups.items()],
        "orders": [{"order": order, "holds": holds} for order, holds in whole.orders],
        "left_out": rows().left_out,
        "rules": list(RULES.values()),
        "count": _count(whole),
        "fitted": [each.row for each in found.values() if each.row.fitted],
        "practice": {
            "single": line(found["practice-single"]),
            "counter": line(found["practice-counter"]),
        },
    }


def _row(found: Outcome) -> dict[str, Any]:
    shown = line(found)
    return {
        "row": found.row,
        "line": shown,
        "chip": CHIPS[shown.verdict],
        "scale": scale(found),
        "measure": IN_WORDS[found.row.measure],
        "rule": RULES[found.row.rule],
        "boiled": found.boiled,
        "link": link(found.row),
    }


def _tally(found: list[dict[str, Any]]) -> str:
    """Return how often each verdict stands in a study's rows, the better ones first."""
    verdicts = Counter(each["line"].verdict for each in found)
    return "; ".join(f"{verdicts[word]} {word}" for word in CHIPS if verdicts[word])


def _count(whole: Table) -> str:
    return whole.count[0].upper() + whole.count[1:]


def studies_html() -> str:
    """Build the page from the kept table."""
    return templates().get_template("studies/page.html").render(context())


ROUTES = routes("studies", studies_html)
"""What the server must know of this page."""
