"""Character of a motion: shaft or tip, still points, and travel of the rim of the opening."""

import numpy as np
from numpy.typing import NDArray

from tipsim.motion.lumped import Complexes, Lumped
from tipsim.motion.sections import Floats
from tipsim.motion.segments import POINTS, WEIGHTS
from tipsim.motion.steady import Vibration
from tipsim.motion.travel import cross, inside, sideways, stroke
from tipsim.setup.described import about, described

STILL_DEPTH = 0.1
"""A lowest point counts as still below this share of the largest sideways stroke; a convention."""
HUB_SHARE = 0.05
"""The hub stands still by itself: its share of the length holds no still point; a convention."""
SAME_PLACE = 1e-12
"""Places closer than this are one and the same [m]."""
NOTHING = 1e-9
"""Sideways motion below this share of all motion is rounding, not motion."""
_ROUND = [way(np.linspace(0, 2 * np.pi, 72, endpoint=False))[:, None] for way in (np.cos, np.sin)]
"""Places on the mouth's rim."""


@described()
class Character:
    """Shares of the sideways motion."""

    shaft_stroke: float = about("Largest sideways stroke of the shaft [m]; see `shaft_nodes`.")
    shaft_rms: float = about(
        "Root-mean-square sideways displacement of the shaft, over place and time [m]."
    )
    shaft_turning: float = about(
        "Largest travel of the shaft's surface by turning alone, peak to peak [m]."
    )
    pendular_share: float | None = about(
        "Share of the sideways kinetic energy (metal and water) that lies between hub and first "
        "bend, and between first bend and mouth; they sum to 1. None without sideways motion."
    )
    whip_share: float | None


def sideways_stroke(vibration: Vibration) -> Floats:
    """Return the sideways stroke at each node [m], shape (n,)."""
    frame = vibration.frame
    return stroke(sideways(vibration.displacement[:, :3], frame.node_tangent))


def signed_stroke(vibration: Vibration) -> Floats:
    """Return the sideways stroke at each node [m], below 0 where it is out of step with the tip.

    Out of step: Re(u . conj(u_tip)) < 0, the mean product of both velocities over a cycle.
    """
    frame = vibration.frame
    u = sideways(vibration.displacement[:, :3], frame.node_tangent)
    return np.where((u * u[-1].conj()).sum(axis=1).real < 0, -1, 1) * stroke(u)


def lengthwise_stroke(vibration: Vibration) -> Floats:
    """Return the stroke along the needle's own direction at each node [m], 2 |u . t|."""
    along = (vibration.displacement[:, :3] * vibration.frame.node_tangent).sum(axis=1)
    return np.asarray(2 * np.abs(along))


def surface_stroke(vibration: Vibration) -> Floats:
    """Return the peak-to-peak travel of the surface by turning alone [m], per segment (n-1,)."""
    frame = vibration.frame
    turn = (vibration.displacement[:, 3:] * frame.node_tangent).sum(axis=1)
    return np.asarray(np.abs(turn[:-1] + turn[1:]) * frame.section.outer)


def shaft_nodes(s: Floats, taper: float, first_bend: float) -> NDArray[np.bool_]:
    """Return which nodes are shaft: from the taper's end to the first bend, both included.

    Parameters
    ----------
    s : (n,) array
        Distances of the nodes from the hub [m].
    taper, first_bend : float
        Distances from the hub where the taper ends and the first bend begins [m]; a straight
        needle's first bend is its tip.

    Returns
    -------
    (n,) array of bool
        Where the first bend lies inside the taper no such stretch is left, and the shaft is what
        lies between hub and first bend; of a needle bent from the hub on, the hub alone.

    Examples
    --------
    >>> shaft_nodes(np.array([0.0, 1.0, 2.0, 3.0, 4.0]), 1.0, 3.0).tolist()
    [False, True, True, True, False]
    >>> shaft_nodes(np.array([0.0, 1.0, 2.0, 3.0, 4.0]), 3.0, 2.0).tolist()
    [True, True, True, False, False]
    """
    straight = s <= first_bend + SAME_PLACE
    shaft = straight & (s >= taper - SAME_PLACE)
    return shaft if shaft.sum() > 1 else straight


