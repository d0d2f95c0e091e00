"""What presses on the needle: lens material at the mouth, a support on the shaft."""

from dataclasses import dataclass

from tipsim.setup.fields import check, quantity, sourced, words
from tipsim.setup.units import KPA, MM, MPA, ONE, PERCENT


@dataclass(frozen=True)
class LensLoad:
    """Lens material against the mouth.

    Attributes
    ----------
    grade : str
        Words for the hardness.
    shear_modulus : float
        Of the lens material at the drive's frequency [Pa]. Assumed.
    contact : float
        Share of the opening's rim that touches, 0 to 1.
    density, poisson : float
        Of the lens material [kg/m³, no unit].
    """

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

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)


@dataclass(frozen=True)
class Support:
    """A place where wound or sleeve holds the shaft sideways.

    Attributes
    ----------
    place : float
        Distance of its middle from the needle's end [m].
    length : float
        Length over which it holds [m].
    stiffness : float
        Sideways stiffness per length [N/m²].
    loss_factor : float
        Its own loss factor [no unit].
    """

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

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)
