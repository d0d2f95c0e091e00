"""What a needle measures: thinnest wall, tightest bend, metal."""

import numpy as np

from tipsim.setup.needle import Needle


def least_wall(needle: Needle) -> float:
    """Return the thinnest wall [m]; it lies at a joint or where the taper ends."""
    outer, inner = needle.radii_at([*needle.joints, needle.taper_length])
    return float((outer - inner).min())


def least_bend_radius(needle: Needle) -> float | None:
    """Return the tightest bend's radius along the centreline [m]; None for a straight needle."""
    return min((p.length / abs(p.turn) for p in needle.pieces if p.turn), default=None)


def metal_mass(needle: Needle) -> float:
    """Return the mass of the metal [kg]; bevel and bypass hole take nothing away.

    m = rho pi int (R^2 - r^2) ds. Between breaks both radii run straight, so Simpson's rule is
    exact.
    """
    s = np.unique([*needle.joints, needle.taper_length])
    middle = (s[1:] + s[:-1]) / 2
    area = []
    for place in (s[:-1], middle, s[1:]):
        outer, inner = needle.radii_at(place)
        area.append(np.pi * (outer**2 - inner**2))
    volume = ((area[0] + 4 * area[1] + area[2]) * np.diff(s) / 6).sum()
    return float(needle.material.density * volume)
