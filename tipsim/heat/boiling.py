"""Boiling, roughly: fluid stays at its boiling point while it turns into steam, which leaves.

What comes in beyond what a cell passes on evaporates its fluid. Where fluid has gone the film is
lost, and with it the film's heat. Flow brings new fluid; where none comes, a cell that is dry may
get hotter. Steam takes its heat out of the model: it neither moves nor warms anything, a cell
keeps its heat capacity, and fluid that is gone is not missed further along the flow.
"""

import numpy as np
from numpy.typing import NDArray

from tipsim.heat.build import Network
from tipsim.heat.cells import Cells
from tipsim.heat.thermal import Properties
from tipsim.heat.ways import Ways
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number

SHARP = 1000.0
"""How sharply a boiling cell is held, over all that it loses to others: by some hundredths of a
kelvin."""

LEAST = 1e-6
"""A smaller share of fluid that is gone counts as 0."""


@described(eq=False)
class Boiling:
    """Which cells can boil at a moment, and what that takes."""

    at: float = about("Where the fluid boils [K].")
    latent: float = about("Heat of evaporation [J/kg].")
    cells: NDArray[np.intp] = about("Cells of fluid, shape (w,).")
    mass: Floats = about("Fluid in each [kg], shape (w,).")
    through: Floats = about("Fluid that flows through each [kg/s], shape (w,).")
    grip: Floats = about("Power that is taken per kelvin above `at` [W/K], shape (w,).")

    def active(self, t: Floats, dry: Floats) -> NDArray[np.bool_]:
        """Return which fluid cells are held at the boiling point (w,): fluid is left or comes."""
        return np.asarray((t[self.cells] > self.at) & ((dry[self.cells] < 1) | (self.through > 0)))

    def power(self, t: Floats, held: NDArray[np.bool_]) -> Floats:
        """Return what has to be taken from each fluid cell to hold it (w,) [W]."""
        return np.where(held, self.grip * (t[self.cells] - self.at), 0.0)

    def dried(
        self, dry: Floats, energy: Floats, film: Floats, step: float
    ) -> tuple[Floats, float, float]:
        """Return the share of each cell's fluid that is gone after a step, and the steam [kg].

        Last comes by how much the step has dried a cell beyond what it held, as a share of that.

        What is taken from a cell is its film's heat, as far as that is lost more than before, and
        the heat of evaporation of what flows in and of what it holds. Solved for the share at the
        step's end, so that it cannot swing at any step.

        Parameters
        ----------
        dry : (k,) array
            Before the step.
        energy : (w,) array
            What was taken [J].
        film : (w,) array
            Power of the whole film in each fluid cell [W].
        step : float
            [s].
        """
        before = dry[self.cells]
        fluid, inflow, lost = self.latent * self.mass, self.latent * self.through, film * step
        share = (energy + (fluid + lost) * before) / (fluid + lost + inflow * step)
        out = dry.copy()
        out[self.cells] = np.where(share < LEAST, 0.0, np.minimum(share, 1.0))
        beyond = float(share[self.through <= 0].max(initial=1.0)) - 1
        steam = energy - lost * np.maximum(out[self.cells] - before, 0.0)
        return out, float(np.maximum(steam, 0.0).sum()) / self.latent, beyond


def boiling(scenario: Scenario, cells: Cells, net: Network, ways: Ways) -> Boiling:
    """Return what can boil at a moment."""
    density, heat = scenario.fluid.density, Properties.of(scenario).water_c
    through = np.zeros(cells.size)
    annulus = cells.index["annulus"]
    if cells.sleeved.any():
        through[annulus[cells.sleeved]] = ways.annulus[:-1]
    elif cells.wound.any():
        through[annulus[cells.wound]] = ways.leak * cells.weight
    through[cells.index["bore"][:, 0]] = ways.bore[:-1]
    fluid = [annulus[annulus >= 0], cells.index["bore"][:, 0]]
    if cells.chamber >= 0:
        through[cells.chamber] = ways.irrigation
        fluid.append(np.array([cells.chamber]))
    where = np.concatenate(fluid)
    mass = net.capacity[where] / heat * density
    grip = SHARP * net.matrix.diagonal()[where]
    at, latent = number("fluid.boiling").si, number("fluid.latent").si
    return Boiling(at, latent, where, mass, density * through[where], grip)
