"""Water that moves with a needle: added mass and the thin viscous films.

Sources: added mass of a cylinder in a concentric one, Stokes (Encyclopaedia Britannica 1911,
read) and Fritz, J Eng Ind 94 (1972) 167 (from memory). Stokes' oscillating layer: G. K.
Batchelor, An Introduction to Fluid Dynamics, section 5.13 (from memory). A cylinder in open
fluid, exact: Stokes 1851; the layer form used here is its high-frequency limit, held against
the exact one in tests/published.
"""

import numpy as np
from numpy.typing import ArrayLike

from tipsim.motion.sections import Floats


def annulus_factor(inner: ArrayLike, outer: ArrayLike, mobility: float = 0.0) -> Floats:
    """Give the added mass of a cylinder in water inside a sleeve, over that of the displaced water.

    Parameters
    ----------
    inner, outer : array_like
        Radius of the cylinder and inner radius of the sleeve [m].
    mobility : float
        Sideways motion of the sleeve over that of the cylinder [no unit]; 0 is a rigid wall.

    Returns
    -------
    array
        Factor on rho pi a² [no unit].

    Notes
    -----
    (m_a - zeta m_c) / (rho pi a²) with m_a = rho pi a² (b²+a²)/(b²-a²) and
    m_c = 2 rho pi a² b²/(b²-a²).

    Examples
    --------
    >>> round(float(annulus_factor(0.45, 0.65)), 3), round(float(annulus_factor(0.45, 0.85)), 3)
    (2.841, 1.779)
    """
    a2, b2 = np.square(inner), np.square(outer)
    return np.asarray((b2 + a2 - 2 * mobility * b2) / (b2 - a2))


def layer_resistance(density: float, viscosity: float) -> float:
    """Give the resistance of a Stokes layer per area and per square root of angular frequency.

    Parameters
    ----------
    density, viscosity : float
        Of the fluid [kg/m³, Pa s].

    Returns
    -------
    float
        sqrt(rho mu / 2) [N s^1.5/m³]; times sqrt(w) it is the shear stress per speed, real part.
    """
    return float(np.sqrt(density * viscosity / 2))


def sideways_film(inner: ArrayLike, outer: ArrayLike | None, mobility: float = 0.0) -> Floats:
    """Give the film's share of sideways motion, over a shear layer that saw the full speed.

    Parameters
    ----------
    inner : array_like
        Radius of the cylinder [m].
    outer : array_like or None
        Inner radius of the sleeve [m]; None for open water.
    mobility : float
        As in `annulus_factor`.

    Returns
    -------
    array
        (a s_a² + b s_b²) / 2a [no unit], where s_a = 2b²(1-zeta)/(b²-a²) and
        s_b = 2a²(1-zeta)/(b²-a²) are the slip speeds at both walls over the cylinder's speed.
        In open water 2.

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
    slip_a = 2 * b**2 * (1 - mobility) / gap
    slip_b = 2 * a**2 * (1 - mobility) / gap
    return np.asarray((a * slip_a**2 + b * slip_b**2) / (2 * a))
