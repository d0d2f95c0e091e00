"""What is set on a thermal camera and on the program that reads its pictures."""

from dataclasses import dataclass

from tipsim.setup.errors import BadInput
from tipsim.setup.fields import Declared, choice, quantity, sourced
from tipsim.setup.units import CELSIUS, DEG, MM, ONE, PER_SECOND, SECOND

BANDS = {"8–14 µm": (8e-6, 14e-6), "3–5 µm": (3e-6, 5e-6)}
"""Bands that air lets through, in which thermal cameras work [m]."""
SURFACES = ("dry silicone", "wet silicone", "black paint")


@dataclass(frozen=True)
class ThermalCamera(Declared):
    """A thermal camera that looks at needle and sleeve from the side, and its three cursors.

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
        *(0.05, 1, "width that one pixel covers at the needle", 0.2e-3),
        label="Pixel at the needle",
        slider=(0.05, 1, 0.05),
    )
    blur: float = sourced("thermography.blur", span=(0, 3), slider=(0, 1, 0.05), label="Blur")
    frame_rate: float = quantity(
        PER_SECOND,
        *(0.1, 1000, "pictures per second", 2.0),
        label="Frame rate",
        slider=(0.1, 100, 0.1),
        scale="log",
    )
    pictures: float = quantity(
        ONE,
        *(1, 240, "most pictures of the film, which ends with the run", 121),
        label="Pictures, at most",
        slider=(1, 201, 1),
    )
    start: float = quantity(
        SECOND, 0, 600, "when the film begins", 0.0, label="Film begins", slider=(0, 60, 1)
    )
    time_constant: float = sourced(
        "thermography.time_constant",
        span=(0, 5000),
        label="Time constant of the detector",
        slider=(0, 2000, 10),
    )
    noise: float = sourced(
        "thermography.noise", span=(0, 5000), label="Noise of a pixel", slider=(0, 1000, 10)
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
        slider=(0, 100, 1),
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
        slider=(0, 100, 1),
    )
    point: float = quantity(
        MM,
        *(-2, 40, "distance of the point from the tip", 6e-3),
        label="Point, from the tip",
        slider=(0, 20, 0.2),
    )
    height: float = quantity(
        MM,
        *(-3, 3, "height of point and line over the middle line", 0.0),
        label="Height of point and line",
        slider=(-1, 1, 0.1),
    )
    near: float = quantity(
        MM,
        *(-2, 40, "distance from the tip at which the region begins", 3e-3),
        label="Region from",
        slider=(0, 20, 0.2),
    )
    far: float = quantity(
        MM,
        *(-2, 40, "distance from the tip at which the region ends", 9e-3),
        label="Region to",
        slider=(0, 20, 0.2),
    )
    emissivity_doubt: float = sourced("thermography.emissivity_doubt", span=(0, 0.5))
    mirrored_doubt: float = sourced("thermography.mirrored_doubt", span=(0, 50))

    silicone_index: float = sourced("thermography.silicone_index")
    water_index: float = sourced("thermography.water_index")
    water_absorption: float = sourced("thermography.water_absorption")
    metal_resistivity: float = sourced("thermography.metal_resistivity")

    def __post_init__(self) -> None:
        """Check the numbers, and that the region has two ends."""
        super().__post_init__()
        for name in ("pictures", "seed"):
            if getattr(self, name) != int(getattr(self, name)):
                raise BadInput(name, f"{getattr(self, name):g}", "a whole number")
        if self.far - self.near < 0.1e-3:
            most = f"at least 0.1 mm beyond where the region begins ({MM.show(self.near)})"
            raise BadInput("far_mm", MM.show(self.far), most)

    @property
    def wavelengths(self) -> tuple[float, float]:
        """Band [m]."""
        return BANDS[self.band]

    @property
    def last(self) -> float:
        """When the last picture would be taken, in a run that is long enough [s]."""
        return self.start + (self.pictures - 1) / self.frame_rate
