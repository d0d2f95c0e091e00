"""Thermal numbers of metal, silicone, fluid, tissue and what is around."""

from dataclasses import dataclass

from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number


@dataclass(frozen=True)
class Thermal:
    """Thermal numbers, SI; see `assets/numbers` for ranges and sources."""

    metal_k: float
    metal_c: float
    silicone_k: float
    silicone_c: float
    water_k: float
    water_c: float
    tissue_k: float
    tissue_c: float
    air: float
    chamber: float
    bore_nusselt: float
    annulus_nusselt: float
    mixing: float
    chamber_c: float
    chamber_loss: float

    @classmethod
    def usual(cls, scenario: Scenario) -> "Thermal":
        """Give the data files' numbers; densities of metal and fluid are the bench's."""
        n = {name: number(f"thermal.{name}").si for name in _NAMES}
        return cls(
            n["titanium_conductivity"],
            n["titanium_heat"] * scenario.needle.material.density,
            n["silicone_conductivity"],
            n["silicone_heat"] * n["silicone_density"],
            n["water_conductivity"],
            n["water_heat"] * scenario.fluid.density,
            n["cornea_conductivity"],
            n["cornea_heat"] * n["cornea_density"],
            n["air_film"],
            n["chamber_film"],
            n["nusselt_bore"],
            n["nusselt_annulus"],
            n["annulus_mixing"],
            n["water_heat"] * scenario.fluid.density * number("chamber.volume").si,
            number("chamber.loss").si,
        )


_NAMES = (
    *("titanium_conductivity", "titanium_heat"),
    *("silicone_conductivity", "silicone_heat", "silicone_density"),
    *("water_conductivity", "water_heat"),
    *("cornea_conductivity", "cornea_heat", "cornea_density"),
    *("air_film", "chamber_film", "nusselt_bore", "nusselt_annulus", "annulus_mixing"),
)
