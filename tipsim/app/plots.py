"""Pictures that stand still, below the stage: stroke along the shaft, directions, paths.

Drawn by the browser from the packet that the stage has anyway, as SVG: they follow the theme
and the width, can be read with the keyboard, and cost the server nothing.
"""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import param
from panel.custom import JSComponent

from tipsim.app.framework.component import script, styles

_HERE = Path(__file__).parent


class Plots(JSComponent):
    """Stroke along the shaft, direction of each marker and marker paths of both needles."""

    packet = param.Bytes(default=b"", doc="Both needles and their motion, from `packet.encode`.")

    _esm: ClassVar[str] = script(_HERE / "plots" / "plots.js")
    _stylesheets: ClassVar[list[str]] = styles(_HERE / "plots" / "plots.css")
