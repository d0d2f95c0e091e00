"""The needle page: a drawing board, what the needle would do, and the way to compare it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any, ClassVar

import param

from tipsim.app.framework.article import Article, written
from tipsim.app.framework.component import Part, script, styles
from tipsim.app.framework.form import Control, Group, Special, needle_options
from tipsim.app.framework.glance import glance
from tipsim.app.framework.page import Later, Page, View
from tipsim.app.framework.readout import sources_view
from tipsim.app.framework.state import PageState
from tipsim.app.pages.needle.draft import PIECE, PREFIX, TUBE, Draft, decimal_of, slug
from tipsim.app.pages.needle.glance import at_a_glance
from tipsim.app.pages.needle.outcome import known_as, origins, outcome, summary
from tipsim.app.pages.needle.picture import picture
from tipsim.app.pages.needle.state import NeedleState
from tipsim.setup.errors import BadInput
from tipsim.setup.needle_file import MOST_BYTES, needle_to_toml

_HERE = Path(__file__).parent
_SAID = {
    "start": "The draft starts anew.",
    "load": "The file is loaded.",
    "split": "Split in two; the needle is as before.",
    "insert": "A straight piece of 1 mm was added.",
    "remove": "The piece was removed.",
    "move": "The piece was moved.",
}
"""What to say of a change where the eye may miss it."""
_ON_BOARD = _SAID.keys() - {"start"}


class Board(Part):
    """Picture with handles, table of pieces, files, and links that use the needle."""

    draft = param.Dict(default={}, doc="What is drawn and typed; see `board`.")
    known = param.Dict(default={}, doc="What does not change: the numbers of a piece, limits.")
    reply = param.Dict(default={}, doc="Answer to a message: n, error.")

    _esm: ClassVar[str] = script(_HERE / "board.js")
    _stylesheets: ClassVar[list[str]] = styles(_HERE / "board.css", _HERE / "picture.css")


def known() -> dict[str, Any]:
    """Return what the board needs once."""
    pieces = [
        {"key": k, "label": one.label, "unit": one.unit.symbol, "low": one.low, "high": one.high}
        for k, one in PIECE.items()
    ]
    return {"pieces": pieces, "most_bytes": MOST_BYTES}


def board(state: NeedleState, kept: Mapping[str, str]) -> dict[str, Any]:
    """Return what the board shows of a draft; `kept` are items of other pages."""
    made, file = state.made, None
    if made.needle:
        file = {"name": f"{slug(state.shown.id)}.toml", "text": needle_to_toml(state.shown)}
    return {
        "pieces": [dict(p) for p in state.draft.pieces],
        "before": [state.draft.before(i) for i in range(len(state.draft.pieces))],
        "errors": dict(made.errors),
        "shown": picture(state.shown),
        "drawn": picture(made.drawn) if made.drawn else None,
        "file": file,
        "use": {side: use(state, side, kept) for side in ("a", "b")},
        "back": f"./compare?{state.bench_query(kept)}",
    }


def use(state: NeedleState, side: str, kept: Mapping[str, str]) -> dict[str, str]:
    """Return the link that uses the needle as A or B, or what stands in its way."""
    if not state.possible:
        return {"href": "", "said": "Fix the highlighted fields first."}
    try:
        bench, said = state.used(side)
    except BadInput as bad:
        return {"href": "", "said": f"It cannot be used as {side.upper()}: {bad}"}
    return {"href": f"./compare?{replace(state, bench=bench).bench_query(kept)}", "said": said}


def _title(state: PageState, _: str) -> Control:
    assert isinstance(state, NeedleState)
    return {"kind": "text", "label": "Name", "value": state.draft.title}


def _start(state: PageState, _: str) -> Control:
    assert isinstance(state, NeedleState)
    now = state.made.needle
    return {
        "kind": "select",
        "label": "Start from",
        "value": known_as(now) if now else "",
        "options": [{"value": "", "label": "As drawn"}, *needle_options()],
        "help": "Choosing one replaces the draft; Undo brings it back.",
    }


def _tube(name: str, state: PageState, _: str) -> Control:
    """Return the control of a single number; what is no number can only be shown as text."""
    assert isinstance(state, NeedleState)
    one, text = TUBE[name], state.draft.tube[name]
    out: Control = {"label": one.label, "help": f"{one.doc[0].upper()}{one.doc[1:]}."}
    number = decimal_of(text)
    if number is None:
        return out | {"kind": "text", "value": text}
    low, high, step = one.slider
    range = {"min": low, "max": high, "step": step, "unit": one.unit.symbol, "scale": one.scale}
    return out | range | {"kind": "number", "value": float(number)}


class NeedlePage(Page[NeedleState]):
    """One learner's drawing board.

    Examples
    --------
    >>> page = NeedlePage({"edit": "b", "power": "40"})
    >>> page.state.shown.shape
    'counter-bent'
    >>> page.handle({"changes": [{"field": "draft.pieces.0.length_mm", "value": "abc"}]})
    >>> page.parts["board"].draft["errors"]
    {'pieces.0.length_mm': 'Piece 1, length: Enter a number from 0.02 to 40 mm. You entered "abc".'}
    """

    path = "needle"
    title = "Design a needle"
    glance = glance(at_a_glance)
    description = "Draw or type a needle of your own, see at once what it would do, and compare it."
    skip = "To the needle"
    layout = _HERE / "page.css"
    form_name = "The needle's name and single numbers"
    reset_words = "The draft starts anew."

    State = NeedleState
    special: ClassVar[dict[str, Special]] = {
        f"{PREFIX}title": _title,
        "start": _start,
        **{PREFIX + name: partial(_tube, name) for name in TUBE},
    }
    groups = (
        Group("Needle", (f"{PREFIX}title", "start")),
        Group("Hub, shaft and opening", tuple(PREFIX + name for name in TUBE), open=False),
    )
    views = (
        View("board", partial(Board, known=known()), "Picture and pieces", {}),
        View(
            "outcome",
            Article,
            "Predicted behaviour",
            {
                "html": Later(
                    written(_HERE / "outcome.html", partial(outcome, thorough=True)),
                    first=written(_HERE / "outcome.html", outcome),
                )
            },
            fold="All numbers",
        ),
        View(
            "summary",
            Article,
            "Summary",
            {"html": written(_HERE / "summary.html", summary)},
            fold="Summary of its shape",
        ),
        sources_view(origins),
    )

    def answer(
        self, seq: Any, errors: Mapping[str, BadInput], notice: str | None, link: bool = True
    ) -> None:
        """Answer with what does not fit together too, beside its control, and show the board."""
        found = {
            f"both:{PREFIX}{name}": BadInput(name, "off", "another", sentence)
            for name, sentence in self.state.errors.items()
            if name in TUBE or name == "title"
        }
        # What is refused of the pieces and of a file is said on the board.
        rest = {id: bad for id, bad in errors.items() if id.partition(":")[2] not in _ON_BOARD}
        super().answer(seq, {**found, **rest}, notice, link)
        self.parts["board"].draft = board(self.state, self._kept)

    def fresh(self) -> NeedleState:
        """Return a new draft; the needles compared stay as they are."""
        return self.state.with_draft(Draft.start())

    def _change(self, side: str, path: str, value: Any, gesture: Any) -> str:
        return super()._change(side, path, value, gesture) or _SAID.get(path, "")
