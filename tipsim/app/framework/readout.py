"""The panel of numbers: both needles in words and figures, with sources that open."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import param
from panel.custom import JSComponent

from tipsim.app.framework.component import script, styles

_HERE = Path(__file__).parent


class Readout(JSComponent):
    """Numbers of both needles, beside published ones."""

    title = param.String(default="What moves how", doc="Heading of the words.")
    content = param.Dict(default={}, doc="Words and sections, from `tipsim.app.numbers.readout`.")
    warnings = param.List(default=[], doc="What is delicate, in sentences; comes a moment later.")
    sources = param.List(default=[], doc="Where the numbers come from.")
    meanings = param.Dict(default={}, doc="What each status means.")

    _esm: ClassVar[str] = script(_HERE / "readout.js")
    _stylesheets: ClassVar[list[str]] = styles(_HERE / "readout.css")
