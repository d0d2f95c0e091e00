"""Numbers of the heat model, most of them assumed; meanings, ranges and sources in `heat.toml`."""

from dataclasses import dataclass

from tipsim.setup.errors import BadInput
from tipsim.setup.fields import Declared, choice, sourced


@dataclass(frozen=True)
class Thermal(Declared):
    """Thermal numbers of metal, silicone, fluid, cornea and what is around."""

    titanium_conductivity: float = sourced("thermal.titanium_conductivity")
    titanium_heat: float = sourced("thermal.titanium_heat")
    silicone_conductivity: float = sourced(
        "thermal.silicone_conductivity", label="Conductivity of silicone"
    )
    silicone_heat: float = sourced("thermal.silicone_heat")
    silicone_density: float = sourced("thermal.silicone_density")
    water_conductivity: float = sourced("thermal.water_conductivity")
    water_heat: float = sourced("thermal.water_heat")
    cornea_conductivity: float = sourced("thermal.cornea_conductivity")
    cornea_heat: float = sourced("thermal.cornea_heat")
    cornea_density: float = sourced("thermal.cornea_density")
    air_film: float = sourced("thermal.air_film", label="Heat transfer to air")
    chamber_film: float = sourced("thermal.chamber_film", label="Heat transfer to the chamber")
    nusselt_bore: float = sourced("thermal.nusselt_bore", label="Nusselt number in the lumen")
    nusselt_annulus: float = sourced(
        "thermal.nusselt_annulus", label="Nusselt number in the sleeve"
    )
    annulus_mixing: float = sourced("thermal.annulus_mixing", label="Mixing around the shaft")


@dataclass(frozen=True)
class Rubbing(Declared):
    """Where a load presses the sleeve onto the shaft."""

    coefficient: float = sourced("rubbing.coefficient", label="Rubbing coefficient")
    wetted: float = sourced("rubbing.wetted", label="Share under load that stays wetted")


@dataclass(frozen=True)
class Squeeze(Declared):
    """Silicone that is squeezed at ultrasonic frequency."""

    modulus: float = sourced("squeeze.modulus", label="Modulus of silicone")
    loss: float = sourced(
        "squeeze.loss",
        span=(0.01, 0.3),
        label="Loss tangent of silicone",
        slider=(0.05, 0.2, 0.01),
    )


SALT, VISCOELASTIC = FILLINGS = ("salt solution", "viscoelastic")
"""What a chamber can be filled with."""


@dataclass(frozen=True)
class Viscoelastic(Declared):
    """Viscoelastic (OVD): how thick it is at rest and sheared, and how far up it stands."""

    zero_shear: float = sourced(
        "viscoelastic.zero_shear", span=(1, 1000), label="Viscosity at rest"
    )
    at_ten: float = sourced("viscoelastic.at_ten", span=(0.1, 100), label="Viscosity at 10 1/s")
    exponent: float = sourced("viscoelastic.exponent", span=(0.1, 0.9), label="Power-law exponent")
    reach: float = sourced(
        "viscoelastic.reach", span=(0, 30), label="Viscoelastic up sleeve and lumen"
    )

    def __post_init__(self) -> None:
        """Check the numbers, and that it gets thinner when sheared."""
        super().__post_init__()
        if self.at_ten >= self.zero_shear:
            raise BadInput(
                "at_ten_pa_s",
                f"{self.at_ten:g} Pa s",
                f"less than at rest ({self.zero_shear:g} Pa s)",
            )


@dataclass(frozen=True)
class Chamber(Declared):
    """The chamber as a lump of fluid."""

    volume: float = sourced("chamber.volume")
    left: float = sourced("chamber.left", label="Volume left in a flat chamber")
    filling: str = choice(
        FILLINGS,
        "what the chamber is filled with at the start; viscoelastic stands still until an event "
        "clears it",
        default=FILLINGS[0],
        label="Chamber filled with",
        short="filling",
        said={"viscoelastic": "Viscoelastic (OVD)"},
    )
    loss: float = sourced("chamber.loss", label="Heat loss of the chamber")


@dataclass(frozen=True)
class Incision(Declared):
    """Where the incision lies along the needle; iris, load and support follow it unless set."""

    insertion: float = sourced(
        "incision.insertion",
        "how far the needle is in: distance from the tip to the inner edge of the incision",
        span=(1, 20),
        label="Needle insertion",
        slider=(3, 12, 0.25),
        short="insertion",
    )
    length: float = sourced(
        "incision.length",
        "length of the incision along the needle",
        span=(0.2, 6),
        label="Length of the incision",
        slider=(0.5, 4, 0.1),
    )
    bare_gap: float = sourced("incision.bare_gap", label="Gap around a bare needle")

    @property
    def span(self) -> tuple[float, float]:
        """Distances of its inner and outer edge from the tip [m]."""
        return self.insertion, self.insertion + self.length

    @property
    def middle(self) -> float:
        """Distance of its middle from the tip [m]."""
        return self.insertion + self.length / 2

    def hold(self, place: float | None, length: float | None) -> tuple[float, float]:
        """Return over which stretch from the tip something holds the sleeve [m].

        Parameters
        ----------
        place, length : float, optional
            Its middle from the tip and its length [m]; those of the incision when absent.
        """
        middle = self.middle if place is None else place
        half = (self.length if length is None else length) / 2
        return middle - half, middle + half
