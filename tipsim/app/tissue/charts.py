"""The charts of the tissue page: warmth of the wound, harm to it, cutting over power."""

from __future__ import annotations

from dataclasses import replace

from tipsim.app.framework.chart import Axis, Kind, Line, chart, sides


def _thin(what: str, short: str) -> tuple[Line, ...]:
    """Return the thin curves of both needles beside their main ones."""
    return tuple(
        replace(
            line,
            name=f"{line.name}_thin",
            short=f"{line.short} {short}",
            dash="dotted",
            width=1.2,
        )
        for line in sides(what)
    )


def _band(what: str) -> tuple[Line, ...]:
    """Return the shaded stretches of both needles."""
    return tuple(replace(line, name=f"{line.name}_band", area=True) for line in sides(what))


_DEPTH = Axis("Distance from the sleeve", "mm")
_POWER = Axis("Power", "%")
OVER_TIME = chart(
    Kind(
        name="wound.time",
        title="Temperature at the face of the lip over time",
        x=Axis("Time", "s"),
        y=Axis("Face of the lip", "°C"),
        lines=(*sides("face of the lip"), *_thin("outside of the sleeve", "sleeve")),
        height=210,
        room=78,
    )
)
INTO = chart(
    Kind(
        name="wound.depth",
        title="Temperature into the cornea",
        x=_DEPTH,
        y=Axis("Into the cornea", "°C"),
        lines=(*sides("at this moment"), *_thin("highest ever", "highest")),
        height=210,
        room=78,
    )
)
DOSE = chart(
    Kind(
        name="wound.dose",
        title="Thermal dose of the cells",
        x=_DEPTH,
        y=Axis("Cells: dose at 43 °C", "min", log=True),
        lines=sides("equivalent minutes at 43 °C"),
        height=210,
    )
)
COLLAGEN = chart(
    Kind(
        name="wound.collagen",
        title="Share of collagen that is changed",
        x=_DEPTH,
        y=Axis("Collagen changed", "%"),
        lines=(
            *_band("between laws"),
            *sides("most"),
            *(replace(line, name=f"{line.name}_least", short="") for line in sides("least")),
        ),
        height=210,
    )
)
RATE = chart(
    Kind(
        name="cutting.rate",
        title="Cutting rate over power, as set",
        x=_POWER,
        y=Axis("Cutting rate", zero=True),
        lines=(*_band("band at this power"), *sides("cutting rate")),
        height=210,
    )
)
EFFICIENCY = chart(
    Kind(
        name="cutting.efficiency",
        title="Efficiency over power, longitudinal drive",
        x=_POWER,
        y=Axis("Efficiency", "% of full power", zero=True),
        lines=(
            Line("band", "range of the assumed numbers", colour="ink", area=True),
            Line("own", "efficiency", colour="ink"),
        ),
        height=210,
    )
)
WOUND = (OVER_TIME, INTO, DOSE, COLLAGEN)
CUTTING = (RATE, EFFICIENCY)
