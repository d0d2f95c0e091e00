"""The tissue page: iris, wound, cutting and all of it weighed; what is quick comes first."""

from __future__ import annotations

from collections.abc import Mapping
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
from tipsim.app.numbers import beyond_belief
from tipsim.app.tissue import cutting, found, trade, wound
from tipsim.app.tissue.charts import CUTTING, WOUND
from tipsim.app.tissue.rows import sources
from tipsim.app.tissue.schema import form
from tipsim.app.tissue.state import PREFIX, TissueState
from tipsim.heat.timeline import HeatRun
from tipsim.setup.errors import BadInput
from tipsim.setup.scenario import Scenario
from tipsim.store import result as solve

_FOLDER = Path(__file__).parent


def _styles(*names: str) -> list[str]:
    own = (_FOLDER / f"{n}.css" for n in ("rows", *names))
    # Only the scene plays.
    return styles(STYLE, *(("player",) if "scene" in names else ()), *own)


def heated(scenario: Scenario) -> HeatRun:
    """Return the temperatures of a scenario."""
    run: HeatRun = store.get(scenario, "heat")
    return run


class IrisScene(JSComponent):
    """Both sleeves with the iris beside them, moving on the browser's own clock."""

    packet = param.Bytes(default=b"", doc="From `tipsim.app.tissue.packet`.")
    content = param.Dict(default={}, doc="From `tipsim.app.tissue.iris.content`.")
    sources = param.Dict(default={}, doc="What rows open, from `tipsim.app.tissue.rows.sources`.")

    _esm: ClassVar[str] = script(_FOLDER / "scene.js")
    _stylesheets: ClassVar[list[str]] = _styles("scene", "plot")


class WoundView(JSComponent):
    """How the sleeve sits in the wound, and what warmth does there."""

    stamp = param.Integer(default=0, doc="Grows with every change of the benches.")
    fit = param.Dict(default={}, doc="From `tipsim.app.tissue.wound.fit`.")
    heat = param.Dict(default={}, doc="From `tipsim.app.tissue.wound.heat`, and the stamp.")
    sources = param.Dict(default={}, doc="What rows open.")

    charts: ClassVar[tuple[Kind, ...]] = WOUND
    _esm: ClassVar[str] = script(_FOLDER / "wound.js")
    _stylesheets: ClassVar[list[str]] = _styles("plot", "wound")


class CuttingView(JSComponent):
    """Cutting at the mouth, its course with power and hardness, and studies that differ."""

    content = param.Dict(default={}, doc="From `tipsim.app.tissue.cutting.content`.")
    drives = param.List(default=[], doc="From `tipsim.app.tissue.cutting.drives`; comes later.")
    studies = param.List(default=[], doc="From `tipsim.app.tissue.cutting.disagreements`.")
    sources = param.Dict(default={}, doc="What rows open.")

    charts: ClassVar[tuple[Kind, ...]] = CUTTING
    _esm: ClassVar[str] = script(_FOLDER / "cutting.js")
    _stylesheets: ClassVar[list[str]] = _styles("plot", "cutting")


class TradeView(JSComponent):
    """Cutting, heat, iris and stress of both sides with their bands, and a claim held to them."""

    content = param.Dict(default={}, doc="Rows of the picture, words, both halves of the claim.")
    sources = param.Dict(default={}, doc="What rows open.")

    _esm: ClassVar[str] = script(_FOLDER / "trade.js")
    _stylesheets: ClassVar[list[str]] = _styles("trade")


