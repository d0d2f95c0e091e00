"""What presses on the needle: lens material at the mouth, a support on the shaft."""

from dataclasses import dataclass

from tipsim.setup.fields import Declared, quantity, sourced, words
from tipsim.setup.heat import Incision
from tipsim.setup.units import KPA, PERCENT


@dataclass(frozen=True)
class LensLoad(Declared):
    """Lens material against the mouth; its modulus at the drive's frequency is assumed."""

    grade: str = words("words for the hardness")
    shear_modulus: float = quantity(
        KPA,
        0.001,
        1e5,
        "shear modulus of the lens material at the drive's frequency",
        label="Lens stiffness",
        slider=(1, 5000, 1),
        scale="log",
    )
    contact: float = quantity(
        PERCENT,
        0,
        100,
        "share of the opening's rim that touches the lens",
        default=0.5,
        label="Share of the rim in contact",
        slider=(0, 100, 5),
    )

    density: float = sourced("lens.density", label="Density of the lens")
    poisson: float = sourced("lens.poisson", label="Poisson's ratio of the lens")


@dataclass(frozen=True)
class Support(Declared):
    """A place where wound or sleeve holds the shaft sideways."""

    place: float | None = sourced(
        "support.place",
        "distance of the support's middle from the tip; the middle of the incision unless set",
        span=(0.5, 30),
        label="Distance of the support from the tip",
        slider=(0.5, 14, 0.5),
        follows=lambda scenario: scenario.incision.middle,
    )
    length: float | None = sourced(
        "support.length",
        "length over which the support holds the shaft; that of the incision unless set",
        span=(0.2, 10),
        label="Length of the support",
        follows=lambda scenario: scenario.incision.length,
    )
    stiffness: float = sourced(
        "support.stiffness",
        "sideways stiffness of the support per length",
        span=(0.001, 100),
        label="Stiffness of the support",
        slider=(0.5, 100, 0.5),
    )
    loss_factor: float = sourced(
        "support.loss_factor",
        "loss factor of the support itself",
        span=(0, 1),
        label="Loss factor of the support",
    )

    def span(self, incision: Incision) -> tuple[float, float]:
        """Return the stretch that is held, as distances from the tip [m]."""
        return incision.hold(self.place, self.length)
