"""The eye around the needle: where the iris lies, how wide the wound is."""

from dataclasses import dataclass

from tipsim.setup.fields import check, quantity
from tipsim.setup.sourced import number
from tipsim.setup.units import DEG, KPA, MM


@dataclass(frozen=True)
class Eye:
    """What a surgeon can see or choose; what nobody has measured stands in `tipsim.setup.tissue`.

    Attributes
    ----------
    iris_gap : float
        Mean gap between the sleeve's outside and the iris [m]; below 0 the iris is pressed on.
    iris_place : float
        Where the iris is nearest, distance from the needle's end [m].
    iris_side : float
        Direction of the iris: 0 in the bend plane, 90° across it [rad].
    iris_modulus : float
        Modulus of the iris [Pa]; a floppy iris has a low one.
    wound_width : float
        Width of the wound [m].

    Examples
    --------
    >>> round(Eye().iris_place * 1e3, 3), round(Eye().wound_width * 1e3, 3)
    (5.0, 2.2)
    """

    iris_gap: float = quantity(
        MM, -0.5, 3, "mean gap between sleeve and iris", number("eye.iris_gap").si
    )
    iris_place: float = quantity(
        MM, 0.5, 15, "where the iris is nearest, from the end", number("eye.iris_place").si
    )
    iris_side: float = quantity(
        DEG, -180, 180, "side of the iris: 0 in the bend plane", number("eye.iris_side").si
    )
    iris_modulus: float = quantity(
        KPA, 0.3, 1000, "modulus of the iris; low is floppy", number("eye.iris_modulus").si
    )
    wound_width: float = quantity(MM, 1, 4, "width of the wound", number("eye.wound_width").si)

    def __post_init__(self) -> None:
        """Check the numbers."""
        check(self)
