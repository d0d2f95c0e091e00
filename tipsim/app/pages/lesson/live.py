"""The bench inside a lesson: stage and pictures, and of the settings only those that are free."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any, ClassVar

import panel as pn

from tipsim.app.framework.bench_state import BenchState
from tipsim.app.framework.form import SPECIAL, Group, Special
from tipsim.app.framework.history import History
from tipsim.app.framework.numbers import readout, sources, status_words
from tipsim.app.framework.page import Page, View
from tipsim.app.framework.readout import Readout
from tipsim.app.framework.stage.packet import stage_packet
from tipsim.app.framework.stage.plots import MARKERS, Plots, along_packet
from tipsim.app.framework.stage.stage import Look, Stage, StageState
from tipsim.lesson.format import Side
from tipsim.setup.errors import BadInput
from tipsim.setup.link import ALIASES, to_items


def _numbers(state: StageState) -> dict[str, Any]:
    """Return the numbers alone: a published value beside them could give an answer away."""
    sections = readout(*state.results)["sections"]
    bare = [{**s, "rows": [{**r, "check": None} for r in s["rows"]]} for s in sections]
    return {"words": [], "sections": bare}


def _needle(state: StageState, side: str) -> dict[str, Any]:
    """Return the choice of a needle without the way to the editor."""
    return {k: v for k, v in (SPECIAL["needle"](state, side) or {}).items() if k != "edit"}


class LiveBench(Page[StageState]):
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

    path = "lesson"
    title = "Experiment"
    layout = Path(__file__).parent / "page.css"
    form_name = "What you may change"
    reset_words = "The settings are as at the start."
    State = StageState
    special: ClassVar[dict[str, Special]] = {"needle": _needle}
    views = (
        View(
            "stage",
            Stage,
            "Both needles",
            {"packet": lambda s: stage_packet(s.results), "look": lambda s: s.look.shown},
        ),
        View(
            "plots",
            Plots,
            "Strokes along the needles",
            {
                "packet": lambda s: along_packet(s.results),
                "html": lambda s: MARKERS(s.results),
            },
        ),
        View(
            "readout",
            partial(Readout, title="", meanings=status_words()),
            "Numbers of both needles",
            {"content": _numbers, "sources": lambda s: sources(s.bench.a, s.bench.b)},
        ),
    )

    def __init__(self) -> None:
        self.start = StageState.first()
        self.free: tuple[str, ...] = ()
        super().__init__()
        self.controls.copies = False

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
        look = Look.of({**(view or {}), "play": "0"})
        self.start = StageState(bench_of(sides), look)
        self.history = History(self.start)
        self.free = tuple(ALIASES.get(name, name) for name in free)
        self.groups = (Group("Settings", self.free),)
        with pn.io.hold():
            trouble = self.screen.show(self.state)
            self.answer(None, {}, " ".join(trouble))

    def settings(self) -> dict[str, Side]:
        """Return what is set, by side, as links hold it."""
        return {"a": to_items(self.state.bench.a), "b": to_items(self.state.bench.b)}

    def fresh(self) -> StageState:
        """Return what the lesson laid on the bench."""
        return replace(self.start, look=self.state.look)

    def answer(
        self, seq: Any, errors: Mapping[str, BadInput], notice: str | None, link: bool = False
    ) -> None:
        """Answer the form; the address belongs to the lesson."""
        del link
        super().answer(seq, errors, notice, link=False)

    def _change(self, side: str, path: str, value: Any, gesture: Any) -> str:
        if path not in (*self.free, "undo", "redo", "reset") and not path.startswith("look."):
            raise BadInput(path, "fixed in this step", ", ".join(self.free) or "nothing")
        return super()._change(side, path, value, gesture)


def bench_of(sides: Mapping[str, Side]) -> BenchState:
    """Return the bench of settings by side; a missing side is as the other.

    >>> bench_of({"a": {"needle": "straight", "power": "50"}}).b.drive.power
    0.5
    """
    a = sides.get("a", sides.get("b", {}))
    both = {"a": a, "b": sides.get("b", a)}
    return BenchState.from_items(
        {f"{s}.{k}": v for s, side in both.items() for k, v in side.items()}
    )
