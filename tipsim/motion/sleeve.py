"""How far the sleeve follows the needle's sideways motion, place by place.

Fluid between them couples the two: without friction, and for a ring that is neither bent nor
squeezed out of round, the sleeve's own equation of motion per length is

    (m_b + m_sleeve + m_outside) x_sleeve = m_c x_needle

with m_c = 2 rho pi a² b²/(b² - a²), m_b = rho pi b² (b² + a²)/(b² - a²) (Fritz 1972), the
silicone's mass rho_s pi (c² - b²) and the added mass rho_o pi c² of what lies outside (a: needle,
b and c: inside and outside of the sleeve). The silicone's stiffness is left out: at these
frequencies it moves the tip by less than 1 % (`tests/published/test_sleeve_stiffness.py`).
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipsim.motion.sections import Floats
from tipsim.setup.scenario import Scenario

SAMPLES = 20


def floating(
    inner: ArrayLike,
    outer: ArrayLike,
    wall: float,
    fluid: float,
    silicone: float,
    outside: ArrayLike,
) -> Floats:
    """Return the sideways motion of a floating sleeve over that of the needle in it.

    Parameters
    ----------
    inner, outer : array_like
        Radius of the needle and inner radius of the sleeve [m].
    wall : float
        Thickness of the sleeve's wall [m].
    fluid, silicone, outside : float, float, array_like
        Density of the fluid between, of the sleeve and of what is outside [kg/m³]; 0 for air.

    Examples
    --------
    A sleeve of 0.65 mm around a needle of 0.45 mm, in air and under water:

    >>> [round(float(floating(0.45, 0.65, 0.2, 1000, 1100, o)), 3) for o in (0, 1000)]
    [0.508, 0.345]
    """
    a2, b2 = np.square(inner), np.square(outer)
    c2 = np.square(np.asarray(outer) + wall)
    gap = b2 - a2
    moved = fluid * b2 * (b2 + a2) / gap + silicone * (c2 - b2) + np.asarray(outside) * c2
    return np.asarray(2 * fluid * a2 * b2 / gap / moved)


def mobility(scenario: Scenario, s: Floats, outer: Floats | None = None) -> Floats:
    """Return the share of the needle's sideways motion that the sleeve takes on.

    Parameters
    ----------
    s : (m,) array
        Distances from the hub [m].
    outer : (m,) array, optional
        Outer radii of the metal there [m], where they are known already.

    Returns
    -------
    (m,) array
        [no unit]; 0 where a load or the wound's support holds the sleeve; elsewhere what is set,
        or computed from what is outside. 1 where there is no sleeve: bare metal moves as itself.

    Examples
    --------
    >>> bench = Scenario.preset("single-bend, torsional").with_(outside="wound", press=None)
    >>> places = bench.needle.length - np.array([0.5, 3, 7, 10]) * 1e-3
    >>> mobility(bench, places).round(2).tolist()
    [1.0, 0.35, 0.34, 0.51]
    """
    sleeve = scenario.sleeve
    out = np.ones(s.shape)
    sleeved = s < scenario.sleeve_end
    if sleeve is None or not sleeved.any():
        return out
    here = s[sleeved]
    if sleeve.mobility is None:
        needle = scenario.needle.radii_at(here)[0] if outer is None else outer[sleeved]
        inside = sleeve.radius_around(scenario.needle, needle)
        densities = (
            scenario.fluid.density,
            scenario.thermal.silicone_density,
            density_outside(scenario, here),
        )
        out[sleeved] = floating(needle, inside, sleeve.wall, *densities)
    else:
        out[sleeved] = sleeve.mobility
    out[sleeved & held(scenario, s)] = 0.0
    return out


def density_outside(scenario: Scenario, s: Floats) -> Floats:
    """Return the density of what a sleeve would have to push aside at places from the hub [kg/m³].

    Air counts as nothing. Tissue counts as a medium of its density that fills all around and
    gives way without stiffness, as fluid does: assumed.
    """
    kind, fluid = scenario.outside.kind, scenario.fluid.density
    if kind != "wound":
        return np.full(s.shape, fluid if kind == "chamber" else 0.0)
    from_tip = scenario.needle.length - s
    near, far = scenario.incision.span
    tissue = scenario.thermal.cornea_density
    return np.where(from_tip < near, fluid, np.where(from_tip <= far, tissue, 0.0))


def held(scenario: Scenario, s: Floats) -> NDArray[np.bool_]:
    """Return where a load or the wound's support holds the sleeve still, by places from the hub."""
    from_tip = scenario.needle.length - s
    out = np.zeros(s.shape, dtype=bool)
    for near, far in holds(scenario):
        out |= (from_tip > near) & (from_tip < far)
    return out


def holds(scenario: Scenario) -> list[tuple[float, float]]:
    """Return the stretches over which the sleeve is held, as distances from the tip [m]."""
    held_by = [scenario.support, scenario.press] if scenario.sleeve is not None else []
    return [one.span(scenario.incision) for one in held_by if one is not None]


def borders(scenario: Scenario) -> tuple[float, ...]:
    """Return the places from the hub at which the sleeve or what is outside changes [m].

    Nodes stand there, so that no segment is half of one kind.
    """
    changes = [*(edge for span in holds(scenario) for edge in span)]
    if scenario.outside.kind == "wound" and scenario.sleeve is not None:
        changes += scenario.incision.span
    length = scenario.needle.length
    return (scenario.sleeve_end, *(length - edge for edge in changes))


def mean_mobility(scenario: Scenario) -> float:
    """Return the mean of `mobility` along the sleeve, from the hub's taper on [no unit]."""
    start, end = scenario.needle.taper_length, scenario.sleeve_end
    edges = np.unique(np.clip([start, *borders(scenario), end], start, end))
    # Equal steps within each stretch, so that none is half of one kind.
    inside = (np.arange(SAMPLES) + 0.5) / SAMPLES
    steps = np.diff(edges)
    places = edges[:-1, None] + steps[:, None] * inside
    values = mobility(scenario, places.ravel()).reshape(places.shape).mean(axis=1)
    return float(values @ steps / steps.sum())
