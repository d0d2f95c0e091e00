"""What presses on the needle: lens material at the mouth, a support on the shaft."""

from dataclasses import dataclass

from tipsim.setup.fields import check, quantity, words
from tipsim.setup.sourced import number
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
        Share of the mouth's ring that touches, 0 to 1.
    """

    grade: str = words("words for the hardness")
    shear_modulus: float = quantity(KPA, 0.001, 1e5, "shear modulus of the lens material")
    contact: float = quantity(PERCENT, 0, 100, "share of the mouth that touches", default=0.5)

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
        MM, 0.5, 30, "distance of the support from the end", default=number("support.place").si
    )
    length: float = quantity(
        MM, 0.2, 10, "length of the support", default=number("support.length").si
    )
    stiffness: float = quantity(
        MPA, 0.001, 100, "sideways stiffness per length", default=number("support.stiffness").si
    )
    loss_factor: float = quantity(
        ONE, 0, 1, "the support's own loss factor", default=number("support.loss_factor").si
    )

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)
