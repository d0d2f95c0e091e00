"""The controls beside the stage: one model, native inputs in the browser, one message a change.

Panel gathers parameter changes for 50 ms before it acts; a component's messages
(`model.send_msg`, `JSComponent.on_msg`) are handled at once, so changes travel as messages.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, ClassVar

import param
from panel.custom import JSComponent

from tipsim.app.framework.component import script, styles

_HERE = Path(__file__).parent


class Controls(JSComponent):
    """A form that the server describes and the browser builds.

    The browser sends ``{"seq": n, "changes": [{"side", "field", "value"}, ...]}`` and waits for a
    `reply` with that number before it sends the next, so a dragged slider never queues up.
    """

    schema = param.List(default=[], doc="Groups of controls, from `tipsim.app.framework.form`.")
    actions = param.List(
        default=[{"field": "reset", "label": "Reset"}],
        doc="Buttons below the form: field sent to the server when pressed, and label.",
    )
    name_of_form = param.String(default="Settings", doc="Name of the form for screen readers.")
    copies = param.Boolean(default=True, doc="Whether a button copies the link of the page.")
    glance = param.String(default="", doc="The page at a glance, as markup; see `glance`.")
    waits = param.List(default=[], doc="What is still to come for the settings shown.")
    reply = param.Dict(
        default={}, doc="Answer to a message: seq, link (query), errors (control id: sentence)."
    )

    _esm: ClassVar[str] = script(_HERE / "controls.js")
    _stylesheets: ClassVar[list[str]] = styles(_HERE / "controls.css")

    def label(self, id: str) -> str:
        """Return the label of a control, for sentences about it; its id when it is not there."""
        for group in self.schema:
            for control in group["controls"]:
                if control["id"] == id:
                    return str(control["label"])
        return id


def structure(schema: list[dict[str, Any]]) -> list[Any]:
    """Return what a form is made of, without values: when it changes the browser builds it anew.

    >>> group = {"id": "g", "title": "G", "controls": [{"id": "c", "value": 1, "max": 2}]}
    >>> structure([group])
    [('g', 'G', [{'id': 'c'}])]
    """
    moving = ("value", "min", "max")
    return [
        (
            g["id"],
            g["title"],
            [{k: v for k, v in c.items() if k not in moving} for c in g["controls"]],
        )
        for g in schema
    ]
