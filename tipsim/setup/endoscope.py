"""What is set on the endoscope that looks along the sleeve from within the chamber."""

from dataclasses import dataclass
from typing import Any

from tipsim.setup.errors import BadInput
from tipsim.setup.fields import Declared, quantity, sourced
from tipsim.setup.units import DEG, MM, MS, ONE, PER_S, PERCENT

TALL = 0.75
"""Height of a picture over its width."""


def _aimed(owner: Any) -> float:
    """Return the distance of the lens, of a scenario or of an endoscope, as a saved film has it."""
    one: Endoscope = getattr(owner, "endoscope", owner)
    return one.distance


@dataclass(frozen=True)
class Endoscope(Declared):
    """An endoscope with a wide lens, its light, and what the program reads from its pictures.

    Examples
    --------
    >>> Endoscope(frame_rate=25, pictures=50).seconds
    2.0
    >>> Endoscope(frame_rate=50, exposure=0.04)
    Traceback (most recent call last):
    tipsim.setup.errors.BadInput: exposure_ms is 40 ms; allowed: at most 20 ms, the time from one
    picture to the next at 50 1/s.
    """

    mark: float = quantity(
        MM,
        *(1, 15, "distance of the mark on the sleeve from the tip", 5e-3),
        label="Mark on the sleeve, from the tip",
        slider=(1.5, 8, 0.25),
    )
    distance: float = quantity(
        MM,
        *(1, 12, "from the lens to the sleeve's surface that it is aimed at", 3.5e-3),
        label="Distance of the lens",
        slider=(1, 8, 0.25),
    )
    angle: float = quantity(
        DEG,
        *(15, 80, "between the line of sight and the sleeve: 15° is along it", 0.8),
        label="Angle of view to the sleeve",
        slider=(15, 80, 5),
    )
    field: float = quantity(
        DEG,
        *(40, 140, "angle of view across the whole picture", 1.75),
        label="Field of view",
        slider=(40, 140, 5),
    )
    distortion: float = quantity(
        ONE,
        *(-0.15, 0.3),
        "how far the picture's scale changes away from its middle: r = f (θ + k θ³ + …). 0 is an "
        "even scale in angle, 0.33 nearly that of a lens without distortion",
        0.0,
        label="Lens distortion",
        slider=(-0.15, 0.3, 0.01),
    )
    columns: float = quantity(
        ONE,
        *(64, 240, "pixels across the picture; its height is three quarters of that", 128),
        label="Resolution, pixels across",
        slider=(64, 240, 8),
    )
    frame_rate: float = quantity(
        PER_S,
        *(2, 120, "pictures per second", 10.0),
        label="Video rate",
        slider=(2, 120, 1),
        scale="log",
    )
    exposure: float = quantity(
        MS,
        *(0.005, 200, "for how long each picture gathers light; at most until the next", 4e-3),
        label="Exposure",
        slider=(0.005, 40, 0.005),
        scale="log",
    )
    pictures: float = quantity(
        ONE,
        *(24, 160, "length of the film", 144),
        label="Pictures",
        slider=(24, 160, 8),
    )
    light: float = quantity(
        PERCENT,
        *(1, 100, "brightness of the light, of its strongest", 0.5),
        label="Light",
        slider=(1, 100, 1),
        scale="log",
    )
    focus: float | None = quantity(
        MM,
        *(0.3, 20),
        "distance at which the lens is sharp; where it is aimed unless set",
        label="Distance in focus",
        slider=(0.5, 10, 0.25),
        follows=_aimed,
    )
    seed: float = quantity(
        ONE,
        *(0, 9999, "random seed: the same number gives the same film again", 1),
        label="Random seed of the film",
        slider=(0, 100, 1),
    )
    region_x: float = quantity(
        PERCENT,
        *(0, 100, "middle of the region whose brightness is measured, from the left", 0.3),
        label="Region, from the left",
        slider=(0, 100, 1),
    )
    region_y: float = quantity(
        PERCENT,
        *(0, 100, "middle of the region whose brightness is measured, from the top", 0.8),
        label="Region, from the top",
        slider=(0, 100, 1),
    )
    region_size: float = quantity(
        PERCENT,
        *(5, 60, "width and height of that region, of the picture's", 0.25),
        label="Size of the region",
        slider=(5, 60, 1),
    )

    aim: float = sourced("endoscope.aim")
    around: float = sourced("endoscope.around")
    distortion_2: float = sourced("endoscope.distortion_2")
    mark_radius: float = sourced("endoscope.mark_radius")
    pupil: float = sourced("endoscope.pupil")
    speck: float = sourced("endoscope.speck")
    opacity: float = sourced("endoscope.opacity")
    specks: float = sourced("endoscope.specks")
    stream: float = sourced("endoscope.stream")
    eddies: float = sourced("endoscope.eddies")
    electrons: float = sourced("endoscope.electrons")
    full_well: float = sourced("endoscope.full_well")
    read_noise: float = sourced("endoscope.read_noise")
    aperture: float = sourced("endoscope.aperture")
    sharpness: float = sourced("endoscope.sharpness")

    def __post_init__(self) -> None:
        """Check the numbers and that they fit together."""
        super().__post_init__()
        for name in ("columns", "pictures", "seed"):
            if getattr(self, name) != int(getattr(self, name)):
                raise BadInput(name, f"{getattr(self, name):g}", "a whole number")
        if self.exposure > (1 + 1e-9) / self.frame_rate:
            longest = f"at most {MS.show(1 / self.frame_rate)}"
            allowed = f"{longest}, the time from one picture to the next at "
            allowed += PER_S.show(self.frame_rate)
            shown = MS.show(self.exposure)
            sentence = f"Enter {allowed}. You entered {shown}."
            raise BadInput("exposure_ms", shown, allowed, sentence)

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns of a picture."""
        return round(self.columns * TALL), int(self.columns)

    @property
    def count(self) -> int:
        """Number of pictures."""
        return int(self.pictures)

    @property
    def seconds(self) -> float:
        """Length of the film [s]."""
        return self.pictures / self.frame_rate

    @property
    def white(self) -> float:
        """Electrons of a white pixel in one exposure, before it is full."""
        return self.electrons * self.light * self.exposure
