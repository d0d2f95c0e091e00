"""Published against computed, as a table: for the command, the documentation and the page."""

import json
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any

import numpy as np

from tipsim.heat.validation.compute import Outcome, order_holds, outcome
from tipsim.heat.validation.measure import SECONDS
from tipsim.heat.validation.rows import Order, Row, rows
from tipsim.paths import asset
from tipsim.setup.described import about, described
from tipsim.setup.sourced import number

KEPT = "bench/computed.json"
"""Where the last computed table is kept among the assets; `tests/regression/renew.py` writes it."""
WORDS = {"boils": "boiling", "never": "never"}


@described()
class Line:
    """One row as it is shown."""

    row: Row
    computed: str = about("In words, with units.")
    band: str
    hit: bool
    band_holds: bool

    @property
    def verdict(self) -> str:
        """Hit or missed, and what is fitted."""
        if self.row.fitted:
            return "fitted"
        if self.hit:
            return "hit"
        return "missed, in the band" if self.band_holds else "missed"


@described()
class Table:
    """All rows and orders."""

    lines: tuple[Line, ...]
    orders: tuple[tuple[Order, bool], ...] = about("And whether each comes out right.")

    @property
    def count(self) -> str:
        """How many rows are hit, in words; what was fitted does not count."""
        predicted = [line for line in self.lines if not line.row.fitted]
        hits = sum(line.hit for line in predicted)
        held = sum(line.band_holds for line in predicted)
        right = sum(holds for _, holds in self.orders)
        return (
            f"{hits} of {len(predicted)} predicted rows hit, {held} within the band; "
            f"{right} of {len(self.orders)} orders right; {len(self.lines) - len(predicted)} "
            "row fitted"
        )


def boils_at() -> float:
    """Return from where on a temperature says that fluid boils [°C].

    A sleeve's outside stays a little cooler than fluid that boils within.
    """
    return number("fluid.boiling").low


def shown(value: float, row: Row) -> str:
    """Write a computed value with its unit.

    Temperatures at which the fluid boils are not drawn: they are rough.
    """
    if row.measure in SECONDS:
        return f"{value:.0f} s" if np.isfinite(value) else "never"
    if row.rule == "ratio":
        return f"{value:.1f} times"
    if row.measure == "chamber_rate":
        return f"{value:.2f} K/s"
    if row.measure in ("sleeve", "wound", "wound_mean"):
        return f"{value:.0f} °C" if value < boils_at() else "boils"
    return f"{value:.1f} K"


def line(found: Outcome) -> Line:
    """Put an outcome in words."""
    row = found.row
    value, band = shown(found.value, row), _between(found.low, found.high, row)
    return Line(row, value, band, found.hit, found.band_holds)


def _between(low: float, high: float, row: Row) -> str:
    one, other = shown(low, row), shown(high, row)
    if one == other:
        return one
    if other in WORDS:
        return f"{one} to {WORDS[other]}"
    return f"{one.partition(' ')[0]} to {other}"


def computed() -> Iterator[Outcome]:
    """Compute the rows one after the other; about half a minute in all."""
    for row in rows().rows:
        yield outcome(row)


def table(found: Mapping[str, Outcome]) -> Table:
    """Lay computed rows side by side."""
    return Table(
        tuple(line(each) for each in found.values()),
        tuple((order, order_holds(order, found)) for order in rows().orders),
    )


def to_plain(found: Mapping[str, Outcome]) -> dict[str, Any]:
    """Return the outcomes as plain data."""

    def number(value: float | None) -> float | None:
        finite = value is not None and np.isfinite(value)
        return float(f"{value:.4g}") if finite else None

    whole = table(found)
    return {
        "count": whole.count,
        "rows": {
            id: {
                "value": number(each.value),
                "low": number(each.low),
                "high": number(each.high),
                "peak_c": number(each.peak),
                "rubbing_w": number(each.rubbing),
                "metal_w": number(each.metal),
                "boiled_after_s": number(each.boiled),
                "hit": each.hit,
                "in_band": each.band_holds,
            }
            for id, each in found.items()
        },
        "orders": {order.id: holds for order, holds in whole.orders},
    }


@cache
def kept() -> dict[str, Outcome]:
    """Read the table that was computed last; a test compares it with the model of today."""
    data = json.loads(asset(KEPT).read_text(encoding="utf-8"))["rows"]
    out = {}
    for row in rows().rows:
        each = data[row.id]
        never = float("inf") if row.measure in SECONDS else float("nan")
        value, low, high = (
            never if each[k] is None else float(each[k]) for k in ("value", "low", "high")
        )
        out[row.id] = Outcome(
            row,
            value,
            low,
            high,
            float(each["peak_c"]),
            float(each["rubbing_w"]),
            float(each["metal_w"]),
            each["boiled_after_s"],
            bool(each["hit"]),
        )
    return out


def rest_text(whole: Table) -> Iterator[str]:
    """Write what comes behind the rows for a terminal."""
    yield ""
    yield "What must be hotter than what"
    for order, holds in whole.orders:
        yield f"  {'right' if holds else 'WRONG'}  {order.text} ({order.study})"
        if not holds:
            yield f"         {order.found}"
    yield ""
    yield "Not computed"
    for each_out in rows().left_out:
        yield f"  {each_out.text}: {each_out.why}"
    yield ""
    yield whole.count


def row_text(each: Line) -> Iterator[str]:
    """Write one row for a terminal."""
    yield f"{each.row.setup} ({each.row.study})"
    yield f"  published {each.row.published}; computed {each.computed}; band {each.band}"
    yield f"  {each.verdict}. Assumed: {each.row.assumed}"
    if not each.hit and each.row.found:
        yield f"  Tried: {each.row.found}"


def markdown(whole: Table) -> str:
    """Write the table for the documentation."""
    out = [
        "| set-up | published | computed | band | verdict |",
        "|---|---|---|---|---|",
    ]
    out += [
        f"| {e.row.setup} ({e.row.study}) | {e.row.published} | {e.computed} | {e.band} "
        f"| {e.verdict} |"
        for e in whole.lines
    ]
    out += ["", "Orders:", ""]
    out += [
        f"- {'right' if holds else '**wrong**'}: {order.text}"
        + ("" if holds else f". {order.found}")
        for order, holds in whole.orders
    ]
    return "\n".join([*out, "", f"{whole.count}."])
