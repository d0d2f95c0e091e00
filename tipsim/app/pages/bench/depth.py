"""Behind the motion: resonance, natural modes, strength, build-up, and sensitivity.

Costs more than the motion itself, so only sections that are open are computed.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, ClassVar

import numpy as np
import param

from tipsim.app.framework.article import written
from tipsim.app.framework.belief import beyond_belief, bubble_words
from tipsim.app.framework.chart import STYLE, Axis, Kind, chart, room, sides
from tipsim.app.framework.component import Part, script, styles
from tipsim.app.framework.packet import encode
from tipsim.app.pages.bench.sections import SECTIONS, sensitive
from tipsim.app.pages.bench.state import BenchPageState
from tipsim.setup.errors import BadInput

_HERE = Path(__file__).parent
_HTML = written(_HERE / "depth.html", lambda data: {"source": "", "modes": [], "rows": []} | data)


def _kind(name: str, title: str, x: Axis, y: Axis, line: str) -> Kind:
    return chart(Kind(name=name, title=title, x=x, y=y, lines=sides(line), height=260))


def _over_frequency(name: str, label: str, unit: str) -> Kind:
    y = Axis(label, unit, log=True)
    line = label[0].lower() + label[1:]
    return _kind(f"resonance.{name}", f"{label} over frequency", Axis("Frequency", "kHz"), y, line)


CHARTS = (
    _over_frequency("end", "Tip stroke", "µm peak to peak"),
    _over_frequency("shaft", "Shaft, sideways", "µm rms"),
    _over_frequency("torque", "Hub torque, amplitude", "N mm"),
    _over_frequency("force", "Hub force, amplitude", "N"),
    _over_frequency("power", "Power in", "W"),
    _kind(
        "strength",
        "Peak stress at the surface along the needle",
        Axis("Distance from the tip", "mm", reverse=True),
        Axis("Peak stress at the surface", "MPa", zero=True),
        "peak stress",
    ),
    _kind(
        "build-up",
        "Tip stroke over one pulse",
        Axis("Time", "ms"),
        Axis("Tip stroke", "µm peak to peak", zero=True),
        "tip stroke",
    ),
)


HELD = ("sensitivity", "strength", "build_up")
"""Sections that are numbers of the motion itself; the others say where the resonance lies."""


class Depth(Part):
    """Sections that open below the still pictures; each param is one of them, empty when closed."""

    sensitivity = param.Bytes(default=b"", doc="From `section`.")
    resonance = param.Bytes(default=b"", doc="From `section`.")
    strength = param.Bytes(default=b"", doc="From `section`.")
    build_up = param.Bytes(default=b"", doc="From `section`.")

    _esm: ClassVar[str] = script(_HERE / "depth.js")
    _stylesheets: ClassVar[list[str]] = styles(
        STYLE, _HERE.parents[1] / "framework" / "article.css", _HERE / "depth.css"
    ) + room(CHARTS)


def section(name: str, state: BenchPageState) -> bytes:
    """Return a section: words, and what its charts draw; empty while it is closed."""
    if name not in state.open:
        return b""
    over = beyond_belief(*state.results) if name in HELD else []
    if over:
        return encode({"charts": None, "html": _HTML({"words": over, "mode": state.mode})})
    try:
        data: dict[str, Any] = SECTIONS[name](*state.results)
    except (BadInput, np.linalg.LinAlgError) as error:
        data = {"words": [f"This cannot be computed for these settings: {error}"]}
    charts = data.pop("charts", None)
    if state.further:
        data["words"] = [
            *data["words"],
            "This is of A and B. Choose a needle there to see its own.",
        ]
    return encode({"charts": charts, "html": _HTML(data | {"mode": state.mode})})


def warnings(state: BenchPageState) -> list[str]:
    """Return what not to believe, where bubbles are likely, and what is sensitive."""
    over = beyond_belief(*state.every)
    return [*over, *bubble_words(*state.every), *([] if over else sensitive(*state.every))]
