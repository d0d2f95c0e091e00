"""From a scenario to the frame that stands for it."""

import numpy as np

from tipsim.motion.frame import Frame, Surroundings
from tipsim.motion.sections import Floats
from tipsim.motion.water import annulus_factor, layer_resistance, sideways_film
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
    return Frame(
        needle.points_at(s),
        outer,
        inner,
        needle.material,
        loss_factor=scenario.loss_factor,
        around=water_around(scenario, middle),
    )


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
        Bore fluid and added mass [kg/m]; film coefficients [N s^1.5/m², N s^1.5].
    """
    outer, inner = scenario.needle.radii_at(s)
    fluid, sleeve = scenario.fluid, scenario.sleeve
    factor, film = np.ones_like(s), sideways_film(outer, None)
    if sleeve is not None:
        covered = s < scenario.sleeve_end
        # Over the hub's taper the sleeve widens with the metal: the gap stays the shaft's.
        gap = sleeve.inner_radius - scenario.needle.outer_radius
        wall = np.maximum(outer + gap, sleeve.inner_radius)
        factor = np.where(covered, annulus_factor(outer, wall, sleeve.mobility), factor)
        film = np.where(covered, sideways_film(outer, wall, sleeve.mobility), film)
    layer = layer_resistance(fluid.density, fluid.viscosity)
    return Surroundings(
        sideways_mass=fluid.density * np.pi * (inner**2 + factor * outer**2),
        film_sideways=2 * np.pi * outer * layer * film,
        film_along=2 * np.pi * (outer + inner) * layer,
        film_twist=2 * np.pi * (outer**3 + inner**3) * layer,
    )
