"""The heat network of a needle: which cells exchange heat with which, and how much."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipsim.flow.balance import flows
from tipsim.heat.build import Build, Network, lengthwise
from tipsim.heat.cells import TISSUE, Cells
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
    chamber_c: float
    chamber_loss: float

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
            n["water_heat"] * scenario.fluid.density * number("chamber.volume").si,
            number("chamber.loss").si,
        )


_NAMES = (
    *("titanium_conductivity", "titanium_heat"),
    *("silicone_conductivity", "silicone_heat", "silicone_density"),
    *("water_conductivity", "water_heat"),
    *("cornea_conductivity", "cornea_heat", "cornea_density"),
    *("air_film", "chamber_film", "nusselt_bore", "nusselt_annulus", "annulus_mixing"),
)


@dataclass(frozen=True, eq=False)
class _Ways:
    """How the fluid goes past the slices [m³/s].

    Attributes
    ----------
    irrigation, bypass, ports : float
        Into the sleeve, through the hole into the bore, and out of the ports.
    annulus : (k+1,) array
        Through each face of the sleeved slices, from the hub.
    bore : (n+1,) array
        Through each face, from the hub; at the mouth the last.
    hole, port : int
        Slices of hole and ports; -1 without a hole.
    """

    irrigation: float
    bypass: float
    ports: float
    annulus: Floats
    bore: Floats
    hole: int
    port: int


def _ways(scenario: Scenario, cells: Cells, flow: Flow | None) -> _Ways:
    """Send the flows of the bench along the slices.

    Fluid that would run backwards out of the mouth, fed by the hole while the pump rests, is
    left out. The ports and the sleeve's open end share what leaves by their areas.
    """
    found = flows(scenario, flow)
    n, inside = len(cells.middle), int(cells.sleeved.sum())
    mouth = max(found.mouth, 0.0)
    bypass = found.bypass if found.mouth >= 0 and inside else 0.0
    # A bare needle has its irrigation from a second instrument: as much as leaves.
    irrigation = mouth + bypass + (found.leak if inside else (flow or scenario.flow).leak)
    place = scenario.needle.bypass_distance
    hole = int(np.searchsorted(cells.edges, place) - 1) if bypass else -1
    hole = -1 if hole >= inside else hole
    bore = np.full(n + 1, mouth)
    annulus = np.full(inside + 1, irrigation)
    if hole >= 0:
        bore[: hole + 1] += bypass
        annulus[hole + 1 :] -= bypass
    sleeve = scenario.sleeve
    if sleeve is None or not inside:
        return _Ways(irrigation, bypass, 0.0, annulus, bore, hole, -1)
    at = scenario.sleeve_end - sleeve.port_distance
    port = max(int(np.searchsorted(cells.edges, at) - 1), 0)
    holes = 2 * np.pi / 4 * sleeve.port_diameter**2
    end = np.pi * (cells.gap_outer[inside - 1] ** 2 - cells.wall[inside - 1] ** 2)
    ports = float(annulus[-1] * holes / (holes + end))
    annulus[port + 1 :] -= ports
    return _Ways(irrigation, bypass, ports, annulus, bore, hole, port)


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
    ways = _ways(scenario, cells, flow)
    build = Build(cells.size)
    _metal(build, cells, n)
    _bore(build, cells, n, scenario, ways)
    _annulus(build, cells, n, scenario, ways)
    _sleeve(build, cells, n)
    _outside(build, cells, n, scenario)
    _wound(build, cells, n, scenario)
    _chamber(build, cells, n, scenario, ways)
    return build.network(_capacity(cells, n))


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
    if cells.chamber >= 0:
        out[cells.chamber] = n.chamber_c
    return out


def _around(
    build: Build, cells: Cells, index: NDArray[np.intp], k: float, low: Floats, high: Floats
) -> None:
    """Join a layer's sectors around the needle between two radii (n,)."""
    m = cells.sectors
    if m < 2:
        return
    arc = np.pi / (m - 1) * (low + high) / 2
    # Both mirror halves conduct.
    g = 2 * k * (high - low) * cells.step / arc
    build.exchange(index[:, :-1], index[:, 1:], np.repeat(g[:, None], m - 1, axis=1))


def _metal(build: Build, cells: Cells, n: Thermal) -> None:
    index, w = cells.index["metal"], cells.weight
    area = np.pi * (cells.wall**2 - cells.bore**2)
    build.along(index, lengthwise(area, n.metal_k, cells.step)[:, None] * w)
    _around(build, cells, index, n.metal_k, cells.bore, cells.wall)


