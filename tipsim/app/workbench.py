"""The workbench: two needles side by side, their settings, pictures and numbers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import panel as pn
from panel.viewable import Viewer

from tipsim.app.bench_state import BenchState
from tipsim.app.depth import Depth
from tipsim.app.depth_data import SECTIONS
from tipsim.app.framework.controls import Controls, structure
from tipsim.app.framework.readout import Readout
from tipsim.app.numbers import beyond_belief, readout, sources, status_words
from tipsim.app.plots import Plots
from tipsim.app.schema import form
from tipsim.app.sides import mode_packet, stage_packet
from tipsim.app.stage import Stage
from tipsim.app.view import first_view, view_from_items, view_items
from tipsim.setup.errors import BadInput
from tipsim.setup.scenario import Scenario
from tipsim.solve import Result
from tipsim.store import result as solve


class Workbench(Viewer):
    """One learner's page: stage, controls, still pictures and numbers.

    Everything that is set lives in `state` (a frozen `BenchState`) and in the stage's `view`;
    both are in the link.

    Parameters
    ----------
    items : mapping of str to str
        Items of the link's query; what cannot be used is left at its first value and said.

    Examples
    --------
    >>> bench = Workbench({"power": "40"})
    >>> bench.state.a.drive.power
    0.4
    >>> bench.handle({"seq": 1, "changes": [
    ...     {"side": "both", "field": "drive.power_percent", "value": 140}]})
    >>> bench.controls.reply["errors"]
    {'both:drive.power_percent': 'Power is 140 %; allowed: 0 to 100 %.'}
    """

    def __init__(self, items: Mapping[str, str] | None = None, **params: Any) -> None:
        super().__init__(**params)
        notice = ""
        try:
            self.state = BenchState.from_items(items or {})
        except BadInput as bad:
            self.state = BenchState.first()
            notice = f"This link could not be used: {bad} The first setting is shown."
        view, complaint = view_from_items(items or {})
        # How other pages look at the bench is not ours, but must survive a visit here.
        names = (k.partition(".")[2] for k in items or {} if k.startswith("view."))
        self._kept = {k: (items or {})[f"view.{k}"] for k in names if "." in k}
        self.stage = Stage(view=view, sizing_mode="stretch_width")
        self.controls = Controls(
            actions=[
                {"field": "reset", "label": "Reset"},
                {"field": "swap", "label": "Swap A and B"},
            ],
            name_of_form="Settings of the bench",
            sizing_mode="stretch_width",
        )
        self.plots = Plots(sizing_mode="stretch_width")
        self.readout = Readout(meanings=status_words(), sizing_mode="stretch_width")
        self.depth = Depth(sizing_mode="stretch_width")
        self._show()
        self._answer(0, {}, notice or complaint)
        self.depth.on_msg(lambda event: self.look_deeper(event.data))
        self.controls.on_msg(lambda event: self.handle(event.data))
        self.stage.param.watch(lambda _: self._answer(None, {}, None), "view")

    def handle(self, message: Mapping[str, Any]) -> None:
        """Take one message of the controls: change what can be changed, answer with the rest."""
        errors: dict[str, str] = {}
        notice = None
        before = self.state
        for change in message.get("changes", []):
            side, field, value = (change.get(k) for k in ("side", "field", "value"))
            if field == "reset":
                self.state, notice = BenchState.first(), "Everything is as on a fresh page."
                self.stage.view = first_view()
                continue
            if field == "swap":
                self.state = BenchState(self.state.b, self.state.a, self.state.together)
                continue
            try:
                self.state = self.state.change(str(side), str(field), value)
            except BadInput as bad:
                id = f"{side}:{field}"
                errors[id] = f"{self.controls.label(id)} is {bad.value}; allowed: {bad.allowed}."
        with pn.io.hold():
            if self.state != before:
                self._show()
            self._answer(int(message.get("seq", 0)), errors, notice)

    def look_deeper(self, message: Mapping[str, Any]) -> None:
        """Take one message of the sections below: compute what is wanted, or show a mode."""
        mode, want = message.get("mode"), message.get("want")
        if isinstance(mode, int):
            self._show_mode(mode)
            return
        a, b = self.results()
        sections, trouble = {}, {}
        for name in want if isinstance(want, list) else []:
            if name not in tuple(SECTIONS):
                known = ", ".join(SECTIONS)
                trouble[str(name)[:40]] = f"There is no such section; allowed: {known}."
                continue
            try:
                sections[name] = SECTIONS[name](a, b)
            except (BadInput, np.linalg.LinAlgError) as error:
                trouble[name] = f"This cannot be computed for these settings: {error}"
        with pn.io.hold():
            self.depth.content = {
                "stamp": self.depth.stamp,
                "sections": sections,
                "trouble": trouble,
            }
            if "delicate" in sections:
                found = sections["delicate"]
                warned = [*beyond_belief(a, b), found["a"], found["b"]]
                self.readout.warnings = [w for w in warned if w]

    def _show_mode(self, k: int) -> None:
        """Put the k-th natural mode of both needles on the stage; 0: the driven motion."""
        a, b = self.results()
        with pn.io.hold():
            self.stage.packet = mode_packet(a, b, k) if k else stage_packet(a, b)
            self.depth.mode = k

    def _show(self) -> None:
        """Solve both benches and hand the results to every part of the page."""
        a, b = self.results()
        self.depth.param.update(stamp=self.depth.stamp + 1, mode=0)
        packet = stage_packet(a, b)
        self.stage.packet = packet
        self.plots.packet = packet
        self.readout.content = readout(a, b)
        self._show_sources(self.state.a, self.state.b)
        schema = form(self.state)
        if structure(schema) != structure(self.controls.schema):
            self.controls.schema = schema

    def _show_sources(self, a: Scenario, b: Scenario) -> None:
        listed = sources(a, b)
        if listed != self.readout.sources:
            self.readout.sources = listed

    def _answer(self, seq: int | None, errors: dict[str, str], notice: str | None) -> None:
        view = view_items(self.stage.view) | self._kept
        reply: dict[str, Any] = {"link": self.state.to_query(view)}
        if seq is not None:
            reply |= {"seq": seq, "errors": errors, "values": _values(form(self.state))}
        if notice is not None:
            reply["notice"] = notice
        self.controls.reply = reply

    def results(self) -> tuple[Result, Result]:
        """Give the results that the page shows."""
        return solve(self.state.a), solve(self.state.b)

    def __panel__(self) -> pn.viewable.Viewable:
        """Give the parts in a plain column, for use outside the page's own template."""
        return pn.Column(self.stage, self.controls, self.plots, self.depth, self.readout)


def _values(schema: list[dict[str, Any]]) -> dict[str, Any]:
    return {c["id"]: c["value"] for g in schema for c in g["controls"]}
