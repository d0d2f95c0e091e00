"""Behind the motion: resonance, natural modes, strength, build-up, and how delicate it is.

Costs more than the motion itself, so it is computed only for sections that are open, when the
browser asks after a moment without changes.
"""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import param
from panel.custom import JSComponent

from tipsim.app.framework.chart import STYLE, Axis, Kind, chart, sides
from tipsim.app.framework.component import script, styles

_HERE = Path(__file__).parent


def _over_frequency(name: str, label: str, unit: str) -> Kind:
    return chart(
        Kind(
            name=f"resonance.{name}",
            title=f"{label} over frequency",
            x=Axis("Frequency", "kHz"),
            y=Axis(label, unit, log=True),
            lines=sides(label[0].lower() + label[1:]),
            height=260,
        )
    )


RESONANCE = (
    _over_frequency("end", "Tip stroke", "µm peak to peak"),
    _over_frequency("shaft", "Shaft, sideways", "µm rms"),
    _over_frequency("torque", "Hub torque, amplitude", "N mm"),
    _over_frequency("force", "Hub force, amplitude", "N"),
    _over_frequency("power", "Power in", "W"),
)
STRENGTH = chart(
    Kind(
        name="strength",
        title="Peak stress at the surface along the needle",
        x=Axis("Distance from the tip", "mm", reverse=True),
        y=Axis("Peak stress at the surface", "MPa", zero=True),
        lines=sides("peak stress"),
        height=260,
    )
)
BUILD_UP = chart(
    Kind(
        name="build-up",
        title="Tip stroke over one pulse",
        x=Axis("Time", "ms"),
        y=Axis("Tip stroke", "µm peak to peak", zero=True),
        lines=sides("tip stroke"),
        height=260,
    )
)


class Depth(JSComponent):
    """Sections that open below the still pictures.

    The browser sends ``{"want": [section, ...], "stamp": n}`` and ``{"mode": k}`` (a natural mode
    to be shown on the stage, 0 for the driven motion).
    """

    stamp = param.Integer(default=0, doc="Grows with every change of the benches.")
    content = param.Dict(default={}, doc="Data of the wanted sections, and the stamp they are of.")
    mode = param.Integer(default=0, doc="Natural mode that the stage shows, 0 for none.")

    charts: ClassVar[tuple[Kind, ...]] = (*RESONANCE, STRENGTH, BUILD_UP)
    _esm: ClassVar[str] = script(_HERE / "depth" / "depth.js")
    _stylesheets: ClassVar[list[str]] = styles(
        STYLE, _HERE / "plots" / "plots.css", _HERE / "depth" / "depth.css"
    )
