"""What follows from numbers that are only known within a range: a band instead of one line.

Each number is moved over its range alone, then all of them at once: a Latin hypercube and, for
each result, the two corners that its own single moves point to. The functions that are tried take
arrays, so a band costs about as much as one value.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipsim.setup.described import about, described
from tipsim.setup.sourced import number

Floats = NDArray[np.float64]
Values = Mapping[str, Floats]
SAMPLES = 64
INNER = (0.05, 0.95)
"""Shares of the hypercube's results below and up to which the inner band goes; a convention."""
ROUNDING = 1e-9
"""A change smaller than this share of a result is rounding."""
DECADE = 10.0
"""A range this many times its low end or wider is gone through by factors; a convention."""


@described()
class Range:
    """A number that is only known within a range, all in SI."""

    id: str = about("Name, as in `assets/numbers`.")
    low: float
    usual: float
    high: float
    levels: int = about(
        "How many values are tried alone, ends included; 2 where the result only rises or falls.",
        default=2,
    )

    def at(self, share: Floats) -> Floats:
        """Return values at shares of the range: 0 its low end, 1 its high end."""
        if self.low > 0 and self.high >= DECADE * self.low:
            inside = np.exp(np.log(self.low) + share * np.log(self.high / self.low))
            # Powers do not give the ends back to the last bit.
            return np.asarray(np.where(share == 1, self.high, inside))
        return np.asarray(self.low + share * (self.high - self.low))


@described()
class Band:
    """A result with what the assumed numbers leave open."""

    low: float = about("Lowest and highest found, and the one with all numbers as set.")
    usual: float
    high: float
    inner: tuple[float, float] = about(
        "Between these lie nine tenths of the hypercube's results and the one with all numbers as "
        "set: every number anywhere in its range, none more likely than another, which is an "
        "assumption of its own."
    )
    alone: Mapping[str, tuple[float, float]] = about(
        "By id: lowest and highest when only this number moves."
    )

    @property
    def most(self) -> str | None:
        """The number that matters most when moved alone; None when none changes the result."""
        wide = {id: high - low for id, (low, high) in self.alone.items()}
        found = max(wide, key=wide.__getitem__, default=None)
        return found if found is not None and wide[found] > 0 else None

    def over(self, reference: float) -> "Band":
        """Return the same band in units of a reference."""
        return Band(
            self.low / reference,
            self.usual / reference,
            self.high / reference,
            (self.inner[0] / reference, self.inner[1] / reference),
            {id: (low / reference, high / reference) for id, (low, high) in self.alone.items()},
        )

    def below(self, least: float) -> tuple[str, ...]:
        """Return the numbers that, moved alone, lower the result to below a limit."""
        return tuple(id for id, (low, _) in self.alone.items() if low < min(least, self.usual))

    def above(self, least: float) -> tuple[str, ...]:
        """Return the numbers that, moved alone, raise the result to a limit or beyond."""
        return tuple(
            id
            for id, (_, high) in self.alone.items()
            if high >= max(least, self.usual) and high > self.usual
        )


def ranges(group: str, part: Any) -> tuple[Range, ...]:
    """Return the ranges of a part's numbers: as set on the bench, within what the data file says.

    A number that the file gives without a range, such as a reference, has none here.

    Examples
    --------
    >>> from tipsim.setup.tissue import IrisNumbers
    >>> [r.high for r in ranges("iris", IrisNumbers()) if r.id == "iris.friction"]
    [0.5]
    """
    every = (_range(f"{group}.{f.name}", getattr(part, f.name)) for f in fields(part))
    return tuple(r for r in every if r.low < r.high)


def _range(id: str, usual: float) -> Range:
    n = number(id)
    return Range(id, n.unit.to_si(n.low), usual, n.unit.to_si(n.high))


def bands(
    result: Callable[[Values], Values], over: Sequence[Range], samples: int = SAMPLES
) -> dict[str, Band]:
    """Return the band of each of a function's results.

    Parameters
    ----------
    result : callable
        Takes the numbers by id, each an array (k,), and gives results by name, each (k,).
    over : sequence of Range
        The numbers that move.
    samples : int
        Points of the Latin hypercube; the seed is fixed.

    Examples
    --------
    >>> found = bands(lambda v: {"sum": v["a"] + 10 * v["b"]},
    ...               [Range("a", 0, 1, 2), Range("b", 1, 2, 3)])["sum"]
    >>> found.low, found.usual, found.high, found.most
    (10.0, 21.0, 32.0, 'b')
    """
    points, owner = _design(over, samples)
    values = {name: _steady(v) for name, v in result(_by_id(over, points)).items()}
    corners = np.concatenate([_corners(over, points, owner, v) for v in values.values()])
    at_corners = result(_by_id(over, corners))
    out = {}
    for name, v in values.items():
        everything = np.concatenate([v, at_corners[name]])
        alone = {}
        for i, r in enumerate(over):
            mine = np.append(v[owner == i], v[0])
            alone[r.id] = (float(mine.min()), float(mine.max()))
        low, high = np.quantile(v[len(v) - samples :], INNER)
        out[name] = Band(
            float(everything.min()),
            float(v[0]),
            float(everything.max()),
            # As set, a number may stand at the end of its range: then so does the result.
            (min(float(low), float(v[0])), max(float(high), float(v[0]))),
            alone,
        )
    return out


def _steady(values: Floats) -> Floats:
    """Return values in which rounding does not look like a change from the first."""
    same = np.abs(values - values[0]) <= ROUNDING * abs(values[0])
    return np.asarray(np.where(same, values[0], values))


def _by_id(over: Sequence[Range], points: Floats) -> dict[str, Floats]:
    return {r.id: points[:, i] for i, r in enumerate(over)}


def _design(over: Sequence[Range], samples: int) -> tuple[Floats, NDArray[np.intp]]:
    """Return the points to try (k, n), and whose single move each is: its index, or -1."""
    usual = np.array([r.usual for r in over])
    rows, owner = [usual[None]], [-1]
    for i, r in enumerate(over):
        alone = np.repeat(usual[None], r.levels, axis=0)
        alone[:, i] = r.at(np.linspace(0, 1, r.levels))
        rows.append(alone)
        owner += [i] * r.levels
    cube = _hypercube(len(over), samples)
    rows.append(np.stack([r.at(cube[:, i]) for i, r in enumerate(over)], axis=1))
    return np.concatenate(rows), np.array(owner + [-1] * samples)


@cache
def _hypercube(dimensions: int, samples: int) -> Floats:
    # Only now: this package takes a third of a second to load.
    from scipy.stats import qmc

    cube = qmc.LatinHypercube(d=dimensions, rng=np.random.default_rng(1))
    return np.asarray(cube.random(samples), dtype=np.float64)


def _corners(
    over: Sequence[Range], points: Floats, owner: NDArray[np.intp], values: Floats
) -> Floats:
    """Return the two points where every number stands at its own worst and best value, (2, n)."""
    out = np.repeat(points[:1], 2, axis=0)
    for i in range(len(over)):
        mine = np.flatnonzero(owner == i)
        out[0, i] = points[mine[values[mine].argmin()], i]
        out[1, i] = points[mine[values[mine].argmax()], i]
    return out
