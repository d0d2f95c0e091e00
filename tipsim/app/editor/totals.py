"""What a needle comes to: lengths, turn, walls, bends, metal."""

from __future__ import annotations

import numpy as np

from tipsim.setup.needle import Needle
from tipsim.setup.units import DEG, MM

Row = dict[str, str]


def totals(needle: Needle) -> list[Row]:
    """Give the totals of a needle: ``id``, ``label`` and ``value``.

    Examples
    --------
    >>> from tipsim.setup.catalogue import needle
    >>> [row["value"] for row in totals(needle("single-bend-20-0.9"))]
    ['18.4 mm', '20° to the left', '1.26 mm', '0.103 mm', '1.83 mm', '57.6 mg']
    """
    bend = least_bend_radius(needle)
    aside = float(needle.points_at([needle.length])[0, 1])
    return [
        {"id": "length", "label": "Length along the line", "value": MM.show(needle.length)},
        {"id": "turn", "label": "Turn in all", "value": turned(needle.total_turn)},
        {"id": "aside", "label": "End off the hub's axis", "value": MM.show(abs(aside), 3)},
        {"id": "wall", "label": "Thinnest wall", "value": MM.show(least_wall(needle), 3)},
        {
            "id": "bend",
            "label": "Tightest bend, radius",
            "value": MM.show(bend, 3) if bend else "none",
        },
        {"id": "mass", "label": "Metal", "value": f"{metal_mass(needle) * 1e6:.3g} mg"},
    ]


def turned(angle: float) -> str:
    """Say an angle and its side.

    >>> turned(0.0), turned(-0.34906585)
    ('none', '20° to the right')
    """
    if abs(angle) < 1e-9:
        return "none"
    return f"{DEG.show(abs(angle))} to the {'left' if angle > 0 else 'right'}"


def least_wall(needle: Needle) -> float:
    """Give the thinnest wall [m]; it lies at a joint or where the taper ends."""
    outer, inner = needle.radii_at([*needle.joints, needle.taper_length])
    return float((outer - inner).min())


def least_bend_radius(needle: Needle) -> float | None:
    """Give the tightest bend's radius along the centreline [m]; None for a straight needle."""
    return min((p.length / abs(p.turn) for p in needle.pieces if p.turn), default=None)


def metal_mass(needle: Needle) -> float:
    """Give the mass of the metal [kg]; the bevel takes nothing away, a bypass hole is left out.

    Between breaks both radii run straight, so Simpson's rule is exact.
    """
    s = np.unique([*needle.joints, needle.taper_length])
    middle = (s[1:] + s[:-1]) / 2
    area = []
    for place in (s[:-1], middle, s[1:]):
        outer, inner = needle.radii_at(place)
        area.append(np.pi * (outer**2 - inner**2))
    volume = ((area[0] + 4 * area[1] + area[2]) * np.diff(s) / 6).sum()
    return float(needle.material.density * volume)
