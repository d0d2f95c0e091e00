"""Rows of numbers with their bands, and the sources that each row opens."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any

from tipsim.setup.catalogue import lens_grades
from tipsim.setup.sourced import STATUSES, number, numbers
from tipsim.tissue.bands import Band

Row = dict[str, Any]
Cell = dict[str, str]
LENS = "lens.modulus"
"""The one moved number that has no entry of its own in the files of numbers."""
MINUS = "\N{MINUS SIGN}"
TINY = 1e-3


def figure(value: float) -> str:
    r"""Write a number to two figures; what is below a thousandth is only called so.

    >>> [figure(v) for v in (0.0, 4e-14, 0.0234, 1.96, 65.8, 391.7, 12345.0, -0.3)]
    ['0', 'under 0.001', '0.023', '2', '66', '390', '12,000', '−0.3']
    """
    size = abs(value)
    if size == 0:
        return "0"
    if not math.isfinite(size) or size >= 1e6:
        return "over a million"
    if size < TINY:
        return f"under {TINY:g}"
    text = f"{float(f'{size:.2g}'):,.3f}".rstrip("0").rstrip(".")
    return f"{MINUS if value < 0 else ''}{text}"


def plain(text: str) -> Cell:
    """Give a cell without a band."""
    return {"text": text, "band": "", "more": ""}


def banded(band: Band, show: Callable[[float], str] = figure) -> Cell:
    """Give a cell: value, nine tenths of what was tried, and in words all of it."""
    low, usual, high, *inner = map(show, (band.low, band.usual, band.high, *band.inner))
    if band.most is None or low == high:
        return plain(usual)
    most = label_of(band.most)
    return {
        "text": usual,
        "band": f"{inner[0]} to {inner[1]}" if inner[0] != inner[1] else f"about {inner[0]}",
        "more": f"whole range {low} to {high}; matters most: {most[0].lower()}{most[1:]}",
    }


def percent(share: float) -> str:
    """Write a share in per cent, without the sign.

    >>> percent(0.0231)
    '2.3'
    """
    return figure(share * 100)


def thousandths(value: float) -> str:
    """Write a value in thousandths of its unit.

    >>> thousandths(0.0002)
    '0.2'
    """
    return figure(value * 1e3)


def thousands(value: float) -> str:
    """Write a value in thousands of its unit.

    >>> thousands(28597.0)
    '29'
    """
    return figure(value / 1e3)


def celsius(kelvin: float) -> str:
    """Write a temperature in degrees Celsius, without the unit.

    >>> celsius(298.97)
    '25.8'
    """
    return f"{kelvin - 273.15:.1f}"


def row(id: str, label: str, both: Iterable[Cell], why: str, *from_: str) -> Row:
    """Give a row: both cells, what the number is, and ids of the numbers that it rests on."""
    a, b = both
    return {"id": id, "label": label, "a": a, "b": b, "why": why, "from": list(from_)}


def movers(*bands: Band) -> tuple[str, ...]:
    """Give the numbers that move any of some bands, in their order."""
    found = {id: None for b in bands for id, (low, high) in b.alone.items() if low < high}
    return tuple(found)


def label_of(id: str) -> str:
    """Give the words of a moved number."""
    return "Stiffness of the lens" if id == LENS else number(id).label


def sources(*prefixes: str) -> dict[str, dict[str, str]]:
    """Give what a row can open: label, value, status and source of each number, by id.

    >>> sources("iris.")["iris.friction"]["status"], sources()[LENS]["status"]
    ('assumed', 'assumed')
    """
    grades = list(lens_grades().values())
    spans = ", ".join(f"{g.title.lower()} {g.low / 1e3:g} to {g.high / 1e3:g} kPa" for g in grades)
    out = {
        n.id: _source(n.label, n.text, n.status, n.source)
        for n in numbers().values()
        if n.id.startswith(prefixes)
    }
    out[LENS] = _source(label_of(LENS), spans, grades[0].status, grades[0].source)
    return out


def _source(label: str, text: str, status: str, source: str) -> dict[str, str]:
    return {
        "label": label,
        "text": text,
        "status": status,
        "meaning": STATUSES[status],
        "source": source,
    }
