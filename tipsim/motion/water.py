"""Fluid that moves with a needle: added mass and the thin viscous films."""

import numpy as np
from numpy.typing import ArrayLike

from tipsim.motion.sections import Floats


def annulus_factor(inner: ArrayLike, outer: ArrayLike, mobility: ArrayLike = 0.0) -> Floats:
    """Return the added mass of a cylinder in a fluid-filled sleeve over the displaced fluid's mass.

    (m_a - zeta m_c) / (rho pi a²) with m_a = rho pi a² (b²+a²)/(b²-a²) and
    m_c = 2 rho pi a² b²/(b²-a²)

    Parameters
    ----------
    inner, outer : array_like
        Radius of the cylinder and inner radius of the sleeve [m].
    mobility : array_like
        Sideways motion of the sleeve over that of the cylinder [no unit]; 0 is a rigid wall. See
        `tipsim.motion.sleeve`.

    Returns
    -------
    array
        Factor on rho pi a² [no unit].

    Notes
    -----
    Without viscosity, and for a motion that is small beside the gap [1]_, [2]_.

    Examples
    --------
    >>> round(float(annulus_factor(0.45, 0.65)), 3), round(float(annulus_factor(0.45, 0.85)), 3)
    (2.841, 1.779)

    References
    ----------
    .. [1] Stokes, G. G. (1843), in Encyclopaedia Britannica, 11th ed. (1911), Hydromechanics.
    .. [2] Fritz, R. J. (1972). The effect of liquids on the dynamic motions of immersed solids.
       J. Eng. Ind. 94, 167 (from memory).
    """
    a2, b2 = np.square(inner), np.square(outer)
    return np.asarray((b2 + a2 - 2 * np.asarray(mobility) * b2) / (b2 - a2))


def clinging_factor(inner: ArrayLike, outer: ArrayLike) -> Floats:
    """Return the added mass of a layer of fluid that clings to a cylinder in air, likewise.

    (c² - a²)/(c² + a²): potential flow around the cylinder with no pressure at the free surface.

    Parameters
    ----------
    inner, outer : array_like
        Radius a of the cylinder and c of the layer's surface [m].

    Returns
    -------
    array
        Factor on rho pi a² [no unit]: 0 without a layer, 1 for open fluid.

    Examples
    --------
    >>> [round(float(clinging_factor(0.45, c)), 3) for c in (0.45, 0.55, 450)]
    [0.0, 0.198, 1.0]
    """
    a2, c2 = np.square(inner), np.square(outer)
    return np.asarray((c2 - a2) / (c2 + a2))


def layer_resistance(density: float, viscosity: float) -> float:
    """Return the resistance of a Stokes layer per area and per square root of angular frequency.

    R = sqrt(rho mu / 2)

    Parameters
    ----------
    density, viscosity : float
        Of the fluid [kg/m³, Pa s].

    Returns
    -------
    float
        [N s^1.5/m³]; times (1 + i) sqrt(w) it is the shear stress per speed of the wall.

    Notes
    -----
    For layers, sqrt(2 mu / rho w) thick, that are thin beside radius and gap [1]_; some 3 µm here.

    References
    ----------
    .. [1] Batchelor, G. K. (1967). An Introduction to Fluid Dynamics, section 5.13 (from memory).
    """
    return float(np.sqrt(density * viscosity / 2))


def sideways_film(inner: ArrayLike, outer: ArrayLike | None, mobility: ArrayLike = 0.0) -> Floats:
    """Return the film's share of sideways motion, over a shear layer that saw the full speed.

    (a s_a² + b s_b²) / 2a with the slip s_a = 2b²(1-zeta)/(b²-a²), s_b = 2a²(1-zeta)/(b²-a²)
    at both walls over the cylinder's speed; 2 in open fluid

    Parameters
    ----------
    inner : array_like
        Radius of the cylinder [m].
    outer : array_like or None
        Inner radius of the sleeve [m]; None for open fluid.
    mobility : array_like
        As in `annulus_factor`.

    Returns
    -------
    array
        [no unit]

    Notes
    -----
    The high-frequency limit of Stokes' exact cylinder (1851), which tests/published compares.

    Examples
    --------
    >>> float(sideways_film(0.45e-3, None)), round(float(sideways_film(0.45, 0.65)), 2)
    (2.0, 9.82)
    """
    a = np.asarray(inner, dtype=np.float64)
    if outer is None:
        return np.full(a.shape, 2.0)
    b = np.asarray(outer, dtype=np.float64)
    gap = b**2 - a**2
    against = 1 - np.asarray(mobility)
    slip_a = 2 * b**2 * against / gap
    slip_b = 2 * a**2 * against / gap
    return np.asarray((a * slip_a**2 + b * slip_b**2) / (2 * a))


def clinging_film(inner: ArrayLike, outer: ArrayLike) -> Floats:
    """Return the same share for a layer that clings to a cylinder in air.

    s_a² / 2 with the slip s_a = 2c²/(c² + a²) at the metal; see `clinging_factor`. At the free
    surface nothing rubs.

    Examples
    --------
    >>> [round(float(clinging_film(0.45, c)), 3) for c in (0.45, 0.55, 450)]
    [0.5, 0.718, 2.0]
    """
    a2, c2 = np.square(inner), np.square(outer)
    return np.asarray((2 * c2 / (c2 + a2)) ** 2 / 2)
