"""What the page of the needle editor is set to: frozen, and changed by pure functions."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from tipsim.app.editor.check import ALL, PIECE_LABELS, checked
from tipsim.app.editor.draft import Draft, Texts, decimal_of, plain_text
from tipsim.setup.errors import BadInput
from tipsim.setup.needle import Needle
from tipsim.setup.needle_file import decode_needle

HISTORY = 100
"""Steps that can be taken back."""
FIRST = "single-bend-20-0.9"
"""The catalogue's needle that a fresh page starts from."""
MOST_PIECES = 24
NEW_PIECE = {"length_mm": "1", "turn_deg": "0", "outer_radius_mm": "", "inner_radius_mm": ""}


@dataclass(frozen=True)
class EditorState:
    """A draft, whether it can be made, and the way back.

    Attributes
    ----------
    draft : Draft
        As typed.
    shown : Needle
        What the draft makes, or the last needle that could be made.
    drawn : Needle or None
        What was typed, possible or not, where it can be drawn; not checked.
    errors : mapping of field to sentence
        Empty when `shown` is what was typed.
    past, future : tuple of Draft
        For undo and redo, nearest last; kept for this visit only.
    gesture : int or None
        Number of the drag or run of key presses that the last change belongs to: one step back.
    chosen : int or None
        Piece that a change has brought forward, from 0.

    Examples
    --------
    >>> state = EditorState.first().change("set", field="pieces.1.turn_deg", value="25")
    >>> round(state.shown.total_turn * 57.2958), state.possible
    (25, True)
    >>> wrong = state.change("set", field="inner_radius_mm", value="0.44")
    >>> wrong.errors["inner_radius_mm"]
    'Wall (outer less inner radius) is 0.01 mm at 5 mm from the hub; allowed: 0.05 mm or more.'
    >>> wrong.shown == state.shown, wrong.draft.tube["inner_radius_mm"]
    (True, '0.44')
    >>> wrong.change("undo").draft == state.draft
    True
    """

    draft: Draft
    shown: Needle
    drawn: Needle | None
    errors: Mapping[str, str]
    past: tuple[Draft, ...] = ()
    future: tuple[Draft, ...] = ()
    gesture: int | None = None
    chosen: int | None = None

    @classmethod
    def first(cls) -> EditorState:
        """Give what a fresh page shows."""
        return cls.of(Draft.start(FIRST))

    @classmethod
    def of(cls, draft: Draft) -> EditorState:
        """Give the state of a draft without history."""
        found = checked(draft)
        shown = found.needle or checked(Draft.start(FIRST)).needle
        assert shown is not None
        return cls(draft, shown, found.drawn, found.errors)

    @property
    def possible(self) -> bool:
        """Whether the draft can be made."""
        return not self.errors

    def change(self, do: str, **what: Any) -> EditorState:
        """Give the state after one change.

        Parameters
        ----------
        do : str
            "set" (field, value, gesture), "insert", "remove", "split" (at), "move" (at, by),
            "start" (needle), "load" (name, data), "undo" or "redo".
        **what
            As the change needs them. Places count from 0; "insert" puts a piece behind `at`.

        Raises
        ------
        BadInput
            For what cannot be done; the state stays as it was.
        """
        if do == "undo" or do == "redo":
            return self._back(do)
        chosen, gesture = None, None
        if do == "set":
            gesture = what.get("gesture")
            draft = self.draft.with_text(str(what.get("field")), str(what.get("value")))
        elif do in _PIECES:
            pieces, chosen = _PIECES[do](self.draft, *_places(what, len(self.draft.pieces)))
            draft = self.draft.with_pieces(pieces)
        elif do == "start":
            draft, chosen = Draft.start(str(what.get("needle"))), 0
        elif do == "load":
            draft, chosen = Draft.of(decode_needle(what["data"], str(what.get("name")))), 0
        else:
            raise BadInput("do", f'"{do[:40]}"', "a change of a needle")
        return self._now(draft, gesture, chosen)

    def _now(self, draft: Draft, gesture: int | None, chosen: int | None) -> EditorState:
        goes_on = gesture is not None and gesture == self.gesture
        if draft == self.draft:
            # No step was taken yet that the rest of a gesture could belong to.
            return replace(self, gesture=gesture if goes_on else None, chosen=chosen)
        past = self.past if goes_on else (*self.past, self.draft)[-HISTORY:]
        return replace(self._with(draft), past=past, future=(), gesture=gesture, chosen=chosen)

    def _with(self, draft: Draft) -> EditorState:
        found = checked(draft)
        shown = found.needle or self.shown
        return replace(self, draft=draft, shown=shown, drawn=found.drawn, errors=found.errors)

    def _back(self, do: str) -> EditorState:
        stack = self.past if do == "undo" else self.future
        if not stack:
            return replace(self, gesture=None, chosen=None)
        out = replace(self._with(stack[-1]), gesture=None, chosen=None)
        if do == "undo":
            return replace(out, past=stack[:-1], future=(*self.future, self.draft))
        return replace(out, past=(*self.past, self.draft), future=stack[:-1])


Changed = tuple[tuple[Texts, ...], int]


def _places(what: Mapping[str, Any], count: int) -> tuple[int, int]:
    """Take a piece's number and a distance out of a message; they must be whole, and there."""
    at, by = what.get("at"), what.get("by", 0)
    if type(at) is not int or type(by) is not int or not 0 <= at < count:
        raise BadInput("piece", str(at)[:40], f"a whole number, 0 to {count - 1}")
    return at, by


def _insert(draft: Draft, at: int, _: int) -> Changed:
    return _put(draft, at + 1, 0, [NEW_PIECE]), at + 1


def _put(draft: Draft, at: int, instead: int, new: list[Texts]) -> tuple[Texts, ...]:
    pieces = (*draft.pieces[:at], *new, *draft.pieces[at + instead :])
    if not 1 <= len(pieces) <= MOST_PIECES:
        raise BadInput(ALL, f"{len(pieces)} pieces", f"1 to {MOST_PIECES} pieces")
    return pieces


def _remove(draft: Draft, at: int, _: int) -> Changed:
    return _put(draft, at, 1, []), min(at, len(draft.pieces) - 2)


def _move(draft: Draft, at: int, by: int) -> Changed:
    to = min(max(at + by, 0), len(draft.pieces) - 1)
    rest = [*draft.pieces[:at], *draft.pieces[at + 1 :]]
    rest.insert(to, draft.pieces[at])
    return tuple(rest), to


def _split(draft: Draft, at: int, _: int) -> Changed:
    """Make two pieces of one; the needle stays as it is."""
    whole = draft.pieces[at]
    half = {name: _half(whole[name], at, name) for name in ("length_mm", "turn_deg")}
    first, second = {**whole, **half}, {**whole, **half}
    for name, before in zip(("outer_radius_mm", "inner_radius_mm"), draft.before(at), strict=True):
        if whole[name]:
            total = _decimal(before, at, name) + _decimal(whole[name], at, name)
            first[name] = plain_text(total / 2)
    return _put(draft, at, 1, [first, second]), at + 1


def _half(text: str, at: int, name: str) -> str:
    return plain_text(_decimal(text, at, name) / 2)


def _decimal(text: str, at: int, name: str) -> Decimal:
    value = decimal_of(text)
    if value is None:
        label = PIECE_LABELS[name].format(at + 1)
        raise BadInput(label, f'"{text}"' if text else "empty", "a number before it is split")
    return value


_PIECES: dict[str, Callable[[Draft, int, int], Changed]] = {
    "insert": _insert,
    "remove": _remove,
    "move": _move,
    "split": _split,
}