def _bore(build: Build, cells: Cells, n: Thermal, scenario: Scenario, ways: _Ways) -> None:
    index, metal = cells.index["bore"], cells.index["metal"]
    h = n.bore_nusselt * n.water_k / (2 * cells.bore)
    g = (h * 2 * np.pi * cells.bore * cells.step)[:, None] * cells.weight
    build.exchange(np.broadcast_to(index, metal.shape), metal, g)
    build.along(index, lengthwise(np.pi * cells.bore**2, n.water_k, cells.step)[:, None])
    # Aspirated fluid comes from the chamber, mouth first, and what the hole lets in on the way.
    rates = n.water_c * ways.bore
    bottle = scenario.fluid.temperature
    build.carry(index[::-1, 0], rates[::-1], bottle, source=cells.chamber)
    for j in range(cells.sectors if ways.hole >= 0 else 0):
        share = n.water_c * ways.bypass * float(cells.weight[j])
        annulus = cells.index["annulus"][ways.hole, j]
        build.draw(int(annulus), int(index[ways.hole, 0]), share)


def _chamber(build: Build, cells: Cells, n: Thermal, scenario: Scenario, ways: _Ways) -> None:
    """Give the chamber its inflow, where no sleeve brings it, its leak and its loss."""
    if cells.chamber < 0:
        return
    pool = np.array([cells.chamber])
    build.lose(pool, np.array([n.chamber_loss]), scenario.outside.temperature)
    if not cells.sleeved.any():
        build.boundary[cells.chamber] += n.water_c * ways.irrigation * scenario.fluid.temperature
    leak = ways.irrigation - ways.bypass - float(ways.bore[-1])
    build.put(pool, pool, np.array([n.water_c * leak]))


def _annulus(build: Build, cells: Cells, n: Thermal, scenario: Scenario, ways: _Ways) -> None:
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
    build.along(index, lengthwise(area, n.water_k, dz)[:, None] * w)
    _around(build, cells, index, n.water_k * n.mixing, cells.wall, cells.gap_outer)
    for j in range(cells.sectors):
        line = index[inside, j]
        rates = n.water_c * float(w[j]) * ways.annulus
        build.carry(line, rates, scenario.fluid.temperature, sink=cells.chamber)
        if cells.chamber >= 0:
            out = n.water_c * float(w[j]) * ways.ports
            build.draw(int(line[ways.port]), cells.chamber, out)


def _sleeve(build: Build, cells: Cells, n: Thermal) -> None:
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
        build.along(index, lengthwise(area, n.silicone_k, dz)[:, None] * w)
        _around(build, cells, index, n.silicone_k, a, b)


def _surface(cells: Cells) -> NDArray[np.intp]:
    """Give the cells at the surface, of silicone or metal, (n, m)."""
    return np.where(cells.sleeved[:, None], cells.index["outer"], cells.index["metal"])


def _outer_half(cells: Cells, n: Thermal) -> Floats:
    """Give the resistance of half of the outer silicone layer [m² K/W], (n,); 0 if bare."""
    half = (cells.sleeve_outer - cells.gap_outer) / 4
    return np.where(cells.sleeved, half / n.silicone_k, 0.0)


def _outside(build: Build, cells: Cells, n: Thermal, scenario: Scenario) -> None:
    """Join the surface to the air, or to the chamber's fluid."""
    h = np.where(cells.wet, n.chamber, n.air)
    area = 2 * np.pi * cells.sleeve_outer * cells.step
    g = (area / (1 / h + _outer_half(cells, n)))[:, None] * cells.weight
    surface = np.where(cells.wound[:, None], -1, _surface(cells))
    in_air = np.where(cells.wet[:, None], -1, surface)
    build.lose(in_air, g, scenario.outside.temperature)
    build.exchange(np.where(cells.wet[:, None], surface, -1), np.array(cells.chamber), g)


def _wound(build: Build, cells: Cells, n: Thermal, scenario: Scenario) -> None:
    """Join the surface to the tissue around it."""
    if not cells.wound.any():
        return
    near, far, skin = cells.index["near"], cells.index["far"], _surface(cells)
    dz, w = cells.step, cells.weight
    radius = cells.sleeve_outer
    first = radius + TISSUE[0]
    g = 2 * np.pi * radius * dz / (_outer_half(cells, n) + TISSUE[0] / 2 / n.tissue_k)
    build.exchange(skin, near, g[:, None] * w)
    g = 2 * np.pi * first * dz * n.tissue_k / (sum(TISSUE) / 2)
    build.exchange(near, far, g[:, None] * w)
    g = 2 * np.pi * (radius + sum(TISSUE)) * dz * n.tissue_k / (TISSUE[1] / 2 + BEYOND)
    build.lose(far, g[:, None] * w, scenario.outside.temperature)
    for index, a, b in ((near, radius, first), (far, first, radius + sum(TISSUE))):
        area = np.where(cells.wound, np.pi * (b**2 - a**2), 1.0)
        build.along(index, lengthwise(area, n.tissue_k, dz)[:, None] * w)
        _around(build, cells, index, n.tissue_k, a, b)
