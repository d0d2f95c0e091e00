"""What is set on the thermal camera and on the program that reads its pictures."""

from dataclasses import dataclass

from tipsim.heat.camera.emission import metal_index
from tipsim.motion.camera.settings import PER_SECOND
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import Declared, choice, quantity, sourced
from tipsim.setup.units import CELSIUS, DEG, MM, ONE, SECOND

BANDS = {"8–14 µm": (8e-6, 14e-6), "3–5 µm": (3e-6, 5e-6)}
"""Bands that air lets through, in which thermal cameras work."""
SURFACES = ("dry silicone", "wet silicone", "black paint")
PAINT = 1e-9
"""Departure of black paint's index from that of air: it mirrors nothing."""


@dataclass(frozen=True)
class ThermalCamera(Declared):
    """A thermal camera that looks at needle and sleeve from the side.

    Examples
    --------
    >>> ThermalCamera(frame_rate=25, pictures=10).last
    0.36
    """

    band: str = choice(
        tuple(BANDS),
        "wavelengths that the camera sees; shorter ones tell hot from cold more sharply",
        "8–14 µm",
        label="Band",
    )
    pixel: float = quantity(
        MM,
        *(0.02, 1, "width that one pixel covers at the needle", 0.15e-3),
        label="Pixel at the needle",
        slider=(0.02, 1, 0.01),
    )
    blur: float = sourced("thermography.blur", span=(0, 3), slider=(0, 1, 0.01), label="Blur")
    frame_rate: float = quantity(
        PER_SECOND,
        *(0.1, 1000, "pictures per second", 10.0),
        label="Frame rate",
        slider=(0.5, 100, 0.5),
        scale="log",
    )
    pictures: float = quantity(
        ONE, 1, 240, "length of the film", 60, label="Pictures", slider=(1, 240, 1)
    )
    start: float = quantity(
        SECOND, 0, 600, "when the film begins", 0.0, label="Film begins", slider=(0, 60, 0.5)
    )
    time_constant: float = sourced(
        "thermography.time_constant",
        span=(0, 1000),
        label="Time constant of the detector",
        slider=(0, 50, 0.5),
    )
    noise: float = sourced(
        "thermography.noise", span=(0, 1000), label="Noise of a pixel", slider=(0, 200, 5)
    )
    seed: float = quantity(
        ONE,
        *(0, 9999, "random seed: the same number gives the same noise again", 1),
        label="Noise seed",
        slider=(0, 100, 1),
    )
    side: float = quantity(
        DEG,
        *(-180, 180),
        "from where the camera looks: 0° at the side under load, 90° across it",
        0.0,
        label="Seen from",
        slider=(-180, 180, 15),
    )
    surface: str = choice(
        SURFACES, "what the sleeve's outside is like", "dry silicone", label="Sleeve surface"
    )
    mirrored: float = sourced(
        "thermography.ambient",
        span=(-50, 200),
        label="Temperature that the surface mirrors",
        slider=(0, 60, 1),
    )
    set_emissivity: float = quantity(
        ONE,
        *(0.05, 1, "emissivity that the program takes for all it sees", 0.95),
        label="Emissivity set in the program",
        slider=(0.05, 1, 0.01),
    )
    set_mirrored: float = quantity(
        CELSIUS,
        *(-50, 200, "mirrored temperature that the program takes", 296.15),
        label="Mirrored temperature set in the program",
        slider=(0, 60, 1),
    )

    silicone_index: float = sourced("thermography.silicone_index")
    water_index: float = sourced("thermography.water_index")
    water_absorption: float = sourced("thermography.water_absorption")
    metal_resistivity: float = sourced("thermography.metal_resistivity")

    def __post_init__(self) -> None:
        """Check the numbers."""
        super().__post_init__()
        for name in ("pictures", "seed"):
            if getattr(self, name) != int(getattr(self, name)):
                raise BadInput(name, f"{getattr(self, name):g}", "a whole number")

    @property
    def wavelengths(self) -> tuple[float, float]:
        """Band [m]."""
        return BANDS[self.band]

    @property
    def last(self) -> float:
        """When the last picture is taken [s]."""
        return self.start + (self.pictures - 1) / self.frame_rate

    @property
    def sleeve_index(self) -> complex:
        """Refractive index of the sleeve's surface."""
        return {
            "dry silicone": complex(self.silicone_index, 0),
            "wet silicone": complex(self.water_index, self.water_absorption),
            "black paint": complex(1 + PAINT, 0),
        }[self.surface]

    @property
    def bare_index(self) -> complex:
        """Refractive index of the bare needle in the middle of the band."""
        if self.surface == "black paint":
            return self.sleeve_index
        return metal_index(self.metal_resistivity, sum(self.wavelengths) / 2)
