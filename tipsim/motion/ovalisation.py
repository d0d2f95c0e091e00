"""How much more a bend gives to bending than a straight tube: its section turns oval.

Von Kármán's one harmonic (1911): bending a bent tube flattens it by w cos 2 phi, and the flattened
tube is softer. Straight neighbours, and bends to the other side, hold the section round, for an
oval that changes along the tube warps it (semi-membrane shell; Vlasov 1949). Per length, over EI,
with curvature k of the centreline and its change K, mean radius r, wall t and w over 4 r:

    K²/2 - 3 k K w + (12 t² / (1 - nu²) r⁴ + 10 k²) w²/2 + 6 t² / (1 + nu) r² w'²/2 + r² w''²/2

so that  r² w'''' - 6 t²/(1 + nu) r² w'' + (12 t²/(1 - nu²) r⁴ + k²) w = 3 k M/EI  and
K = M/EI (1 + 3 k w). A long bend gives von Kármán's factor (10 + 12 l²) / (1 + 12 l²) with
l = t / k r².
"""

import numpy as np
import scipy

from tipsim.motion.sections import Floats
from tipsim.setup.needle import Needle

STEP = 0.05
"""Grid of the oval's course, in mean radii of the tube."""
REACH = 4.0
"""How far beyond the bends it is followed, in mean radii: it dies away within one."""


def softness(needle: Needle, s: Floats, outer: Floats, inner: Floats) -> Floats:
    """Return how many times as much a needle bends at some places by turning oval.

    The moment is taken as even along a bend, the wall as thin, and the tube as it is at the middle
    of its bends.

    Parameters
    ----------
    s, outer, inner : (m,) arrays
        Distances from the hub, and radii there [m].

    Examples
    --------
    >>> from tipsim.setup.catalogue import needle
    >>> straight, places = needle("straight-medium"), np.array([10e-3])
    >>> float(softness(straight, places, *straight.radii_at(places))[0])
    1.0
    """
    turns = np.array([p.turn / p.length for p in needle.pieces])
    bent = np.flatnonzero(turns)
    if not len(bent):
        return np.ones(len(s))
    joints = needle.joints
    middle = int(
        np.searchsorted(s, (joints[bent[0]] + joints[bent[-1] + 1]) / 2).clip(0, len(s) - 1)
    )
    a, b = float(inner[middle]), float(outer[middle])
    r, wall, nu = (a + b) / 2, b - a, needle.material.poisson
    h = STEP * r
    x = np.arange(joints[bent[0]] - REACH * r, joints[bent[-1] + 1] + REACH * r, h)
    place = np.clip(np.searchsorted(joints, x, side="right") - 1, 0, len(turns) - 1)
    curve = turns[place]
    stiff = 12 * wall**2 / ((1 - nu**2) * r**4) + curve**2
    pull, warp = 6 * wall**2 / ((1 + nu) * r**2) / h**2, r**2 / h**4
    band = np.empty((3, len(x)))
    band[0], band[1], band[2] = warp, -4 * warp - pull, 6 * warp + 2 * pull + stiff
    oval = scipy.linalg.lapack.dpbsv(band, 3 * curve)[1]
    here = turns[np.clip(np.searchsorted(joints, s, side="right") - 1, 0, len(turns) - 1)]
    return np.asarray(1 + 3 * here * np.interp(s, x, oval))
