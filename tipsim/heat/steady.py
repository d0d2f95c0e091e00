"""Where a bench ends when nothing changes any more: solved for at once, not marched to.

G T + E(T) = b + P(T): Newton's method on one sparse matrix. P are the sources, whose films thin out
as the fluid warms; E is what evaporates fluid at its boiling point, at most what keeps a cell dry:
the film's heat that is lost then, and the heat of evaporation of all that flows in.
"""

from __future__ import annotations

from functools import cached_property

import numpy as np
import scipy

from tipsim.heat.boiling import Boiling
from tipsim.heat.cells import Cells, cut, spread_around
from tipsim.heat.legs import Model
from tipsim.heat.moment import equations, heating_of, sources_of
from tipsim.heat.power import Heating
from tipsim.heat.sources import Sources
from tipsim.heat.state import first_state
from tipsim.heat.stepping import Marcher
from tipsim.motion.run import Motion, run
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario

SETTLED = 1e-6
"""Temperatures are found to this [K]."""
ROUNDS = 60
CLOSE = 0.05
"""So close to the end a cell that boils may be found dry, or a dry one wet [K]."""
SLOW = 0.2
"""A change that is more than this share of the one before asks for a new matrix."""


@described(eq=False)
class SteadyHeat:
    """Temperatures of a bench when nothing changes any more, with what is set at the start."""

    scenario: Scenario
    cells: Cells
    temperature: Floats = about("Of all cells [K], shape (k,).")
    dry: Floats = about("Share of each cell's fluid that has boiled away, shape (k,).")
    sources: Sources = about("Watts while the drive is on.")
    duty: float = about("Share of time that the drive is on, by which watts are averaged.")
    imbalance: float = about(
        "Power put in, less what leaves and what evaporates fluid, over what is put in."
    )
    steam: float = about("Fluid that evaporates all the time [kg/s].")
    rounds: int = about("How often the equations were solved.")

    def layer(self, name: str) -> Floats:
        """Return a layer's temperatures (n, m) [K]; NaN where it has no cell."""
        index = self.cells.index[name]
        return np.where(index >= 0, self.temperature[index], np.nan)

    def _peak(self, name: str) -> float:
        index = self.cells.index[name]
        return float(self.temperature[index[index >= 0]].max())

    @cached_property
    def sleeve(self) -> float:
        """Highest temperature of the sleeve's outside [K]; of the metal where it is bare."""
        return self._peak("outer" if self.cells.sleeved.any() else "metal")

    @cached_property
    def metal(self) -> float:
        """Highest temperature of the metal [K]."""
        return self._peak("metal")

    @cached_property
    def wound(self) -> float | None:
        """Highest temperature of the tissue next to the sleeve [K]; None without a wound."""
        return self._peak("near") if self.cells.wound.any() else None

    @property
    def boils(self) -> bool:
        """Whether fluid boils; then temperatures are rough."""
        return bool(self.dry.any())


def steady_heat(
    scenario: Scenario, model: Model | None = None, motion: Motion | None = None
) -> SteadyHeat:
    """Return where a bench ends when nothing changes any more; its events are left out.

    Parameters
    ----------
    model : Model, optional
    motion : Motion, optional
        The scenario's motion, where it is at hand.

    Examples
    --------
    >>> still = steady_heat(Scenario.preset("straight, axial"))
    >>> bool(still.sleeve > still.scenario.outside.temperature), still.boils
    (True, False)
    """
    model = model or Model()
    motion = motion or run(scenario)
    full = cut(scenario, model.slices, model.sectors)
    # Nothing but a load tells one side from another: else one sector stands for all.
    cells = full if scenario.press is not None else cut(scenario, model.slices, 1)
    state, duty = first_state(scenario), scenario.duty.on_fraction
    net, boiling = equations(scenario, cells, state)
    heat = heating_of(scenario, motion, cells, state, duty)
    start = np.full(cells.size, scenario.outside.temperature)
    found = _Newton(Marcher(net, boiling=boiling), heat, boiling, start)
    everywhere = slice(None) if cells is full else spread_around(full, cells)
    return SteadyHeat(
        scenario,
        full,
        found.t[everywhere],
        found.dry[everywhere],
        sources_of(scenario, motion, cells),
        duty,
        found.imbalance,
        found.steam,
        found.rounds,
    )


