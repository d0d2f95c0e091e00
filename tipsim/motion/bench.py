"""From a scenario to the frame that stands for it."""

import numpy as np

from tipsim.motion.contact import lens_matrices, support_matrices
from tipsim.motion.frame import AtNodes, Frame, Surroundings
from tipsim.motion.sections import Floats
from tipsim.motion.water import annulus_factor, layer_resistance, sideways_film
from tipsim.setup.needle import Needle
from tipsim.setup.scenario import Scenario


def needle_frame(scenario: Scenario) -> Frame:
    """Build the lumped frame of a needle with its fluid.

    Parameters
    ----------
    scenario : Scenario
        Needle, sleeve, fluid, losses and node spacing.

    Returns
    -------
    Frame
        Hub first, mouth last. A node stands at the taper's end, at every joint and at the
        sleeve's end, so that no segment is half in the sleeve.
    """
    needle = scenario.needle
    s = needle.stations(scenario.spacing, (scenario.sleeve_end,))
    outer, inner = needle.radii_at(s)
    middle = (s[1:] + s[:-1]) / 2
    springs, dampers = loads_at_nodes(scenario, s, float(outer[-1]))
    return Frame(
        needle.points_at(s),
        outer,
        inner,
        needle.material,
        loss_factor=scenario.loss_factor,
        around=water_around(scenario, middle),
        springs=springs,
        dampers=dampers,
    )


def loads_at_nodes(scenario: Scenario, s: Floats, radius: float) -> tuple[AtNodes, AtNodes]:
    """Give springs and dashpots of lens and support by node, for a `Frame`."""
    springs: dict[int, Floats] = {}
    dampers: dict[int, Floats] = {}
    if scenario.support is not None:
        t = tangents_at(scenario.needle, s)
        share = np.gradient(s)
        angular = 2 * np.pi * scenario.drive.frequency
        k, c = support_matrices(scenario.support, s[-1] - s, share, t, angular)
        for node in np.flatnonzero(k.any(axis=(1, 2))):
            springs[int(node)], dampers[int(node)] = k[node], c[node]
    if scenario.lens is not None and scenario.lens.contact > 0:
        end = tangents_at(scenario.needle, s)[-1]
        k_end, c_end = lens_matrices(scenario.lens, radius, end)
        last = len(s) - 1
        springs[last] = springs.get(last, 0) + k_end
        dampers[last] = dampers.get(last, 0) + c_end
    return springs, dampers


def tangents_at(needle: Needle, s: Floats) -> Floats:
    """Give unit tangents at distances from the hub, from the drawn line, shape (n, 3)."""
    way = np.gradient(needle.points_at(s), s, axis=0)
    return np.asarray(way / np.linalg.norm(way, axis=1)[:, None])


def water_around(scenario: Scenario, s: Floats) -> Surroundings:
    """Give the fluid's mass and films per metre at distances from the hub.

    Parameters
    ----------
    scenario : Scenario
    s : (m,) array
        Distances from the hub [m].

    Returns
    -------
    Surroundings
        Bore fluid and added mass [kg/m]; film coefficients [N s^1.5/m², N s^1.5]. Bare metal
        that is dry has neither outside.
    """
    outer, inner = scenario.needle.radii_at(s)
    fluid, sleeve = scenario.fluid, scenario.sleeve
    factor, film = np.ones_like(s), sideways_share(scenario, s)
    if scenario.outside.kind == "dry":
        factor = np.zeros_like(s)
    if sleeve is not None:
        covered = s < scenario.sleeve_end
        wall = sleeve_wall(scenario, outer)
        factor = np.where(covered, annulus_factor(outer, wall, sleeve.mobility), factor)
    outside, bore = film_parts(scenario, s, film)
    return Surroundings(
        sideways_mass=fluid.density * np.pi * (inner**2 + factor * outer**2),
        film_sideways=outside.film_sideways,
        film_along=np.asarray(outside.film_along) + np.asarray(bore.film_along),
        film_twist=np.asarray(outside.film_twist) + np.asarray(bore.film_twist),
    )


def film_parts(
    scenario: Scenario, s: Floats, film: Floats | None = None
) -> tuple[Surroundings, Surroundings]:
    """Give the Stokes layers outside the needle and in its bore apart, without any mass.

    Parameters
    ----------
    scenario : Scenario
    s : (m,) array
        Distances from the hub [m].
    film : (m,) array, optional
        Share of sideways motion, from `sideways_film`; worked out when absent.
    """
    outer, inner = scenario.needle.radii_at(s)
    if film is None:
        film = sideways_share(scenario, s)
    layer = layer_resistance(scenario.fluid.density, scenario.fluid.viscosity)
    wet = np.where((s < scenario.sleeve_end) | (scenario.outside.kind != "dry"), layer, 0.0)
    outside = Surroundings(
        film_sideways=2 * np.pi * outer * wet * film,
        film_along=2 * np.pi * outer * wet,
        film_twist=2 * np.pi * outer**3 * wet,
    )
    bore = Surroundings(
        film_along=2 * np.pi * inner * layer, film_twist=2 * np.pi * inner**3 * layer
    )
    return outside, bore


def sleeve_wall(scenario: Scenario, outer: Floats) -> Floats:
    """Give the sleeve's inner radius around metal of these outer radii [m].

    Over the hub's taper the sleeve widens with the metal: the gap stays the shaft's.
    """
    assert scenario.sleeve is not None
    return scenario.sleeve.radius_around(scenario.needle, outer)


def sideways_share(scenario: Scenario, s: Floats) -> Floats:
    """Give the films' share of sideways motion at distances from the hub [no unit]."""
    outer, _ = scenario.needle.radii_at(s)
    open_water = sideways_film(outer, None)
    if scenario.sleeve is None:
        return open_water
    wall = sleeve_wall(scenario, outer)
    held = sideways_film(outer, wall, scenario.sleeve.mobility)
    return np.asarray(np.where(s < scenario.sleeve_end, held, open_water))
