"""The charts of the thermal camera: highest reading over time, and along a line."""

from __future__ import annotations

from tipsim.app.framework.chart import Axis, Kind, Line, chart


def _side(key: str) -> tuple[Line, ...]:
    name = key.upper()
    return (
        Line(f"{key}_bar", f"{name}, error bar", colour=key, area=True),
        Line(f"{key}_true", f"{name}, true", f"{name} true", key, "dashed", 1.8),
        Line(f"{key}_seen", f"{name}, reading", name, key, "solid", 2.2),
    )


OVER_TIME = chart(
    Kind(
        name="thermal.time",
        title="Highest reading and truth over time",
        x=Axis("Time", "s"),
        y=Axis("Hottest place", "°C"),
        lines=(*_side("a"), *_side("b")),
        height=240,
        room=64,
    )
)
ALONG = chart(
    Kind(
        name="thermal.line",
        title="Reading and truth along the line",
        x=Axis("Distance from the tip", "mm", reverse=True),
        y=Axis("Temperature", "°C"),
        lines=tuple(line for key in "ab" for line in _side(key)[1:]),
        height=220,
        room=64,
    )
)
CHARTS = (OVER_TIME, ALONG)
