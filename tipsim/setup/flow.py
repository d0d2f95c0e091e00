"""The fluid in which the needle works."""

from dataclasses import dataclass

from tipsim.setup.fields import check, quantity
from tipsim.setup.units import CELSIUS, KG_M3


@dataclass(frozen=True)
class Fluid:
    """Irrigating salt solution at one temperature, taken as water.

    Attributes
    ----------
    temperature : float
        Temperature [K].
    density : float
        Density [kg/m³].
    """

    temperature: float = quantity(CELSIUS, 0, 95, "temperature of the fluid")
    density: float = quantity(KG_M3, 900, 1200, "density of the fluid")

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)

    @property
    def viscosity(self) -> float:
        """Dynamic viscosity [Pa s]."""
        return water_viscosity(self.temperature)


def water_viscosity(temperature: float) -> float:
    """Give the dynamic viscosity of water.

    Parameters
    ----------
    temperature : float
        Temperature [K], 273 to 370.

    Returns
    -------
    float
        Viscosity [Pa s], within 2.5 % of tables.

    Notes
    -----
    2.414e-5 * 10^(247.8 / (T - 140 K)): a common fit, from memory; held in the tests against
    handbook values at 20, 25 and 40 °C.

    Examples
    --------
    >>> round(water_viscosity(298.15) * 1e3, 2)
    0.89
    """
    return float(2.414e-5 * 10 ** (247.8 / (temperature - 140.0)))
