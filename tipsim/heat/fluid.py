"""The network's fluid: in the bore, in the sleeve's annulus, in the chamber."""

import numpy as np

from tipsim.heat.build import Build, lengthwise
from tipsim.heat.cells import Cells
from tipsim.heat.thermal import Properties
from tipsim.heat.ways import Ways, crossings
from tipsim.motion.sections import Floats
from tipsim.setup.scenario import Scenario


def around(cells: Cells, k: float, low: Floats, high: Floats) -> Floats:
    """Return the conductance between sectors of a layer from radius to radius [W/K], (n, m-1).

    Parameters
    ----------
    k : float
        Properties conductivity [W/m/K].
    low, high : (n,) arrays
        Radii [m].
    """
    arc = np.pi / (cells.sectors - 1) * (low + high) / 2
    # Both mirror halves conduct.
    g = 2 * k * (high - low) * cells.step / arc
    return np.repeat(g[:, None], cells.sectors - 1, axis=1)


def join_bore(build: Build, cells: Cells, n: Properties, ways: Ways, bottle: float) -> None:
    """Join the bore's fluid to the metal, and let it flow from the mouth to the hub."""
    index, metal = cells.index["bore"], cells.index["metal"]
    h = n.bore_nusselt * n.water_k / (2 * cells.bore)
    g = (h * 2 * np.pi * cells.bore * cells.step)[:, None] * cells.weight
    build.exchange(np.broadcast_to(index, metal.shape), metal, g)
    build.along(index, lengthwise(np.pi * cells.bore**2, n.water_k, cells.step)[:, None])
    # What is drawn in comes from the chamber, mouth first, and through the hole on the way.
    rates = n.water_c * ways.bore
    build.carry(index[::-1, 0], rates[::-1], bottle, source=cells.chamber)


def join_annulus(
    build: Build, cells: Cells, n: Properties, ways: Ways, closed: Floats, bottle: float
) -> None:
    """Join the annulus to metal and sleeve, and let it flow from the hub to ports and end.

    Parameters
    ----------
    closed : (n, m) array
        Share of each cell that is pressed shut: metal and silicone touch there.
    bottle : float
        Temperature of what comes in [K].
    """
    index, there = cells.index["annulus"], cells.index["annulus"][:, 0] >= 0
    if not there.any():
        return
    gap = np.where(there, cells.gap_outer - cells.wall, 1.0)
    h = n.annulus_nusselt * n.water_k / (2 * gap)
    # The inner silicone layer's middle lies a quarter of the wall from its surface.
    quarter = np.where(cells.sleeved, (cells.sleeve_outer - cells.gap_outer) / 4, 1.0)
    layer = n.silicone_k / quarter
    dz, w, open_ = cells.step, cells.weight, np.maximum(1 - closed, n.wetted)
    inner = 2 * np.pi * (cells.wall * dz)[:, None] * w
    outer = 2 * np.pi * (cells.gap_outer * dz)[:, None] * w
    build.exchange(index, cells.index["metal"], h[:, None] * inner * open_)
    to_sleeve = 1 / (1 / h + 1 / layer)
    build.exchange(index, cells.index["inner"], to_sleeve[:, None] * outer * open_)
    touching = layer[:, None] * inner * (1 - open_)
    build.exchange(cells.index["metal"], cells.index["inner"], touching)
    area = np.where(there, np.pi * (cells.gap_outer**2 - cells.wall**2), 1.0)
    build.along(index, lengthwise(area, n.water_k, dz)[:, None] * w)
    if cells.sectors > 1:
        mixed = around(cells, n.water_k * n.mixing, cells.wall, cells.gap_outer)
        build.exchange(index[:, :-1], index[:, 1:], mixed * np.minimum(open_[:, :-1], open_[:, 1:]))
    if cells.sleeved.any():
        _irrigate(build, cells, n, ways, bottle)
    else:
        _leak_along(build, cells, n, ways)


def _irrigate(build: Build, cells: Cells, n: Properties, ways: Ways, bottle: float) -> None:
    """Let irrigation flow down the sleeve, around what is pressed, out of hole, ports and end."""
    lines = cells.index["annulus"][cells.sleeved]
    for j in range(cells.sectors):
        build.carry(lines[:, j], n.water_c * ways.annulus[:, j], bottle, sink=cells.chamber)
        if ways.hole >= 0:
            off = n.water_c * float(ways.off_annulus[ways.hole, j])
            build.draw(int(lines[ways.hole, j]), int(cells.index["bore"][ways.hole, 0]), off)
        if cells.chamber >= 0:
            off = n.water_c * float(ways.off_annulus[ways.port, j])
            build.draw(int(lines[ways.port, j]), cells.chamber, off)
    # `carry` lets go what a line loses; where others bring more than that, holes still draw.
    lost = np.clip(ways.annulus[:-1] - ways.annulus[1:], 0, None)
    build.put(lines, lines, n.water_c * np.clip(ways.off_annulus - lost, 0, None))
    where, amount = crossings(ways.annulus, ways.off_annulus)
    if len(where):
        gives, takes = lines[where[:, 0], where[:, 1]], lines[where[:, 0], where[:, 2]]
        build.put(takes, gives, -n.water_c * amount)


def _leak_along(build: Build, cells: Cells, n: Properties, ways: Ways) -> None:
    """Let the leak run along a bare needle, from the chamber outwards through the wound."""
    lines = cells.index["annulus"][cells.wound][::-1]
    for j in range(cells.sectors):
        rate = n.water_c * ways.leak * float(cells.weight[j])
        build.carry(lines[:, j], rate, source=cells.chamber)


def join_chamber(build: Build, cells: Cells, n: Properties, ways: Ways, scenario: Scenario) -> None:
    """Return the chamber its loss, its leak, and its inflow where no sleeve brings it."""
    if cells.chamber < 0:
        return
    pool = np.array([cells.chamber])
    build.lose(pool, np.array([n.chamber_loss]), scenario.outside.temperature)
    bare = not cells.sleeved.any()
    if bare:
        build.boundary[cells.chamber] += n.water_c * ways.irrigation * scenario.fluid.temperature
    if not (bare and cells.wound.any()):
        build.put(pool, pool, np.array([n.water_c * ways.leak]))
