"""What warms and cools the needle from outside: load on the sleeve, surroundings."""

from dataclasses import dataclass

from tipsim.setup.fields import check, choice, quantity
from tipsim.setup.sourced import number
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
        GRAM, 0, 200, "load on the sleeve, as a weight", default=number("press.force").si
    )
    place: float = quantity(
        MM, 1, 15, "middle of the load from the end", default=number("press.place").si
    )
    length: float = quantity(MM, 0.3, 8, "length of the load", default=number("press.length").si)
    arc: float = quantity(DEG, 20, 180, "arc that is pressed", default=number("press.arc").si)
    side: float = quantity(
        DEG, 0, 90, "side: 0 in the bend plane, 90 across it", default=number("press.side").si
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

    kind: str = choice(OUTSIDE, "what is around the needle", default="air")
    temperature: float = quantity(
        CELSIUS, 10, 40, "temperature around, and at start", number("fluid.temperature").si
    )

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)
