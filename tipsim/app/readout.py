"""The panel of numbers: both needles in words and figures, with sources that open."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import param
from panel.custom import JSComponent

from tipsim.app.script import SHARED, joined
from tipsim.paths import asset

_FOLDER = Path(__file__).parent / "readout"


class Readout(JSComponent):
    """Numbers of both needles, beside published ones."""

    title = param.String(default="What moves how", doc="Heading of the words.")
    content = param.Dict(default={}, doc="Words and sections, from `tipsim.app.numbers.readout`.")
    warnings = param.List(default=[], doc="What is delicate, in sentences; comes a moment later.")
    sources = param.List(default=[], doc="Where the numbers come from.")
    meanings = param.Dict(default={}, doc="What each status means.")

    _esm: ClassVar[str] = joined(SHARED / "make.js", _FOLDER / "readout.js")
    _stylesheets: ClassVar[list[str]] = [
        asset("styles/parts.css").read_text(encoding="utf-8"),
        (_FOLDER / "readout.css").read_text(encoding="utf-8"),
    ]
