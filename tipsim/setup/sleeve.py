"""The silicone sleeve around the shaft."""

from dataclasses import dataclass

import numpy as np

from tipsim.setup.centreline import Floats
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import Declared, quantity, words
from tipsim.setup.needle import Needle
from tipsim.setup.sourced import number
from tipsim.setup.units import MM, ONE

LEAST_GAP = number("limits.gap").si
"""Least gap between shaft and sleeve [m]; assumed."""


@dataclass(frozen=True)
class Sleeve(Declared):
    """A soft tube that carries irrigation along the shaft, and follows its sideways motion."""

    id: str = words("short name, for links and files")
    title: str = words("name on screen")
    inner_radius: float = quantity(MM, 0.3, 2, "inner radius of the sleeve")
    wall: float = quantity(
        MM, 0.05, 0.5, "wall thickness of the sleeve", label="Wall of the sleeve"
    )
    exposed: float = quantity(
        MM,
        0.2,
        10,
        "length of the needle that stands out of the sleeve",
        label="Needle exposure",
        slider=(0.2, 6, 0.05),
    )
    port_diameter: float = quantity(
        MM, 0.2, 1.5, "diameter of the two sleeve ports", label="Diameter of the sleeve ports"
    )
    port_distance: float = quantity(
        MM,
        0.2,
        5,
        "distance of the ports' middle from the end of the sleeve",
        label="Distance of the ports from the sleeve's end",
    )
    mobility: float | None = quantity(
        ONE,
        0,
        0.6,
        "sideways motion of the sleeve over that of the needle inside it, the same all along: 0 is "
        "held still, 1 would move with the needle. Left out, it is computed place by place from "
        "the masses of needle, fluid, sleeve and what is outside. Where a load or the wound holds "
        "the sleeve it is 0 either way",
        None,
        label="Sleeve coupling, set (0–1)",
        slider=(0, 0.6, 0.02),
        source="sleeve.mobility",
        short="mobility",
    )

    @property
    def outer_radius(self) -> float:
        """Outer radius [m]."""
        return self.inner_radius + self.wall

    def radius_around(self, needle: Needle, outer: Floats) -> Floats:
        """Return the sleeve's inner radius around metal of these outer radii [m].

        Over the hub's taper the sleeve widens with the metal: the gap stays the shaft's.
        """
        gap = self.inner_radius - needle.outer_radius
        return np.maximum(outer + gap, self.inner_radius)

    def fits(self, needle: Needle) -> None:
        """Refuse a needle that does not fit.

        Raises
        ------
        BadInput
            When the shaft leaves less than 0.03 mm of gap, or the sleeve would have no length.

        Examples
        --------
        >>> from tipsim.setup.catalogue import needle, sleeve
        >>> sleeve("for-0.75").fits(needle("single-bend-20-wide"))
        Traceback (most recent call last):
        tipsim.setup.errors.BadInput: sleeve.inner_radius_mm is 0.55 mm around a needle of \
0.55 mm; allowed: 0.58 mm or more.
        """
        end = needle.length - self.exposed
        if end <= needle.taper_length:
            most = MM.show(needle.length - needle.taper_length)
            raise BadInput("sleeve.exposed_mm", MM.show(self.exposed), f"less than {most}")
        inside = [j for j in needle.joints if needle.taper_length <= j < end]
        widest = float(needle.radii_at([needle.taper_length, *inside, end])[0].max())
        if self.inner_radius < widest + LEAST_GAP - 1e-9:
            value = f"{MM.show(self.inner_radius)} around a needle of {MM.show(widest)}"
            raise BadInput(
                "sleeve.inner_radius_mm", value, f"{MM.show(widest + LEAST_GAP)} or more"
            )
