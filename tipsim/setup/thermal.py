"""What warms and cools the needle from outside: load on the sleeve, surroundings."""

from dataclasses import dataclass

from tipsim.setup.fields import check, choice, quantity
from tipsim.setup.units import CELSIUS, DEG, GRAM, MM

OUTSIDE = ("air", "dry", "chamber", "wound")


@dataclass(frozen=True)
class Press:
    """Something that presses the sleeve onto the shaft, such as a weight or the wound's edge.

    Attributes
    ----------
    force : float
        Force [N]; in grams of weight outside.
    place, length : float
        Distance of its middle from the needle's end, and its length [m].
    arc : float
        Arc of the circumference that is pressed [rad].
    side : float
        Direction of the press: 0 in the bend plane, 90° across it [rad]. Assumed.
    """

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

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)


@dataclass(frozen=True)
class Outside:
    """What is around the needle and its sleeve.

    Attributes
    ----------
    kind : str
        "air" (a bench test, bare metal wetted by the irrigation), "dry" (the same without water
        on bare metal), "chamber" (under water) or "wound" (wound around the sleeve, end in the
        chamber, hub in air).
    temperature : float
        Of air, water or tissue, and of everything at the start [K].
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

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)
