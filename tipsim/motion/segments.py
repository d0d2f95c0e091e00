"""Beam segments between nodes, written without local axes.

A round section has no preferred sideways direction, so the 12 x 12 stiffness of a straight
Timoshenko segment needs only its tangent t: tt' (along), I - tt' (sideways) and the cross
product [t]x (which couples sideways force and rotation). No local triad, no angle to choose.
"""

import numpy as np

from tipsim.motion.sections import Floats, Sections


def tangents(points: Floats) -> tuple[Floats, Floats]:
    """Return unit tangents (m, 3) and lengths (m,) [m] of the segments of a polyline (m+1, 3)."""
    step = np.diff(points, axis=0)
    length = np.sqrt((step**2).sum(axis=1))
    return step / length[:, None], length


def along(tangent: Floats) -> Floats:
    """Return the projector on the tangent, tt', shape (m, 3, 3)."""
    return tangent[:, :, None] * tangent[:, None, :]


def cross_matrix(tangent: Floats) -> Floats:
    """Return [t]x, shape (m, 3, 3), so that [t]x a = t x a."""
    out = np.zeros((len(tangent), 3, 3))
    x, y, z = tangent.T
    out[:, 0, 1], out[:, 0, 2] = -z, y
    out[:, 1, 0], out[:, 1, 2] = z, -x
    out[:, 2, 0], out[:, 2, 1] = -y, x
    return out


def stiffness(
    tangent: Floats, length: Floats, section: Sections, young: float, poisson: float, shear: bool
) -> Floats:
    """Return the stiffness of each segment in space axes.

    Parameters
    ----------
    tangent, length : (m, 3), (m,) arrays
        Unit tangent and length [m] of the segments.
    section : Sections
        Round sections of the segments.
    young, poisson : float
        Young's modulus [Pa] and Poisson's ratio.
    shear : bool
        Whether the segment yields in shear (Timoshenko) or not (Euler-Bernoulli).

    Returns
    -------
    (m, 12, 12) array
        Order of freedoms: three displacements [m] and three rotations [rad] of the first node,
        then of the second. Forces in N, moments in N m.

    Notes
    -----
    J. S. Przemieniecki, Theory of Matrix Structural Analysis, 1968, section 5.6 (from memory);
    held against closed forms in tests/published.
    """
    g = young / (2 * (1 + poisson))
    bend = young * section.second_moment
    if shear:
        rigidity = section.shear_coefficient(poisson) * g * section.area
        phi = 12 * bend / (rigidity * length**2)
    else:
        phi = np.zeros_like(length)
    tt = along(tangent)
    side = np.eye(3) - tt

    def mix(axial: Floats, sideways: Floats) -> Floats:
        return axial[:, None, None] * tt + sideways[:, None, None] * side

    push = mix(young * section.area / length, 12 * bend / (length**3 * (1 + phi)))
    couple = -(6 * bend / (length**2 * (1 + phi)))[:, None, None] * cross_matrix(tangent)
    twist = g * section.polar_moment / length
    near = mix(twist, (4 + phi) * bend / (length * (1 + phi)))
    far = mix(-twist, (2 - phi) * bend / (length * (1 + phi)))
    k = np.empty((len(length), 12, 12))
    k[:, 0:3, 0:3] = k[:, 6:9, 6:9] = push
    k[:, 0:3, 6:9] = k[:, 6:9, 0:3] = -push
    k[:, 0:3, 3:6] = k[:, 0:3, 9:12] = couple
    k[:, 6:9, 3:6] = k[:, 6:9, 9:12] = -couple
    # [t]x is skew, so the transposed coupling has the other sign.
    k[:, 3:6, 0:3] = k[:, 9:12, 0:3] = -couple
    k[:, 3:6, 6:9] = k[:, 9:12, 6:9] = couple
    k[:, 3:6, 3:6] = k[:, 9:12, 9:12] = near
    k[:, 3:6, 9:12] = k[:, 9:12, 3:6] = far
    return k
