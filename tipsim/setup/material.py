"""The metal of a needle."""

from dataclasses import dataclass

from tipsim.setup.fields import REQUIRED, Declared, quantity, words
from tipsim.setup.sourced import number
from tipsim.setup.units import GPA, KG_M3, ONE


@dataclass(frozen=True)
class Material(Declared):
    """An elastic metal with a little loss.

    Examples
    --------
    >>> round(Material("Ti-6Al-4V", 113.8e9, 0.342, 4430.0).shear / 1e9, 1)
    42.4
    """

    name: str = words("name of the metal")
    young: float = quantity(
        GPA,
        1,
        500,
        "Young's modulus of the metal",
        REQUIRED,
        label="Young's modulus",
        slider=(50, 250, 0.1),
        source="titanium.young",
    )
    poisson: float = quantity(
        ONE,
        0,
        0.49,
        "Poisson's ratio of the metal",
        REQUIRED,
        label="Poisson's ratio",
        source="titanium.poisson",
    )
    density: float = quantity(
        KG_M3,
        500,
        25000,
        "density of the metal",
        REQUIRED,
        slider=(2000, 10000, 10),
        source="titanium.density",
    )
    loss_factor: float = quantity(
        ONE,
        0,
        0.1,
        "loss factor of the metal itself",
        default=7e-5,
        label="Loss factor of the metal",
        source="titanium.loss_factor",
    )

    @property
    def shear(self) -> float:
        """Shear modulus [Pa]."""
        return self.young / (2 * (1 + self.poisson))


def titanium() -> Material:
    """Return the metal of all needles in the catalogue."""
    names = ("young", "poisson", "density", "loss_factor")
    return Material("Ti-6Al-4V", *(number(f"titanium.{name}").si for name in names))
