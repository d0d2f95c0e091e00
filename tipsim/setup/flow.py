"""The fluid in which the needle works."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipsim.setup.fields import REQUIRED, Declared, quantity, sourced
from tipsim.setup.units import CELSIUS, KG_M3, PERCENT, SECOND


@dataclass(frozen=True)
class Fluid(Declared):
    """Irrigating salt solution at one temperature, taken as water."""

    temperature: float = quantity(
        CELSIUS,
        0,
        95,
        "temperature of the fluid as it comes from the bottle",
        REQUIRED,
        label="Irrigation temperature",
        slider=(0, 60, 1),
        source="fluid.temperature",
        short="temperature",
    )
    density: float = quantity(
        KG_M3,
        900,
        1200,
        "density of the fluid",
        REQUIRED,
        source="fluid.density",
    )

    @property
    def viscosity(self) -> float:
        """Dynamic viscosity [Pa s]."""
        return float(water_viscosity(self.temperature))


def water_viscosity(temperature: ArrayLike) -> NDArray[np.float64]:
    """Return the dynamic viscosity of water.

    Parameters
    ----------
    temperature : array_like
        Temperature [K], 273 to 370.

    Returns
    -------
    array
        Viscosity [Pa s], within 2.5 % of tables.

    Notes
    -----
    2.414e-5 * 10^(247.8 / (T - 140 K)): a common fit, from memory; held in the tests against
    handbook values at 20, 25 and 40 °C.

    Examples
    --------
    >>> round(float(water_viscosity(298.15)) * 1e3, 2)
    0.89
    """
    return np.asarray(2.414e-5 * 10 ** (247.8 / (np.asarray(temperature) - 140.0)))


@dataclass(frozen=True)
class Flow(Declared):
    """Fluid through sleeve and bore: what is set on the bench.

    What follows with bottle, lines, vacuum and occlusion, `tipsim.flow.balance` solves.
    The leak comes down the sleeve as well; the vacuum is below the room's pressure.

    Examples
    --------
    >>> Flow(aspiration=25e-6 / 60, leak=3e-6 / 60, occlusion=1.2)
    Traceback (most recent call last):
    tipsim.setup.errors.BadInput: occlusion_percent is 120 %; allowed: 0 to 100 %.
    """

    aspiration: float = sourced(
        "flow.aspiration",
        "what the pump draws through the needle while the tip is open",
        span=(0, 100),
        label="Aspiration flow",
        slider=(0, 60, 1),
        short="aspiration",
    )
    leak: float = sourced(
        "flow.leak",
        "flow that leaks through the incision at the usual chamber pressure; it grows with "
        "pressure",
        span=(0, 60),
        label="Leak through the incision",
        slider=(0, 40, 0.5),
        short="leak",
    )
    occlusion: float = quantity(
        PERCENT,
        0,
        100,
        "share of the opening that is occluded",
        default=0.0,
        label="Occlusion of the opening",
        slider=(0, 100, 5),
        short="occlusion",
    )
    bottle_height: float = sourced(
        "flow.bottle_height",
        "height of the fluid's surface in the bottle above the eye",
        span=(0, 150),
        label="Bottle above the eye",
        slider=(0, 150, 5),
        short="bottle",
    )
    vacuum_limit: float = sourced(
        "flow.vacuum_limit",
        "vacuum at which the pump draws no more",
        span=(0, 700),
        label="Vacuum limit",
        slider=(0, 700, 10),
        short="vacuum",
    )

    leak_pressure: float = sourced("flow.leak_pressure", label="Chamber pressure of the set leak")


@dataclass(frozen=True)
class Lines(Declared):
    """The two lines and how openings resist; ranges and sources in `flow.toml`."""

    irrigation_bore: float = sourced("lines.irrigation_bore", label="Bore of the irrigation line")
    irrigation_length: float = sourced(
        "lines.irrigation_length", label="Length of the irrigation line"
    )
    aspiration_bore: float = sourced("lines.aspiration_bore", label="Bore of the aspiration line")
    aspiration_length: float = sourced(
        "lines.aspiration_length", label="Length of the aspiration line"
    )
    discharge: float = sourced("lines.discharge", label="Discharge coefficient")
    inlet: float = sourced("lines.inlet", label="Loss at the opening, in velocity heads")


@dataclass(frozen=True)
class Trial(Declared):
    """How a fragment occludes the tip, and how far chamber and line comply."""

    hold: float = quantity(
        SECOND,
        0.05,
        20,
        "how long the tip stays occluded",
        default=2.0,
        label="Occluded for",
        slider=(0.05, 5, 0.1),
    )
    line_compliance: float = sourced(
        "surge.line_compliance",
        "compliance of the aspiration line: soft lines have more",
        span=(0.02, 5),
        label="Compliance of the aspiration line",
        slider=(0.02, 1.5, 0.01),
    )
    chamber_compliance: float = sourced(
        "surge.chamber_compliance",
        "compliance of the chamber",
        span=(0.1, 10),
        slider=(0.1, 5, 0.1),
    )
    closing_time: float = sourced(
        "surge.closing_time",
        "time in which the tip occludes",
        span=(5, 500),
        label="Occluded within",
        slider=(5, 200, 5),
    )
    opening_time: float = sourced(
        "surge.opening_time",
        "time in which the tip clears",
        span=(1, 100),
        label="Released within",
        slider=(1, 20, 1),
    )
