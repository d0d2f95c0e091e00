"""The flow page: settings, drawing with its run, numbers, and what a sign can mean."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, ClassVar

import panel as pn
import param
from panel.custom import JSComponent
from panel.viewable import Viewer

from tipsim.app.answers import answer, bench_of, other_views, refusal, unusable
from tipsim.app.bench_state import BenchState
from tipsim.app.framework.chart import STYLE, Kind
from tipsim.app.framework.component import script, styles
from tipsim.app.framework.controls import Controls, structure
from tipsim.app.framework.readout import Readout
from tipsim.app.numbers import status_words
from tipsim.app.pages.flow import signs, table
from tipsim.app.pages.flow.charts import CHARTS
from tipsim.app.pages.flow.packet import packet
from tipsim.app.pages.flow.schema import form
from tipsim.app.pages.flow.state import PREFIX, FlowState
from tipsim.setup.errors import BadInput

_FOLDER = Path(__file__).parent


class Scene(JSComponent):
    """The drawing of both benches, what is done to the mouth, and the curves over time."""

    packet = param.Bytes(default=b"", doc="Head and curves, from `tipsim.app.pages.flow.packet`.")

    charts: ClassVar[tuple[Kind, ...]] = CHARTS
    _esm: ClassVar[str] = script(_FOLDER / "scene.js")
    _stylesheets: ClassVar[list[str]] = styles(
        "player", STYLE, _FOLDER / "scene.css", _FOLDER / "drawing.css"
    )


class Signs(JSComponent):
    """Faults one by one: what one sees, and what to look at first."""

    content = param.Dict(default={}, doc="From `tipsim.app.pages.flow.signs.content`.")

    _esm: ClassVar[str] = script(_FOLDER / "signs.js")
    _stylesheets: ClassVar[list[str]] = styles(_FOLDER / "signs.css")


class FlowBench(Viewer):
    """One learner's page.

    Parameters
    ----------
    items : mapping of str to str
        Items of the link's query; what cannot be used is left at its first value and said.

    Examples
    --------
    >>> page = FlowBench({"view.flow.hold_s": "1"})
    >>> page.state.trial.hold
    1.0
    >>> page.handle(
    ...     {"changes": [{"side": "both", "field": "flow.bottle_height_cm", "value": 500}]}
    ... )
    >>> list(page.controls.reply["errors"].values())
    ['Bottle above the eye is 500 cm; allowed: 0 to 150 cm.']
    """

    def __init__(self, items: Mapping[str, str] | None = None, **params: Any) -> None:
        super().__init__(**params)
        items = items or {}
        notice = ""
        self._kept = other_views(items, PREFIX)
        try:
            self.state = FlowState.from_items(items)
        except BadInput as bad:
            self.state = FlowState.first(bench_of(items))
            notice = unusable(bad)
        self.controls = Controls(
            actions=[{"field": "reset", "label": "Reset"}],
            name_of_form="Settings of bottle, pump and eye",
            sizing_mode="stretch_width",
        )
        self.scene = Scene(sizing_mode="stretch_width")
        self.readout = Readout(
            title="What happens",
            sources=table.sources(),
            meanings=status_words(),
            sizing_mode="stretch_width",
        )
        self.signs = Signs(sizing_mode="stretch_width")
        self._show()
        self._answer(0, {}, notice)
        self.controls.on_msg(lambda event: self.handle(event.data))
        self.scene.on_msg(lambda event: self.handle(event.data))

    def handle(self, message: Mapping[str, Any]) -> None:
        """Take one message of the form or the drawing, change what can be changed, answer."""
        errors: dict[str, str] = {}
        notice = None
        before = self.state
        for change in message.get("changes", []):
            side, field = str(change.get("side", "both")), str(change.get("field"))
            if field == "reset":
                self.state = FlowState.first(BenchState.first())
                notice = "All is as on a fresh page."
                continue
            try:
                self.state = self.state.change(side, field, change.get("value"))
            except BadInput as bad:
                errors |= refusal(self.controls, side, field, bad)
        with pn.io.hold():
            if self.state != before:
                self._show()
            seq = message.get("seq")
            self._answer(None if seq is None else int(seq), errors, notice)

    def _show(self) -> None:
        """Solve, and hand everything to the parts of the page."""
        self.scene.packet = packet(self.state)
        self.readout.content = table.content(self.state)
        self.readout.warnings = table.warnings()
        self.signs.content = signs.content(self.state)
        schema = form(self.state)
        if structure(schema) != structure(self.controls.schema):
            self.controls.schema = schema

    def _answer(self, seq: int | None, errors: dict[str, str], notice: str | None) -> None:
        link = self.state.to_query(self._kept)
        answer(self.controls, form(self.state), link, seq, errors, notice)
