"""The editor on its page: one model, one message a change, one answer with everything."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Mapping
from pathlib import Path
from typing import Any, ClassVar

import param
from panel.custom import JSComponent
from panel.viewable import Viewable, Viewer

from tipsim.app.bench_state import BenchState
from tipsim.app.editor.draft import PIECE, TUBE, Draft, slug
from tipsim.app.editor.draft_link import draft_from_items, editor_query
from tipsim.app.editor.look import look
from tipsim.app.editor.picture import picture
from tipsim.app.editor.put import Bench
from tipsim.app.editor.state import MOST_PIECES, EditorState
from tipsim.app.editor.totals import totals
from tipsim.app.framework.component import script, styles
from tipsim.setup.catalogue import catalogue
from tipsim.setup.errors import BadInput
from tipsim.setup.material import titanium
from tipsim.setup.needle_file import MOST_BYTES, needle_to_toml

_FOLDER = Path(__file__).parent


class NeedleEditor(JSComponent):
    """Picture, table of pieces, numbers and buttons, built in the browser.

    The browser sends ``{"seq": n, "changes": [{"do": ...}, ...]}`` (see `EditorState.change`;
    "look" asks for what takes longer) and waits for the `reply` with that number before it sends
    more.
    """

    reply = param.Dict(default={}, doc="Everything that is shown; see `Editor`.")
    known = param.Dict(default={}, doc="What does not change: needles to start from, limits.")

    _esm: ClassVar[str] = script(_FOLDER / "editor.js")
    _stylesheets: ClassVar[list[str]] = styles(_FOLDER / "editor.css", _FOLDER / "picture.css")


class Editor(Viewer):
    """One learner's drawing board.

    Parameters
    ----------
    items : mapping of str to str
        Items of the link's query: the draft ("draft."), or the side of the bench to start from
        ("edit"), and the bench as it was left. What cannot be used is said and left out.

    Examples
    --------
    >>> editor = Editor({"edit": "b", "power": "40"})
    >>> editor.state.shown.shape
    'counter-bent'
    >>> editor.handle({"seq": 1, "changes": [
    ...     {"do": "set", "field": "pieces.0.length_mm", "value": "abc"}]})
    >>> editor.component.reply["errors"]
    {'pieces.0.length_mm': 'Length of piece 1 is "abc"; allowed: a number, 0.02 to 40 mm.'}
    """

    def __init__(self, items: Mapping[str, str] | None = None, **params: Any) -> None:
        super().__init__(**params)
        own = {k: v for k, v in (items or {}).items() if k.startswith("draft.") or k == "edit"}
        rest = {k: v for k, v in (items or {}).items() if k not in own}
        notice = ""
        try:
            self.bench = Bench.from_items(rest)
        except BadInput as bad:
            self.bench = Bench(BenchState.first(), {})
            notice = f"The bench in this link could not be used: {bad} "
        try:
            self.state = _first_state(own, self.bench)
        except BadInput as bad:
            self.state = EditorState.first()
            notice += f"The needle in this link could not be used: {bad}"
        self.component = NeedleEditor(known=_known(), sizing_mode="stretch_width")
        self._answer(0, {}, notice.strip())
        self.component.on_msg(lambda event: self.handle(event.data))

    def handle(self, message: Mapping[str, Any]) -> None:
        """Take one message: change what can be changed, answer with the rest."""
        errors: dict[str, str] = {}
        notice: str | None = None
        thorough, quiet = False, True
        for change in message.get("changes", []):
            what = dict(change)
            do = str(what.pop("do", ""))
            if do == "look":
                thorough = True
                continue
            quiet = False
            try:
                if do == "load":
                    what = _loaded(what)
                self.state = self.state.change(do, **what)
                notice = _notice(do, self.state, what) or notice
            except BadInput as bad:
                errors[_place(do, what)] = _sentence(do, bad)
        self._answer(int(message.get("seq", 0)), errors, notice, thorough, quiet)

    def _answer(
        self,
        seq: int,
        errors: dict[str, str],
        notice: str | None,
        thorough: bool = False,
        quiet: bool = False,
    ) -> None:
        state = self.state
        found = look(state.shown, thorough)
        self.component.reply = {
            "seq": seq,
            "draft": _draft_data(state.draft),
            "errors": {**state.errors, **errors},
            "possible": state.possible,
            "shown": picture(state.shown),
            "drawn": picture(state.drawn) if state.drawn else None,
            "totals": totals(state.shown),
            "look": found,
            "undo": bool(state.past),
            "redo": bool(state.future),
            "chosen": state.chosen,
            "file": _file(state),
            "put": {side: self._put(side) for side in ("a", "b")},
            "back": f"./?{self.bench.query()}",
            "link": editor_query(state.draft, self.bench.query()),
            "notice": notice,
            # Nothing was changed, so what was said may stay.
            "quiet": quiet,
        }

    def _put(self, side: str) -> dict[str, str]:
        """Give the link that puts the needle on a side, or say why there is none."""
        if not self.state.possible:
            return {"href": "", "told": "First mend what is marked."}
        try:
            bench, told = self.bench.with_needle(side, self.state.shown)
        except BadInput as bad:
            return {"href": "", "told": f"It does not go on {side.upper()}: {bad}"}
        return {"href": f"./?{bench.query()}", "told": told}

    def __panel__(self) -> Viewable:
        """Give the component, for use outside the page's own template."""
        return self.component


