"""How the sleeve moves where the iris lies: sideways, along, turning, at the drive's frequency.

The iris is taken to stand still at tens of kilohertz, so that the sleeve's speed along its own
surface is the speed of rubbing.
"""

import numpy as np
import scipy
from numpy.typing import NDArray

from tipsim.motion.lumped import Complexes
from tipsim.motion.run import Motion
from tipsim.motion.sleeve import mobility
from tipsim.motion.travel import at
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario
from tipsim.tissue.bands import Floats

PLACES, ANGLES = 9, 5
"""Points along and around the contact over which speeds are averaged."""


@described()
class Contact:
    """Where and how the iris touches; each field one value or (k,) values."""

    place: Floats = about("Middle of the contact from the needle's end, and its length [m].")
    length: Floats
    side: Floats = about("Its direction, 0 in the bend plane, and the arc that is touched [rad].")
    arc: Floats
    along_share: Floats = about(
        "Shares of lengthwise motion and turning that the sleeve takes on [no unit]."
    )
    twist_share: Floats


@described()
class Sliding:
    """What the contact feels, each (k,)."""

    speed: Floats = about("Speed along the surface, mean over a cycle, length and arc [m/s].")
    reach: Floats = about(
        "Amplitude (half of the stroke) towards the iris, mean over the length [m]."
    )
    radius: Floats = about("Outer radius of what is touched, mean over the length [m].")


def sliding(scenario: Scenario, motion: Motion, contact: Contact) -> Sliding:
    """Return the motion of the surface under the iris.

    Parameters
    ----------
    motion : Motion
        Its solution.

    Returns
    -------
    Sliding
        Where the contact lies on the bare end, all of the needle's motion counts; beyond the hub
        nothing is touched and nothing moves.
    """
    frame, length = motion.frame, float(motion.frame.s[-1])
    spread = (np.arange(PLACES) + 0.5) / PLACES - 0.5
    s = length - (contact.place[:, None] + spread * contact.length[:, None])
    s = np.clip(s, 0.0, length)
    flat = s.ravel()
    u = at(frame, motion.displacement, flat).reshape(*s.shape, 6)
    tangent = np.stack([np.interp(flat, frame.s, t) for t in frame.node_tangent.T], 1)
    tangent = (tangent / np.linalg.norm(tangent, axis=1)[:, None]).reshape(*s.shape, 3)
    sleeved = s < scenario.sleeve_end
    radius = scenario.needle.radii_at(flat)[0].reshape(s.shape)
    if scenario.sleeve is not None:
        radius = np.where(sleeved, np.maximum(scenario.sleeve.outer_radius, radius), radius)
    follows = mobility(scenario, flat).reshape(s.shape)
    shares = (contact.along_share[:, None], contact.twist_share[:, None])
    moved, turned = _passed(_local(u, _axes(tangent)), sleeved, *shares, follows)
    around = (np.arange(ANGLES) + 0.5) / ANGLES - 0.5
    angle = (contact.side[:, None] + around * contact.arc[:, None])[:, None, :]
    towards, path = _surface(moved, turned, radius[..., None], np.cos(angle), np.sin(angle))
    angular = 2 * np.pi * motion.frequency
    return Sliding(
        angular * mean_length(path).mean(axis=(1, 2)),
        np.abs(towards[..., ANGLES // 2]).mean(axis=1),
        radius.mean(axis=1),
    )


def carried(scenario: Scenario, motion: Motion, s: Floats) -> tuple[Complexes, Complexes]:
    """Return displacement and rotation of what a film of the outside shows, in space axes.

    Parameters
    ----------
    s : (n,) array
        Distances from the hub [m].

    Returns
    -------
    (n, 3) arrays
        Amplitudes of the sleeve as far as it reaches, beyond it of the bare needle [m, rad].
    """
    frame, numbers = motion.frame, scenario.tissue.iris
    tangent = np.stack([np.interp(s, frame.s, t) for t in frame.node_tangent.T], 1)
    axes = _axes(tangent / np.linalg.norm(tangent, axis=1)[:, None])
    every = np.full(len(s), 1.0)
    shares = (numbers.along_share * every, numbers.twist_share * every)
    parts = _passed(
        _local(at(frame, motion.displacement, s), axes),
        s < scenario.sleeve_end,
        *shares,
        mobility(scenario, s),
    )
    moved, turned = (np.einsum("nij,ni->nj", axes, part) for part in parts)
    return moved, turned


def _axes(tangent: Floats) -> Floats:
    """Return the needle's own axes in space (..., 3, 3): in the bend plane, across it, along."""
    out_of_plane = np.array([0.0, 0.0, 1.0])
    in_plane = np.cross(out_of_plane, tangent)
    return np.stack([in_plane, np.broadcast_to(out_of_plane, tangent.shape), tangent], axis=-2)


def _local(u: Complexes, axes: Floats) -> Complexes:
    """Return six amplitudes in the needle's own axes."""
    parts = [np.einsum("...ij,...j->...i", axes, u[..., k : k + 3]) for k in (0, 3)]
    return np.concatenate(parts, axis=-1)


def _passed(
    u: Complexes, sleeved: NDArray[np.bool_], along: Floats, twist: Floats, side: Floats
) -> tuple[Complexes, Complexes]:
    """Return displacement and rotation of what is touched, in the needle's axes (..., 3).

    A sleeve follows sideways as the motion says (`tipsim.motion.sleeve`), and leans as the shaft
    does by as much.
    """
    along, twist = (np.where(sleeved, share, 1.0) for share in (along, twist))
    moved = u[..., :3] * np.stack([side, side, along], axis=-1)
    return moved, u[..., 3:] * np.stack([side, side, twist], axis=-1)


def _surface(
    moved: Complexes, turned: Complexes, radius: Floats, cos: Floats, sin: Floats
) -> tuple[Complexes, Complexes]:
    """Return the surface's motion towards the iris, and along itself: lengthwise and around.

    Displacement plus rotation x lever, the lever being radius (cos, sin, 0) in the needle's axes;
    shapes (k, places, angles) and (k, places, angles, 2).
    """
    x, y, z = (moved[..., i, None] for i in range(3))
    rx, ry, rz = (turned[..., i, None] for i in range(3))
    lengthwise = z + radius * (rx * sin - ry * cos)
    around = y * cos - x * sin + radius * rz
    return x * cos + y * sin, np.stack([lengthwise, around], axis=-1)


def mean_length(amplitude: Complexes) -> Floats:
    """Return the mean length of Re(u exp(i phi)) over a cycle, for vectors of amplitudes.

    The tip of such a vector draws an ellipse with half axes a and b; the mean is
    (2 a / pi) E(1 - b²/a²), with E the complete elliptic integral (Abramowitz & Stegun, ch. 17).

    Examples
    --------
    >>> line, circle = np.array([1.0, 0, 0]), np.array([1.0, 1j, 0])
    >>> [round(float(mean_length(u)), 6) for u in (line, circle)]
    [0.63662, 1.0]
    """
    u = np.asarray(amplitude)
    size = (u.real**2 + u.imag**2).sum(axis=-1)
    flat = np.abs((u * u).sum(axis=-1))
    long2, short2 = (size + flat) / 2, np.maximum(size - flat, 0) / 2
    thin = np.divide(short2, long2, out=np.zeros_like(long2), where=long2 > 0)
    return np.asarray(2 / np.pi * np.sqrt(long2) * scipy.special.ellipe(1 - thin))[()]
