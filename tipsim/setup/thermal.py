"""What warms and cools the needle from outside: load on the sleeve, surroundings."""

from dataclasses import dataclass

from tipsim.setup.fields import Declared, choice, quantity
from tipsim.setup.units import CELSIUS, DEG, GRAM, MM

OUTSIDE = ("air", "dry", "chamber", "wound")


@dataclass(frozen=True)
class Press(Declared):
    """Something that presses the sleeve onto the shaft, such as a weight or the wound's edge."""

    force: float = quantity(
        GRAM,
        0,
        200,
        "load that presses the sleeve onto the shaft, as a weight",
        label="Load on the sleeve",
        slider=(0, 100, 5),
        source="press.force",
    )
    place: float = quantity(
        MM,
        1,
        15,
        "distance of the load's middle from the tip",
        label="Distance of the load from the tip",
        slider=(1, 15, 0.5),
        source="press.place",
    )
    length: float = quantity(
        MM,
        0.3,
        8,
        "length of shaft that the load presses on",
        label="Length of the load",
        slider=(0.3, 8, 0.1),
        source="press.length",
    )
    arc: float = quantity(
        DEG,
        20,
        180,
        "arc of the circumference that is pressed",
        label="Arc under load",
        slider=(20, 180, 10),
        source="press.arc",
    )
    side: float = quantity(
        DEG,
        0,
        90,
        "side that is pressed: 0° in the bend plane, 90° across it",
        label="Side under load",
        slider=(0, 90, 15),
        source="press.side",
    )


@dataclass(frozen=True)
class Outside(Declared):
    """What is around the needle and its sleeve.

    "air" is a bench test, bare metal wetted by the irrigation; "dry" the same without water on bare
    metal; "chamber" is under water; "wound" has the wound around the sleeve, the end in the
    chamber and the hub in air.
    """

    kind: str = choice(
        OUTSIDE,
        "what is around needle and sleeve",
        default="air",
        label="Around the needle",
        short="outside",
    )
    temperature: float = quantity(
        CELSIUS,
        10,
        40,
        "temperature of what is around the needle, and of everything at the start",
        label="Temperature at the start",
        slider=(10, 40, 1),
        source="fluid.temperature",
    )
