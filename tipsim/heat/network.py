"""The axial heat network: conduction, flow and exchange between cells, as sparse matrices.

C dT/dt = -G T + b + q, with G in W/K, b from boundaries in W, q the sources in W. Flow is
carried by second-order upwind differences in flux form, so that what leaves one slice enters the
next: energy is kept to rounding.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array, csc_array

from tipsim.heat.cells import TISSUE, WOUND, Cells
from tipsim.motion.sections import Floats
from tipsim.setup.flow import Flow
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number

BEYOND = number("tissue.beyond").si
"""From the far tissue layer to tissue that keeps its temperature [m]; assumed."""


@dataclass(frozen=True)
class Thermal:
    """Thermal numbers, SI; see `assets/numbers` for ranges and sources."""

    metal_k: float
    metal_c: float
    silicone_k: float
    silicone_c: float
    water_k: float
    water_c: float
    tissue_k: float
    tissue_c: float
    air: float
    chamber: float
    bore_nusselt: float
    annulus_nusselt: float
    mixing: float

    @classmethod
    def usual(cls, scenario: Scenario) -> "Thermal":
        """Give the data files' numbers; densities of metal and fluid are the bench's."""
        n = {name: number(f"thermal.{name}").si for name in _NAMES}
        return cls(
            n["titanium_conductivity"],
            n["titanium_heat"] * scenario.needle.material.density,
            n["silicone_conductivity"],
            n["silicone_heat"] * n["silicone_density"],
            n["water_conductivity"],
            n["water_heat"] * scenario.fluid.density,
            n["cornea_conductivity"],
            n["cornea_heat"] * n["cornea_density"],
            n["air_film"],
            n["chamber_film"],
            n["nusselt_bore"],
            n["nusselt_annulus"],
            n["annulus_mixing"],
        )


_NAMES = (
    *("titanium_conductivity", "titanium_heat"),
    *("silicone_conductivity", "silicone_heat", "silicone_density"),
    *("water_conductivity", "water_heat"),
    *("cornea_conductivity", "cornea_heat", "cornea_density"),
    *("air_film", "chamber_film", "nusselt_bore", "nusselt_annulus", "annulus_mixing"),
)


@dataclass(frozen=True, eq=False)
class Network:
    """The equations of one needle at one state of flow.

    Attributes
    ----------
    cells : Cells
    capacity : (k,) array
        Heat capacity of each cell [J/K].
    matrix : (k, k) sparse array
        G [W/K]: power that leaves cells per temperature.
    boundary : (k,) array
        Power from inlets and surroundings [W].
    """

    cells: Cells
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


class _Builder:
    """Collects exchange between cells."""

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
        faces from the inlet.
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

    def matrix(self) -> csc_array:
        """Give G."""
        data = np.concatenate(self.values)
        where = (np.concatenate(self.rows), np.concatenate(self.columns))
        return csc_array(coo_array((data, where), shape=(self.size, self.size)))


def network(
    scenario: Scenario, cells: Cells, flow: Flow | None = None, numbers: Thermal | None = None
) -> Network:
    """Build the equations of a bench.

    Parameters
    ----------
    scenario : Scenario
    cells : Cells
    flow : Flow, optional
        Flow at this moment; the scenario's own when absent.
    numbers : Thermal, optional

    Returns
    -------
    Network
    """
    n = numbers or Thermal.usual(scenario)
    flow = flow or scenario.flow
    build = _Builder(cells.size)
    _metal(build, cells, n)
    _bore(build, cells, n, scenario, flow)
    _annulus(build, cells, n, scenario, flow)
    _sleeve(build, cells, n)
    _outside(build, cells, n, scenario)
    return Network(cells, _capacity(cells, n), build.matrix(), build.boundary)


def _capacity(cells: Cells, n: Thermal) -> Floats:
    out = np.zeros(cells.size)
    dz = cells.step
    half = (cells.gap_outer + cells.sleeve_outer) / 2
    volumes = {
        "metal": (cells.wall**2 - cells.bore**2, n.metal_c),
        "annulus": (cells.gap_outer**2 - cells.wall**2, n.water_c),
        "inner": (half**2 - cells.gap_outer**2, n.silicone_c),
        "outer": (cells.sleeve_outer**2 - half**2, n.silicone_c),
        "near": ((cells.sleeve_outer + TISSUE[0]) ** 2 - cells.sleeve_outer**2, n.tissue_c),
        "far": (
            (cells.sleeve_outer + sum(TISSUE)) ** 2 - (cells.sleeve_outer + TISSUE[0]) ** 2,
            n.tissue_c,
        ),
        "bore": (cells.bore**2, n.water_c),
    }
    for layer, (square, c) in volumes.items():
        index = cells.index[layer]
        share = np.array([1.0]) if layer == "bore" else cells.weight
        value = c * np.pi * square[:, None] * dz[:, None] * share
        out[index[index >= 0]] = value[index >= 0]
    return out


def _along(build: _Builder, index: NDArray[np.intp], conductance: Floats) -> None:
    """Join a layer's cells along the needle; conductance (n-1, m) between slices."""
    build.exchange(index[:-1], index[1:], conductance)


