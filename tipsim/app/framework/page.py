"""A page: a state, a form and views. It takes messages and answers each with a sentence."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import Any, ClassVar, Generic, TypeVar
from urllib.parse import parse_qsl

import panel as pn
from panel.viewable import Viewable, Viewer

from tipsim.app.framework.acts import sentence_of
from tipsim.app.framework.bench_state import BEYOND_PAIR
from tipsim.app.framework.controls import Controls, structure
from tipsim.app.framework.form import Group, Special, form
from tipsim.app.framework.history import History
from tipsim.app.framework.slow import Pool
from tipsim.app.framework.state import PageState
from tipsim.app.framework.views import Fill, Later, View, Views
from tipsim.app.framework.writing import Written
from tipsim.setup.errors import BadInput

S = TypeVar("S", bound=PageState)
LONGEST_LINK = 20_000
MOST_CHANGES = 20
"""Changes that one message may carry."""
FAILED = "This could not be computed; the settings are as before. Try another value."
UNKNOWN = "The page does not know this request; nothing was changed."


class Page(Viewer, Generic[S]):
    """One learner's page; subclasses say what is on it.

    Parameters
    ----------
    items : mapping of str to str
        Items of the link's query; what cannot be used is left at its first value and said.
    pool : Pool, optional
        Where slow work runs; see `Views`.
    """

    path: ClassVar[str]
    title: ClassVar[str]
    lead: ClassVar[str] = ""
    description: ClassVar[str] = ""
    skip: ClassVar[str] = "To the picture"
    aside: ClassVar[str] = ""  # Markup below the header.
    layout: ClassVar[Path | None] = None
    """Style sheet of the page's own places; a page of one picture needs none."""
    State: ClassVar[type[Any]]
    views: ClassVar[tuple[View, ...]]
    glance: ClassVar[Written | Later | None] = None
    """One sentence and three numbers of the result, as markup; see `glance.glance`."""
    tabs: ClassVar[Mapping[str, tuple[str, ...]]] = {}
    """Views that are shown one at a time: by a title, the names of its parts."""
    groups: tuple[Group, ...] = ()
    special: ClassVar[dict[str, Special]] = {}
    form_name: ClassVar[str] = "Settings"
    actions: ClassVar[tuple[tuple[str, str], ...]] = (("reset", "Reset"),)
    reset_words: ClassVar[str] = "Everything is as on a fresh page."

    def __init__(
        self, items: Mapping[str, str] | None = None, pool: Pool | None = None, **params: Any
    ) -> None:
        super().__init__(**params)
        items = items or {}
        state, bad = self.State.read(items)
        opening = self.opening(items)
        state = opening or state
        self.history: History[S] = History(state)
        self._kept = self.State.kept_of(items)
        self.controls = Controls(
            actions=[{"field": field, "label": label} for field, label in self.actions],
            name_of_form=self.form_name,
            sizing_mode="stretch_width",
        )
        views = self.views
        if self.glance is not None:
            # It stands in the page's own markup; the form's component brings what is new.
            fill: dict[str, Fill | Later] = {"glance": self.glance}
            # First, for it is what is read first.
            views = (View("glance", lambda **_: self.controls, "At a glance", fill), *views)
        self.screen = Views(views, pool, self.say)
        self.link_notice = link_words(bad) if bad else ""
        # A link that could not be used whole stays in the address until something changes, and so
        # does the one of a case that the page chose itself: it is not carried to other pages.
        said = [*self.screen.show(state), *beyond_pair(self._kept)]
        self.answer(0, {}, " ".join(said), link=not bad and opening is None)
        for part in (self.controls, *self.parts.values()):
            part.on_msg(partial(self._heard, part))

    @property
    def state(self) -> S:
        """What the page is set to."""
        return self.history.now

    @property
    def parts(self) -> dict[str, Any]:
        """The views' components by name."""
        return {name: part for name, part in self.screen.parts.items() if name != "glance"}

    @property
    def folds(self) -> list[tuple[str, str, str]]:
        """Name, title and what is pressed of each part that is folded at first."""
        return [(v.name, v.title, v.fold) for v in self.views if v.fold]

    @property
    def sections(self) -> list[tuple[str, str]]:
        """Each part's name, and what its section is called for screen readers."""
        first, *rest = [(v.name, v.title) for v in self.views if not v.fold]
        return [first, ("controls", "Settings"), *rest]

    @property
    def one_picture(self) -> bool:
        """Whether one part is in sight and all others are folded: such pages share their layout."""
        return len(self.sections) == 2 and bool(self.folds)

    @property
    def tab_of(self) -> dict[str, str]:
        """By the name of a part: the part that its tab begins with."""
        return {name: names[0] for names in self.tabs.values() for name in names}

    def handle(self, message: Any, sender: Any = None) -> None:
        """Take one message and answer it with a sentence, whatever happens."""
        before = self.history
        seq = message.get("seq") if isinstance(message, Mapping) else None
        try:
            self._take(message, seq, sender)
        except Exception as error:
            self.history = before
            self.answer(seq, {}, sentence_of(error, self, FAILED))

    def _heard(self, sender: Any, event: Any) -> None:
        self.handle(event.data, sender)

    def _take(self, message: Any, seq: int | None, sender: Any) -> None:
        changes = message.get("changes") if isinstance(message, Mapping) else ()
        if changes is None:
            return self.asked(message, sender)
        if not isinstance(changes, list) or not all(isinstance(c, Mapping) for c in changes):
            return self.answer(seq, {}, UNKNOWN)
        if len(changes) > MOST_CHANGES:
            words = f"{len(changes)} changes came at once; at most {MOST_CHANGES} are allowed."
            return self.answer(seq, {}, f"{words} Nothing was changed.")
        before, errors, notice = self.state, {}, ""
        for change in changes:
            side, path = str(change.get("side", "both")), str(change.get("field"))
            try:
                gesture = change.get("gesture", message.get("gesture"))
                notice = self._change(side, path, change.get("value"), gesture) or notice
            except BadInput as bad:
                errors[f"{side}:{path}"] = bad
        with pn.io.hold():
            looked = [str(c.get("field")).startswith(self.State.SHOWN) for c in changes]
            if looked and all(looked) and not errors:
                # What stands in the form, a complaint say, stays.
                self.controls.reply = {"link": self.state.to_query(self._kept)}
                return None
            trouble = self.screen.show(self.state) if self.state != before else []
            said = " ".join(filter(None, [notice or self.remark(before), *trouble]))
            # A link that is partly bad stays while nothing but refused values comes.
            self.answer(seq, errors, said or None, link=not errors or self.state != before)
            if "n" in message and sender is not None:
                error = next((str(e) for e in errors.values()), "")
                sender.reply = {"n": message["n"], "error": error}

    def _change(self, side: str, path: str, value: Any, gesture: Any) -> str:
        """Change one thing; return what to say of it."""
        if path == "link":
            # The browser's history went to another step of this page: its link holds all of it.
            items = dict(parse_qsl(str(value)[:LONGEST_LINK].lstrip("?"), keep_blank_values=True))
            self.history = self.history.at(self.opening(items) or self.State.read(items)[0])
            return "As at this step."
        if path in ("undo", "redo"):
            self.history = self.history.step(path)
            return "One step back." if path == "undo" else "One step forward."
        new = self.fresh() if path == "reset" else self.state.change(side, path, value)
        self.history = self.history.then(new, gesture)
        return self.reset_words if path == "reset" else ""

    def answer(
        self, seq: Any, errors: Mapping[str, BadInput], notice: str | None, link: bool = True
    ) -> None:
        """Answer the form: values as they are, what was refused, what can be undone, the link."""
        schema = form(self.state, self.groups, self.special)
        if structure(schema) != structure(self.controls.schema):
            self.controls.schema = schema
        controls = {c["id"]: c for g in schema for c in g["controls"]}
        words = {id: sentence(controls.get(id), bad) for id, bad in errors.items()}
        # What has no control of its own is said below the form.
        loose = [text for id, text in words.items() if id not in controls]
        self.controls.reply = {
            **({} if seq is None else {"seq": seq}),
            "errors": words,
            "values": {id: c["value"] for id, c in controls.items()},
            "undo": bool(self.history.past),
            "redo": bool(self.history.future),
            "step": self.history.count,
            **({"link": self.state.to_query(self._kept)} if link else {}),
            **({} if notice is None and not loose else {"notice": _joined(notice, *loose)}),
        }

    def say(self, notice: str) -> None:
        """Show a sentence below the form, and leave the rest as it is."""
        self.controls.reply = {"notice": notice}

    # ---- what a page may do otherwise ----

    def opening(self, items: Mapping[str, str]) -> S | None:
        """Return what to open on in place of what the link's items say, if the page has that."""
        del items
        return None

    def fresh(self) -> S:
        """Return the state after a reset."""
        state: S = self.State.first()
        return state

    def remark(self, before: S) -> str:
        """Return what to say after a change, or ""."""
        del before
        return ""

    def asked(self, message: Mapping[str, Any], sender: Any) -> None:
        """Take a message without changes, such as a request of a view."""
        del sender
        self.answer(message.get("seq"), {}, UNKNOWN)

    def __panel__(self) -> Viewable:
        """Return the parts in a plain column, for use outside the page's own template."""
        return pn.Column(*self.parts.values(), self.controls)


