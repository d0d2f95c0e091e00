"""The overview of the lessons: who learns, the ways through, what is done and what to repeat."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, ClassVar

import param
from panel.custom import JSComponent
from panel.viewable import Viewable, Viewer
from sqlalchemy.exc import SQLAlchemyError

from tipsim.app.framework.component import script, styles
from tipsim.app.lessons.show import WORDS, standing
from tipsim.lesson.format import Lesson, School, Track
from tipsim.lesson.learning import Standing, due, standings
from tipsim.lesson.markdown import line
from tipsim.lesson.read import school
from tipsim.lesson.records import Learner, Progress, records
from tipsim.lesson.transfer import bring, export
from tipsim.setup.errors import BadInput

_FOLDER = Path(__file__).parent
Data = dict[str, Any]
STATES = {"new": "New", "begun": "Begun", "done": "Done", "due": "Due for review"}
ACTIONS = {"new": "Start", "begun": "Go on", "done": "Look again", "due": "Review"}


class OverviewPart(JSComponent):
    """What of the overview is seen and pressed."""

    content = param.Dict(default={}, doc="Everything on screen.")

    _esm: ClassVar[str] = script(_FOLDER / "overview.js")
    _stylesheets: ClassVar[list[str]] = styles(_FOLDER / "overview.css")


class Overview(Viewer):
    """One learner's overview.

    Examples
    --------
    >>> page = Overview()
    >>> page.handle({"do": "hello", "code": None, "seq": 1})
    >>> page.part.content["learner"] is None, page.part.content["resume"] is None
    (True, True)
    """

    def __init__(self, **params: Any) -> None:
        super().__init__(**params)
        self.learner: Learner | None = None
        self.track = ""
        self.part = OverviewPart(sizing_mode="stretch_width")
        self.part.on_msg(lambda event: self.handle(event.data))

    def handle(self, message: Mapping[str, Any]) -> None:
        """Take one message of the browser and show what follows."""
        act = str(message.get("do", ""))
        errors: dict[str, str] = {}
        extra: Data = {}
        try:
            if act in _ACTS:
                extra = _ACTS[act](self, message) or {}
        except BadInput as bad:
            words = f"Your {bad.field} is {bad.value}; allowed: {bad.allowed}."
            errors[_FIELDS.get(act, "")] = words
            extra = {"notice": words} if act == "hello" else {}
        except SQLAlchemyError:
            extra = {"notice": "The records could not be reached; nothing was changed. Try again."}
        seq = int(message.get("seq", 0))
        try:
            self.part.content = self._content() | {"errors": errors, "seq": seq} | extra
        except BadInput as bad:
            self.part.content = {"trouble": f"The lessons cannot be shown: {bad}", "seq": seq}

    def _content(self) -> Data:
        found = school()
        learner = self.learner
        answers = records().answers(learner.code) if learner else ()
        progress = records().progress(learner.code) if learner else {}
        known = standings(found, answers)
        late = due(known, records().now()) if learner else ()
        lessons = {
            lesson.id: _lesson(found, lesson, progress.get(lesson.id), known, late)
            for lesson in found.lessons.values()
        }
        tracks = [_track(found, t, lessons) for t in found.tracks.values()]
        return {
            "learner": {"nickname": learner.nickname, "code": learner.code} if learner else None,
            "first": f"./lesson?id={next(iter(found.lessons))}",
            "tracks": tracks,
            "track": self.track,
            "lessons": lessons,
            "resume": _resume(found, progress),
            "due": _due(found, late),
        }

    def enter(self, learner: Learner) -> None:
        """Show the overview of a learner."""
        self.learner, self.track = learner, learner.track or self.track

    def choose(self, track: str) -> None:
        """Follow a track, and remember it."""
        if track in school().tracks:
            self.track = track
            if self.learner:
                records().choose(self.learner.code, track)

    def __panel__(self) -> Viewable:
        """Return the overview."""
        return self.part


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
        "word": STATES[state],
        "action": ACTIONS[state],
        "href": f"./lesson?id={lesson.id}",
        "handout": f"./handout?id={lesson.id}",
        "needs": [found.lessons[i].title for i in lesson.needs if i in found.lessons],
        "objectives": [{"text": line(o.text), **standing(known[o.id])} for o in lesson.objectives],
    }


def _track(found: School, track: Track, lessons: Mapping[str, Data]) -> Data:
    ids = [i for i in track.lessons if i in lessons]
    minutes = sum(found.lessons[i].minutes for i in ids)
    done = sum(lessons[i]["state"] in ("done", "due") for i in ids)
    return {
        "id": track.id,
        "title": track.title,
        "text": track.text,
        "lessons": ids,
        "done": done,
        "told": f"{len(ids)} {'lesson' if len(ids) == 1 else 'lessons'}, {minutes} minutes in "
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
    words = f"Go on with “{lesson.title}” at {WORDS[kind].lower()}"
    return {"href": f"./lesson?id={lesson.id}", "words": words}


def _due(found: School, late: Sequence[str]) -> str:
    """Return what is due again, as markup; "" for nothing."""
    texts = {o.id: line(o.text) for lesson in found.lessons.values() for o in lesson.objectives}
    if not late:
        return ""
    first = "; ".join(texts[i] for i in late[:3])
    more = f"; and {len(late) - 3} more" if len(late) > 3 else ""
    return f"<b>To repeat now:</b> {first}{more}. The next lesson you open begins with it."


# ---- what the browser may ask for ----


def _hello(page: Overview, message: Mapping[str, Any]) -> None:
    # Said again when the first word seemed lost: only the first one counts.
    if not page.part.content and message.get("code"):
        page.enter(records().learner(str(message["code"])))


def _start(page: Overview, message: Mapping[str, Any]) -> Data:
    page.enter(records().add(str(message.get("nickname", ""))))
    if page.track:
        page.choose(page.track)
    return {"moved": True}


def _back(page: Overview, message: Mapping[str, Any]) -> Data:
    page.enter(records().learner(str(message.get("code", ""))))
    return {"moved": True}


def _leave(page: Overview, _: Mapping[str, Any]) -> Data:
    page.learner = None
    return {"moved": True, "notice": "This browser has forgotten the code. The record is kept."}


def _export(page: Overview, message: Mapping[str, Any]) -> Data:
    if page.learner is None:
        return {}
    text = export(records(), page.learner.code)
    return {"file": {"name": "tipsim-record.json", "text": text, "serial": message.get("seq")}}


def _import(page: Overview, message: Mapping[str, Any]) -> Data:
    learner, new = bring(records(), str(message.get("text", "")))
    page.enter(learner)
    return {"moved": True, "notice": f"Imported {new} new answer{'' if new == 1 else 's'}."}


def _remove(page: Overview, _: Mapping[str, Any]) -> Data:
    if page.learner is not None:
        records().remove(page.learner.code)
    page.learner = None
    return {"moved": True, "notice": "Your record is deleted, for good."}


def _choose(page: Overview, message: Mapping[str, Any]) -> None:
    page.choose(str(message.get("track", "")))


_ACTS: Mapping[str, Callable[[Overview, Mapping[str, Any]], Data | None]] = {
    "hello": _hello,
    "start": _start,
    "back": _back,
    "leave": _leave,
    "export": _export,
    "import": _import,
    "remove": _remove,
    "choose": _choose,
}
_FIELDS = {"start": "nickname", "back": "code", "import": "file"}
