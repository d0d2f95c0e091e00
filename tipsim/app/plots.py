"""Pictures that stand still, below the stage: stroke along the shaft, directions, paths.

Drawn by the browser from the packet that the stage has anyway, as SVG: they follow the theme
and the width, can be read with the keyboard, and cost the server nothing.
"""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import param
from panel.custom import JSComponent

from tipsim.app.framework.chart import STYLE, Axis, Kind, chart, sides
from tipsim.app.framework.component import script, styles

_HERE = Path(__file__).parent


def _along(name: str, label: str, unit: str = "µm peak to peak") -> Kind:
    return chart(
        Kind(
            name=f"along.{name}",
            title=f"{label} along the shaft",
            x=Axis("Distance from the tip", "mm", reverse=True),
            y=Axis(label, unit, zero=True),
            lines=sides(label[0].lower() + label[1:]),
            height=260,
        )
    )


ALONG = (
    _along("sideways", "Sideways stroke"),
    _along("signed", "Sideways stroke, below 0 out of step with the tip"),
    _along("lengthwise", "Stroke along the shaft"),
    _along("turning", "Surface travel from twist"),
)


class Plots(JSComponent):
    """Stroke along the shaft, direction of each marker and marker paths of both needles."""

    packet = param.Bytes(default=b"", doc="Both needles and their motion, from `packet.encode`.")

    charts: ClassVar[tuple[Kind, ...]] = ALONG
    _esm: ClassVar[str] = script(_HERE / "plots" / "plots.js")
    _stylesheets: ClassVar[list[str]] = styles(STYLE, _HERE / "plots" / "plots.css")
