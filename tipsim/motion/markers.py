"""Tracked points on the needle."""

import math

import numpy as np

from tipsim.motion.lumped import Complexes
from tipsim.motion.steady import Vibration
from tipsim.motion.travel import at, stroke
from tipsim.setup.described import about, described

WITH, AGAINST, ACROSS, STILL = "with the end", "against the end", "across", "still"
STILL_SHARE = 0.02
"""A point that travels less than this share of the end's stroke counts as still; a convention."""


@described(eq=False)
class Marker:
    """One tracked point on the centreline."""

    distance: float = about("Distance from the end along the centreline [m].")
    amplitude: Complexes = about("Displacement amplitude, half of the stroke [m], shape (3,).")
    stroke: float = about("Peak-to-peak travel [m].")
    phase: float = about(
        "Phase against the end's motion [rad], -pi to pi: 0 moves with it, pi against it."
    )
    direction: str = about(
        '"with the end", "against the end", "across" (neither, by phase or by direction) or '
        '"still".'
    )


def track(vibration: Vibration, distances: tuple[float, ...]) -> tuple[Marker, ...]:
    """Return the motion of points on the centreline.

    Parameters
    ----------
    distances : tuple of float
        Distances from the end (the last node) [m].

    Returns
    -------
    tuple of Marker
        In the order of `distances`.
    """
    frame = vibration.frame
    length = frame.s[-1]
    u = at(frame, vibration.displacement, [length - d for d in distances])[:, :3]
    end = vibration.displacement[-1, :3]
    travels, whole = stroke(u).tolist(), float(stroke(end))
    # Means of the two velocities' products over a cycle, as complex numbers. Scaled, or the squares
    # of a very small motion would be 0; by a power of two, which rounds nothing.
    scale = 2.0 ** math.frexp(whole)[1]
    v, w = u / scale, end / scale
    products = (v @ w.conj()).tolist()
    sizes = np.sqrt((np.abs(v) ** 2).sum(axis=1) * (np.abs(w) ** 2).sum()).tolist()
    return tuple(
        _marker(*one, whole) for one in zip(distances, u, travels, products, sizes, strict=True)
    )


def _marker(
    distance: float,
    amplitude: Complexes,
    travel: float,
    common: complex,
    size: float,
    whole: float,
) -> Marker:
    if whole == 0 or travel < STILL_SHARE * whole:
        return Marker(distance, amplitude, travel, 0.0, STILL)
    alike = common.real / size
    direction = WITH if alike > 0.5 else AGAINST if alike < -0.5 else ACROSS
    return Marker(distance, amplitude, travel, float(np.angle(common)), direction)