def _lengthwise(area: Floats, k: float, step: Floats) -> Floats:
    """Give the conductance between neighbouring slices of areas (n,) [W/K], shape (n-1,)."""
    half = step / (2 * k * area)
    return np.asarray(1 / (half[:-1] + half[1:]))


def _around(
    build: _Builder, cells: Cells, index: NDArray[np.intp], k: float, low: Floats, high: Floats
) -> None:
    """Join a layer's sectors around the needle between two radii (n,)."""
    m = cells.sectors
    if m < 2:
        return
    arc = np.pi / (m - 1) * (low + high) / 2
    # Both mirror halves conduct.
    g = 2 * k * (high - low) * cells.step / arc
    build.exchange(index[:, :-1], index[:, 1:], np.repeat(g[:, None], m - 1, axis=1))


def _metal(build: _Builder, cells: Cells, n: Thermal) -> None:
    index, w = cells.index["metal"], cells.weight
    area = np.pi * (cells.wall**2 - cells.bore**2)
    _along(build, index, _lengthwise(area, n.metal_k, cells.step)[:, None] * w)
    _around(build, cells, index, n.metal_k, cells.bore, cells.wall)


def _bore(build: _Builder, cells: Cells, n: Thermal, scenario: Scenario, flow: Flow) -> None:
    index, metal = cells.index["bore"], cells.index["metal"]
    h = n.bore_nusselt * n.water_k / (2 * cells.bore)
    g = (h * 2 * np.pi * cells.bore * cells.step)[:, None] * cells.weight
    build.exchange(np.broadcast_to(index, metal.shape), metal, g)
    _along(build, index, _lengthwise(np.pi * cells.bore**2, n.water_k, cells.step)[:, None])
    # Aspirated fluid comes from the chamber, mouth first.
    build.carry(index[::-1, 0], n.water_c * flow.mouth, _chamber(scenario))


def _chamber(scenario: Scenario) -> float:
    """Temperature of the fluid that enters the mouth [K]: the bottle's, or the bath's."""
    if scenario.outside.kind == "chamber":
        return scenario.outside.temperature
    return scenario.fluid.temperature


def _annulus(build: _Builder, cells: Cells, n: Thermal, scenario: Scenario, flow: Flow) -> None:
    index = cells.index["annulus"]
    inside = cells.sleeved
    if not inside.any():
        return
    gap = np.where(inside, cells.gap_outer - cells.wall, 1.0)
    h = n.annulus_nusselt * n.water_k / (2 * gap)
    dz, w = cells.step, cells.weight
    build.exchange(index, cells.index["metal"], (h * 2 * np.pi * cells.wall * dz)[:, None] * w)
    to_sleeve = (h * 2 * np.pi * cells.gap_outer * dz)[:, None] * w
    build.exchange(index, cells.index["inner"], to_sleeve)
    area = np.where(inside, np.pi * (cells.gap_outer**2 - cells.wall**2), 1.0)
    _along(build, index, _lengthwise(area, n.water_k, dz)[:, None] * w)
    _around(build, cells, index, n.water_k * n.mixing, cells.wall, cells.gap_outer)
    for j in range(cells.sectors):
        rate = n.water_c * flow.irrigation * float(w[j])
        build.carry(index[inside, j], rate, scenario.fluid.temperature)


