"""What presses on the needle: lens material at the mouth, a support on the shaft."""

from dataclasses import dataclass

from tipsim.setup.fields import Declared, quantity, sourced, words
from tipsim.setup.units import KPA, MM, MPA, ONE, PERCENT


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

    place: float = quantity(
        MM,
        0.5,
        30,
        "distance of the support's middle from the tip",
        label="Distance of the support from the tip",
        slider=(0.5, 14, 0.5),
        source="support.place",
    )
    length: float = quantity(
        MM,
        0.2,
        10,
        "length over which the support holds the shaft",
        label="Length of the support",
        source="support.length",
    )
    stiffness: float = quantity(
        MPA,
        0.001,
        100,
        "sideways stiffness of the support per length",
        label="Stiffness of the support",
        slider=(0.5, 100, 0.5),
        source="support.stiffness",
    )
    loss_factor: float = quantity(
        ONE,
        0,
        1,
        "loss factor of the support itself",
        label="Loss factor of the support",
        source="support.loss_factor",
    )
