"""A drawing of the chain of nodes, to scale, from the default single-bend needle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tipsim.app.about.results import defaults
from tipsim.setup.centreline import Floats
from tipsim.setup.needle import Needle

SCALE = 22e3
"""Drawing units for each metre."""
LEFT, MIDDLE = 34.0, 74.0
"""Where the hub's middle stands in the drawing."""
STEP = 1e-3
"""Greatest distance between drawn nodes [m]; the model's own stand closer."""


@dataclass(frozen=True)
class Spot:
    """A place in the drawing, in its units."""

    x: float
    y: float


@dataclass(frozen=True)
class Figure:
    """Paths and places of the drawing.

    Attributes
    ----------
    tube, sleeve, water : str
        Closed paths: the needle's outline, the sleeve's outside, and what it holds.
    chain : str
        Open path through the drawn nodes.
    nodes : tuple of Spot
        The drawn nodes, hub first.
    marks : tuple of (number, Spot, Spot)
        Numbers of the legend: where each stands and what it points at.
    drawn, modelled : int
        Nodes in the drawing and in the model.
    """

    tube: str
    sleeve: str
    water: str
    chain: str
    nodes: tuple[Spot, ...]
    marks: tuple[tuple[int, Spot, Spot], ...]
    drawn: int
    modelled: int


def spots(points: Floats) -> tuple[Spot, ...]:
    """Put points (n, 3) [m] into the drawing.

    >>> spots(np.array([[1e-3, 0.5e-3, 0.0]]))
    (Spot(x=56.0, y=63.0),)
    """
    return tuple(
        Spot(round(LEFT + float(x) * SCALE, 1), round(MIDDLE - float(y) * SCALE, 1))
        for x, y, _ in points
    )


def path(places: tuple[Spot, ...], closed: bool = True) -> str:
    """Write places as a path.

    >>> path((Spot(0.0, 0.0), Spot(1.5, 2.0)), closed=False)
    'M0.0 0.0L1.5 2.0'
    """
    return "M" + "L".join(f"{p.x} {p.y}" for p in places) + ("Z" if closed else "")


def strip(needle: Needle, s: Floats, radius: Floats) -> str:
    """Draw a band of half width `radius` [m] along the centreline at distances `s` [m]."""
    points = needle.points_at(s)
    ahead = needle.points_at(np.minimum(s + 1e-6, needle.length))
    back = needle.points_at(np.maximum(s - 1e-6, 0))
    way = (ahead - back) / np.linalg.norm(ahead - back, axis=1)[:, None]
    aside = np.column_stack([-way[:, 1], way[:, 0], np.zeros(len(s))]) * radius[:, None]
    return path(spots(np.concatenate([points + aside, (points - aside)[::-1]])))


def figure() -> Figure:
    """Draw the default single-bend needle in its sleeve."""
    result = defaults().single
    needle, sleeve = result.scenario.needle, result.scenario.sleeve
    assert sleeve is not None
    fine = needle.stations(0.2e-3)
    covered = np.linspace(needle.taper_length, result.scenario.sleeve_end, 60)
    nodes = needle.stations(STEP, (result.scenario.sleeve_end,))
    places = spots(needle.points_at(nodes))
    return Figure(
        strip(needle, fine, needle.radii_at(fine)[0]),
        strip(needle, covered, np.full(60, sleeve.outer_radius)),
        strip(needle, covered, np.full(60, sleeve.inner_radius)),
        path(places, closed=False),
        places,
        _marks(needle, nodes, sleeve.inner_radius, sleeve.wall),
        len(nodes),
        result.motion.frame.n,
    )


def _marks(
    needle: Needle, nodes: Floats, inner: float, wall: float
) -> tuple[tuple[int, Spot, Spot], ...]:
    """Place the legend's numbers above and below what they stand for."""
    at = needle.points_at
    node, middle = nodes[8], (nodes[10] + nodes[11]) / 2
    gap = (needle.outer_radius + inner) / 2
    targets = [
        (at([0.0])[0], 0.0, 66),
        (at([node])[0], 0.0, -56),
        (at([middle])[0], 0.0, -56),
        (at([12.2e-3])[0], -gap, 48),
        (at([9.2e-3])[0], -inner - wall / 2, 48),
        (at([needle.length])[0], 0.0, -56),
    ]
    out = []
    for i, (point, aside, far) in enumerate(targets, 1):
        (spot,) = spots((point + [0, aside, 0])[None])
        # The last one points at the mouth from further out.
        beside = spot.x + (8 if i == len(targets) else 0)
        out.append((i, Spot(round(beside, 1), round(MIDDLE + far, 1)), spot))
    return tuple(out)
