"""Heat equations from their parts: exchange, loss and flow between cells, as sparse matrices.

C dT/dt = -G T + b + q, with C in J/K, G in W/K, b from boundaries in W, q the sources in W. The
needle's network is put together from these parts, and so is a textbook case. Flow is carried by
second-order upwind differences in flux form, so that what leaves one cell enters the next: energy
is kept to rounding.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csc_array

from tipsim.motion.sections import Floats


@dataclass(frozen=True, eq=False)
class Network:
    """Heat equations, ready to be marched through time.

    Attributes
    ----------
    capacity : (k,) array
        Heat capacity of each cell [J/K].
    matrix : (k, k) sparse array
        G [W/K]: power that leaves cells per temperature.
    boundary : (k,) array
        Power from inlets and surroundings [W].
    """

    capacity: Floats
    matrix: csc_array
    boundary: Floats

    @property
    def out(self) -> Floats:
        """Power that leaves the whole network per cell temperature [W/K], shape (k,)."""
        return np.asarray(self.matrix.sum(axis=0), dtype=np.float64).ravel()

    def leaving(self, temperature: Floats) -> float:
        """Give the power that leaves through all boundaries, less what enters there [W]."""
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

    def carry(self, line: NDArray[np.intp], rate: float, inlet: float) -> None:
        """Carry heat along a line of cells in the order of flow [rate in W/K].

        The temperature at a face is taken from the two cells upstream of it, at the first
        faces from the inlet [K].
        """
        n = len(line)
        if rate <= 0 or n < 1:
            return
        # Face k lies behind cell k: 1.5 T_k - 0.5 T_(k-1); behind the first cell 2 T_0 - T_in.
        for k in range(n):
            weights = [(line[k], 1.5), (line[k - 1], -0.5)] if k else [(line[0], 2.0)]
            for target, sign in ((line[k], 1.0), (line[k + 1] if k + 1 < n else -1, -1.0)):
                if target < 0:
                    continue
                for cell, w in weights:
                    self.put(np.array([target]), np.array([cell]), np.array([sign * rate * w]))
                if k == 0:
                    self.boundary[target] += sign * rate * inlet
        self.boundary[line[0]] += rate * inlet

    def network(self, capacity: Floats) -> Network:
        """Give the equations of cells of these heat capacities (k,) [J/K]."""
        data = np.concatenate(self.values)
        where = (np.concatenate(self.rows), np.concatenate(self.columns))
        matrix = csc_array(coo_array((data, where), shape=(self.size, self.size)))
        return Network(capacity, matrix, self.boundary)


def lengthwise(area: Floats, k: float, step: Floats) -> Floats:
    """Give the conductance between the middles of neighbouring slices [W/K].

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