def _first_state(own: Mapping[str, str], bench: Bench) -> EditorState:
    draft = draft_from_items(own)
    if draft is not None:
        return EditorState.of(draft)
    side = own.get("edit")
    if side is None:
        return EditorState.first()
    if side not in ("a", "b"):
        raise BadInput("link: edit", f'"{side[:40]}"', "a, b")
    needle = bench.side(side).needle
    if needle.id in catalogue().needles:
        return EditorState.of(Draft.start(needle.id))
    return EditorState.of(Draft.of(needle))


def _known() -> dict[str, Any]:
    """Give what the browser needs once."""
    needles = [
        {"id": id, "title": n.title, "across": f"{2e3 * n.outer_radius:g} mm across"}
        for id, n in catalogue().needles.items()
    ]
    return {
        "needles": sorted(needles, key=lambda n: str(n["across"])),
        "most_pieces": MOST_PIECES,
        "most_bytes": MOST_BYTES,
        "tube": {name: _range(f) for name, f in TUBE.items()},
        "piece": {name: _range(f) for name, f in PIECE.items()},
    }


def _range(f: Any) -> dict[str, Any]:
    unit, low, high, doc = (f.metadata[k] for k in ("unit", "low", "high", "doc"))
    return {"unit": unit.symbol, "low": low, "high": high, "doc": doc}


def _draft_data(draft: Draft) -> dict[str, Any]:
    given = draft.material != titanium()
    metal = (
        f"{draft.material.name}, from the file" if given else f"{draft.material.name} (titanium)"
    )
    return {
        "title": draft.title,
        "shape": draft.shape,
        "metal": metal,
        "tube": dict(draft.tube),
        "pieces": [dict(p) for p in draft.pieces],
        "before": [draft.before(i) for i in range(len(draft.pieces))],
    }


def _file(state: EditorState) -> dict[str, str] | None:
    if not state.possible:
        return None
    return {"name": f"{slug(state.shown.id)}.toml", "text": needle_to_toml(state.shown)}


def _loaded(what: Mapping[str, Any]) -> dict[str, Any]:
    """Turn what the browser sends of a file into bytes, no more than are read of one."""
    name, sent = str(what.get("name", "file"))[:80], what.get("bytes")
    # Four characters for three bytes; what is too long is refused before it is unpacked.
    if not isinstance(sent, str) or len(sent) > MOST_BYTES * 4 / 3 + 8:
        raise BadInput(
            name, f"more than {MOST_BYTES // 1000} kB", "a TOML needle file, up to 100 kB"
        )
    try:
        return {"name": name, "data": base64.b64decode(sent, validate=True)}
    except binascii.Error:
        raise BadInput(name, "not sent whole", "a TOML needle file") from None


def _notice(do: str, state: EditorState, what: Mapping[str, Any]) -> str:
    """Say what has happened where the eye may have missed it."""
    count = len(state.draft.pieces)
    said = {
        "load": f"{what.get('name')} is loaded.",
        "start": f"The draft starts anew, as {_title_of(what.get('needle'))}.",
        "undo": "Taken back.",
        "redo": "Done again.",
        "remove": f"Removed; {count} left.",
        "split": f"Split in two; the needle is as before, of {count} pieces.",
        "insert": f"Piece {(state.chosen or 0) + 1} added: 1 mm, straight.",
        "move": f"It is piece {(state.chosen or 0) + 1} now.",
    }
    return said.get(do, "")


def _title_of(id: Any) -> str:
    needle = catalogue().needles.get(str(id))
    return needle.title if needle else "before"


def _place(do: str, what: Mapping[str, Any]) -> str:
    if do == "set":
        return str(what.get("field"))
    return {"load": "file", "start": "start"}.get(do, "pieces")


def _sentence(do: str, bad: BadInput) -> str:
    if do in ("insert", "remove", "split", "move"):
        return (
            f"This would make {bad.value}; allowed: {bad.allowed}."
            if bad.field == "pieces"
            else str(bad)
        )
    return str(bad)
