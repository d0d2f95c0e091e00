"""What heats the cells at a moment: power that is fixed, and films that depend on their fluid."""

import numpy as np
from numpy.typing import NDArray

from tipsim.heat.cells import Cells
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.flow import water_viscosity

COLDEST, WARMEST = 273.0, 400.0
"""Beyond these the viscosity is taken as at them [K]."""
_STEP = 0.5


@described(eq=False)
class Heating:
    """Sources [W] as a function of temperature: films thin out as their fluid warms.

    Calling it with temperatures (k,) [K], and perhaps the share of each cell's fluid that has
    boiled away (k,), returns the power into each cell (k,) [W].
    """

    fixed: Floats = about("Power that does not depend on temperature [W], shape (k,).")
    where: NDArray[np.intp] = about("Cells that a film heats, shape (w,).")
    film: Floats = about("Its power over the root of the fluid's viscosity, shape (w,).")
    fluid: NDArray[np.intp] = about(
        "The cell whose fluid makes the film: itself, or the annulus beside it. Shape (w,)."
    )

    def __call__(self, t: Floats, dry: Floats | None = None) -> Floats:  # noqa: D102
        return self.fixed + self.films(t, None if dry is None else 1 - dry[self.fluid])

    def films(self, t: Floats, kept: Floats | None = None) -> Floats:
        """Return the power of the films in each cell (k,) [W], of each film a share kept (w,)."""
        out = np.zeros_like(self.fixed)
        if len(self.where):
            film = self.film if kept is None else self.film * kept
            out[self.where] = film * _root_of_viscosity(t[self.where])
        return out

    def slope(self, t: Floats, kept: Floats | None = None) -> Floats:
        """Return how that changes with each cell's temperature (k,) [W/K]."""
        return np.asarray((self.films(t + _STEP, kept) - self.films(t - _STEP, kept)) / (2 * _STEP))


def heating(cells: Cells, fixed: Floats, films: Floats, here: float) -> Heating:
    """Return the sources of a moment.

    Parameters
    ----------
    fixed, films : (k,) arrays
        From `placing.spread`: power, and film power where the fluid is at a temperature [W].
    here : float
        That temperature [K].
    """
    where = np.flatnonzero(films)
    beside = np.arange(cells.size)
    annulus = cells.index["annulus"]
    for layer in ("metal", "inner"):
        index = cells.index[layer]
        there = (index >= 0) & (annulus >= 0)
        beside[index[there]] = annulus[there]
    film = films[where] / float(_root_of_viscosity(np.array(here)))
    return Heating(fixed, where, film, beside[where])


def _root_of_viscosity(t: Floats) -> Floats:
    return np.sqrt(water_viscosity(np.minimum(np.maximum(t, COLDEST), WARMEST)))
