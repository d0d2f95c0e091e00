"""The charts of the endoscope page: specks and brightness over time, seen and true."""

from __future__ import annotations

from tipsim.app.framework.chart import Axis, Kind, Line, chart

_TIME = Axis("Time", "s")


def _count(side: str) -> Kind:
    name = side.upper()
    return chart(
        Kind(
            name=f"endoscope.{side}",
            title=f"Specks in view, {name}: counted by the program, with error bars, and true",
            x=_TIME,
            y=Axis(f"Specks in a picture, {name}", zero=True),
            lines=(
                Line("bar", "Error bar, 95 %", colour=side, area=True),
                Line("true", "True", "true", "ink", dash="dashed", width=1.6),
                Line("seen", "Counted", "counted", side, width=2),
            ),
            height=190,
            room=64,
        )
    )


COUNTS = {side: _count(side) for side in "ab"}
REGION = chart(
    Kind(
        name="endoscope.region",
        title="Region darker than with the drive off: measured, and light that specks take",
        x=_TIME,
        y=Axis("Region darker", "%"),
        lines=(
            Line("a", "A, measured", "A", "a", width=1.6),
            Line("b", "B, measured", "B", "b", dash="dashed", width=1.6),
            Line("true_a", "A, taken by specks", "A true", "a", dash="dotted", width=2.4),
            Line("true_b", "B, taken by specks", "B true", "b", dash="dotted", width=2.4),
        ),
        height=190,
        room=64,
    )
)
KINDS = (*COUNTS.values(), REGION)
