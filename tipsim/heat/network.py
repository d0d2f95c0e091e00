"""The heat network of a needle: which cells exchange heat with which, and how much."""

import numpy as np
from numpy.typing import NDArray

from tipsim.heat.build import Build, Network, lengthwise
from tipsim.heat.cells import Cells
from tipsim.heat.fluid import around, join_annulus, join_bore, join_chamber
from tipsim.heat.thermal import Properties
from tipsim.heat.ways import Ways, pressed_shut, ways
from tipsim.motion.sections import Floats
from tipsim.setup.flow import Flow
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press


def network(
    scenario: Scenario,
    cells: Cells,
    flow: Flow | None = None,
    press: Press | None = None,
    moves: Ways | None = None,
    n: Properties | None = None,
) -> Network:
    """Build the equations of a bench.

    Parameters
    ----------
    flow : Flow, optional
        Flow at this moment; the scenario's own when absent.
    press : Press, optional
        What presses on the sleeve at this moment.
    moves : Ways, optional
        How the fluid goes at this moment; from `flow` and `press` when absent.
    n : Properties, optional
        Thermal numbers at this moment; the scenario's own when absent.
    """
    n = n or Properties.of(scenario)
    closed = pressed_shut(scenario, cells, press)
    moves = moves or ways(scenario, cells, flow, closed)
    build = Build(cells.size)
    _metal(build, cells, n)
    join_bore(build, cells, n, moves, scenario.fluid.temperature)
    join_annulus(build, cells, n, moves, closed, scenario.fluid.temperature)
    join_chamber(build, cells, n, moves, scenario)
    _sleeve(build, cells, n)
    _outside(build, cells, n, scenario)
    _wound(build, cells, n, scenario)
    return build.network(_capacity(cells, n))


def _capacity(cells: Cells, n: Properties) -> Floats:
    out = np.zeros(cells.size)
    dz = cells.step
    half = (cells.gap_outer + cells.sleeve_outer) / 2
    volumes = {
        "metal": (cells.wall**2 - cells.bore**2, n.metal_c),
        "annulus": (cells.gap_outer**2 - cells.wall**2, n.water_c),
        "inner": (half**2 - cells.gap_outer**2, n.silicone_c),
        "outer": (cells.sleeve_outer**2 - half**2, n.silicone_c),
        "near": ((cells.sleeve_outer + n.near) ** 2 - cells.sleeve_outer**2, n.tissue_c),
        "far": (
            (cells.sleeve_outer + (n.near + n.far)) ** 2 - (cells.sleeve_outer + n.near) ** 2,
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
    if cells.sectors > 1:
        build.exchange(index[:, :-1], index[:, 1:], around(cells, k, low, high))


def _metal(build: Build, cells: Cells, n: Properties) -> None:
    index, w = cells.index["metal"], cells.weight
    area = np.pi * (cells.wall**2 - cells.bore**2)
    build.along(index, lengthwise(area, n.metal_k, cells.step)[:, None] * w)
    _around(build, cells, index, n.metal_k, cells.bore, cells.wall)


def _sleeve(build: Build, cells: Cells, n: Properties) -> None:
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
    """Return the cells at the surface, of silicone or metal, (n, m)."""
    return np.where(cells.sleeved[:, None], cells.index["outer"], cells.index["metal"])


def _outer_half(cells: Cells, n: Properties) -> Floats:
    """Return the resistance of half of the outer silicone layer [m² K/W], (n,); 0 if bare."""
    half = (cells.sleeve_outer - cells.gap_outer) / 4
    return np.where(cells.sleeved, half / n.silicone_k, 0.0)


def _outside(build: Build, cells: Cells, n: Properties, scenario: Scenario) -> None:
    """Join the surface to the air, or to the chamber's fluid."""
    h = np.where(cells.wet, n.chamber, n.air)
    area = 2 * np.pi * cells.sleeve_outer * cells.step
    g = (area / (1 / h + _outer_half(cells, n)))[:, None] * cells.weight
    surface = np.where(cells.wound[:, None], -1, _surface(cells))
    in_air = np.where(cells.wet[:, None], -1, surface)
    build.lose(in_air, g, scenario.outside.temperature)
    build.exchange(np.where(cells.wet[:, None], surface, -1), np.array(cells.chamber), g)


def _wound(build: Build, cells: Cells, n: Properties, scenario: Scenario) -> None:
    """Join the surface to the tissue around it."""
    if not cells.wound.any():
        return
    near, far = cells.index["near"], cells.index["far"]
    # Around a bare needle the leak runs between metal and tissue.
    bare = ~cells.sleeved[:, None]
    skin = np.where(bare, cells.index["annulus"], cells.index["outer"])
    dz, w = cells.step, cells.weight
    radius = cells.sleeve_outer
    first = radius + n.near
    g = 2 * np.pi * radius * dz / (_outer_half(cells, n) + n.near / 2 / n.tissue_k)
    build.exchange(skin, near, g[:, None] * w)
    g = 2 * np.pi * first * dz * n.tissue_k / ((n.near + n.far) / 2)
    build.exchange(near, far, g[:, None] * w)
    g = 2 * np.pi * (radius + (n.near + n.far)) * dz * n.tissue_k / (n.far / 2 + n.beyond)
    build.lose(far, g[:, None] * w, scenario.outside.temperature)
    for index, a, b in ((near, radius, first), (far, first, radius + (n.near + n.far))):
        area = np.where(cells.wound, np.pi * (b**2 - a**2), 1.0)
        build.along(index, lengthwise(area, n.tissue_k, dz)[:, None] * w)
        _around(build, cells, index, n.tissue_k, a, b)
