"""The heat page: two benches in time, their temperatures, and where the energy goes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, ClassVar

import panel as pn
import param
from panel.custom import JSComponent
from panel.viewable import Viewer

from tipsim import store
from tipsim.app.answers import answer, bench_of, other_views, refusal, unusable
from tipsim.app.framework.chart import STYLE, Kind
from tipsim.app.framework.component import script, styles
from tipsim.app.framework.controls import Controls, structure
from tipsim.app.framework.readout import Readout
from tipsim.app.heat.charts import CHARTS
from tipsim.app.heat.energy import energy
from tipsim.app.heat.lost import lost_lines
from tipsim.app.heat.packet import packet
from tipsim.app.heat.schema import form
from tipsim.app.heat.state import FULL, PREFIX, ROUGH, HeatState
from tipsim.app.heat.table import rows
from tipsim.app.heat.words import compared, side_lines
from tipsim.app.heat.zoom import length_of, stretch
from tipsim.app.numbers import sources, status_words
from tipsim.heat.legs import Model
from tipsim.heat.pulses import resolved_stretch
from tipsim.heat.timeline import HeatRun
from tipsim.setup.errors import BadInput
from tipsim.setup.scenario import Scenario

_FOLDER = Path(__file__).parent
ZOOM_TOLERANCE = 0.05
"""Error allowed in a step where pulses are followed, in coarse cells [K]."""


def heated(scenario: Scenario, model: Model) -> HeatRun:
    """Return the run of a scenario, from the store that all share."""
    run: HeatRun = store.get(scenario, "heat", model)
    return run


class Scene(JSComponent):
    """Both needles in colours of temperature, and what belongs to their clock."""

    packet = param.Bytes(default=b"", doc="From `tipsim.app.heat.packet`.")
    reply = param.Dict(default={}, doc="Answer to a message: its number n, and an error or ''.")
    zoom = param.Dict(default={}, doc="A stretch pulse by pulse, from `tipsim.app.heat.zoom`.")

    charts: ClassVar[tuple[Kind, ...]] = CHARTS
    _esm: ClassVar[str] = script(_FOLDER / "scene.js")
    _stylesheets: ClassVar[list[str]] = styles(STYLE, _FOLDER / "scene.css", _FOLDER / "plots.css")


class Energy(JSComponent):
    """Watts by cause: a bar for each needle, and a table."""

    content = param.Dict(default={}, doc="From `tipsim.app.heat.energy`.")

    _esm: ClassVar[str] = script(_FOLDER / "energy.js")
    _stylesheets: ClassVar[list[str]] = styles(_FOLDER / "energy.css")


class HeatBench(Viewer):
    """One learner's page.

    Parameters
    ----------
    items : mapping of str to str
        Items of the link's query; what cannot be used is left at its first value and said.

    Examples
    --------
    >>> page = HeatBench({"aspiration": "0", "duration": "5"})
    >>> page.state.bench.a.flow.aspiration
    0.0
    >>> page.handle({"seq": 1, "changes": [{"side": "both", "field": "duration_s", "value": 0}]})
    >>> page.controls.reply["errors"]
    {'both:duration_s': 'Bench time is 0 s; allowed: 0.5 to 600 s.'}
    """

    def __init__(self, items: Mapping[str, str] | None = None, **params: Any) -> None:
        super().__init__(**params)
        items = items or {}
        notice = ""
        self._kept = other_views(items, PREFIX)
        try:
            self.state = HeatState.from_items(items)
        except BadInput as bad:
            self.state = HeatState(bench_of(items))
            notice = unusable(bad)
        self.controls = Controls(
            actions=[{"field": "reset", "label": "Reset"}],
            name_of_form="Settings of the heat bench",
            sizing_mode="stretch_width",
        )
        self.scene = Scene(sizing_mode="stretch_width")
        self.energy = Energy(sizing_mode="stretch_width")
        self.readout = Readout(
            title="How warm it gets", meanings=status_words(), sizing_mode="stretch_width"
        )
        self.compute(rough=False)
        self._answer(0, {}, notice)
        self.controls.on_msg(lambda event: self.handle(event.data))
        self.scene.on_msg(lambda event: self.asked(event.data))

    def handle(self, message: Mapping[str, Any]) -> None:
        """Take one message of the form, change what can be changed, answer."""
        before = self.state
        errors: dict[str, str] = {}
        notice = None
        for change in message.get("changes", []):
            field, side = str(change.get("field")), str(change.get("side", "both"))
            if field == "reset":
                self.state, notice = HeatState.first(), "Everything is as on a fresh page."
                continue
            bad = self._change(side, field, change.get("value"))
            if bad is not None:
                errors |= refusal(self.controls, side, field, bad)
        self._moved_on(before, int(message.get("seq", 0)), errors, notice)

    def asked(self, message: Mapping[str, Any]) -> None:
        """Take one message of the scene: a change, or that it wants the full picture now."""
        before = self.state
        if message.get("full"):
            self.compute(rough=False)
            return
        if "zoom" in message:
            self.zoom(message["zoom"])
            return
        bad = None
        for change in message.get("changes", []):
            field, side = str(change.get("field")), str(change.get("side", "both"))
            bad = self._change(side, field, change.get("value")) or bad
        with pn.io.hold():
            self._moved_on(before, None, {}, None)
            self.scene.reply = {"n": message.get("n", 0), "error": str(bad) if bad else ""}

    def zoom(self, start: Any) -> None:
        """Follow the pulses from a time on [s], on each bench whose drive pulses."""
        benches = {"a": self.state.bench.a, "b": self.state.bench.b}
        pulsing = {key: s for key, s in benches.items() if s.duty.off_time}
        if not pulsing or not isinstance(start, int | float):
            return
        length = length_of(*(s.duty for s in pulsing.values()))
        found = {}
        for key, scenario in pulsing.items():
            model = replace(ROUGH, tolerance=ZOOM_TOLERANCE)
            run_ = heated(scenario, model)
            begin = max(0.0, min(float(start), float(run_.time[-1]) - length))
            motion = store.result(scenario).motion
            found[key] = resolved_stretch(run_, begin, length, model, motion)
        self.scene.zoom = stretch(begin, length, found)

    def _change(self, side: str, field: str, value: Any) -> BadInput | None:
        """Change one thing, or give why not."""
        try:
            self.state = self.state.change(side, field, value)
        except BadInput as bad:
            return bad
        return None

    def _moved_on(
        self, before: HeatState, seq: int | None, errors: dict[str, str], notice: str | None
    ) -> None:
        with pn.io.hold():
            if self.state != before:
                # Another scale of colours needs no new run.
                anew = replace(self.state, scale=before.scale) != before
                self.compute(rough=anew)
            self._answer(seq, errors, notice)

    def compute(self, rough: bool) -> None:
        """Compute both benches and hand them to the page.

        Parameters
        ----------
        rough : bool
            For a first picture, in coarse cells; the scene asks for the full one a moment later.
            Words and numbers come with the full one only.
        """
        state = self.state
        a, b = (heated(s, ROUGH if rough else FULL) for s in (state.bench.a, state.bench.b))
        with pn.io.hold():
            self.scene.packet = packet(state, a, b, rough)
            self.energy.content = energy(a, b)
            schema = form(state)
            if structure(schema) != structure(self.controls.schema):
                self.controls.schema = schema
            if not rough:
                self.readout.content = _content(a, b)
                self.readout.sources = sources(state.bench.a, state.bench.b)

    def _answer(self, seq: int | None, errors: dict[str, str], notice: str | None) -> None:
        link = self.state.to_query(self._kept)
        answer(self.controls, form(self.state), link, seq, errors, notice)


def _content(a: HeatRun, b: HeatRun) -> dict[str, Any]:
    """Give the words and numbers beside the scene."""
    return {
        "words": [
            {"side": "a", "title": _title(a), "lines": side_lines(a)},
            {"side": "b", "title": _title(b), "lines": side_lines(b)},
            {"side": "", "title": "Compared", "lines": compared(a, b)},
            {"side": "", "title": "When no water comes", "lines": lost_lines(a, b)},
        ],
        "sections": rows(a, b),
    }


def _title(run: HeatRun) -> str:
    return f"{run.scenario.needle.title}, {run.scenario.drive.kind}"
