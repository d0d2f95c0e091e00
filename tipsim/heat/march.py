"""Marching the heat network through time: TR-BDF2, implicit, second order, step by error.

R. E. Bank et al., IEEE Trans CAD 4 (1985) 436: a trapezoidal part step, then a backward
difference over the whole; both with the same matrix. M. E. Hosea and L. F. Shampine, Appl Numer
Math 20 (1996) 21 (both from memory). Steps are powers of two of the smallest, so that each
matrix is factorised once and kept.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_array
from scipy.sparse.linalg import SuperLU, splu

from tipsim.heat.build import Network
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described

GAMMA = 2 - np.sqrt(2)
SMALLEST = 1e-4
"""Smallest step [s]."""
Power = Callable[[Floats], Floats]


@dataclass
class Marcher:
    """One network with its factorised matrices.

    Attributes
    ----------
    network : Network
    tolerance : float
        Error allowed in a step [K].
    boundary : callable, optional
        Power from inlets and surroundings (k,) [W] over time [s], where they change with it; the
        network's own when absent.
    """

    network: Network
    tolerance: float = 0.02
    boundary: Callable[[float], Floats] | None = None
    factors: dict[int, SuperLU] = field(default_factory=dict)

    def step_size(self, level: int) -> float:
        """Return the step of a level [s]."""
        return float(SMALLEST * 2**level)

    @cached_property
    def _columns(self) -> tuple[csc_array, NDArray[np.intp]]:
        """The network's matrix by columns, and where its diagonal stands in the data."""
        found = csc_array(self.network.matrix)
        found.sum_duplicates()
        column = np.repeat(np.arange(found.shape[1]), np.diff(found.indptr))
        return found, np.flatnonzero(found.indices == column)

    def factor(self, step: float) -> SuperLU:
        """Return capacity + step * matrix, factorised.

        Cells are numbered slice by slice, so that it is narrow as it is: to look for an order that
        fills in less takes longer than it saves. Rows are swapped only where the diagonal is less
        than a hundredth of its column.
        """
        columns, diagonal = self._columns
        data = step * columns.data
        data[diagonal] += self.network.capacity
        whole = csc_array((data, columns.indices, columns.indptr), shape=columns.shape)
        symmetric = {"SymmetricMode": True, "DiagPivotThresh": 0.01}
        return splu(whole, permc_spec="NATURAL", options=symmetric)

    def _factor(self, level: int) -> SuperLU:
        if level not in self.factors:
            self.factors[level] = self.factor(GAMMA / 2 * self.step_size(level))
        return self.factors[level]

    def outside(self, now: float) -> Floats:
        """Return the power from inlets and surroundings at a time (k,) [W]."""
        return self.network.boundary if self.boundary is None else self.boundary(now)

    def rate(self, t: Floats, gain: Floats) -> Floats:
        """Return the power that each cell keeps of what it gains [W]."""
        return np.asarray(gain - self.network.matrix @ t)

    def step(
        self, t: Floats, level: int, power: Power, now: float = 0.0
    ) -> tuple[Floats, float, float]:
        """Take one step from temperatures `t` at the time `now`.

        Returns
        -------
        tuple
            New temperatures [K], error estimate [K], and the energy that sources and
            boundaries put in, less what left [J].
        """
        h, lu = self.step_size(level), self._factor(level)
        c, d = self.network.capacity, GAMMA / 2 * h
        b0, b1, b2 = (self.outside(now + part * h) for part in (0.0, GAMMA, 1.0))
        f0 = self.rate(t, b0 + power(t))
        mid = t + GAMMA * h * f0 / c
        for _ in range(2):
            mid = lu.solve(c * t + d * (f0 + b1 + power(mid)))
        f1 = self.rate(mid, b1 + power(mid))
        weight = 1 / (GAMMA * (2 - GAMMA))
        old = (1 - GAMMA) ** 2 / (GAMMA * (2 - GAMMA))
        new = mid + (1 - GAMMA) * h * f1 / c
        for _ in range(2):
            new = lu.solve(c * (weight * mid - old * t) + d * (b2 + power(new)))
        f2 = self.rate(new, b2 + power(new))
        k = (-3 * GAMMA**2 + 4 * GAMMA - 2) / (12 * (2 - GAMMA))
        rough = f0 / GAMMA - f1 / (GAMMA * (1 - GAMMA)) + f2 / (1 - GAMMA)
        error = lu.solve(2 * k * h * rough)
        gained = h * _mean(f0, f1, f2)
        return new, float(np.abs(error).max()), float(np.sum(gained))


def _mean(f0: Floats, f1: Floats, f2: Floats) -> Floats:
    """Return the mean gain over a step that TR-BDF2's own update implies."""
    w = np.sqrt(2) / 4
    return np.asarray(w * f0 + w * f1 + GAMMA / 2 * f2)


@described(eq=False)
class March:
    """Temperatures over time."""

    time: Floats = about("Times [s], shape (q,).")
    temperature: Floats = about("Temperatures of all cells [K], shape (q, k).")
    imbalance: float = about(
        "Largest difference between energy stored and energy put in less what left, over what "
        "was put in or stored so far."
    )
    boiled: float | None = about("When the first fluid cell reached boiling [s].")


def march(
    marcher: Marcher,
    start: Floats,
    begin: float,
    end: float,
    power: Power,
    watch: Callable[[Floats], bool] = lambda _: False,
    first_level: int = 3,
) -> March:
    """March from one time to another, with steps chosen by error.

    Parameters
    ----------
    start : (k,) array
        Temperatures at the beginning [K].
    begin, end : float
        Times [s].
    power : callable
        Sources [W] from temperatures [K].
    watch : callable
        Ends the march where it says True (boiling).
    first_level : int
        Level of the first step.
    """
    t, now, level = start, begin, first_level
    times, states = [begin], [start]
    stored = put_in = came = 0.0
    scale, imbalance = 1e-12, 0.0
    capacity = marcher.network.capacity
    while now < end - 1e-12:
        while level > 0 and now + marcher.step_size(level) > end + 1e-12:
            level -= 1
        h = marcher.step_size(level)
        if now + h > end + 1e-12 and level == 0:
            h = end - now
            new, error, gained = _last(marcher, t, h, power, now)
        else:
            new, error, gained = marcher.step(t, level, power, now)
        if error > marcher.tolerance and level > 0:
            level -= 1
            continue
        stored += float(capacity @ (new - t))
        put_in += gained
        came += h * float(np.abs(power(new)).sum())
        scale = max(scale, came, float(capacity @ np.abs(new - start)))
        imbalance = max(imbalance, abs(stored - put_in) / scale)
        t, now = new, now + h
        times.append(now)
        states.append(t)
        if watch(t):
            return March(np.array(times), np.array(states), imbalance, now)
        if error < marcher.tolerance / 8:
            level += 1
    return March(np.array(times), np.array(states), imbalance, None)


def _last(
    marcher: Marcher, t: Floats, h: float, power: Power, now: float
) -> tuple[Floats, float, float]:
    """Take a closing step shorter than the smallest: backward Euler."""
    c, b = marcher.network.capacity, marcher.outside(now + h)
    new = marcher.factor(h).solve(c * t + h * (b + power(t)))
    gained = h * (power(t) + b - marcher.network.matrix @ new)
    return new, 0.0, float(np.sum(gained))