def _sleeve(build: _Builder, cells: Cells, n: Thermal) -> None:
    inner, outer, inside = cells.index["inner"], cells.index["outer"], cells.sleeved
    if not inside.any():
        return
    half = (cells.gap_outer + cells.sleeve_outer) / 2
    dz, w = cells.step, cells.weight
    # Between the middles of the two layers.
    low, high = (cells.gap_outer + half) / 2, (half + cells.sleeve_outer) / 2
    apart = np.where(inside, np.log(np.where(inside, high / low, 2.0)), 1.0)
    build.exchange(inner, outer, (2 * np.pi * n.silicone_k * dz / apart)[:, None] * w)
    for index, a, b in ((inner, cells.gap_outer, half), (outer, half, cells.sleeve_outer)):
        area = np.where(inside, np.pi * (b**2 - a**2), 1.0)
        _along(build, index, _lengthwise(area, n.silicone_k, dz)[:, None] * w)
        _around(build, cells, index, n.silicone_k, a, b)


def _outside(build: _Builder, cells: Cells, n: Thermal, scenario: Scenario) -> None:
    """Join the surface to what is around: air, water, or tissue in the wound."""
    around, kind = scenario.outside.temperature, scenario.outside.kind
    in_water = np.full(len(cells.middle), kind == "chamber")
    if kind == "wound":
        in_water |= cells.middle > scenario.sleeve_end - WOUND[0]
    h = np.where(in_water, n.chamber, n.air)
    bath = np.where(in_water & (kind == "wound"), _chamber(scenario), around)
    dz, w = cells.step, cells.weight
    half = (cells.sleeve_outer - cells.gap_outer) / 4
    silicone = np.where(cells.sleeved, half / n.silicone_k, 0.0)
    g = 2 * np.pi * cells.sleeve_outer * dz / (1 / h + silicone)
    surface = np.where(cells.sleeved[:, None], cells.index["outer"], cells.index["metal"])
    free = np.where(cells.wound[:, None], -1, surface)
    build.lose(free, g[:, None] * w, bath[:, None])
    _wound(build, cells, n, scenario)


def _wound(build: _Builder, cells: Cells, n: Thermal, scenario: Scenario) -> None:
    if not cells.wound.any():
        return
    near, far, skin = cells.index["near"], cells.index["far"], cells.index["outer"]
    dz, w = cells.step, cells.weight
    half = (cells.sleeve_outer - cells.gap_outer) / 4
    radius = cells.sleeve_outer
    first = radius + TISSUE[0]
    g = 2 * np.pi * radius * dz / (half / n.silicone_k + TISSUE[0] / 2 / n.tissue_k)
    build.exchange(skin, near, g[:, None] * w)
    g = 2 * np.pi * first * dz * n.tissue_k / (sum(TISSUE) / 2)
    build.exchange(near, far, g[:, None] * w)
    g = 2 * np.pi * (radius + sum(TISSUE)) * dz * n.tissue_k / (TISSUE[1] / 2 + BEYOND)
    build.lose(far, g[:, None] * w, scenario.outside.temperature)
    for index, a, b in ((near, radius, first), (far, first, radius + sum(TISSUE))):
        area = np.where(cells.wound, np.pi * (b**2 - a**2), 1.0)
        _along(build, index, _lengthwise(area, n.tissue_k, dz)[:, None] * w)
        _around(build, cells, index, n.tissue_k, a, b)