def settled(marcher: Marcher, power: Floats, start: Floats) -> Floats:
    """Return where any network ends under a power that stays (k,) [W]; nothing boils.

    Parameters
    ----------
    start : (k,) array
        A first guess [K].
    """
    none, nothing = np.zeros(0, dtype=np.intp), np.zeros(0)
    heat = Heating(power, none, nothing, none)
    return _Newton(marcher, heat, Boiling(np.inf, 1.0, none, nothing, nothing, nothing), start).t


class _Newton:
    """The iteration. Each fluid cell is liquid, or held at its boiling point, or dry."""

    def __init__(self, marcher: Marcher, heat: Heating, boiling: Boiling, start: Floats) -> None:
        self.marcher, self.heat, self.boiling = marcher, heat, boiling
        self.t, self.share = start, np.zeros(len(boiling.cells))
        self.held = np.zeros(len(boiling.cells), dtype=bool)
        self.gone = self.held.copy()
        self.rounds = 0
        self._solve()

    def _solve(self) -> None:
        before, slow, moved, lu = np.inf, False, False, None
        for _ in range(ROUNDS):
            self.rounds += 1
            if lu is None or slow or moved:
                lu = self._factor()
            change = lu.solve(self._left())
            self.t = self.t + change
            size = float(np.abs(change).max())
            slow, before = size > SLOW * before, size
            moved = self._sort(size < CLOSE)
            if size < SETTLED and not moved:
                break

    def _factor(self) -> scipy.sparse.linalg.SuperLU:
        grip = np.zeros_like(self.t)
        grip[self.boiling.cells[self.held]] = self.boiling.grip[self.held]
        return self.marcher.factor(grip - np.minimum(self.heat.slope(self.t, self._kept()), 0.0))

    @property
    def dry(self) -> Floats:
        """Share of each cell's fluid that is gone (k,)."""
        out = np.zeros_like(self.t)
        out[self.boiling.cells] = self.share
        return out

    def _kept(self) -> Floats:
        """Return the share of each film that counts in the equations (w,).

        What a cell that is held loses of its own film is in what is taken from it.
        """
        lost, held = self.dry, self.boiling.cells[self.held]
        own = self.heat.where == self.heat.fluid
        kept = 1 - lost[self.heat.fluid]
        kept[own & np.isin(self.heat.where, held)] = 1.0
        return np.asarray(kept)

    def _left(self) -> Floats:
        """Return the power that cells keep (k,) [W]: nothing in the end."""
        net, t = self.marcher.network, self.t
        gain = self.heat.fixed + self.heat.films(t, self._kept())
        out = net.boundary + gain - net.matrix @ t
        out[self.boiling.cells] -= self.boiling.power(t, self.held)
        return np.asarray(out)

    def _sort(self, close: bool) -> bool:
        """Return whether what boils, and close to the end what is dry, has changed."""
        b, held, gone = self.boiling, self.held, self.gone
        warm = self.t[b.cells] > b.at
        film = self.heat.films(self.t)[b.cells]
        taken = b.power(self.t, held)
        # All that drying can take from a cell: its film's heat, and what evaporates all that comes.
        most = film + b.latent * b.through
        empty = held & (taken >= most) & (b.through <= 0)
        self.gone = (gone & warm) | empty if close else gone
        # What cools when it is dry is held again, and only from there liquid.
        self.held = (warm | gone) & ~self.gone
        part = np.divide(taken, most, out=np.zeros_like(taken), where=most > 0)
        self.share = np.where(self.gone, 1.0, np.where(self.held, np.clip(part, 0.0, 1.0), 0.0))
        return not (np.array_equal(held, self.held) and np.array_equal(gone, self.gone))

    @property
    def steam(self) -> float:
        """Fluid that evaporates [kg/s]: what comes beyond what the film's loss spares."""
        b = self.boiling
        film = self.heat.films(self.t)[b.cells]
        spent = b.power(self.t, self.held) - film * self.share
        return float(np.maximum(spent, 0.0)[self.held].sum()) / b.latent

    @property
    def imbalance(self) -> float:
        """Power put in, less what leaves and what is taken by boiling, over what is put in."""
        gain = self.heat.fixed + self.heat.films(self.t, self._kept())
        taken = float(self.boiling.power(self.t, self.held).sum())
        off = float(gain.sum()) - taken - self.marcher.network.leaving(self.t)
        return abs(off) / max(float(np.abs(gain).sum()), 1e-12)
