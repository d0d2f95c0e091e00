"""Rows of numbers with their ranges, each with the numbers that it rests on."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from tipsim.app.framework.belief import withheld
from tipsim.quantities import figures, quantity
from tipsim.quantities.declare import Quantity, in_unit
from tipsim.setup.catalogue import lens_grades
from tipsim.setup.sourced import Sourced, number
from tipsim.setup.units import KPA
from tipsim.tissue.bands import Band

LENS = "lens.modulus"
"""The one moved number that has no entry of its own in the files of numbers."""
TINY, HUGE = 1e-3, 1e6
"""What is less, or more, is only called so."""


@dataclass(frozen=True)
class Cell:
    """Value, range and, in words, what the range is made of."""

    text: str
    band: str = ""
    more: str = ""


@dataclass(frozen=True)
class Row:
    """One number of both needles.

    Attributes
    ----------
    id, label, why : str
    cells : tuple of Cell
        Of A and B.
    origins : list of Sourced
        What it rests on.
    """

    id: str
    label: str
    why: str
    cells: tuple[Cell, ...]
    origins: list[Sourced]


def figure(value: float, digits: int = 2, decimals: int | None = None) -> str:
    """Write a number to two figures; what is below a thousandth is only called so.

    >>> [figure(v) for v in (0.0, 4e-14, 0.0234, 65.8, 391.7, 2e9)]
    ['0', 'under 0.001', '0.023', '66', '390', 'over a million']
    """
    size = abs(value)
    if not math.isfinite(size) or size >= HUGE:
        return "over a million"
    return f"under {TINY:g}" if 0 < size < TINY else figures(value, digits, decimals)


def shown(q: Quantity, value: Any) -> str:
    """Write a value of an output, without its unit."""
    if isinstance(value, float):
        return figure(in_unit(value, q.unit), min(q.digits, 2), q.decimals)
    return q.number(value)


def cell(q: Quantity, value: Any) -> Cell:
    """Return a cell; of a band: value, nine tenths of what was tried, and in words all of it."""
    if not isinstance(value, Band):
        return Cell(shown(q, value))
    low, usual, high, *inner = (
        shown(q, v) for v in (value.low, value.usual, value.high, *value.inner)
    )
    if value.most is None or low == high:
        return Cell(usual)
    most = origin(value.most).label
    return Cell(
        usual,
        " to ".join(inner) if inner[0] != inner[1] else f"about {inner[0]}",
        f"whole range {low} to {high}; matters most: {most[0].lower()}{most[1:]}",
    )


def row(name: str | Quantity, values: Iterable[Any], *origins: str) -> Row:
    """Return the row of an output.

    Parameters
    ----------
    name : str or Quantity
        Of the output: label, unit and meaning are its own.
    values : iterable
        Of A and B.
    *origins : str
        Ids of numbers that it rests on, besides those that its range moves.
    """
    q = quantity(name) if isinstance(name, str) else name
    both = tuple(values)
    every = dict.fromkeys((*origins, *movers(*(v for v in both if isinstance(v, Band)))))
    cells = tuple(cell(q, v) for v in both)
    return Row(q.name.replace(".", "-"), q.heading, q.meaning, cells, [*map(origin, every)])


def rows(results: Sequence[Any], names: dict[str, tuple[str, ...]]) -> list[Row]:
    """Return the rows of outputs of both results: what each rests on, by name.

    What says nothing, since the motion is outside the model's range, is left out.
    """
    return [
        row(n, [None if withheld(r, n) else quantity(n).get(r) for r in results], *origins)
        for n, origins in names.items()
    ]


def movers(*bands: Band) -> list[str]:
    """Return the numbers that move any of some bands, in their order."""
    return list({id: None for b in bands for id, (low, high) in b.alone.items() if low < high})


@cache
def origin(id: str) -> Sourced:
    """Return a number with its source, status and label.

    >>> origin("iris.friction").status, origin(LENS).text
    ('assumed', '30 kPa (1 to 1000)')
    """
    if id != LENS:
        return number(id)
    grades = list(lens_grades().values())
    spans = ", ".join(f"{g.title.lower()} {g.low / 1e3:g} to {g.high / 1e3:g} kPa" for g in grades)
    kpa = [g.modulus / 1e3 for g in grades]
    words = f"{spans}. {grades[0].source}"
    usual = lens_grades()["medium"].modulus / 1e3
    label = "Stiffness of the lens"
    return Sourced(LENS, label, usual, KPA, min(kpa), max(kpa), grades[0].status, words)
