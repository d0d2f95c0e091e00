"""A hub that rocks and shifts: springs across the axis of a frame's first node.

The handpiece keeps the hub's motion along and about its axis. Across, the hub is held by springs,
so that the needle's own reaction tilts and shifts it: with the imposed motion m, the force r that
would hold the hub there, and the needle's dynamic stiffness D at the hub

    u = m + Q x,   (Q^T D Q + k) x = -Q^T r,   r = D m where nothing else acts

with the four ways Q that the hub may move and the springs k. Ever stiffer springs end in u = m.
This module is the only place where the springs enter.
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described

Complexes = NDArray[np.complex128]


@described()
class HubSprings:
    """Springs between hub and handpiece; their loss is left out."""

    sideways: float = about("Against a shift across the axis [N/m].")
    tilt: float = about("Against rocking about an axis across [N m/rad].")


@described(eq=False)
class Ways:
    """The ways in which a hub moves that is held by springs, among some freedoms of its node."""

    imposed: Floats = about("Unit motions that the handpiece keeps, shape (w, w - c).")
    free: Floats = about("Unit motions across the axis, shape (w, c).")
    springs: Floats = about("Spring of each of these [N/m, N m/rad], shape (c,).")

    def settle(self, stiffness: Complexes, force: Complexes) -> Complexes:
        """Return how far the hub goes each free way.

        Parameters
        ----------
        stiffness : (..., w, c) complex array
            Force on the hub for a unit of each free motion: D Q.
        force : (..., w) complex array
            What would hold the hub at its imposed motion.

        Examples
        --------
        A hub on 3 N/m, its needle another spring of 1 N/m whose other end moves by 4 m:

        >>> one = Ways(np.zeros((1, 0)), np.eye(1), np.array([3.0]))
        >>> one.settle(np.array([[1.0 + 0j]]), np.array([-4.0 + 0j]))
        array([1.+0.j])
        """
        across = self.free.T @ stiffness + np.diag(self.springs)
        return np.asarray(np.linalg.solve(across, -(force @ self.free)[..., None])[..., 0])


def ways(springs: HubSprings, tangent: Floats, freedoms: NDArray[np.intp]) -> Ways:
    """Return the ways of a hub among some of its freedoms ux uy uz rx ry rz.

    Parameters
    ----------
    tangent : (3,) array
        Unit vector along the hub's axis.
    freedoms : (w,) array of int
        Which of the six: all, or those in or out of the plane of a planar needle.
    """
    return _ways(springs, tuple(tangent.tolist()), tuple(freedoms.tolist()))


@lru_cache(maxsize=64)
def _ways(springs: HubSprings, axis: tuple[float, ...], freedoms: tuple[int, ...]) -> Ways:
    """Return the same; kept, since needles leave their hubs all in one direction."""
    tangent = np.array(axis)
    z = np.array([0.0, 0.0, 1.0])
    one = np.cross(z if abs(tangent[2]) < 0.9 else np.array([1.0, 0.0, 0.0]), tangent)
    one /= np.linalg.norm(one)
    two = np.cross(tangent, one)
    every = np.zeros((6, 6))
    every[:3, :3] = every[3:, 3:] = np.column_stack([tangent, one, two])
    stiffness = np.repeat([springs.sideways, springs.tilt], 3)
    inside = every[list(freedoms)]
    # A planar needle's ways lie in or out of its plane, so each belongs to one of its systems.
    here = (inside**2).sum(axis=0) > 0.5
    along = np.arange(6) % 3 == 0
    return Ways(inside[:, here & along], inside[:, here & ~along], stiffness[here & ~along])
