"""The charts of the tissue page."""

from __future__ import annotations

from tipsim.app.framework.chart import Axis, Kind, Line, chart, sides

TIME = Axis("Time", "s")
DEPTH = Axis("Depth from the sleeve", "mm")
POWER = Axis("Power", "%")
CELSIUS = Axis("Temperature", "°C")
THIN = {"width": 1.0}


def _faint(name: str, what: str) -> tuple[Line, ...]:
    """Return a thin curve for each side, beside its main one; its end bears its name."""
    sides = ((k, k.upper()) for k in "ab")
    return tuple(
        Line(f"{k}_{name}", f"{K}, {what}", f"{K} {name}", k, "dotted", 1.25) for k, K in sides
    )


IRIS = (
    Kind(
        "tissue.gap",
        "Gap between iris and sleeve over time",
        TIME,
        Axis("Gap", "mm"),
        sides("gap", **THIN),
        height=170,
        x_shown=False,
    ),
    Kind(
        "tissue.rubbed",
        "Rubbing over time",
        TIME,
        Axis("Rubbing so far (B's whole run = 1)", zero=True, digits=2),
        sides("rubbing"),
        height=166,
    ),
)
LIP = (
    Kind(
        "tissue.lip",
        "Temperature at the incision over time",
        TIME,
        CELSIUS,
        (*sides("lip's face"), *_faint("sleeve", "outside of the sleeve")),
        room=66,
    ),
    Kind(
        "tissue.depth",
        "Temperature over depth in the cornea",
        DEPTH,
        CELSIUS,
        (*sides("at this moment"), *_faint("peak", "highest ever")),
        room=66,
    ),
    Kind(
        "tissue.dose",
        "Thermal dose over depth, for cells",
        DEPTH,
        Axis("Equivalent time at 43 °C", "min", log=True, digits=2),
        sides("dose"),
    ),
    Kind(
        "tissue.collagen",
        "Changed collagen over depth, between the laws",
        DEPTH,
        Axis("Changed collagen", "%", zero=True),
        (
            Line("a_laws", "A, between the laws", "", "a", area=True),
            Line("b_laws", "B, between the laws", "", "b", area=True),
            *sides("by the law that predicts most"),
        ),
    ),
)
CUTTING = (
    Kind(
        "tissue.rate",
        "Cutting rate over power, as set",
        POWER,
        Axis("Cutting rate", zero=True, digits=2),
        (
            Line("a_band", "A, range as set", "", "a", area=True),
            Line("b_band", "B, range as set", "", "b", area=True),
            *sides("cutting rate"),
        ),
    ),
    Kind(
        "tissue.efficiency",
        "Cutting of a longitudinal drive over power",
        POWER,
        Axis("Cutting, of that at full power", "%", zero=True),
        (
            Line("range", "range of what is assumed", "", "ink", area=True),
            Line("usual", "as set", "", "ink"),
        ),
    ),
)
ALONG = (
    Kind(
        "tissue.along",
        "Rubbing at the iris, A over B, by where it touches",
        Axis("Iris, distance from the tip", "mm", reverse=True),
        Axis("Rubbing, A over B", log=True, digits=2),
        (
            Line("range", "range of what is assumed", "", "ink", area=True),
            Line("usual", "as set", "", "ink"),
        ),
    ),
)
KINDS = tuple(chart(kind) for kind in (*IRIS, *ALONG, *LIP, *CUTTING))
