"""Numbers of the heat model, most of them assumed; meanings, ranges and sources in `heat.toml`."""

from dataclasses import dataclass

from tipsim.setup.fields import check, sourced


@dataclass(frozen=True)
class Thermal:
    """Thermal numbers of metal, silicone, fluid, cornea and what is around.

    Attributes
    ----------
    titanium_conductivity, silicone_conductivity, water_conductivity, cornea_conductivity : float
        Thermal conductivity [W/m K].
    titanium_heat, silicone_heat, water_heat, cornea_heat : float
        Specific heat [J/kg K].
    silicone_density, cornea_density : float
        Density [kg/m³]; those of metal and fluid stand with them.
    air_film, chamber_film : float
        Heat transfer to still air, and to the fluid of a chamber [W/m² K].
    nusselt_bore, nusselt_annulus, annulus_mixing : float
        Exchange in lumen and sleeve; mixing around the shaft, over conduction [no unit].
    """

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

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)


@dataclass(frozen=True)
class Rubbing:
    """Where a load presses the sleeve onto the shaft.

    Attributes
    ----------
    coefficient : float
        Rubbing coefficient of sleeve on shaft [no unit].
    wetted : float
        Share of the pressed place that keeps its film of fluid, 0 to 1.
    """

    coefficient: float = sourced("rubbing.coefficient", label="Rubbing coefficient")
    wetted: float = sourced("rubbing.wetted", label="Share under load that stays wetted")

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)


@dataclass(frozen=True)
class Squeeze:
    """Silicone that is squeezed at ultrasonic frequency.

    Attributes
    ----------
    modulus : float
        Its modulus [Pa].
    loss : float
        Its loss tangent [no unit].
    """

    modulus: float = sourced("squeeze.modulus", label="Modulus of silicone")
    loss: float = sourced("squeeze.loss", label="Loss tangent of silicone")

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)


@dataclass(frozen=True)
class Chamber:
    """The chamber as a lump of fluid.

    Attributes
    ----------
    volume : float
        Volume [m³].
    loss : float
        Heat lost to what is around it [W/K].
    """

    volume: float = sourced("chamber.volume")
    loss: float = sourced("chamber.loss", label="Heat loss of the chamber")

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)


@dataclass(frozen=True)
class Incision:
    """Where the incision lies along the needle.

    Attributes
    ----------
    near_end, far_end : float
        Its beginning and end, from the sleeve's end towards the hub [m].
    bare_exposed : float
        Where a sleeve would end on a bare needle, from its tip [m].
    bare_gap : float
        Gap between a bare needle and the incision, where the leak runs [m].
    """

    near_end: float = sourced("incision.near_end", label="Beginning of the incision")
    far_end: float = sourced("incision.far_end", label="End of the incision")
    bare_exposed: float = sourced("incision.bare_exposed", label="Exposure of a bare needle")
    bare_gap: float = sourced("incision.bare_gap", label="Gap around a bare needle")

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)
