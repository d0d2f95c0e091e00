"""The charts of the heat page: over time, along the needle, pulse by pulse."""

from __future__ import annotations

from tipsim.app.framework.chart import Axis, Dash, Kind, Line, chart, sides

_CURVES: dict[str, tuple[str, Dash, float]] = {
    "sleeve": ("sleeve, outside", "solid", 2.2),
    "metal": ("metal", "dashed", 1.8),
    "wound": ("tissue", "dotted", 2.4),
    "chamber": ("fluid in the chamber", "dashdot", 1.5),
}
_LAYERS: dict[str, tuple[str, Dash, float]] = {
    "bore": ("fluid in the lumen", "solid", 1.2),
    "metal": ("metal", "dashed", 1.8),
    "annulus": ("fluid in the sleeve", "dashdot", 1.5),
    "outer": ("sleeve, outside", "solid", 2.2),
    "near": ("tissue at the sleeve", "dotted", 2.4),
    "pressed": ("pressed side", "solid", 2.2),
    "other": ("other side", "dashed", 1.8),
}


def _both(parts: dict[str, tuple[str, Dash, float]]) -> tuple[Line, ...]:
    """Return a line of each part for both needles; its words say which it is."""
    return tuple(
        Line(f"{side}_{name}", f"{side.upper()}, {words}", side.upper(), side, dash, width)
        for side in "ab"
        for name, (words, dash, width) in parts.items()
    )


OVER_TIME = chart(
    Kind(
        name="heat.time",
        title="Hottest place over time",
        x=Axis("Time", "s"),
        y=Axis("Hottest place", "°C"),
        lines=_both(_CURVES),
        height=270,
        room=84,
    )
)
ALONG = chart(
    Kind(
        name="heat.along",
        title="Temperature along the needle",
        x=Axis("Distance from the tip", "mm", reverse=True),
        y=Axis("Temperature", "°C"),
        lines=_both(_LAYERS),
        height=230,
        room=64,
    )
)
PULSES = chart(
    Kind(
        name="heat.pulses",
        title="Hottest place outside, pulse by pulse",
        x=Axis("Time", "s", digits=4),
        y=Axis("Hottest place outside, from its mean", "°C"),
        lines=sides("swing about the mean"),
        height=200,
    )
)
CHARTS = (OVER_TIME, ALONG, PULSES)
