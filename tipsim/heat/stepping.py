"""One step of the heat network through time: TR-BDF2, implicit, second order.

R. E. Bank et al., IEEE Trans CAD 4 (1985) 436: a trapezoidal part step, then a backward
difference over the whole; both with the same matrix. M. E. Hosea and L. F. Shampine, Appl Numer
Math 20 (1996) 21 (both from memory). Steps are powers of two of the smallest, so that each
matrix is factorised once and kept.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import scipy
from numpy.typing import NDArray

from tipsim.heat.boiling import Boiling
from tipsim.heat.build import Network
from tipsim.motion.sections import Floats

GAMMA = 2 - np.sqrt(2)
SMALLEST = 1e-4
"""Step of level 0 [s]."""
SETTLED = 3e-7
"""Sources that depend on temperature are repeated until they change by less than this share."""
ROUNDS = 12
KEPT = 4
"""Factorised matrices of boiling moments that are kept."""
Power = Callable[[Floats], Floats]
Cells = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Step:
    """What one step does.

    Attributes
    ----------
    new : (k,) array
        Temperatures after it [K].
    error : float
        Estimate of its error [K].
    gained : float
        Energy that sources and boundaries put in, less what left [J].
    gain : (k,) array
        Power of the sources at its end [W].
    rate : tuple of arrays
        As `Marcher.rate` gives it, at its end.
    steam : (w,) array
        Energy that evaporated each fluid cell's fluid [J]; empty where nothing can boil.
    """

    new: Floats
    error: float
    gained: float
    gain: Floats
    rate: tuple[Floats, Floats]
    steam: Floats


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
    boiling : Boiling, optional
        What can boil; nothing when absent.
    lean : (k,) array, optional
        About how much less power sources give per kelvin [W/K]; the nearer, the fewer rounds.
    """

    network: Network
    tolerance: float = 0.02
    boundary: Callable[[float], Floats] | None = None
    boiling: Boiling | None = None
    lean: Floats | float = 0.0
    factors: dict[tuple[float, bytes], scipy.sparse.linalg.SuperLU] = field(default_factory=dict)

    def step_size(self, level: int) -> float:
        """Return the step of a level [s]."""
        return float(SMALLEST * 2**level)

    @cached_property
    def _columns(self) -> tuple[scipy.sparse.csc_array, NDArray[np.intp]]:
        """The network's matrix by columns, and where its diagonal stands in the data."""
        found = scipy.sparse.csc_array(self.network.matrix)
        found.sum_duplicates()
        column = np.repeat(np.arange(found.shape[1]), np.diff(found.indptr))
        return found, np.flatnonzero(found.indices == column)

    def factor(self, diagonal: Floats, step: float = 1.0) -> scipy.sparse.linalg.SuperLU:
        """Return diagonal + step * matrix, factorised.

        Cells are numbered slice by slice, so that it is narrow as it is: to look for an order that
        fills in less takes longer than it saves. Rows are swapped only where the diagonal is less
        than a hundredth of its column.
        """
        columns, on_diagonal = self._columns
        data = step * columns.data
        data[on_diagonal] += diagonal
        whole = scipy.sparse.csc_array((data, columns.indices, columns.indptr), shape=columns.shape)
        symmetric = {"SymmetricMode": True, "DiagPivotThresh": 0.01}
        return scipy.sparse.linalg.splu(whole, permc_spec="NATURAL", options=symmetric)

    def _factor(self, part: float, boils: Cells) -> scipy.sparse.linalg.SuperLU:
        key = (part, boils.tobytes() if boils.any() else b"")
        if key not in self.factors:
            found = self.factor(
                self.network.capacity + part * (self._grip(boils) + self.lean), part
            )
            # What boils changes all the time, and with it the matrix: only the last ones are kept.
            passing = [k for k in self.factors if k[1]] if key[1] else []
            if len(passing) >= KEPT:
                del self.factors[passing[0]]
            self.factors[key] = found
        return self.factors[key]

    def _grip(self, boils: Cells) -> Floats:
        """Return the power that evaporates per kelvin (k,) [W/K]."""
        out = np.zeros_like(self.network.capacity)
        if self.boiling is not None and boils.any():
            out[self.boiling.cells[boils]] = self.boiling.grip[boils]
        return out

    def outside(self, now: float) -> Floats:
        """Return the power from inlets and surroundings at a time (k,) [W]."""
        return self.network.boundary if self.boundary is None else self.boundary(now)

    def _boils(self, t: Floats, dry: Floats | None) -> Cells:
        if self.boiling is None:
            return _NONE
        return self.boiling.active(t, np.zeros_like(t) if dry is None else dry)

    def rate(self, t: Floats, gain: Floats, dry: Floats | None = None) -> tuple[Floats, Floats]:
        """Return what each cell keeps of the power it gains, and what boiling takes from fluid [W].

        At a step's start, where a cell that boils keeps nothing: all beyond goes into steam.
        """
        out = np.asarray(gain - self.network.matrix @ t)
        if self.boiling is None:
            return out, _NOTHING
        boils = self._boils(t, dry)
        taken = np.where(boils, np.maximum(out[self.boiling.cells], 0.0), 0.0)
        out[self.boiling.cells] -= taken
        return out, taken

    def _kept(self, t: Floats, gain: Floats, boils: Cells) -> tuple[Floats, Floats]:
        """Return the same at the end of a stage, as it was solved."""
        out = np.asarray(gain - self.network.matrix @ t)
        if self.boiling is None:
            return out, _NOTHING
        taken = self.boiling.power(t, boils)
        out[self.boiling.cells] -= taken
        return out, taken

    def _stage(
        self,
        guess: Floats,
        known: Floats,
        part: float,
        outside: Floats,
        power: Power,
        dry: Floats | None,
    ) -> tuple[Floats, Floats, Cells]:
        """Solve C x + part (G x + E(x) - P(x) - outside) = known; return x, P(x), what boils."""
        boils, gain = self._boils(guess, dry), power(guess)
        x = guess
        for _ in range(ROUNDS):
            right = known + part * (outside + gain + self.lean * x)
            if boils.any():
                assert self.boiling is not None
                right += part * self.boiling.at * self._grip(boils)
            x = self._factor(part, boils).solve(right)
            again, now = power(x), self._boils(x, dry)
            change = float(np.abs(again - gain).sum())
            settled = change <= SETTLED * float(np.abs(again).sum())
            same = bool((now == boils).all())
            gain, boils = again, now
            if settled and same:
                break
        return x, gain, boils

    def take(
        self,
        t: Floats,
        step: float,
        power: Power,
        now: float = 0.0,
        rate: tuple[Floats, Floats] | None = None,
        trend: Floats | float = 0.0,
        dry: Floats | None = None,
    ) -> Step:
        """Take one step.

        Parameters
        ----------
        t : (k,) array
            Temperatures at the time `now` [K].
        step : float
            [s].
        rate : tuple of arrays, optional
            From `rate` at `t`, where it is at hand.
        trend : (k,) array, optional
            How temperatures have been rising [K/s]: for a first guess.
        dry : (k,) array, optional
            Share of each cell's fluid that has boiled away.
        """
        h, c, d = step, self.network.capacity, GAMMA / 2 * step
        b0, b1, b2 = (self.outside(now + part * h) for part in (0.0, GAMMA, 1.0))
        f0, e0 = self.rate(t, b0 + power(t), dry) if rate is None else rate
        mid, gain, boils = self._stage(t + GAMMA * h * trend, c * t + d * f0, d, b1, power, dry)
        f1, e1 = self._kept(mid, b1 + gain, boils)
        weight = 1 / (GAMMA * (2 - GAMMA))
        old = (1 - GAMMA) ** 2 / (GAMMA * (2 - GAMMA))
        guess = mid + (1 - GAMMA) / GAMMA * (mid - t)
        new, gain, boils = self._stage(guess, c * (weight * mid - old * t), d, b2, power, dry)
        f2, e2 = self._kept(new, b2 + gain, boils)
        k = (-3 * GAMMA**2 + 4 * GAMMA - 2) / (12 * (2 - GAMMA))
        rough = f0 / GAMMA - f1 / (GAMMA * (1 - GAMMA)) + f2 / (1 - GAMMA)
        error = self._factor(d, boils).solve(2 * k * h * rough)
        gained = float(np.sum(h * _mean(f0, f1, f2)))
        steam = h * _mean(e0, e1, e2)
        return Step(new, float(np.abs(error).max()), gained, gain, (f2, e2), steam)

    def step(self, t: Floats, level: int, power: Power, now: float = 0.0) -> Step:
        """Take one step of a level from temperatures `t` at the time `now`."""
        return self.take(t, self.step_size(level), power, now)


_NONE = np.zeros(0, dtype=bool)
_NOTHING = np.zeros(0)


def _mean(f0: Floats, f1: Floats, f2: Floats) -> Floats:
    """Return the mean gain over a step that TR-BDF2's own update implies."""
    w = np.sqrt(2) / 4
    return np.asarray(w * f0 + w * f1 + GAMMA / 2 * f2)
