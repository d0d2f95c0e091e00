"""Thermal numbers of metal, silicone, fluid, tissue and what is around."""

from dataclasses import dataclass

from tipsim.setup.scenario import Scenario


@dataclass(frozen=True)
class Properties:
    """What the heat network needs of a scenario, SI; c stands for heat capacity by volume."""

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
    wetted: float
    chamber_c: float
    chamber_loss: float
    near: float
    far: float
    beyond: float

    @classmethod
    def of(cls, scenario: Scenario) -> "Properties":
        """Return those of a scenario; densities of metal and fluid are its own."""
        t, fluid = scenario.thermal, scenario.fluid
        water_c = t.water_heat * fluid.density
        return cls(
            metal_k=t.titanium_conductivity,
            metal_c=t.titanium_heat * scenario.needle.material.density,
            silicone_k=t.silicone_conductivity,
            silicone_c=t.silicone_heat * t.silicone_density,
            water_k=t.water_conductivity,
            water_c=water_c,
            tissue_k=t.cornea_conductivity,
            tissue_c=t.cornea_heat * t.cornea_density,
            air=t.air_film,
            chamber=t.chamber_film,
            bore_nusselt=t.nusselt_bore,
            annulus_nusselt=t.nusselt_annulus,
            mixing=t.annulus_mixing,
            wetted=scenario.rubbing.wetted,
            chamber_c=water_c * scenario.chamber.volume,
            chamber_loss=scenario.chamber.loss,
            near=scenario.tissue.near,
            far=scenario.tissue.far,
            beyond=scenario.tissue.beyond,
        )