class TissueBench(Viewer):
    """One learner's page.

    Parameters
    ----------
    items : mapping of str to str
        Items of the link's query; what cannot be used is left at its first value and said.

    Examples
    --------
    >>> page = TissueBench({"eye.iris_gap_mm": "0"})
    >>> page.state.bench.b.eye.iris_gap
    0.0
    >>> page.handle({"seq": 1, "changes": [
    ...     {"side": "both", "field": "eye.iris_gap_mm", "value": 9}]})
    >>> page.controls.reply["errors"]
    {'both:eye.iris_gap_mm': 'Mean gap to the sleeve is 9 mm; allowed: -0.5 to 3 mm.'}
    """

    def __init__(self, items: Mapping[str, str] | None = None, **params: Any) -> None:
        super().__init__(**params)
        items = items or {}
        notice = ""
        self._kept = other_views(items, PREFIX)
        self._heats: dict[store.Key, HeatRun] = {}
        try:
            self.state = TissueState.from_items(items)
        except BadInput as bad:
            self.state = TissueState(bench_of(items))
            notice = unusable(bad)
        self.controls = Controls(
            actions=[{"field": "reset", "label": "Reset"}],
            name_of_form="Settings of the tissue bench",
            sizing_mode="stretch_width",
        )
        own = sources("iris.", "eye.", "sleeve.")
        self.iris = IrisScene(sources=own, sizing_mode="stretch_width")
        self.wound = WoundView(
            sources=sources(*_WOUND),
            sizing_mode="stretch_width",
        )
        self.cutting = CuttingView(
            studies=cutting.disagreements(),
            sources=sources(
                "cutting.", "published.", "flow.", "lines.", "motion.", "sleeve.", "drive."
            ),
            sizing_mode="stretch_width",
        )
        self.trade = TradeView(
            sources=sources("iris.", "eye.", "sleeve.", "cutting.", "fatigue.", "wound."),
            sizing_mode="stretch_width",
        )
        self._show()
        self._answer(0, {}, notice)
        self.controls.on_msg(lambda event: self.handle(event.data))
        for part in (self.iris, self.trade):
            part.on_msg(lambda event: self.handle(event.data))
        self.wound.on_msg(lambda event: self.asked(event.data))

    def handle(self, message: Mapping[str, Any]) -> None:
        """Take one message of the form or a picture, change what can be changed, answer."""
        errors: dict[str, str] = {}
        notice = None
        before = self.state
        for change in message.get("changes", []):
            side, field = str(change.get("side", "both")), str(change.get("field"))
            if field == "reset":
                self.state, notice = TissueState.first(), "Everything is as on a fresh page."
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

    def sides(self) -> tuple[Scenario, Scenario]:
        """Give both benches as they are shown: B perhaps at the power for equal cutting."""
        a, b = self.state.bench.a, self.state.bench.b
        power = found.equal_of(a, b).power if self.state.equal else None
        return a, b if power is None else trade.with_power(b, power)

    def asked(self, message: Mapping[str, Any]) -> None:
        """Compute what takes longer, when the picture asks for it after a quiet moment."""
        if message.get("want") != self.wound.stamp:
            return
        a, b = self.sides()
        self._heats = {store.key(s, "heat"): heated(s) for s in (a, b)}
        with pn.io.hold():
            self.cutting.drives = cutting.drives(a, b)
            self._weigh(a, b, wide=True)

    def _show(self) -> None:
        """Hand everything that is quick to the parts of the page."""
        a, b = self.sides()
        self.iris.packet = found.iris_packet(a, b, self.state.seed)
        self.iris.content = found.iris_content(a, b)
        self.cutting.content = found.cutting_content(a, b)
        self.wound.fit = found.fit(a, b)
        self.wound.stamp += 1
        self._weigh(a, b, wide=False)
        schema = form(self.state)
        if structure(schema) != structure(self.controls.schema):
            self.controls.schema = schema

    def _warm(self, a: Scenario, b: Scenario) -> list[wound.Warmth] | None:
        """Give both wounds and hand them to their picture, as soon as temperatures are known."""
        keys = [store.key(s, "heat") for s in (a, b)]
        if not all(key in self._heats for key in keys):
            return None
        warm = [found.warmth(s, self._heats[key]) for s, key in zip((a, b), keys, strict=True)]
        duration = max(a.duration, b.duration)
        self.wound.heat = wound.heat(warm[0], warm[1], duration) | {"stamp": self.wound.stamp}
        return warm

    def _weigh(self, a: Scenario, b: Scenario, wide: bool) -> None:
        """Hand over all of it in one picture, and the claim held against the benches as set."""
        warm = self._warm(a, b)
        set_a, set_b = self.state.bench.a, self.state.bench.b
        equal = found.equal_of(set_a, set_b)
        spans = {
            "cutting": [solve(s).cutting.rate for s in (a, b)],
            "iris": [solve(s).iris.work_per_minute for s in (a, b)],
        }
        moved = [solve(s) for s in (a, b)]
        touching = [solve(s).iris for s in (set_a, set_b)]
        self.trade.content = {
            "rows": trade.picture(spans["cutting"], spans["iris"], moved, warm),
            "equal": self.state.equal,
            "words": [
                *trade.equal_words(equal, self.state.equal, set_b.drive.power),
                *beyond_belief(*moved),
            ],
            "titles": [s.needle.title for s in (a, b)],
            "powers": [f"{s.drive.power * 100:.0f} %" for s in (a, b)],
            "pair": [s.needle.shape for s in (a, b)] == ["single-bend", "counter-bent"],
            "gap": trade.gap_words(set_a, touching),
            "touches": all(s.eye.iris_gap <= 0 for s in (set_a, set_b)),
            "claims": found.claims(set_a, set_b, wide),
            "wide": wide,
        }

    def _answer(self, seq: int | None, errors: dict[str, str], notice: str | None) -> None:
        link = self.state.to_query(self._kept)
        answer(self.controls, form(self.state), link, seq, errors, notice)


_WOUND = (
    *("wound.", "incision.", "eye.wound", "thermal.cornea", "cem43.", "flow.", "limit."),
    *("skin_collagen.", "tendon_collagen.", "cornea_collagen."),
)
"""What the wound's numbers rest on, by the beginnings of their ids."""
