"""Heat equations from their parts: exchange, loss and flow between cells, as sparse matrices.

C dT/dt = -G T + b + q, with C in J/K, G in W/K, b from boundaries in W, q the sources in W. The
needle's network is put together from these parts, and so is a textbook case. Flow is carried by
second-order upwind differences in flux form, so that what leaves one cell enters the next: energy
is kept to rounding.
"""

from __future__ import annotations

import numpy as np
import scipy
from numpy.typing import NDArray

from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described


@described(eq=False)
class Network:
    """Heat equations, ready to be marched through time."""

    capacity: Floats = about("Heat capacity of each cell [J/K], shape (k,).")
    matrix: scipy.sparse.csc_array = about(
        "G [W/K]: power that leaves cells per temperature, shape (k, k)."
    )
    boundary: Floats = about("Power from inlets and surroundings [W], shape (k,).")

    @property
    def out(self) -> Floats:
        """Power that leaves the whole network per cell temperature [W/K], shape (k,)."""
        return np.asarray(self.matrix.sum(axis=0), dtype=np.float64).ravel()

    def leaving(self, temperature: Floats) -> float:
        """Return the power that leaves through all boundaries, less what enters there [W]."""
        return float(self.out @ temperature - self.boundary.sum())


class Build:
    """Collects what passes between numbered cells, then gives the equations.

    Parameters
    ----------
    size : int
        Cells in all.

    Examples
    --------
    Two cells side by side, one joined to surroundings of 310 K, the other to 300 K:

    >>> build = Build(2)
    >>> build.along(np.array([0, 1]), np.array([2.0]))
    >>> build.lose(np.array([0, 1]), np.array([4.0, 4.0]), np.array([310.0, 300.0]))
    >>> net = build.network(np.ones(2))
    >>> still = np.linalg.solve(net.matrix.toarray(), net.boundary)
    >>> [round(float(t), 2) for t in still], abs(net.leaving(still)) < 1e-9
    ([307.5, 302.5], True)
    """

    def __init__(self, size: int) -> None:
        self.rows: list[NDArray[np.intp]] = []
        self.columns: list[NDArray[np.intp]] = []
        self.values: list[Floats] = []
        self.boundary = np.zeros(size)
        self.size = size

    def put(self, row: NDArray[np.intp], column: NDArray[np.intp], value: Floats) -> None:
        """Add entries of G."""
        row, column = np.broadcast_arrays(row, column)
        self.rows.append(row.ravel())
        self.columns.append(column.ravel())
        self.values.append(np.broadcast_to(value, row.shape).astype(np.float64).ravel())

    def exchange(self, one: NDArray[np.intp], two: NDArray[np.intp], value: Floats) -> None:
        """Join two cells by a conductance [W/K]; pairs with a missing cell are left out."""
        one, two = np.broadcast_arrays(one, two)
        value = np.broadcast_to(value, one.shape)
        there = (one >= 0) & (two >= 0)
        a, b, g = one[there], two[there], value[there]
        for i, j, sign in ((a, a, 1), (b, b, 1), (a, b, -1), (b, a, -1)):
            self.put(i, j, sign * g)

    def along(self, line: NDArray[np.intp], value: Floats) -> None:
        """Join each cell to the next along the first axis (n, ...) by a conductance [W/K]."""
        self.exchange(line[:-1], line[1:], value)

    def lose(self, cell: NDArray[np.intp], value: Floats, temperature: Floats | float) -> None:
        """Join cells to surroundings of a temperature [K] by a conductance [W/K]."""
        value = np.broadcast_to(value, cell.shape)
        there = cell >= 0
        around = np.broadcast_to(np.asarray(temperature, float), cell.shape)
        self.put(cell[there], cell[there], value[there])
        np.add.at(self.boundary, cell[there], value[there] * around[there])

    def carry(
        self,
        line: NDArray[np.intp],
        rate: Floats | float,
        inlet: float = 0.0,
        source: int = -1,
        sink: int = -1,
    ) -> None:
        """Carry heat along a line of cells in the order of flow.

        Parameters
        ----------
        line : (n,) array of int
            Cells, the first at the inlet.
        rate : float or (n+1,) array
            Flow times heat capacity at the inlet, between cells and at the outlet [W/K]; where it
            falls, a cell's own fluid is drawn off (`draw` says whereto); where it rises, `draw`
            must bring the rest.
        inlet : float
            Temperature of what comes in [K], where no cell is its source.
        source, sink : int
            Cells that the fluid comes from and goes to; -1 for the surroundings.

        Notes
        -----
        The temperature at a face is taken from the two cells upstream of it, at the first faces
        from the inlet: 1.5 T_k - 0.5 T_(k-1) behind cell k, 2 T_0 - T_in behind the first.
        """
        n = len(line)
        rates = np.broadcast_to(np.asarray(rate, dtype=np.float64), (n + 1,))
        if n < 1 or not (rates > 0).any():
            return
        before = np.concatenate([[source], line[:-1]])
        # Behind a cell that nothing flows into from before, its own temperature counts.
        flowing = rates[:-1] > 0
        own = np.where(flowing, np.concatenate([[2.0], np.full(n - 1, 1.5)]), 1.0)
        behind = 1 - own
        gains = np.concatenate([line[1:], [sink]])
        for target, sign in ((line, 1.0), (gains, -1.0)):
            self._flux(target, line, sign * own * rates[1:], inlet)
            self._flux(target, before, sign * behind * rates[1:], inlet)
        self._flux(line[:1], before[:1], -rates[:1], inlet)
        self._flux(np.array([source]), before[:1], rates[:1], inlet)
        self.put(line, line, np.maximum(rates[:-1] - rates[1:], 0))

    def _flux(
        self, target: NDArray[np.intp], cell: NDArray[np.intp], value: Floats, inlet: float
    ) -> None:
        """Let targets lose value x temperature of cells; -1 stands for the inlet [W/K]."""
        there, known = target >= 0, cell >= 0
        both = there & known
        self.put(target[both], cell[both], value[both])
        outside = there & ~known
        np.subtract.at(self.boundary, target[outside], value[outside] * inlet)

    def draw(self, one: int, two: int, rate: float) -> None:
        """Let fluid of one cell run into another [rate in W/K]; `carry` lets it go from the one."""
        self.put(np.array([two]), np.array([one]), np.array([-rate]))

    def network(self, capacity: Floats) -> Network:
        """Return the equations of cells of these heat capacities (k,) [J/K]."""
        data = np.concatenate(self.values)
        where = (np.concatenate(self.rows), np.concatenate(self.columns))
        matrix = scipy.sparse.csc_array(
            scipy.sparse.coo_array((data, where), shape=(self.size, self.size))
        )
        return Network(capacity, matrix, self.boundary)


def lengthwise(area: Floats, k: float, step: Floats) -> Floats:
    """Return the conductance between the middles of neighbouring slices [W/K].

    Parameters
    ----------
    area, step : (n,) arrays
        Area [m²] and length [m] of each slice.
    k : float
        Thermal conductivity [W/m/K].

    Returns
    -------
    (n-1,) array
    """
    half = step / (2 * k * area)
    return np.asarray(1 / (half[:-1] + half[1:]))
