"""The eye around the needle: where the iris lies, how wide the wound is."""

from dataclasses import dataclass

from tipsim.setup.fields import Declared, sourced


@dataclass(frozen=True)
class Eye(Declared):
    """What a surgeon can see or choose; what nobody has measured stands in `tipsim.setup.tissue`.

    Examples
    --------
    >>> Eye().iris_place, round(Eye().wound_width * 1e3, 3)
    (None, 2.2)
    """

    iris_gap: float = sourced(
        "eye.iris_gap",
        "mean gap between sleeve and iris; below 0 the iris is pressed on",
        span=(-0.5, 3),
        label="Mean gap between sleeve and iris",
        slider=(-0.5, 1, 0.02),
    )
    iris_place: float | None = sourced(
        "eye.iris_place",
        "where the iris is nearest, distance from the tip; just inside the incision unless set",
        span=(0.5, 15),
        label="Closest point of the iris, from the tip",
        slider=(0.5, 10, 0.25),
        follows=lambda scenario: scenario.iris_place,
    )
    iris_side: float = sourced(
        "eye.iris_side",
        "side on which the iris lies: 0° where the bend points, 90° across it",
        span=(-180, 180),
        label="Iris position around the sleeve (0° = bend direction)",
        slider=(-180, 180, 15),
    )
    iris_modulus: float = sourced(
        "eye.iris_modulus",
        "Young's modulus of the iris; a floppy iris has a low one",
        span=(0.3, 1000),
        label="Iris stiffness",
        slider=(0.5, 1000, 0.5),
        scale="log",
    )
    wound_width: float = sourced(
        "eye.wound_width", "width of the incision", span=(1, 4), slider=(1, 4, 0.1)
    )
