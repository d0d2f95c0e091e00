"""The controls beside the stage: one model, native inputs in the browser, one message a change.

Panel gathers parameter changes for 50 ms before it acts; a component's messages
(`model.send_msg`, `JSComponent.on_msg`) are handled at once, so changes travel as messages.
"""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import param
from panel.custom import JSComponent

from tipsim.paths import asset

_FOLDER = Path(__file__).parent / "controls"


class Controls(JSComponent):
    """A form that the server describes and the browser builds.

    The browser sends ``{"seq": n, "changes": [{"side", "field", "value"}, ...]}`` and waits for a
    `reply` with that number before it sends the next, so a dragged slider never queues up.
    """

    schema = param.List(default=[], doc="Groups of controls, from `tipsim.app.schema`.")
    actions = param.List(
        default=[{"field": "reset", "label": "Reset"}],
        doc="Buttons below the form: field sent to the server when pressed, and label.",
    )
    name_of_form = param.String(default="Settings", doc="Name of the form for screen readers.")
    reply = param.Dict(
        default={}, doc="Answer to a message: seq, link (query), errors (control id: sentence)."
    )

    _esm: ClassVar[Path] = _FOLDER / "controls.js"
    _stylesheets: ClassVar[list[str]] = [
        asset("styles/parts.css").read_text(encoding="utf-8"),
        (_FOLDER / "controls.css").read_text(encoding="utf-8"),
    ]
