"""The fluid between needle and sleeve as a moving needle stirs it: relative motion and pressure.

Potential flow between two cylinders that move sideways, the inner one (radius a) with the speed U,
the outer one (b) with zeta U; no viscosity, motion small beside the gap, slender needle:

    phi = (A r + B / r) cos(theta),  phi' = U cos(theta) at a, zeta U cos(theta) at b
    B = -(1 - zeta) U a² b² / (b² - a²),  A = (zeta b² - a²) U / (b² - a²)

The pressure is -rho d(phi)/dt (the square of the speed is left out). For an amplitude x of the
needle's motion, U = i w x, its amplitude at the two walls, where it is largest, is

    p(a) = rho w² x a (b² + a² - 2 zeta b²) / (b² - a²)
    p(b) = rho w² x b (2a² - zeta (a² + b²)) / (b² - a²)

The factor in p(a) is that of the added mass (`water.annulus_factor`); in open fluid it is 1.
"""

import numpy as np
from numpy.typing import ArrayLike

from tipsim.motion.character import sideways_stroke
from tipsim.motion.sections import Floats
from tipsim.motion.sleeve import mobility
from tipsim.motion.steady import Vibration
from tipsim.motion.water import annulus_factor
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario


@described(eq=False)
class Stirred:
    """What the needle's sideways motion does inside the sleeve, at the nodes that it covers."""

    from_tip: Floats = about("Distances from the tip [m], shape (k,).")
    swing: Floats = about("Sideways amplitude against the sleeve over the gap [no unit], (k,).")
    pressure: Floats = about("Pressure amplitude in the fluid between [Pa], (k,).")
    length: Floats = about("Length of needle that each node stands for [m], (k,).")


def wall_pressure(
    density: float,
    angular: float,
    amplitude: ArrayLike,
    inner: ArrayLike,
    outer: ArrayLike,
    mobility: ArrayLike = 0.0,
) -> Floats:
    """Return the largest pressure amplitude in the fluid of an annulus [Pa].

    Parameters
    ----------
    density, angular : float
        Of the fluid [kg/m³], and angular frequency [rad/s].
    amplitude : array_like
        Sideways amplitude of the inner cylinder, half of its stroke [m].
    inner, outer : array_like
        Radii a and b [m]; see the module.
    mobility : array_like
        The outer cylinder's motion over the inner one's [no unit].

    Examples
    --------
    A needle of 0.9 mm in a sleeve of 1.3 mm that stands still, 10 µm at 32 kHz:

    >>> w = 2 * np.pi * 32e3
    >>> round(float(wall_pressure(1000.0, w, 10e-6, 0.45e-3, 0.65e-3)) / 1e5, 2)
    5.17
    """
    a, b, zeta = np.asarray(inner), np.asarray(outer), np.asarray(mobility)
    at_needle = a * annulus_factor(a, b, zeta)
    at_sleeve = b * (2 * a**2 - zeta * (a**2 + b**2)) / (b**2 - a**2)
    reach = np.maximum(np.abs(at_needle), np.abs(at_sleeve))
    return np.asarray(density * angular**2 * np.asarray(amplitude) * reach)


def stirred(scenario: Scenario, vibration: Vibration) -> Stirred:
    """Compute relative motion and pressure in the fluid between needle and sleeve.

    Without a sleeve there are no places.
    """
    s, needle, sleeve = vibration.frame.s, scenario.needle, scenario.sleeve
    if sleeve is None:
        none = np.zeros(0)
        return Stirred(none, none, none, none)
    inside = s < scenario.sleeve_end
    at = s[inside]
    outer = needle.radii_at(at)[0]
    wall = sleeve.radius_around(needle, outer)
    amplitude = sideways_stroke(vibration)[inside] / 2
    follows = mobility(scenario, at, outer)
    pressure = wall_pressure(
        scenario.fluid.density, vibration.angular, amplitude, outer, wall, follows
    )
    swing = (1 - follows) * amplitude / (wall - outer)
    return Stirred(s[-1] - at, swing, pressure, np.gradient(s)[inside])
