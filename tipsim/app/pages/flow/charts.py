"""The charts of the flow page: pressure, vacuum and flow over time, in one column."""

from __future__ import annotations

from tipsim.app.framework.chart import Axis, Kind, chart, sides


def _over_time(
    name: str, label: str, unit: str, what: str, *, height: int = 130, last: bool = False
) -> Kind:
    return chart(
        Kind(
            name=f"flow.{name}",
            title=f"{label} over time",
            x=Axis("Time", "s"),
            y=Axis(label, unit, zero=True),
            lines=sides(what),
            height=166 if last else height,
            x_shown=last or height > 130,
        )
    )


CHARTS = (
    _over_time("chamber", "Pressure in the chamber", "mmHg", "chamber", height=220),
    _over_time("vacuum", "Vacuum at the pump", "mmHg", "vacuum"),
    _over_time("rush", "Flow through the lumen", "mL/min", "flow", last=True),
)
