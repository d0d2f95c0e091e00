"""A lesson's page: one learner's way through one lesson, with the bench in it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, ClassVar
from urllib.parse import parse_qsl

import param
from panel.custom import JSComponent
from panel.viewable import Child
from sqlalchemy.exc import SQLAlchemyError

from tipsim.app.framework.acts import Act, Acts, sentence_of
from tipsim.app.framework.article import written
from tipsim.app.framework.component import script, styles
from tipsim.app.pages.lesson.live import LiveBench
from tipsim.app.pages.lesson.show import content, framed
from tipsim.lesson.course import Course, Data
from tipsim.lesson.diary import Diary, Recorded
from tipsim.lesson.format import Lesson, School, Side
from tipsim.lesson.kinds import kind_of
from tipsim.lesson.read import school
from tipsim.lesson.records import records
from tipsim.setup.errors import BadInput
from tipsim.setup.link import pair_from_items, to_items

_HERE = Path(__file__).parent
_HTML = written(_HERE / "lesson.html", lambda shown: shown)
UNKNOWN = (
    "This server has no record for the code that this browser remembers, so nothing is saved. "
    "Go to All lessons to start a record or to import yours."
)
_NOTHING: Data = {"lesson": {"minutes": "–"}, "who": "", "step": None, "visit": 0}
LONGEST_KEY = 40
NOT_STORED = "This could not be saved, so it is not judged yet. Try again."


class PlayerPart(JSComponent):
    """What of a lesson is seen and pressed."""

    content = param.Dict(default={}, doc="html, widgets (data by item), visit.")
    stage = Child(doc="The two needles.")
    controls = Child(doc="What may be changed.")
    plots = Child(doc="Still pictures.")
    readout = Child(doc="Numbers of both needles.")

    _esm: ClassVar[str] = script(_HERE / "player.js")
    _stylesheets: ClassVar[list[str]] = styles(_HERE / "player.css", _HERE / "widgets.css")


class LessonPage(Acts):
    """One learner's lesson.

    Parameters
    ----------
    items : mapping of str to str
        Items of the link: ``id`` of the lesson, ``begin=quiz`` for those who know it.

    Attributes
    ----------
    shown : dict
        What the page's template was filled with.

    Examples
    --------
    >>> page = LessonPage({"id": "drive-to-stroke"})
    >>> page.handle({"changes": [{"field": "hello", "value": None}]})
    >>> page.shown["step"]["kind"]
    'prime'
    """

    path = "lesson"
    description = "A guided lesson: predict, run the experiment, and compare."
    aside = (_HERE / "aside.html").read_text(encoding="utf-8")
    skip = "To the lesson"
    layout = _HERE / "page.css"
    sections = (("player", "Lesson"),)

    def __init__(self, items: Mapping[str, str] | None = None, **params: Any) -> None:
        super().__init__(items, **params)
        self.notice = self.trouble = self.laid = ""
        self.course: Course | None = None
        self.shown: Data = {}
        self.bench = LiveBench()
        self.part = PlayerPart(
            **self.bench.parts, controls=self.bench.controls, sizing_mode="stretch_width"
        )
        self.parts = {"player": self.part}
        try:
            self.school, self.lesson = self._found(self.items.get("id", ""))
            self.title = self.lesson.title
        except BadInput as bad:
            self.title, self.notice = "Lesson", f"The lessons cannot be shown: {bad}"
            self._put({})
        self.part.on_msg(lambda event: self.handle(event.data))

    def _found(self, wanted: str) -> tuple[School, Lesson]:
        found = school()
        lesson = found.lessons.get(wanted) or next(iter(found.lessons.values()))
        if wanted not in ("", lesson.id):
            self.notice = f'There is no lesson "{wanted[:60]}"; this is the first one.'
        return found, lesson

    def hello(self, code: Any) -> None:
        """Begin; said again when the first word seemed lost, so only the first one counts.

        Parameters
        ----------
        code : str or dict or None
            Of a learner's record; ``{"guest": key}`` of a guest whose visit goes on after the
            server was away; None of a new one.
        """
        if self.course is not None or self.shown:
            return
        diary = Diary()
        if isinstance(code, Mapping):
            # The same variants as before: the answers, which follow, were given to these.
            diary.key = str(code.get("guest", ""))[:LONGEST_KEY] or diary.key
        elif code:
            try:
                diary = Recorded(records(), str(code))
            except BadInput:
                self.notice = UNKNOWN
        quiz_first = self.items.get("begin") == "quiz"
        self.course = Course(self.school, self.lesson, diary, quiz_first)

    def answer(self, value: Any) -> None:
        """Take an answer: ``{item, given, confidence}``."""
        course, item = self.course, str(value["item"])
        if course is None or item not in course.questions():
            return
        given, asked = value.get("given"), self.school.item(item)
        if kind_of(asked).free(asked):
            try:
                given = self._set_up(given)
            except BadInput as bad:
                course.errors[item] = f"Your {bad.field} is {bad.value}; allowed: {bad.allowed}."
                return
        course.answer(item, given, str(value.get("confidence") or ""))

    def _set_up(self, given: Any) -> dict[str, Side]:
        """Return what is set: on the bench here, or in a framed page, which tells its address."""
        query = given.get("query") if isinstance(given, Mapping) else None
        return self.bench.settings() if query is None else settings_of(str(query))

    def handle(self, message: Any) -> None:
        """Do what a message asks for and show what follows."""
        self.trouble = ""
        super().handle(message)

    def failed(self, field: str, value: Any, error: Exception) -> None:
        """Put a sentence beside the question that was answered, or above the step."""
        kept_out = isinstance(error, SQLAlchemyError | BadInput)
        sentence = NOT_STORED if kept_out else sentence_of(error, self)
        item = value.get("item") if isinstance(value, Mapping) else None
        if field == "answer" and self.course is not None and item in self.course.questions():
            self.course.errors[str(item)] = sentence
        else:
            self.trouble = sentence

    def refresh(self) -> None:
        """Show the step as it is now."""
        try:
            if self.course is not None:
                self._lay(self.course)
                self._put(content(self.course))
            elif self.trouble:
                self._put({})
        except Exception as error:  # A page that stays blank would ask for the same again.
            self.trouble = sentence_of(error, self)
            self._put(self.shown)

    def _lay(self, course: Course) -> None:
        setting = course.setting()
        if setting is not None and not framed(setting) and setting.key != self.laid:
            self.laid = setting.key
            self.bench.lay(setting.sides, setting.free, setting.view)

    def _put(self, shown: Data) -> None:
        notice = " ".join(filter(None, (self.notice, self.trouble)))
        shown = _NOTHING | shown | {"notice": notice}
        step = shown["step"]
        asked = [*step["questions"], *step["compare"]] if step else []
        self.part.content = {
            "html": _HTML(shown),
            "widgets": {each["id"]: each for each in asked},
            "visit": shown["visit"],
            "step": step["id"] if step else "",
            "guest": "" if self.course is None or shown["who"] else self.course.diary.key,
        }
        self.shown = shown

    @staticmethod
    def _in(act: Callable[[Course, Any], Any]) -> Act:
        """Return what is done in the lesson once it has begun."""
        return lambda page, value: None if page.course is None else act(page.course, value)

    acts: ClassVar[Mapping[str, Act]] = {
        "hello": hello,
        "answer": answer,
        "go": _in(lambda course, step: course.go(str(step))),
        "next": _in(lambda course, _: course.next()),
        "back": _in(lambda course, _: course.back()),
        "run": _in(lambda course, _: course.run()),
        "again": _in(lambda course, item: course.ask_again(str(item))),
        "begin": _in(lambda course, item: course.begin_goal(str(item))),
        "practise": _in(lambda course, objective: course.practise(str(objective))),
        "restart": _in(lambda course, _: course.restart()),
    }
    """What the browser may ask for."""


def settings_of(query: str) -> dict[str, Side]:
    """Read the settings of both sides from a page's address.

    >>> settings_of("?power=40")["a"]["power"]
    '40'
    """
    a, b = pair_from_items(dict(parse_qsl(query.lstrip("?"), keep_blank_values=True)))
    return {"a": to_items(a), "b": to_items(b)}
