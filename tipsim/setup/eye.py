"""The eye around the needle: where the iris lies, how wide the wound is."""

from dataclasses import dataclass

from tipsim.setup.fields import Declared, quantity
from tipsim.setup.units import DEG, KPA, MM


@dataclass(frozen=True)
class Eye(Declared):
    """What a surgeon can see or choose; what nobody has measured stands in `tipsim.setup.tissue`.

    Examples
    --------
    >>> round(Eye().iris_place * 1e3, 3), round(Eye().wound_width * 1e3, 3)
    (5.0, 2.2)
    """

    iris_gap: float = quantity(
        MM,
        -0.5,
        3,
        "mean gap between sleeve and iris; below 0 the iris is pressed on",
        label="Mean gap between sleeve and iris",
        slider=(-0.5, 1, 0.02),
        source="eye.iris_gap",
    )
    iris_place: float = quantity(
        MM,
        0.5,
        15,
        "where the iris is nearest, distance from the tip",
        label="Closest point of the iris, from the tip",
        slider=(0.5, 10, 0.25),
        source="eye.iris_place",
    )
    iris_side: float = quantity(
        DEG,
        -180,
        180,
        "side on which the iris lies: 0° where the bend points, 90° across it",
        label="Iris position around the sleeve (0° = bend direction)",
        slider=(-180, 180, 15),
        source="eye.iris_side",
    )
    iris_modulus: float = quantity(
        KPA,
        0.3,
        1000,
        "Young's modulus of the iris; a floppy iris has a low one",
        label="Iris stiffness",
        slider=(0.5, 1000, 0.5),
        scale="log",
        source="eye.iris_modulus",
    )
    wound_width: float = quantity(
        MM,
        1,
        4,
        "width of the incision",
        slider=(1, 4, 0.1),
        source="eye.wound_width",
    )
