"""What kind of motion it is: shaft or end, where it stands still, how the mouth's edge travels."""

from dataclasses import dataclass

import numpy as np

from tipsim.motion.frame import Complexes
from tipsim.motion.sections import Floats
from tipsim.motion.steady import Vibration
from tipsim.motion.travel import sideways, stroke

NODE_DEPTH = 0.1
"""A lowest place counts as a node below this share of the largest sideways stroke; a convention."""
HUB_SHARE = 0.05
"""The hub stands still by itself: its share of the length holds no node; a convention."""
NOTHING = 1e-9
"""Sideways motion below this share of all motion is rounding, not motion."""


@dataclass(frozen=True)
class Character:
    """Shares of the sideways motion.

    Attributes
    ----------
    shaft_stroke : float
        Largest sideways stroke between hub taper and first bend [m].
    shaft_rms : float
        Root-mean-square sideways displacement there, over place and time [m].
    pendular_share, whip_share : float or None
        Share of the sideways kinetic energy (metal and water) that lies between hub and first
        bend, and between first bend and mouth; they sum to 1. None without sideways motion.
    """

    shaft_stroke: float
    shaft_rms: float
    pendular_share: float | None
    whip_share: float | None


def sideways_stroke(vibration: Vibration) -> Floats:
    """Give the sideways stroke at each node [m], shape (n,)."""
    frame = vibration.frame
    return stroke(sideways(vibration.displacement[:, :3], frame.node_tangent))


def surface_stroke(vibration: Vibration) -> Floats:
    """Give the peak-to-peak travel of the surface by turning alone [m], per segment (n-1,)."""
    frame = vibration.frame
    turn = (vibration.displacement[:, 3:] * frame.node_tangent).sum(axis=1)
    return np.asarray(np.abs(turn[:-1] + turn[1:]) * frame.section.outer)


def characterise(vibration: Vibration, taper: float, first_bend: float) -> Character:
    """Split the sideways motion between shaft and bent end.

    Parameters
    ----------
    vibration : Vibration
    taper, first_bend : float
        Distances from the hub where the taper ends and the first bend begins [m]; a straight
        needle's first bend is its mouth.

    Returns
    -------
    Character
    """
    frame = vibration.frame
    # The tangent of the segment before the bend, so that a node on the bend counts as shaft.
    flat = sideways(vibration.displacement[:, :3], frame.node_tangent)
    square = (np.abs(flat) ** 2).sum(axis=1)
    tiny = 1e-12
    shaft = (frame.s >= taper - tiny) & (frame.s <= first_bend + tiny)
    if shaft.sum() < 2:
        shaft = frame.s <= first_bend + tiny
    s = frame.s[shaft]
    span = float(s[-1] - s[0])
    # A needle bent from the hub on has no shaft: only the hub itself stands for it.
    mean_square = float(np.trapezoid(square[shaft], s)) / span if span else float(square[0])
    return Character(
        float(stroke(flat[shaft]).max()),
        float(np.sqrt(mean_square / 2)),
        *_shares(vibration, flat, first_bend),
    )


def _shares(
    vibration: Vibration, flat: Complexes, first_bend: float
) -> tuple[float | None, float | None]:
    frame = vibration.frame
    around = np.broadcast_to(np.asarray(frame.around.sideways_mass, float), frame.length.shape)
    per_metre = frame.material.density * frame.section.area + around
    square = (np.abs(flat) ** 2).sum(axis=1)
    energy = per_metre * frame.length * (square[1:] + square[:-1]) / 2
    everything = (
        per_metre * frame.length * (np.abs(vibration.displacement[1:, :3]) ** 2).sum(axis=1)
    )
    whole, all_motion = float(energy.sum()), float(everything.sum())
    if whole <= NOTHING * all_motion or whole == 0:
        return None, None
    in_shaft = (frame.s[1:] + frame.s[:-1]) / 2 < first_bend
    pendular = float(energy[in_shaft].sum()) / whole
    return pendular, 1 - pendular


def nodes(vibration: Vibration) -> tuple[float, ...]:
    """Find the places that stand still sideways, apart from the hub.

    Returns
    -------
    tuple of float
        Distances from the end along the centreline [m], nearest first. A place counts where the
        sideways stroke is lowest and below a tenth of the largest.
    """
    frame = vibration.frame
    whole = stroke(vibration.displacement[:, :3]).max()
    travel = sideways_stroke(vibration)
    if whole == 0 or travel.max() <= NOTHING**0.5 * whole:
        return ()
    # Near a node the stroke is linear with a kink, so its square is a smooth parabola.
    square = travel**2
    low = np.flatnonzero((square[1:-1] <= square[:-2]) & (square[1:-1] < square[2:])) + 1
    out = []
    for i in low:
        if square[i] <= (NODE_DEPTH * travel.max()) ** 2 and frame.s[i] >= HUB_SHARE * frame.s[-1]:
            out.append(float(frame.s[-1] - _lowest(frame.s[i - 1 : i + 2], square[i - 1 : i + 2])))
    return tuple(sorted(out))


def _lowest(x: Floats, y: Floats) -> float:
    """Give the lowest place of the parabola through three points."""
    left, right = x[1] - x[0], x[2] - x[1]
    down, up = (y[0] - y[1]) / left, (y[2] - y[1]) / right
    curvature = down + up
    return (
        float(x[1] + (down * right - up * left) / (2 * curvature)) if curvature > 0 else float(x[1])
    )


def edge_stroke(vibration: Vibration, outer_radius: float, bevel: float) -> float:
    """Give the largest stroke on the rim of the mouth [m].

    Parameters
    ----------
    vibration : Vibration
    outer_radius : float
        At the mouth [m].
    bevel : float
        Angle of the mouth's plane to a square cut [rad], turned in the bend plane.

    Returns
    -------
    float
        Peak to peak: the centre's displacement plus what the end's rotation adds at the rim.
    """
    frame = vibration.frame
    t = frame.tangent[-1]
    out_of_plane = np.array([0.0, 0.0, 1.0])
    aside = np.cross(out_of_plane, t)
    angle = np.linspace(0, 2 * np.pi, 72, endpoint=False)[:, None]
    rim = np.cos(angle) * aside + np.sin(angle) * out_of_plane + np.cos(angle) * np.tan(bevel) * t
    u = vibration.displacement[-1, :3] + np.cross(
        vibration.displacement[-1, 3:], outer_radius * rim
    )
    return float(stroke(u).max())