def shaft_rms(frame: Lumped, shaft: NDArray[np.bool_], amplitude: Complexes) -> Floats:
    """Compute the root-mean-square sideways displacement of the shaft, over place and time.

    sqrt(1/2L integral |u - (u . t) t|^2 ds), by trapezoids between nodes.

    Parameters
    ----------
    shaft : (n,) array of bool
        From `shaft_nodes`.
    amplitude : (..., n, 3) complex array
        Displacement amplitudes at all nodes [m].

    Returns
    -------
    (...) array
        [m].
    """
    s = frame.s[shaft]
    flat = sideways(amplitude[..., shaft, :], frame.node_tangent[shaft])
    square = (np.abs(flat) ** 2).sum(axis=-1)
    span = float(s[-1] - s[0])
    mean_square = np.trapezoid(square, s, axis=-1) / span if span else square[..., 0]
    return np.asarray(np.sqrt(mean_square / 2))


def characterise(vibration: Vibration, taper: float, first_bend: float) -> Character:
    """Compute how the sideways motion is shared between shaft and bent part.

    Parameters
    ----------
    taper, first_bend : float
        As in `shaft_nodes` [m].
    """
    frame = vibration.frame
    shaft = shaft_nodes(frame.s, taper, first_bend)
    turn = (vibration.displacement[:, 3:] * frame.node_tangent).sum(axis=1)
    turning = 2 * np.abs(turn) * np.append(frame.outer_ends[0], frame.outer_ends[1, -1])
    return Character(
        float(sideways_stroke(vibration)[shaft].max()),
        float(shaft_rms(frame, shaft, vibration.displacement[:, :3])),
        float(turning[shaft].max()),
        *_shares(vibration, first_bend),
    )


def _shares(vibration: Vibration, first_bend: float) -> tuple[float | None, float | None]:
    frame = vibration.frame
    around = np.broadcast_to(np.asarray(frame.around.sideways_mass, float), frame.length.shape)
    per_metre = frame.material.density * frame.section_at(POINTS[:, None]).area + around
    moving = inside(frame, vibration.displacement, POINTS)
    flat = sideways(moving, frame.arcs.tangent(POINTS))
    mass = WEIGHTS[:, None] * per_metre * frame.length
    energy = (mass * (np.abs(flat) ** 2).sum(axis=-1)).sum(axis=0)
    everything = (mass * (np.abs(moving) ** 2).sum(axis=-1)).sum(axis=0)
    whole, all_motion = float(energy.sum()), float(everything.sum())
    if whole <= NOTHING * all_motion or whole == 0:
        return None, None
    in_shaft = (frame.s[1:] + frame.s[:-1]) / 2 < first_bend
    pendular = float(energy[in_shaft].sum()) / whole
    return pendular, 1 - pendular


def still_points(vibration: Vibration) -> tuple[float, ...]:
    """Return the points without sideways motion, apart from the hub.

    Returns
    -------
    tuple of float
        Distances from the end along the centreline [m], nearest first. A point counts where the
        sideways stroke is lowest and below a tenth of the largest.
    """
    frame = vibration.frame
    whole = stroke(vibration.displacement[:, :3]).max()
    travel = sideways_stroke(vibration)
    if whole == 0 or travel.max() <= NOTHING**0.5 * whole:
        return ()
    # Near a still point the stroke is linear with a kink, so its square is a smooth parabola.
    square = travel**2
    low = np.flatnonzero((square[1:-1] <= square[:-2]) & (square[1:-1] < square[2:])) + 1
    out = []
    for i in low:
        place, least = _lowest(frame.s[i - 1 : i + 2], square[i - 1 : i + 2])
        still = least <= (STILL_DEPTH * travel.max()) ** 2
        if still and place >= HUB_SHARE * frame.s[-1]:
            out.append(float(frame.s[-1] - place))
    return tuple(sorted(out))


def _lowest(x: Floats, y: Floats) -> tuple[float, float]:
    """Return place and value of the lowest point of the parabola through three points."""
    left, right = x[1] - x[0], x[2] - x[1]
    down, up = (y[0] - y[1]) / left, (y[2] - y[1]) / right
    curvature = (down + up) / (left + right)
    if curvature <= 0:
        return float(x[1]), float(y[1])
    slope = (up * left - down * right) / (left + right)
    return float(x[1] - slope / (2 * curvature)), float(y[1] - slope**2 / (4 * curvature))


def edge_stroke(vibration: Vibration, outer_radius: float, bevel: float) -> float:
    """Compute the largest stroke on the rim of the opening [m].

    Parameters
    ----------
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
    t = frame.node_tangent[-1]
    out_of_plane = np.array([0.0, 0.0, 1.0])
    aside = np.array([-t[1], t[0], 0.0])  # Their cross product.
    rim = _ROUND[0] * (aside + np.tan(bevel) * t) + _ROUND[1] * out_of_plane
    u = vibration.displacement[-1, :3] + cross(vibration.displacement[-1, 3:], outer_radius * rim)
    return float(stroke(u).max())
