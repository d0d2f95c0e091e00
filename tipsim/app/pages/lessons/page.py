"""The overview of the lessons: who learns, the learning paths, what is done and what to repeat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from pathlib import Path
from typing import Any, ClassVar

import param
from panel.custom import JSComponent
from sqlalchemy.exc import SQLAlchemyError

from tipsim.app.framework.acts import Act, Acts, sentence_of
from tipsim.app.framework.article import STYLE, written
from tipsim.app.framework.component import script, styles
from tipsim.lesson.course import STEPS
from tipsim.lesson.format import Lesson, School, Track
from tipsim.lesson.handed import papers
from tipsim.lesson.learning import Standing, due, standings
from tipsim.lesson.markdown import line
from tipsim.lesson.read import school
from tipsim.lesson.records import Learner, Progress, records
from tipsim.lesson.transfer import bring, export
from tipsim.setup.errors import BadInput

_HERE = Path(__file__).parent
_HTML = written(_HERE / "overview.html", lambda shown: shown)
Data = dict[str, Any]
STATES = {
    "new": ("○", "New", "Start"),
    "begun": ("◐", "Begun", "Continue"),
    "done": ("✓", "Done", "Look again"),
    "due": ("↻", "Due for review", "Review"),
}
"""Sign, word and what can be done, by how far a lesson is."""
UNREACHED = "The records could not be reached; nothing was changed. Try again."


class OverviewPart(JSComponent):
    """What of the overview is seen and pressed."""

    content = param.Dict(default={}, doc="html, learner, notice, perhaps file.")

    _esm: ClassVar[str] = script(_HERE / "overview.js")
    _stylesheets: ClassVar[list[str]] = styles(STYLE, _HERE / "overview.css")


class Lessons(Acts):
    """One learner's overview.

    Attributes
    ----------
    shown : dict
        What the page's template was filled with.

    Examples
    --------
    >>> page = Lessons()
    >>> page.handle({"changes": [{"field": "hello", "value": None}]})
    >>> page.shown["learner"] is None, page.shown["resume"] is None
    (True, True)
    """

    path = "lessons"
    title = "Lessons"
    lead = (
        "Each takes about a quarter of an hour. You predict what will happen, run the experiment, "
        "and compare."
    )
    description = (
        "Guided lessons on how an ultrasonic needle moves, heats and touches tissue: predict, run, "
        "compare."
    )
    skip = "To the lessons"
    layout = _HERE / "page.css"
    sections = (("overview", "Lessons"),)

    def __init__(self, items: Mapping[str, str] | None = None, **params: Any) -> None:
        super().__init__(items, **params)
        self.learner: Learner | None = None
        self.track = self.notice = ""
        self.errors = dict.fromkeys(("start", "back", "import"), "")
        self.file: Data | None = None
        self.shown: Data = {}
        self.part = OverviewPart(sizing_mode="stretch_width")
        self.parts = {"overview": self.part}
        self.part.on_msg(lambda event: self.handle(event.data))

    def handle(self, message: Any) -> None:
        """Do what a message asks for and show what follows."""
        self.errors, self.notice, self.file = dict.fromkeys(self.errors, ""), "", None
        super().handle(message)

    def failed(self, field: str, value: Any, error: Exception) -> None:
        """Put a sentence beside what was filled in, or on top."""
        del value
        if isinstance(error, BadInput):
            words = f"Your {error.field} is {error.value}; allowed: {error.allowed}."
        else:
            words = UNREACHED if isinstance(error, SQLAlchemyError) else sentence_of(error, self)
        if field in self.errors:
            self.errors[field] = words
        else:
            self.notice = words

    def refresh(self) -> None:
        """Show the overview as it is now."""
        serial = self.part.content.get("serial", 0) + 1
        try:
            shown = content(self.learner, self.track)
            self.shown = shown | {"errors": self.errors, "notice": self.notice}
        except (BadInput, SQLAlchemyError) as error:
            why = str(error) if isinstance(error, BadInput) else UNREACHED
            self.part.content = {
                "html": f'<p class="wrong">The lessons cannot be shown: {escape(why)}</p>',
                "notice": "",
                "serial": serial,
            }
            return
        self.part.content = {
            "html": _HTML(self.shown),
            "learner": self.shown["learner"],
            "notice": self.notice,
            "file": self.file,
            "serial": serial,
        }

    # ---- what the browser may ask for ----

    def hello(self, code: Any) -> None:
        """Show whom the browser knows; said again when lost, so only the first one counts."""
        if not self.shown and code:
            self.enter(records().learner(str(code)))

    def enter(self, learner: Learner) -> None:
        """Show the overview of a learner."""
        self.learner, self.track = learner, learner.track or self.track

    def start(self, nickname: Any) -> None:
        """Begin a record."""
        self.enter(records().add(str(nickname)))
        self.choose(self.track)

    def choose(self, track: Any) -> None:
        """Follow a track, and remember it."""
        found = school().track(str(track))
        if found is not None:
            self.track = found.id
            if self.learner:
                records().choose(self.learner.code, self.track)

    def leave(self) -> None:
        """Forget who learns in this browser."""
        self.learner, self.notice = None, "This browser has forgotten the code. The record is kept."

    def export(self) -> None:
        """Hand the record out as a file."""
        if self.learner is not None:
            text = export(records(), self.learner.code)
            self.file = {"name": "tipsim-record.json", "text": text}

    def bring(self, text: Any) -> None:
        """Take in a record that was saved as a file."""
        learner, new = bring(records(), str(text))
        self.enter(learner)
        self.notice = f"Imported {new} new answer{'' if new == 1 else 's'}."

    def remove(self) -> None:
        """Delete the record."""
        if self.learner is not None:
            records().remove(self.learner.code)
            self.learner, self.notice = None, "Your record is deleted, for good."

    acts: ClassVar[Mapping[str, Act]] = {
        "hello": hello,
        "start": start,
        "back": lambda page, code: page.enter(records().learner(str(code))),
        "leave": lambda page, _: page.leave(),
        "export": lambda page, _: page.export(),
        "import": bring,
        "remove": lambda page, _: page.remove(),
        "choose": choose,
    }


def content(learner: Learner | None, chosen: str) -> Data:
    """Return what the overview shows of a learner, or of a guest, with a track chosen."""
    found = school()
    answers = records().answers(learner.code) if learner else ()
    progress = records().progress(learner.code) if learner else {}
    known = standings(found, answers)
    late = due(known, records().now()) if learner else ()
    lessons = {
        lesson.id: _lesson(found, lesson, progress.get(lesson.id), known, late)
        for lesson in found.lessons.values()
    }
    tracks = [_track(found, t, lessons) for t in found.tracks.values()]
    followed = found.track(chosen)
    return {
        "learner": {"nickname": learner.nickname, "code": learner.code} if learner else None,
        "first": f"./lesson?id={next(iter(found.lessons))}",
        "tracks": tracks,
        "track": next((t for t in tracks if followed and t["id"] == followed.id), tracks[0]),
        "lessons": lessons,
        "resume": _resume(found, progress),
        "due": _due(found, late),
    }


def _lesson(
    found: School,
    lesson: Lesson,
    progress: Progress | None,
    known: Mapping[str, Standing],
    late: Sequence[str],
) -> Data:
    state = "new"
    if progress is not None:
        state = "done" if progress.finished else "begun"
    if state == "done" and any(o.id in late for o in lesson.objectives):
        state = "due"
    return {
        "id": lesson.id,
        "title": lesson.title,
        "minutes": lesson.minutes,
        "state": state,
        **dict(zip(("sign", "word", "action"), STATES[state], strict=True)),
        "href": f"./lesson?id={lesson.id}",
        "handout": f"./handout?id={lesson.id}",
        "needs": [found.lessons[i].title for i in lesson.needs if i in found.lessons],
        "objectives": [
            {"text": line(o.text), "standing": known[o.id].words} for o in lesson.objectives
        ],
    }


def _track(found: School, track: Track, lessons: Mapping[str, Data]) -> Data:
    ids, core = ([i for i in of if i in lessons] for of in (track.lessons, track.core))
    titles = papers()
    minutes = sum(found.lessons[i].minutes for i in core)
    done = sum(lessons[i]["state"] in ("done", "due") for i in core)
    return {
        "id": track.id,
        "title": track.title,
        "text": track.text,
        "lessons": core,
        "more": ids[len(core) :],
        "papers": [
            {"title": titles[p], "href": f"./paper?id={p}"} for p in track.papers if p in titles
        ],
        "done": done,
        "words": f"{len(core)} {'lesson' if len(core) == 1 else 'lessons'}, {minutes} minutes in "
        f"all; {done} done.",
    }


def _resume(found: School, progress: Mapping[str, Progress]) -> Data | None:
    """Return where the learner stopped last, in a lesson that is not finished."""
    open = [p for p in progress.values() if p.lesson in found.lessons and p.step]
    open = [p for p in open if found.lessons[p.lesson].steps[-1].id != p.step]
    if not open:
        return None
    last = max(open, key=lambda p: p.time)
    lesson = found.lessons[last.lesson]
    kind = next((s.kind for s in lesson.steps if s.id == last.step), "review")
    words = f"Continue with “{lesson.title}” at {STEPS[kind].lower()}"
    return {"href": f"./lesson?id={lesson.id}", "words": words}


def _due(found: School, late: Sequence[str]) -> str:
    """Return what is due again, as markup; "" for nothing."""
    texts = {o.id: line(o.text) for lesson in found.lessons.values() for o in lesson.objectives}
    if not late:
        return ""
    first = "; ".join(texts[i] for i in late[:3])
    more = f"; and {len(late) - 3} more" if len(late) > 3 else ""
    return f"<b>To repeat now:</b> {first}{more}. The next lesson you open begins with it."
