"""Pictures that stand still, below the stage: stroke along the shaft, directions, paths.

Drawn by the browser from the packet that the stage has anyway, as SVG: they follow the theme
and the width, can be read with the keyboard, and cost the server nothing.
"""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import param
from panel.custom import JSComponent

from tipsim.app.script import SHARED, joined
from tipsim.paths import asset

_HERE = Path(__file__).parent


class Plots(JSComponent):
    """Stroke along the shaft, direction of each marker and marker paths of both needles."""

    packet = param.Bytes(default=b"", doc="Both needles and their motion, from `packet.encode`.")

    _esm: ClassVar[str] = joined(
        _HERE / "stage" / "packet.js",
        SHARED / "make.js",
        _HERE / "plots" / "numbers.js",
        _HERE / "plots" / "along.js",
        _HERE / "plots" / "markers.js",
        _HERE / "plots" / "plots.js",
    )
    _stylesheets: ClassVar[list[str]] = [
        asset("styles/parts.css").read_text(encoding="utf-8"),
        (_HERE / "plots" / "plots.css").read_text(encoding="utf-8"),
    ]
