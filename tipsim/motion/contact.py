"""Springs and dashpots that stand for what presses on the needle.

Mouth on lens material: a rigid disc on an elastic half-space, the standard model of
foundations. Static stiffness: 4 G a / (1 - nu) pushed in, 8 G a / (2 - nu) sideways,
8 G a³ / 3 (1 - nu) rocked, 16 G a³ / 3 twisted; dashpot rho V A with the shear-wave speed
sideways and Lysmer's analogue speed 3.4 Vs / pi (1 - nu) pushed in. G. Gazetas, in Foundation
Engineering Handbook, 2nd ed. 1991, chapter 15 (from memory). A lens is no half-space and a
mouth no full disc: assumed, and scaled by the share of the mouth that touches.
"""

import numpy as np

from tipsim.motion.sections import Floats
from tipsim.setup.load import LensLoad, Support


def lens_matrices(lens: LensLoad, radius: float, tangent: Floats) -> tuple[Floats, Floats]:
    """Return spring and dashpot of lens material at the mouth.

    Parameters
    ----------
    radius : float
        Outer radius of the mouth [m].
    tangent : (3,) array
        Unit tangent at the mouth.

    Returns
    -------
    tuple of (6, 6) arrays
        Stiffness [N/m, N m/rad] and damping [N s/m, N m s/rad].

    Examples
    --------
    >>> lens = LensLoad("medium", 100e3, 1.0)
    >>> k, c = lens_matrices(lens, 0.45e-3, np.array([1.0, 0, 0]))
    >>> round(float(k[1, 1])), round(float(k[0, 0]))
    (238, 353)
    """
    g, nu, a = lens.shear_modulus, lens.poisson, radius
    wave = np.sqrt(g / lens.density)
    area, polar = np.pi * a**2, np.pi * a**4 / 2
    pushed, aside = 4 * g * a / (1 - nu), 8 * g * a / (2 - nu)
    rocked, twisted = 8 * g * a**3 / (3 * (1 - nu)), 16 * g * a**3 / 3
    analogue = 3.4 * wave / (np.pi * (1 - nu))
    z = lens.density * wave
    stiffness = _matrix(tangent, pushed, aside, twisted, rocked)
    damping = _matrix(
        tangent,
        lens.density * analogue * area,
        z * area,
        z * polar,
        lens.density * analogue * polar / 2,
    )
    return lens.contact * stiffness, lens.contact * damping


def support_matrices(
    support: Support, held: Floats, tangents: Floats, angular: float
) -> tuple[Floats, Floats]:
    """Return springs and dashpots of a sideways support at the nodes.

    Parameters
    ----------
    held : (n,) array
        Length that is held of what each node stands for [m].
    tangents : (n, 3) array
        Unit tangents at the nodes.
    angular : float
        Angular frequency at which its loss factor holds [rad/s].

    Returns
    -------
    tuple of (n, 6, 6) arrays
        Stiffness and damping.
    """
    per_node = support.stiffness * held
    across = np.eye(3) - tangents[:, :, None] * tangents[:, None, :]
    stiffness = np.zeros((len(held), 6, 6))
    stiffness[:, :3, :3] = per_node[:, None, None] * across
    return stiffness, stiffness * support.loss_factor / angular


def _matrix(t: Floats, along: float, side: float, twist: float, rock: float) -> Floats:
    tt = np.outer(t, t)
    across = np.eye(3) - tt
    out = np.zeros((6, 6))
    out[:3, :3] = along * tt + side * across
    out[3:, 3:] = twist * tt + rock * across
    return out
