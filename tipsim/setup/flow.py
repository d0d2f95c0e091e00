"""The fluid in which the needle works."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipsim.setup.fields import REQUIRED, Declared, choice, quantity, sourced
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


BY_FLOW, BY_VACUUM = PUMPS = ("flow", "vacuum")
"""Kinds of pump, by what is set: peristaltic pumps set the flow, venturi pumps the vacuum."""


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
        "what a flow-controlled pump draws through the needle while the tip is open",
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
        "vacuum at which a flow-controlled pump draws no more, and which a vacuum-controlled pump "
        "holds in its reservoir",
        span=(0, 700),
        label="Vacuum limit",
        slider=(0, 700, 10),
        short="vacuum",
    )

    leak_pressure: float = sourced(
        "flow.leak_pressure",
        "usual chamber pressure: the set leak flows at it, and the chamber has its volume",
        label="Usual chamber pressure",
    )
    pump: str = choice(
        PUMPS,
        "what the pump holds: the set flow up to its vacuum limit (flow-controlled, peristaltic), "
        "or the set vacuum, so that the flow follows the resistance (vacuum-controlled, venturi)",
        BY_FLOW,
        label="Pump holds",
        short="pump",
        said={BY_FLOW: "the flow", BY_VACUUM: "the vacuum"},
    )

    @property
    def by_vacuum(self) -> bool:
        """Whether the pump is vacuum-controlled."""
        return self.pump == BY_VACUUM


@dataclass(frozen=True)
class Lines(Declared):
    """The two lines and how openings resist; ranges and sources in `flow.toml`."""

    irrigation_bore: float = sourced("lines.irrigation_bore", label="Bore of the irrigation line")
    irrigation_length: float = sourced(
        "lines.irrigation_length", label="Length of the irrigation line"
    )
    aspiration_bore: float = sourced(
        "lines.aspiration_bore",
        "bore of a flow-controlled pump's aspiration line",
        span=(1, 2),
        label="Bore of the aspiration line",
    )
    vacuum_bore: float = sourced(
        "lines.vacuum_bore", label="Bore of a vacuum-controlled pump's line"
    )
    aspiration_length: float = sourced(
        "lines.aspiration_length", label="Length of the aspiration line"
    )
    discharge: float = sourced("lines.discharge", label="Discharge coefficient")
    inlet: float = sourced("lines.inlet", label="Loss at the opening, in velocity heads")


OCCLUSION, NO_IRRIGATION = EVENTS = ("occlusion", "no irrigation")
"""What can happen in a trial."""


@dataclass(frozen=True)
class Trial(Declared):
    """What happens to the fluid on the bench, and how far chamber and line comply."""

    hold: float = quantity(
        SECOND,
        0.05,
        20,
        "how long the tip stays occluded, or the irrigation away",
        default=2.0,
        label="It lasts",
        slider=(0.05, 5, 0.1),
    )
    line_compliance: float = sourced(
        "surge.line_compliance",
        "compliance of the aspiration line: soft lines have more",
        span=(0.02, 5),
        label="Compliance of the aspiration line",
        slider=(0.02, 3, 0.01),
    )
    chamber_compliance: float = sourced(
        "surge.chamber_compliance",
        "compliance of the chamber",
        span=(0.1, 10),
        slider=(0.1, 5, 0.1),
    )
    closing_time: float = sourced(
        "surge.closing_time",
        "time in which the tip occludes or the irrigation stops",
        span=(5, 500),
        label="Comes within",
        slider=(5, 200, 5),
    )
    opening_time: float = sourced(
        "surge.opening_time",
        "time in which the tip clears or the irrigation comes back",
        span=(1, 100),
        label="Goes within",
        slider=(1, 20, 1),
    )
    place: float = sourced(
        "surge.place",
        "where the aspiration line complies, as a share of the way from needle to pump",
        label="Place of the line's compliance",
    )
    pump_lag: float = sourced(
        "surge.pump_lag",
        "time constant of a vacuum-controlled pump, and of any pump's vent when it stops",
        label="Time constant of pump and vent",
    )
    event: str = choice(
        EVENTS,
        "what happens: a fragment occludes the tip and breaks free, or the irrigation stops "
        "(line kinked, bottle empty) and comes back",
        OCCLUSION,
        label="Event",
    )
