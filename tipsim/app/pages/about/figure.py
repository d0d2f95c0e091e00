"""A drawing of the chain of nodes, to scale, from the default single-bend needle."""

from __future__ import annotations

from typing import Any

import numpy as np

from tipsim.app.pages.about.results import defaults
from tipsim.setup.centreline import Floats
from tipsim.setup.needle import Needle

SCALE = 22e3
"""Drawing units for each metre."""
LEFT, MIDDLE = 34.0, 74.0
"""Where the hub's middle stands in the drawing."""
STEP = 1e-3
"""Greatest distance between drawn nodes [m]; the model's own are closer."""

Spot = tuple[float, float]


def spots(points: Floats) -> list[Spot]:
    """Put points (n, 3) [m] into the drawing.

    >>> spots(np.array([[1e-3, 0.5e-3, 0.0]]))
    [(56.0, 63.0)]
    """
    return [
        (round(LEFT + float(x) * SCALE, 1), round(MIDDLE - float(y) * SCALE, 1))
        for x, y, _ in points
    ]


def path(places: list[Spot], closed: bool = True) -> str:
    """Write places as a path.

    >>> path([(0.0, 0.0), (1.5, 2.0)], closed=False)
    'M0.0 0.0L1.5 2.0'
    """
    return "M" + "L".join(f"{x} {y}" for x, y in places) + ("Z" if closed else "")


def strip(needle: Needle, s: Floats, radius: Floats | float) -> str:
    """Draw a band of half width `radius` [m] along the centreline at distances `s` [m]."""
    points = needle.points_at(s)
    way = needle.points_at(np.minimum(s + 1e-6, needle.length)) - needle.points_at(
        np.maximum(s - 1e-6, 0)
    )
    way /= np.linalg.norm(way, axis=1)[:, None]
    aside = np.column_stack([-way[:, 1], way[:, 0], 0 * s]) * np.reshape(radius, (-1, 1))
    return path(spots(np.concatenate([points + aside, (points - aside)[::-1]])))


def figure() -> dict[str, Any]:
    """Draw the default single-bend needle in its sleeve.

    Returns
    -------
    dict
        Paths ``tube``, ``sleeve``, ``water``, ``chain``; ``nodes`` (places, hub first); ``marks``
        (number of the legend, where it stands, what it points at); nodes ``drawn`` and
        ``modelled``.
    """
    result = defaults().single
    needle, sleeve = result.scenario.needle, result.scenario.sleeve
    assert sleeve is not None
    fine = needle.stations(0.2e-3)
    covered = np.linspace(needle.taper_length, result.scenario.sleeve_end, 60)
    nodes = needle.stations(STEP, (result.scenario.sleeve_end,))
    places = spots(needle.points_at(nodes))
    gap = (needle.outer_radius + sleeve.inner_radius) / 2
    # What each number of the legend points at: distance from the hub, aside of the centreline
    # [m]; and how far above or below the middle it stands.
    targets = (
        (0.0, 0.0, 66),
        (nodes[8], 0.0, -56),
        ((nodes[10] + nodes[11]) / 2, 0.0, -56),
        (12.2e-3, -gap, 48),
        (9.2e-3, -sleeve.inner_radius - sleeve.wall / 2, 48),
        (needle.length, 0.0, -56),
    )
    marks = []
    for i, (s, aside, far) in enumerate(targets, 1):
        ((x, y),) = spots(needle.points_at([s]) + [0, aside, 0])
        # The last one points at the opening from further out.
        marks.append((i, (round(x + (8 if i == len(targets) else 0), 1), MIDDLE + far), (x, y)))
    return {
        "tube": strip(needle, fine, needle.radii_at(fine)[0]),
        "sleeve": strip(needle, covered, sleeve.outer_radius),
        "water": strip(needle, covered, sleeve.inner_radius),
        "chain": path(places, closed=False),
        "nodes": places,
        "marks": marks,
        "drawn": len(nodes),
        "modelled": result.motion.frame.n,
    }
