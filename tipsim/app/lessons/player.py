"""The lesson player: one learner's way through one lesson, with the bench in it."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, ClassVar
from urllib.parse import parse_qsl

import panel as pn
import param
from panel.custom import JSComponent
from panel.viewable import Child, Viewer
from sqlalchemy.exc import SQLAlchemyError

from tipsim.app.framework.component import script, styles
from tipsim.app.lessons.course import Course
from tipsim.app.lessons.diary import Diary, Fleeting, Recorded
from tipsim.app.lessons.live import LiveBench
from tipsim.app.lessons.show import blank, content, framed
from tipsim.lesson.format import Side
from tipsim.lesson.kinds import kind_of
from tipsim.lesson.read import school
from tipsim.lesson.records import records
from tipsim.setup.errors import BadInput
from tipsim.setup.link import pair_from_items, to_items

_FOLDER = Path(__file__).parent
UNKNOWN = (
    "The record that this browser remembers is not on this server, so nothing is kept now. Go to "
    "All lessons to begin one or to import yours."
)
_STYLES = ("player", "widgets", "result")
NOT_STORED = "This could not be stored, so it is not judged yet. Try once more."
FAILED = "Something went wrong here and was not stored. Try once more, or load the page anew."
_log = logging.getLogger(__name__)


class PlayerPart(JSComponent):
    """What of a lesson is seen and pressed; see `tipsim.app.lessons.show.content`."""

    content = param.Dict(default={}, doc="Everything on screen.")
    stage = Child(doc="The two needles.")
    controls = Child(doc="What may be changed.")
    plots = Child(doc="Still pictures.")
    readout = Child(doc="Numbers of both needles.")

    _esm: ClassVar[str] = script(_FOLDER / "player.js")
    _stylesheets: ClassVar[list[str]] = styles(*(_FOLDER / f"{name}.css" for name in _STYLES))


class LessonPlayer(Viewer):
    """One learner's lesson page.

    Parameters
    ----------
    items : mapping of str to str
        Items of the link: ``id`` of the lesson, ``begin=quiz`` for those who know it.

    Examples
    --------
    >>> page = LessonPlayer({"id": "drive-to-stroke"})
    >>> page.handle({"do": "hello", "code": None, "seq": 1})
    >>> page.part.content["step"]["kind"]
    'prime'
    """

    def __init__(self, items: Mapping[str, str] | None = None, **params: Any) -> None:
        super().__init__(**params)
        self.items = dict(items or {})
        self.school = school()
        wanted = self.items.get("id", "")
        self.lesson = self.school.lessons.get(wanted) or next(iter(self.school.lessons.values()))
        self.unknown = (
            f'There is no lesson "{wanted[:60]}"; this is the first one.'
            if wanted not in ("", self.lesson.id)
            else ""
        )
        self.bench = LiveBench()
        self.laid = self.notice = self.trouble = ""
        self.course: Course | None = None
        self.part = PlayerPart(
            stage=self.bench.stage,
            controls=self.bench.controls,
            plots=self.bench.plots,
            readout=self.bench.readout,
            sizing_mode="stretch_width",
        )
        self.part.on_msg(lambda event: self.handle(event.data))

    def handle(self, message: Mapping[str, Any]) -> None:
        """Take one message of the browser and show what follows."""
        self.trouble = ""
        try:
            self._act(message)
        except (SQLAlchemyError, BadInput):
            self._complain(message, NOT_STORED)
        except Exception:  # Whatever it is, the learner gets a sentence, and the log the rest.
            _log.exception("a message to the lesson player failed")
            self._complain(message, FAILED)
        if self.course is not None or self.trouble:
            self._show(message.get("seq", 0))

    def _act(self, message: Mapping[str, Any]) -> None:
        act = str(message.get("do", ""))
        if act == "hello":
            # Said again when the first word seemed lost: only the first one counts.
            if self.course is None:
                self._begin(message.get("code"))
        elif self.course is None:
            return
        elif act == "answer":
            self._answer(self.course, message)
        elif act in _ACTS:
            _ACTS[act](self.course, message)

    def _complain(self, message: Mapping[str, Any], sentence: str) -> None:
        item = str(message.get("item", ""))
        if self.course is not None and item in self.course.questions():
            self.course.errors[item] = sentence
        else:
            self.trouble = sentence

    def _begin(self, code: Any) -> None:
        diary: Diary = Fleeting()
        self.notice = self.unknown
        if code:
            try:
                diary = Recorded(records(), str(code))
            except BadInput:
                self.notice = UNKNOWN
        quiz_first = self.items.get("begin") == "quiz"
        self.course = Course(self.school, self.lesson, diary, quiz_first)

    def _show(self, seq: Any) -> None:
        try:
            self._show_step(seq)
        except Exception:  # A page that stays blank would ask for the same again and again.
            _log.exception("a step of lesson %s cannot be shown", self.lesson.id)
            before = self.part.content or blank(self.lesson, FAILED)
            self.part.content = before | {"seq": seq, "notice": FAILED}

    def _show_step(self, seq: Any) -> None:
        if self.course is None:
            self.part.content = blank(self.lesson, self.trouble) | {"seq": seq, "notice": ""}
            return
        with pn.io.hold():
            setting = self.course.setting()
            here = setting is not None and not framed(setting)
            if setting is not None and here and setting.key != self.laid:
                self.laid = setting.key
                self.bench.lay(setting.sides, setting.free, setting.view)
            self.part.content = content(self.course) | {
                "seq": seq,
                "notice": " ".join(filter(None, (self.notice, self.trouble))),
            }

    def _answer(self, course: Course, message: Mapping[str, Any]) -> None:
        item = str(message.get("item", ""))
        if item not in course.questions():
            return
        given = message.get("given")
        asked = self.school.item(item)
        if kind_of(asked).free(asked):
            try:
                given = self._set_up(given)
            except BadInput as bad:
                course.errors[item] = f"Your {bad.field} is {bad.value}; allowed: {bad.allowed}."
                return
        course.answer(item, given, str(message.get("confidence") or ""))

    def _set_up(self, given: Any) -> dict[str, Side]:
        """Return what is set: on the bench here, or in a framed page, which tells its address."""
        query = given.get("query") if isinstance(given, Mapping) else None
        return self.bench.settings() if query is None else settings_of(str(query))

    def __panel__(self) -> pn.viewable.Viewable:
        """Return the player."""
        return self.part


def settings_of(query: str) -> dict[str, Side]:
    """Read the settings of both sides from a page's address.

    >>> settings_of("?power=40")["a"]["power"]
    '40'
    """
    a, b = pair_from_items(dict(parse_qsl(query.lstrip("?"), keep_blank_values=True)))
    return {"a": to_items(a), "b": to_items(b)}


_ACTS: Mapping[str, Callable[[Course, Mapping[str, Any]], Any]] = {
    "go": lambda course, m: course.go(str(m.get("step"))),
    "next": lambda course, _: course.next(),
    "back": lambda course, _: course.back(),
    "run": lambda course, _: course.run(),
    "again": lambda course, m: course.ask_again(str(m.get("item"))),
    "begin": lambda course, m: course.begin_goal(str(m.get("item"))),
    "practise": lambda course, m: course.practise(str(m.get("objective"))),
    "restart": lambda course, _: course.restart(),
}
"""What the browser may ask for besides an answer."""
