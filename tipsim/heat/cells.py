"""How needle, fluid, sleeve and tissue are cut into cells."""

import numpy as np
from numpy.typing import NDArray

from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario

LAYERS = ("metal", "annulus", "inner", "outer", "near", "far")
"""Layers that have sectors: metal, fluid in the sleeve, two of silicone, two of tissue."""
POOLED = ("chamber", "wound")
"""Surroundings with a chamber: a lump of fluid that the end stands in."""


@described(eq=False)
class Cells:
    """The grid of one needle."""

    edges: Floats = about("Edges of the slices from the hub [m], shape (n+1,).")
    sectors: int = about(
        "Sectors of half the circumference, the pressed side first; mirror-symmetric."
    )
    weight: Floats = about(
        "Share of the circumference that each sector stands for; sums to 1. Shape (m,)."
    )
    sleeved: NDArray[np.bool_] = about(
        "Slices inside the sleeve, and inside the wound, shape (n,)."
    )
    wound: NDArray[np.bool_]
    wet: NDArray[np.bool_] = about(
        "Slices whose surface stands in the chamber's fluid, shape (n,)."
    )
    bore: Floats = about(
        "Inner and outer radius of the metal, outer radius of the annulus (that of the metal "
        "without one; a bare needle has one in the wound), and of the sleeve [m]. Shape "
        "(n,)."
    )
    wall: Floats
    gap_outer: Floats
    sleeve_outer: Floats
    index: dict[str, NDArray[np.intp]] = about(
        'Number of each cell; -1 without one. "bore" has one cell a slice, (n, 1). Shape (n, m).'
    )
    chamber: int = about("Number of the chamber's cell; -1 where there is no chamber.")
    size: int = about("Cells in all.")

    @property
    def step(self) -> Floats:
        """Lengths of the slices [m], shape (n,)."""
        return np.diff(self.edges)

    @property
    def middle(self) -> Floats:
        """Middles of the slices from the hub [m], shape (n,)."""
        return (self.edges[1:] + self.edges[:-1]) / 2

    @property
    def fluid_volume(self) -> Floats:
        """Fluid in each cell of annulus and bore [m³], 0 in all others, shape (k,)."""
        out = np.zeros(self.size)
        annulus = np.pi * (self.gap_outer**2 - self.wall**2) * self.step
        bore = np.pi * self.bore**2 * self.step
        for layer, volume in (("annulus", annulus[:, None] * self.weight), ("bore", bore[:, None])):
            there = self.index[layer] >= 0
            out[self.index[layer][there]] = np.broadcast_to(volume, there.shape)[there]
        return out

    def angles(self) -> Floats:
        """Middle of each sector from the pressed side [rad], shape (m,)."""
        return np.linspace(0, np.pi, self.sectors) if self.sectors > 1 else np.zeros(1)


def cut(scenario: Scenario, slices: int = 80, sectors: int = 8) -> Cells:
    """Cut a bench into cells.

    Parameters
    ----------
    slices : int
        Along the needle; the sleeve's end falls on an edge.
    sectors : int
        Around the whole circumference, even, or 1; half of them are computed.
    """
    needle = scenario.needle
    end = scenario.sleeve_end
    if scenario.sleeve is None:
        edges = np.linspace(0, needle.length, slices + 1)
    else:
        inside = max(2, round(slices * end / needle.length))
        outside = max(1, slices - inside)
        edges = np.concatenate(
            [np.linspace(0, end, inside + 1), np.linspace(end, needle.length, outside + 1)[1:]]
        )
    middle = (edges[1:] + edges[:-1]) / 2
    outer, inner = needle.radii_at(middle)
    half = sectors // 2 + 1 if sectors > 1 else 1
    weight = np.full(half, 1.0)
    if half > 1:
        weight[[0, -1]] = 0.5
    weight /= weight.sum()
    sleeved = middle < end
    kind = scenario.outside.kind
    wound, wet = _wound_and_wet(scenario, middle)
    gap_outer, sleeve_outer = outer.copy(), outer.copy()
    if scenario.sleeve is not None:
        gap_outer = np.where(sleeved, scenario.sleeve.radius_around(needle, outer), outer)
        sleeve_outer = np.where(sleeved, gap_outer + scenario.sleeve.wall, outer)
    elif wound.any():
        gap_outer = sleeve_outer = np.where(wound, outer + scenario.incision.bare_gap, outer)
    index, size = _number(len(middle), half, sleeved, wound)
    chamber, size = (size, size + 1) if kind in POOLED else (-1, size)
    radii = (inner, outer, gap_outer, sleeve_outer)
    return Cells(edges, half, weight, sleeved, wound, wet, *radii, index, chamber, size)


def in_incision(scenario: Scenario, middle: Floats) -> NDArray[np.bool_]:
    """Return which slices lie in the incision, by their middles from the hub (n,) [m]."""
    near, far = scenario.incision.span
    from_tip = scenario.needle.length - middle
    return (from_tip > near) & (from_tip < far)


def _wound_and_wet(
    scenario: Scenario, middle: Floats
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Return which slices the wound holds and which the chamber's fluid wets."""
    kind = scenario.outside.kind
    if kind != "wound":
        return np.zeros(len(middle), dtype=bool), np.full(len(middle), kind == "chamber")
    inside = scenario.needle.length - scenario.incision.insertion
    return in_incision(scenario, middle), middle >= inside


def _number(
    n: int, half: int, sleeved: NDArray[np.bool_], wound: NDArray[np.bool_]
) -> tuple[dict[str, NDArray[np.intp]], int]:
    """Number the cells slice by slice, so that the matrix stays narrow."""
    index = {layer: np.full((n, half), -1, dtype=np.intp) for layer in LAYERS}
    index["bore"] = np.full((n, 1), -1, dtype=np.intp)
    count = 0
    for i in range(n):
        present = ["bore", "metal"]
        present += ["annulus", "inner", "outer"] if sleeved[i] else []
        present += ["annulus"] if wound[i] and not sleeved[i] else []
        present += ["near", "far"] if wound[i] else []
        for layer in present:
            width = index[layer].shape[1]
            index[layer][i] = np.arange(count, count + width)
            count += width
    return index, count


def spread_around(full: Cells, one: Cells) -> NDArray[np.intp]:
    """Return for each cell that of the same layer and slice in a bench of one sector (k,)."""
    out = np.full(full.size, one.chamber)
    for layer, index in full.index.items():
        same = np.broadcast_to(one.index[layer], index.shape)
        out[index[index >= 0]] = same[index >= 0]
    return out
