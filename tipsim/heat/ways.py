"""How the fluid goes past the slices and around what presses on the sleeve."""

import numpy as np
from numpy.typing import NDArray

from tipsim.flow.balance import Flows, flows
from tipsim.heat.cells import Cells
from tipsim.heat.sources import pressed
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.flow import Flow
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press


@described(eq=False)
class Ways:
    """Flows by place [m³/s]."""

    irrigation: float = about("Into sleeve or chamber from the bottle, and out of the wound.")
    leak: float
    annulus: Floats = about(
        "Through each face of the k sleeved slices and each sector, from the hub, shape (k+1, m)."
    )
    off_annulus: Floats = about(
        "Drawn off from each cell, through the hole and the ports, shape (k, m)."
    )
    bore: Floats = about("Through each face, from the hub; at the mouth the last. Shape (n+1,).")
    hole: int = about("Slice of the bypass hole; -1 without one.")
    port: int = about("Slice of the ports; -1 without a sleeve.")


def ways(scenario: Scenario, cells: Cells, flow: Flow | None, closed: Floats) -> Ways:
    """Send the flows of the bench along the slices.

    Parameters
    ----------
    flow : Flow or None
        Setting at this moment; the scenario's own when absent.
    closed : (n, m) array
        Share of each cell of the annulus that is pressed shut, from `pressed_shut`.

    Returns
    -------
    Ways
        Fluid that would run backwards out of the mouth, fed by the hole while the pump rests, is
        left out. The ports and the sleeve's open end share what leaves by their areas. A bare
        needle has its irrigation from a second instrument: as much as leaves.
    """
    leak = None if cells.sleeved.any() else (flow or scenario.flow).leak
    return placed(scenario, cells, flows(scenario, flow), closed, leak)


def placed(
    scenario: Scenario, cells: Cells, found: Flows, closed: Floats, leak: float | None = None
) -> Ways:
    """Send flows that are known along the slices; see `ways`.

    Parameters
    ----------
    leak : float, optional
        What leaks around a bare needle [m³/s]; that of the flows when absent.
    """
    n, inside = len(cells.middle), int(cells.sleeved.sum())
    mouth = max(found.mouth, 0.0)
    bypass = found.bypass if found.mouth >= 0 and inside else 0.0
    leak = found.leak if leak is None else leak
    hole = _slice(cells, scenario.needle.bypass_distance) if bypass else -1
    bypass, hole = (bypass, hole) if hole < inside else (0.0, -1)
    irrigation = mouth + bypass + leak
    bore = np.full(n + 1, mouth)
    total = np.full(inside + 1, irrigation)
    if hole >= 0:
        bore[: hole + 1] += bypass
        total[hole + 1 :] -= bypass
    port = -1
    if scenario.sleeve is not None and inside:
        port = max(_slice(cells, scenario.sleeve_end - scenario.sleeve.port_distance), 0)
        holes = 2 * np.pi / 4 * scenario.sleeve.port_diameter**2
        end = np.pi * (cells.gap_outer[inside - 1] ** 2 - cells.wall[inside - 1] ** 2)
        total[port + 1 :] *= end / (holes + end)
    shares = _shares(cells, closed[:inside])
    annulus = total[:, None] * shares
    off = (total[:-1] - total[1:])[:, None] * shares[:-1]
    return Ways(irrigation, leak, annulus, off, bore, hole, port)


def _slice(cells: Cells, place: float) -> int:
    """Return the slice at a distance from the hub [m]."""
    return int(np.searchsorted(cells.edges, place) - 1)


def _shares(cells: Cells, closed: Floats) -> Floats:
    """Return each sector's share of the flow at the faces of sleeved slices, (k+1, m)."""
    faces = np.zeros((len(closed) + 1, cells.sectors))
    faces[:-1] = closed
    faces[1:] = np.maximum(faces[1:], closed)
    open_ = cells.weight * (1 - faces)
    return np.asarray(open_ / open_.sum(axis=1, keepdims=True))


def pressed_shut(scenario: Scenario, cells: Cells, press: Press | None) -> Floats:
    """Return the share of each cell of the annulus that a load presses shut, (n, m)."""
    out = np.zeros((len(cells.middle), cells.sectors))
    if press is None or not cells.sleeved.any():
        return out
    along = pressed(scenario, press, cells.edges) / cells.step
    along = np.where(cells.sleeved, along, 0.0)
    return np.asarray(along[:, None] * covered(cells, press))


def covered(cells: Cells, press: Press) -> Floats:
    """Return the share of each sector that a load's arc covers, (m,), 0 to 1."""
    if cells.sectors < 2:
        return np.full(1, press.arc / (2 * np.pi))
    low, high = sector_edges(cells)
    inside = np.clip(np.minimum(high, press.arc / 2) - low, 0, None)
    return np.asarray(inside / (high - low))


def pressed_sectors(cells: Cells, press: Press) -> Floats:
    """Return the share of a load that falls on each sector, (m,); sums to 1."""
    if cells.sectors < 2:
        return np.ones(1)
    low, high = sector_edges(cells)
    share = covered(cells, press) * (high - low)
    return np.asarray(share / share.sum())


def sector_edges(cells: Cells) -> tuple[Floats, Floats]:
    """Return where each sector of half the circumference begins and ends [rad], (m,) each."""
    angle = cells.angles()
    half = np.pi / (cells.sectors - 1) / 2
    return np.clip(angle - half, 0, np.pi), np.clip(angle + half, 0, np.pi)


def crossings(rates: Floats, off: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Return what runs from sector to sector in each slice.

    Parameters
    ----------
    rates : (k+1, m) array
        Flow through faces by sector.
    off : (k, m) array
        Drawn off from cells.

    Returns
    -------
    (c, 3) array of int
        Slice, sector that gives, sector that takes.
    (c,) array
        Flow, as `rates`.
    """
    spare = rates[:-1] - rates[1:] - off
    gives, takes = np.clip(spare, 0, None), np.clip(-spare, 0, None)
    total = takes.sum(axis=1)
    share = np.divide(takes, total[:, None], out=np.zeros_like(takes), where=total[:, None] > 0)
    amount = gives[:, :, None] * share[:, None, :]
    where = np.argwhere(amount > 1e-9 * rates.max(initial=1e-30))
    return where, amount[tuple(where.T)]
