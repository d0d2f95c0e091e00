"""What warms and cools the needle from outside: load on the sleeve, surroundings."""

from dataclasses import dataclass

from tipsim.setup.fields import Declared, choice, sourced
from tipsim.setup.heat import Incision

OUTSIDE = ("air", "dry", "chamber", "wound")


@dataclass(frozen=True)
class Press(Declared):
    """Something that presses the sleeve onto the shaft, such as a weight or the wound's edge."""

    force: float = sourced(
        "press.force",
        "load that presses the sleeve onto the shaft, as a weight",
        span=(0, 200),
        label="Load on the sleeve",
        slider=(0, 100, 5),
    )
    place: float | None = sourced(
        "press.place",
        "distance of the load's middle from the tip; the middle of the incision unless set",
        span=(1, 15),
        label="Distance of the load from the tip",
        slider=(1, 15, 0.5),
        follows=lambda scenario: scenario.incision.middle,
    )
    length: float | None = sourced(
        "press.length",
        "length of shaft that the load presses on; that of the incision unless set",
        span=(0.3, 8),
        label="Length of the load",
        slider=(0.3, 8, 0.1),
        follows=lambda scenario: scenario.incision.length,
    )
    arc: float = sourced(
        "press.arc",
        "arc of the circumference that is pressed",
        span=(20, 180),
        label="Arc under load",
        slider=(20, 180, 10),
    )
    side: float = sourced(
        "press.side",
        "side that is pressed: 0° in the bend plane, 90° across it",
        label="Side under load",
        slider=(0, 90, 15),
    )

    def span(self, incision: Incision) -> tuple[float, float]:
        """Return the stretch that is pressed, as distances from the tip [m]."""
        return incision.hold(self.place, self.length)


@dataclass(frozen=True)
class Outside(Declared):
    """What is around the needle and its sleeve.

    "air" is a bench test, bare metal wetted by a film of irrigation; "dry" the same without any on
    bare metal; "chamber" is all under fluid; "wound" has the tip's side in the chamber, the
    incision around the sleeve behind it and the hub's side in air.
    """

    kind: str = choice(
        OUTSIDE,
        "what is around needle and sleeve",
        default="chamber",
        label="Around the needle",
        short="outside",
        said={"dry": "Air, dry", "chamber": "Fluid", "wound": "In the eye"},
    )
    temperature: float = sourced(
        "fluid.temperature",
        "temperature of what is around the needle, and of everything at the start",
        span=(10, 40),
        label="Temperature at the start",
        slider=(10, 40, 1),
    )
    film: float = sourced("outside.film", label="Film on bare metal in air")
