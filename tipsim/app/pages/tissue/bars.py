"""Bars with ranges, one below the other on one axis; `pieces.html` draws them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tipsim.app.pages.tissue.rows import movers, origin, shown
from tipsim.quantities.declare import Quantity, in_unit
from tipsim.setup.sourced import Sourced
from tipsim.tissue.bands import Band

LEAST_TOP, DECADES = 3, 6
"""A logarithmic axis ends at 10 to this power or higher and goes over so many decades; lower values
lie at its edge."""
STEPS = (1, 2, 5, 10)


@dataclass(frozen=True)
class Bar:
    """One bar: places in per cent of the axis."""

    key: str
    text: str
    band: str
    low: float
    inner: tuple[float, float]
    usual: float
    high: float
    beyond: bool


@dataclass(frozen=True)
class Bars:
    """Bars on one axis.

    Attributes
    ----------
    id, label, unit : str
    bars : list of Bar
    ticks : list of (float, str)
        Places in per cent, and numbers there.
    origins : list of Sourced
        What the ranges rest on.
    """

    id: str
    label: str
    unit: str
    bars: list[Bar]
    ticks: list[tuple[float, str]]
    origins: list[Sourced]


def bars(
    q: Quantity,
    bands: dict[str, Band],
    unit: str,
    *,
    low: float | None = 0.0,
    decades: int = 0,
    after: Sequence[str] = (),
) -> Bars:
    """Return bars of one output.

    Parameters
    ----------
    q : Quantity
    bands : dict
        By the name of each bar.
    unit : str
        Words beside the label.
    low : float or None
        Where a linear axis begins; None: a little below the lowest value.
    decades : int
        Of a logarithmic axis; 0: linear.
    after : sequence of str
        Words after each value.
    """
    ends = [(in_unit(b.low, q.unit), in_unit(b.high, q.unit)) for b in bands.values()]
    least, top = min(e[0] for e in ends), max(e[1] for e in ends) or 1.0
    if decades:
        end = 10 ** max(LEAST_TOP if decades == DECADES else -99, math.ceil(math.log10(top)))
        start = end / 10**decades
    elif low is None:
        start = 5 * math.floor(least / 5)
        end = max(1.05 * top, start + 10)
    else:
        start, end = low, 1.05 * top

    def at(value: float) -> float:
        if decades:
            share = math.log(max(value, start) / start) / math.log(end / start)
        else:
            share = (value - start) / (end - start)
        return round(100 * min(1.0, max(0.0, share)), 2)

    def bar(key: str, b: Band, words: str) -> Bar:
        low, inner, usual, inner_high, high = (
            at(in_unit(v, q.unit)) for v in (b.low, b.inner[0], b.usual, b.inner[1], b.high)
        )
        span = f"{shown(q, b.low)} to {shown(q, b.high)}"
        beyond = bool(decades) and in_unit(b.low, q.unit) < start
        text = f"{shown(q, b.usual)}{words}"
        return Bar(key, text, span, low, (inner, inner_high), usual, high, beyond)

    words = after or [""] * len(bands)
    return Bars(
        f"bars-{q.name.replace('.', '-')}",
        q.label,
        unit,
        [bar(k, b, w) for (k, b), w in zip(bands.items(), words, strict=True)],
        [(at(v), f"{v:g}") for v in ticks(start, end, bool(decades))],
        [origin(id) for id in movers(*bands.values())],
    )


def ticks(low: float, high: float, log: bool) -> list[float]:
    """Return round values of an axis.

    >>> ticks(0.0, 130.0, False), ticks(0.01, 10.0, True)
    ([0.0, 50.0, 100.0], [0.01, 0.1, 1.0, 10.0])
    """
    if log:
        first, last = (round(math.log10(v)) for v in (low, high))
        return [10.0**k for k in range(first, last + 1)]
    raw = (high - low) / 5
    size = 10.0 ** math.floor(math.log10(raw))
    step = next(s * size for s in STEPS if s * size >= 0.999 * raw)
    first = math.ceil(low / step - 1e-9)
    return [step * k for k in range(first, math.floor(high / step + 1e-9) + 1)]
