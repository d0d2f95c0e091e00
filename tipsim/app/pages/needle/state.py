"""What the needle page is set to: a draft, and the needles that it may take the place of."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cached_property
from typing import Any, ClassVar, Self

from tipsim.app.framework.bench_state import BenchState
from tipsim.app.framework.state import PageState
from tipsim.app.pages.needle.check import ALL, Checked, checked, label
from tipsim.app.pages.needle.draft import PREFIX, TUBE, Draft, decimal_of, plain_text
from tipsim.setup.catalogue import catalogue
from tipsim.setup.errors import BadInput
from tipsim.setup.needle import Needle
from tipsim.setup.needle_file import MOST_BYTES, decode_needle
from tipsim.setup.presets import fitting_sleeve

NEW_PIECE = {"length_mm": "1", "turn_deg": "0", "outer_radius_mm": "", "inner_radius_mm": ""}


def _first_needle() -> Needle:
    needle = checked(Draft.start()).needle
    assert needle is not None
    return needle


@dataclass(frozen=True)
class NeedleState(PageState):
    """A draft, and the last needle that could be made of it.

    Attributes
    ----------
    bench : BenchState
        The needles that are compared, as they were left.
    draft : Draft
        As typed.
    shown : Needle
        What the draft makes, or the last needle that could be made.

    Examples
    --------
    >>> state = NeedleState.first().change("both", "draft.pieces.1.turn_deg", "25")
    >>> round(state.shown.total_turn * 57.2958), state.possible
    (25, True)
    >>> wrong = state.change("both", "draft.inner_radius_mm", "0.44")
    >>> wrong.errors["inner_radius_mm"]
    'Wall (outer less inner radius) is 0.01 mm at 5 mm from the hub; allowed: 0.05 mm or more.'
    >>> wrong.shown == state.shown, wrong.draft.tube["inner_radius_mm"]
    (True, '0.44')
    """

    draft: Draft = field(default_factory=Draft.start)
    shown: Needle = field(default_factory=_first_needle)

    PREFIX: ClassVar[str] = PREFIX

    @classmethod
    def read(cls, items: Mapping[str, str]) -> tuple[Self, list[BadInput]]:
        """Return the state of a link's items as far as they can be used, and what cannot.

        "edit" says which needle to start from, if there is no draft.
        """
        drafts = {k: v for k, v in items.items() if k.startswith(PREFIX)}
        side = items.get("edit", "")
        rest = {k: v for k, v in items.items() if k not in drafts and k != "edit"}
        state, bad = super().read(rest)
        if side in ("a", "b"):
            known = getattr(state.bench, side).needle
            copied = known.id in catalogue().needles
            state = state.with_draft(Draft.start(known.id) if copied else Draft.of(known))
        elif side:
            bad.append(BadInput("link: edit", f'"{side[:40]}"', "a, b"))
        draft, more = Draft.from_items(drafts, Draft.start() if drafts else state.draft)
        return state.with_draft(draft), bad + more

    def to_query(self, kept: Mapping[str, str] | None = None) -> str:
        """Return the state as the query of a link: the draft, then the needles compared."""
        return f"{self.draft.query()}&{self.bench_query(kept)}"

    def bench_query(self, kept: Mapping[str, str] | None = None) -> str:
        """Return the query of the page that compares the needles, with how it was looked at."""
        return self.bench.to_query({k.removeprefix("view."): v for k, v in (kept or {}).items()})

    @cached_property
    def made(self) -> Checked:
        """What the draft makes."""
        return checked(self.draft)

    @property
    def errors(self) -> Mapping[str, str]:
        """One sentence at each field that is off; empty when `shown` is what was typed."""
        return self.made.errors

    @property
    def possible(self) -> bool:
        """Whether the draft can be made."""
        return not self.errors

    def with_draft(self, draft: Draft) -> Self:
        """Return the state with another draft."""
        new = replace(self, draft=draft)
        return replace(new, shown=new.made.needle or self.shown)

    def change(self, side: str, path: str, value: Any) -> Self:
        """Return the state with one thing changed.

        Parameters
        ----------
        side : str
            Of no meaning here.
        path : str
            "draft." and a field of `Draft.with_text` (a text); "insert", "remove", "split" (a
            piece, from 0); "move" (a piece, and how far); "start" (a needle of the catalogue);
            "load" (a file's name and bytes in base 64).
        value : Any

        Raises
        ------
        BadInput
            For what cannot be done; the state stays as it was.
        """
        del side
        if path.startswith(PREFIX):
            name = path.removeprefix(PREFIX)
            if isinstance(value, float) and name in TUBE:  # A slider's.
                value = f"{value:.10g}"
            return self.with_draft(self.draft.with_text(name, str(value)))
        if path in _PIECES:
            at, by = _places(value, len(self.draft.pieces))
            return self.with_draft(_PIECES[path](self.draft, at, by))
        if path == "start":
            return self.with_draft(Draft.start(str(value))) if value else self
        if path == "load":
            return self.with_draft(Draft.of(_loaded(value)))
        raise BadInput(path[:40], "not here", "a change of a needle")

    def used(self, side: str) -> tuple[BenchState, str]:
        """Return the needles compared with the one drawn on a side, and a sentence on its sleeve.

        Raises
        ------
        BadInput
            When something else there does not go with the needle.
        """
        needle, before = self.shown, getattr(self.bench, side)
        sleeve, said = None, "Without a sleeve, as it was."
        if before.sleeve is not None:
            sleeve, said = fitting_sleeve(needle, before.sleeve)
        after = replace(
            before,
            name=f"{needle.id}, {before.drive.kind}",
            needle=needle,
            sleeve=sleeve,
            markers=tuple(m for m in before.markers if m <= needle.length) or (0.0,),
        )
        return replace(self.bench, **{side: after}), said


def _loaded(value: Any) -> Needle:
    """Read a needle from what the browser sends of a file, no more than is read of one."""
    value = value if isinstance(value, Mapping) else {}
    name, sent = str(value.get("name", "file"))[:80], value.get("bytes")
    # Four characters for three bytes; what is too long is refused before it is unpacked.
    if not isinstance(sent, str) or len(sent) > MOST_BYTES * 4 / 3 + 8:
        most = f"{MOST_BYTES // 1000} kB"
        raise BadInput(name, f"more than {most}", f"a TOML needle file, up to {most}")
    try:
        return decode_needle(base64.b64decode(sent, validate=True), name)
    except binascii.Error:
        raise BadInput(name, "not sent whole", "a TOML needle file") from None


# ---- pieces ----


def _places(value: Any, count: int) -> tuple[int, int]:
    """Take a piece's number, and perhaps a distance, out of a message: whole, and there."""
    at, by = value if isinstance(value, list) and len(value) == 2 else (value, 0)
    if type(at) is not int or type(by) is not int or not 0 <= at < count:
        raise BadInput("piece", str(at)[:40], f"a whole number, 0 to {count - 1}")
    return at, by


def _move(draft: Draft, at: int, by: int) -> Draft:
    to = min(max(at + by, 0), len(draft.pieces) - 1)
    rest = [*draft.pieces[:at], *draft.pieces[at + 1 :]]
    rest.insert(to, draft.pieces[at])
    return draft.with_pieces(0, len(rest) + 1, *rest)


def _split(draft: Draft, at: int, _: int) -> Draft:
    """Make two pieces of one; the needle stays as it is."""
    whole, before = draft.pieces[at], draft.before(at)
    halves = {n: plain_text(_decimal(whole[n], at, n) / 2) for n in ("length_mm", "turn_deg")}
    middle = {
        name: plain_text((_decimal(before[name], at, name) + _decimal(whole[name], at, name)) / 2)
        for name in before
        if whole[name]
    }
    return draft.with_pieces(at, 1, {**whole, **halves, **middle}, {**whole, **halves})


def _decimal(text: str, at: int, name: str) -> Decimal:
    value = decimal_of(text)
    if value is None:
        where = label(f"{ALL}.{at}.{name}").removesuffix(": ")
        raise BadInput(where, f'"{text}"' if text else "empty", "a number before it is split")
    return value


_PIECES: dict[str, Callable[[Draft, int, int], Draft]] = {
    "insert": lambda draft, at, _: draft.with_pieces(at + 1, 0, NEW_PIECE),
    "remove": lambda draft, at, _: draft.with_pieces(at, 1),
    "move": _move,
    "split": _split,
}