def sentence(control: Mapping[str, Any] | None, bad: BadInput) -> str:
    """Return what to say beside a control whose value is refused, or of what has no control."""
    if control is None or bad.sentence != str(bad):
        return bad.sentence
    return f"{control['label']} is {bad.value}; allowed: {bad.allowed}."


def beyond_pair(kept: Mapping[str, str]) -> list[str]:
    """Return what to say of needles of the link that this page does not show.

    >>> beyond_pair({"view.c": "straight-medium"})
    ['This page shows A and B; needle C is on the page Compare needles.']
    """
    letters = [name[-1].upper() for name in BEYOND_PAIR if name in kept]
    which = f"needle{'s' * (len(letters) > 1)} {' and '.join(letters)}"
    verb = "are" if len(letters) > 1 else "is"
    words = f"This page shows A and B; {which} {verb} on the page Compare needles."
    return [words] if letters else []


def link_words(bad: list[BadInput]) -> str:
    """Return what to say of a link of which some items cannot be used.

    >>> link_words([BadInput("link: power", "140 %", "0 to 100 %")])[:62]
    'Part of this link could not be used: power is 140 %; allowed: '
    """
    more = f"{len(bad) - 3} more could not be used either." if len(bad) > 3 else ""
    said = _joined(*(_of_link(b) for b in bad[:3]), more)
    return f"Part of this link could not be used: {said} The rest of it is shown."


def _of_link(bad: BadInput) -> str:
    """Return what to say of one item, by its name in the link."""
    name = bad.field.removeprefix("link: ")
    return f"{name}: {bad.sentence}" if bad.sentence != str(bad) else str(bad.at(name))


def _joined(*texts: str | None) -> str:
    return " ".join(text for text in texts if text)


__all__ = ["Later", "Page", "View", "link_words", "sentence"]
