"""The bench inside a lesson: the same stage, and of the settings only those that are free."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields
from typing import Any

import panel as pn

from tipsim.app.bench_state import BenchState
from tipsim.app.framework.controls import Controls, structure
from tipsim.app.framework.readout import Readout
from tipsim.app.numbers import readout, sources, status_words
from tipsim.app.plots import Plots
from tipsim.app.schema import form, number_control
from tipsim.app.sides import stage_packet
from tipsim.app.stage import Stage
from tipsim.app.view import first_view, view_from_items
from tipsim.lesson.format import Side
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import key
from tipsim.setup.link import ALIASES, to_items
from tipsim.solve import Result
from tipsim.store import result as solve

_PREFIX = "view."


class LiveBench:
    """Stage, free settings and still pictures of one learner's lesson.

    Examples
    --------
    >>> bench = LiveBench()
    >>> sides = {"a": {"needle": "straight"}, "b": {"needle": "straight", "power": "40"}}
    >>> bench.lay(sides, ["power"])
    >>> [c["field"] for g in bench.controls.schema for c in g["controls"]]
    ['drive.power_percent', 'drive.power_percent']
    >>> bench.handle({"seq": 1, "changes": [
    ...     {"side": "b", "field": "drive.power_percent", "value": 80}]})
    >>> bench.settings()["b"]["power"]
    '80'
    """

    def __init__(self) -> None:
        self.state = BenchState.first()
        self.start = self.state
        self.free: tuple[str, ...] = ()
        self.stage = Stage(view={"play": False}, sizing_mode="stretch_width")
        self.controls = Controls(
            actions=[{"field": "reset", "label": "As at the start"}],
            name_of_form="What you may change",
            copies=False,
            sizing_mode="stretch_width",
        )
        self.plots = Plots(sizing_mode="stretch_width")
        self.readout = Readout(title="", meanings=status_words(), sizing_mode="stretch_width")
        self.controls.on_msg(lambda event: self.handle(event.data))

    def lay(
        self,
        sides: Mapping[str, Side],
        free: Iterable[str],
        view: Mapping[str, str] | None = None,
    ) -> None:
        """Set the bench up anew.

        Parameters
        ----------
        sides : mapping
            Settings by side, as links hold them; a missing B is as A.
        free : iterable of str
            Fields that may be changed, by their names in links.
        view : mapping, optional
            How the stage is looked at, as in links without "view.".
        """
        self.start = self.state = state_of(sides)
        self.free = tuple(free)
        chosen, _ = view_from_items({f"{_PREFIX}{k}": v for k, v in (view or {}).items()})
        with pn.io.hold():
            self.stage.view = first_view() | chosen | {"play": False}
            self._show()
            self.controls.schema = self._form()
            self._answer(self.controls.reply.get("seq", 0), {}, "")

    def handle(self, message: Mapping[str, Any]) -> None:
        """Take one message of the form; what is not free stays as it is."""
        errors: dict[str, str] = {}
        notice = None
        known = {c["id"] for g in self._form() for c in g["controls"]}
        before = self.state
        for change in message.get("changes", []):
            side, field, value = (change.get(k) for k in ("side", "field", "value"))
            if field == "reset":
                self.state, notice = self.start, "Everything is as at the start."
                continue
            id = f"{side}:{field}"
            if id not in known:
                continue
            try:
                self.state = self.state.change(str(side), str(field), value)
            except BadInput as bad:
                errors[id] = f"{self.controls.label(id)} is {bad.value}; allowed: {bad.allowed}."
        with pn.io.hold():
            if self.state != before:
                self._show()
                schema = self._form()
                if structure(schema) != structure(self.controls.schema):
                    self.controls.schema = schema
            self._answer(int(message.get("seq", 0)), errors, notice)

    def settings(self) -> dict[str, Side]:
        """Return what is set, by side, as links hold it."""
        return {"a": to_items(self.state.a), "b": to_items(self.state.b)}

    def _show(self) -> None:
        a, b = solve(self.state.a), solve(self.state.b)
        packet = stage_packet(a, b)
        self.stage.packet = packet
        self.plots.packet = packet
        self.readout.content = figures(a, b)
        self.readout.sources = sources(self.state.a, self.state.b)

    def _form(self) -> list[dict[str, Any]]:
        return free_form(self.state, self.free)

    def _answer(self, seq: int, errors: dict[str, str], notice: str | None) -> None:
        values = {c["id"]: c["value"] for g in self._form() for c in g["controls"]}
        reply: dict[str, Any] = {"seq": seq, "errors": errors, "values": values}
        if notice is not None:
            reply["notice"] = notice
        self.controls.reply = reply


def figures(a: Result, b: Result) -> dict[str, Any]:
    """Return the numbers alone: what they mean is for the learner to say.

    >>> found = figures(solve(BenchState.first().a), solve(BenchState.first().b))
    >>> found["words"], found["sections"][0]["rows"][0]["check"]
    ([], None)
    """
    sections = readout(a, b)["sections"]
    bare = [{**s, "rows": [{**r, "check": None} for r in s["rows"]]} for s in sections]
    return {"words": [], "sections": bare}


def state_of(sides: Mapping[str, Side]) -> BenchState:
    """Return the bench of settings by side; a missing side is as the other.

    >>> state_of({"a": {"needle": "straight", "power": "50"}}).b.drive.power
    0.5
    """
    a = sides.get("a", sides.get("b", {}))
    both = {"a": a, "b": sides.get("b", a)}
    return BenchState.from_items(
        {f"{s}.{k}": v for s, side in both.items() for k, v in side.items()}
    )


def free_form(state: BenchState, free: Iterable[str]) -> list[dict[str, Any]]:
    """Describe the controls of the free fields, as the bench describes them.

    >>> found = free_form(BenchState.first(), ["power", "flow.aspiration_ml_min"])
    >>> [(g["title"], c["label"]) for g in found for c in g["controls"]]
    [('Drive', 'Power'), ('More', 'Aspiration flow')]
    """
    wanted = {ALIASES.get(name, name) for name in free}
    groups = []
    for group in form(state):
        kept = [
            {k: v for k, v in c.items() if k != "edit"}
            for c in group["controls"]
            if c["field"] in wanted
        ]
        if kept:
            groups.append({**group, "open": None, "controls": kept})
    found = {c["field"] for g in groups for c in g["controls"]}
    more = [c for name in sorted(wanted - found) for c in _other(state, name)]
    return (
        [*groups, {"id": "more", "title": "More", "open": None, "controls": more}]
        if more
        else groups
    )


def _other(state: BenchState, path: str) -> list[dict[str, Any]]:
    """Describe a number that the bench page has no control for, such as a flow."""
    table, _, name = path.rpartition(".")
    owner = getattr(state.a, table, None) if table else None
    f = next((f for f in fields(owner) if key(f) == name), None) if owner is not None else None
    if f is None or f.metadata.get("kind") != "quantity":
        return []
    unit = f.metadata["unit"]
    step = float(f"{(f.metadata['high'] - f.metadata['low']) / 100:.1g}")
    label = name.removesuffix(f"_{unit.suffix}").replace("_", " ").capitalize()
    label = f"{label} flow" if label == "Aspiration" else label
    sides = ["both"] if state.together else ["a", "b"]
    return [
        number_control(
            state, s, path, label if s == "both" else f"{label} of {s.upper()}", step=step
        )
        for s in sides
    ]
