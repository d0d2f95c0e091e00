"""Viscoelastic around the needle: how thick it is where the needle shears it, and how still it is.

Carreau's law with the viscosity of the salt solution as its floor, eta = eta_s + (eta_0 - eta_s)
(1 + (lambda g)^2)^((n - 1)/2). A surface that swings shears the film on it at g = v sqrt(rho w /
(2 eta)), root mean square, in a layer that itself gets thicker with eta: both are solved together.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tipsim.heat.cells import Cells
from tipsim.heat.sources import Sources
from tipsim.heat.thermal import Properties
from tipsim.motion.sections import Floats
from tipsim.setup.heat import Viscoelastic
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number

ROUNDS = 60
"""Each brings shear rate and viscosity together by a factor of three."""


def viscosity(law: Viscoelastic, solvent: float, rate: Floats) -> Floats:
    """Return the viscosity at shear rates [1/s] (n,) [Pa s].

    Parameters
    ----------
    solvent : float
        Viscosity of the salt solution that it is made with [Pa s].

    Examples
    --------
    At rest it is that of zero shear; at 10 1/s what was measured there:

    >>> law = Viscoelastic()
    >>> viscosity(law, 1e-3, np.array([0.0, 10.0])).round(3).tolist()
    [229.0, 8.0]
    """
    fall = (law.exponent - 1) / 2
    at = number("viscoelastic.measured_rate").si
    above = law.zero_shear - solvent
    slowest = np.sqrt(((law.at_ten - solvent) / above) ** (1 / fall) - 1) / at
    return np.asarray(solvent + above * (1 + (slowest * rate) ** 2) ** fall)


def sheared(
    law: Viscoelastic, solvent: float, density: float, angular: float, speed: Floats
) -> Floats:
    """Return the viscosity in a film on a surface that swings (n,) [Pa s].

    Parameters
    ----------
    density : float
        [kg/m³].
    angular : float
        Angular frequency of the drive [rad/s].
    speed : (n,) array
        Amplitude of the surface's speed along itself [m/s].
    """
    eta = np.full(np.shape(speed), law.zero_shear)
    for _ in range(ROUNDS):
        eta = viscosity(law, solvent, speed * np.sqrt(density * angular / (2 * eta)))
    return np.asarray(eta)


def surrounded(scenario: Scenario, cells: Cells) -> NDArray[np.bool_]:
    """Return the slices that viscoelastic surrounds and fills (n,): the tip, and some way up."""
    from_tip = scenario.needle.length - cells.middle
    covered = scenario.needle.length - scenario.sleeve_end if scenario.sleeve else 0.0
    return np.asarray(from_tip < covered + scenario.viscoelastic.reach)


def thickened(scenario: Scenario, cells: Cells, sources: Sources, linear: float) -> Sources:
    """Return sources whose films are of viscoelastic where it stands.

    A film's power is that of salt solution times sqrt(eta / eta_s): the motion, which hub and metal
    hold nearly alone, stays as it is.

    Parameters
    ----------
    linear : float
        Power at this moment over that of the sources: the speed's factor.
    """
    law, fluid = scenario.viscoelastic, scenario.fluid
    angular = 2 * np.pi * scenario.drive.frequency
    stands = surrounded(scenario, cells)
    watts = dict(sources.watts)
    for cause, radius in (("films_outside", cells.wall), ("films_bore", cells.bore)):
        area = 2 * np.pi * radius * cells.step
        # A plane film's power per area is v²/2 sqrt(rho eta w / 2): from its watts to its speed.
        layer = np.sqrt(fluid.density * fluid.viscosity * angular / 2)
        speed = linear * np.sqrt(2 * np.maximum(watts[cause], 0.0) / (area * layer))
        eta = sheared(law, fluid.viscosity, fluid.density, angular, speed)
        watts[cause] = watts[cause] * np.where(stands, np.sqrt(eta / fluid.viscosity), 1.0)
    return replace(sources, watts=watts)


def stilled(properties: Properties, scenario: Scenario, cells: Cells) -> Properties:
    """Return thermal numbers without convection: the chamber's fluid only conducts.

    h = k / (r ln(R / r)), from the needle to a cylinder as wide as a ball of the chamber's volume.
    """
    outer = float((3 * scenario.chamber.volume / (4 * np.pi)) ** (1 / 3))
    inner = float(cells.sleeve_outer[cells.wet].mean()) if cells.wet.any() else outer / 2
    shell = properties.water_k / (inner * np.log(max(outer, 1.1 * inner) / inner))
    return replace(properties, mixing=1.0, chamber=shell)
