"""Behind the motion: resonance, natural modes, strength, build-up, and how delicate it is.

Costs more than the motion itself, so it is computed only for sections that are open, when the
browser asks after a moment without changes.
"""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import param
from panel.custom import JSComponent

from tipsim.app.framework.component import script, styles

_HERE = Path(__file__).parent


class Depth(JSComponent):
    """Sections that open below the still pictures.

    The browser sends ``{"want": [section, ...], "stamp": n}`` and ``{"mode": k}`` (a natural mode
    to be shown on the stage, 0 for the driven motion).
    """

    stamp = param.Integer(default=0, doc="Grows with every change of the benches.")
    content = param.Dict(default={}, doc="Data of the wanted sections, and the stamp they are of.")
    mode = param.Integer(default=0, doc="Natural mode that the stage shows, 0 for none.")

    _esm: ClassVar[str] = script(_HERE / "depth" / "depth.js")
    _stylesheets: ClassVar[list[str]] = styles(
        _HERE / "plots" / "plots.css", _HERE / "depth" / "depth.css"
    )
