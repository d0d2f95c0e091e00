"""What is shown of a course: plain data for the page's template and its widgets."""

from __future__ import annotations

import re
from typing import Any

from tipsim.app.framework.pages import PAGES
from tipsim.lesson import learning, show
from tipsim.lesson.ask import ask, seed_within
from tipsim.lesson.course import ASKING, CONFIDENCE, STEPS, Course, Data, Setting
from tipsim.lesson.fill import fill
from tipsim.lesson.format import Lesson, Step, Text
from tipsim.lesson.kinds import Judged, in_words, kind_of
from tipsim.lesson.markdown import line
from tipsim.lesson.markup import finished
from tipsim.lesson.quantities import Values
from tipsim.lesson.rounds import step_values

_PAGES = {page.path: page.label for page in PAGES}
_LABELS = {"review": "Review", "predict": "Prediction", "run": "Task", "key-points": "Practice"}
_WHY = {
    "predict": "Save your predictions to unlock Run.",
    "run": "Press Run first, and finish the tasks.",
}
CHANGED = "This question has changed since you answered it."
_CITED = re.compile(r'href="#source-([a-z0-9-]+)"')


def content(course: Course) -> Data:
    """Describe everything that is on screen."""
    lesson = course.lesson
    return {
        "visit": course.visit,
        "lesson": {"id": lesson.id, "title": lesson.title, "minutes": lesson.minutes},
        "who": course.diary.nickname,
        "steps": [_entry(course, i, s) for i, s in enumerate(course.steps)],
        "at": course.at,
        "step": _step(course),
    }


def _entry(course: Course, at: int, step: Step) -> Data:
    """Describe a step in the list of steps."""
    if not course.reachable(at):
        locked = step.kind == "run" and course.step.kind == "predict"
        state = "locked" if locked else "later"
    else:
        passed = course.complete(step) and (at < course.at or step.kind in (*ASKING, "run"))
        state = "done" if passed else "open"
    return {"id": step.id, "word": STEPS[step.kind], "title": step.title, "state": state}


def _step(course: Course) -> Data:
    step, lesson = course.step, course.lesson
    texts = _Texts(course)
    out: Data = {
        "id": step.id,
        "kind": step.kind,
        "word": STEPS[step.kind],
        "title": step.title,
        "html": texts.text(step.text, step) if step.text else "",
        "questions": [texts.question(i) for i in course.questions()],
        "back": course.at > 0,
        "next": _next(course),
        **_experiment(course),
        **dict.fromkeys(("tasks", "compare", "points"), ()),
        **dict.fromkeys(("example", "result")),
    }
    if step.kind == "run":
        out["tasks"] = [(name, [texts.line(t, step) for t in ts]) for name, ts in step.tasks if ts]
    elif step.kind == "compare":
        out["compare"] = [texts.compared(i) for i in step.items if i in course.kept]
    elif step.kind == "explain" and step.example:
        out["example"] = _example(course, step)
    elif step.kind == "key-points":
        out["points"] = [finished(p, course.school) for p in show.key_points(lesson)]
        out["result"] = result(course)
    return out | {"sources": _sources(lesson, out)}


class _Texts:
    """Turns texts of a course into markup."""

    def __init__(self, course: Course) -> None:
        self.course, self.lesson = course, course.lesson

    def rich(self, text: str, lesson: Lesson | None = None) -> str:
        return finished(show.lesson_html(lesson or self.lesson, text), self.course.school)

    def text(self, text: Text, step: Step) -> str:
        return self.rich(fill(text.source, step_values(self.lesson, step)))

    def line(self, text: Text, step: Step) -> str:
        return finished(line(fill(text.source, step_values(self.lesson, step))), self.course.school)

    def question(self, id: str) -> Data:
        """Describe a question with all that its learner has done about it."""
        course, step = self.course, self.course.step
        kept = None if course.is_open(id) else course.kept[id]
        out = course.question(id)
        out |= {
            "html": finished(out["html"], course.school),
            "label": self._label(id),
            "serial": course.again.get(id, 0),
            "state": "open" if kept is None else "judged",
            "given": None if kept is None else kept.given,
            "error": course.errors.get(id, ""),
            "waits": False,
        }
        if kept is None:
            anew = CHANGED if id in course.kept and course.judged(id) is None else ""
            return out | self._form(id) | {"error": out["error"] or anew}
        if step.kind == "predict":
            sure = CONFIDENCE.get(kept.confidence, "")
            return out | {"state": "stored", "verdict": None, "revealed": None, "sure": sure}
        judged = course.judged(id)
        if judged is None:
            return out | self._changed(id, kept.verdict)
        return out | self._judged(id, judged, kept.given)

    def _changed(self, id: str, verdict: str) -> Data:
        """Return the stored verdict alone: the answer no longer fits what is asked."""
        again = "Answer it anew" if self.course.can_repeat(id) else ""
        rest = {"feedback": [f"<p>{CHANGED}</p>"], "revealed": None, "truth": "", "again": again}
        return {"given": None, "verdict": verdict, **rest}

    def _form(self, id: str) -> Data:
        predicting, item = self.course.step.kind == "predict", self.course.school.item(id)
        return {
            "button": "Save my prediction" if predicting else "Check",
            "levels": CONFIDENCE if predicting else None,
            "waits": bool(kind_of(item).free(item)) and not self.course.has_begun(id),
        }

    def _judged(self, id: str, judged: Judged, given: Any) -> Data:
        asked, course = self.course.asked(id), self.course
        missed = judged.verdict != "right"
        repeat = "Try again" if missed else "Another one like it"
        shown = show.revealed(asked, given)
        return {
            "verdict": judged.verdict,
            "feedback": [self.rich(t, asked.lesson) for t in judged.feedback],
            "revealed": shown,
            "truth": shown["words"] if missed and kind_of(asked.item).in_words else "",
            "again": repeat if course.can_repeat(id) else "",
        }

    def _label(self, id: str) -> str:
        kind = self.course.step.kind
        word = _LABELS.get(kind, "Question")
        if kind == "key-points":
            return word
        return f"{word} {self.course.step.items.index(id) + 1} of {len(self.course.step.items)}"

    def compared(self, id: str) -> Data:
        """Return a prediction and what the model gives, to be compared."""
        kept, judged = self.course.kept[id], self.course.judged(id)
        asked = self.course.answered(id)
        out = show.shown(asked)
        out |= {
            "html": finished(out["html"], self.course.school),
            "state": "judged",
            "serial": 0,
            "waits": False,
            "drawn": False,
            "label": f"Prediction {self.course.step.items.index(id) + 1}",
            "sure": CONFIDENCE.get(kept.confidence, ""),
            "verdict": kept.verdict,
        }
        if judged is None:
            truth = show.revealed(asked)["words"]
            return out | {"said": CHANGED, "truth": truth, "feedback": []}
        revealed = show.revealed(asked, kept.given)
        return out | {
            "given": kept.given,
            "said": line(in_words(asked, kept.given)),
            "drawn": kind_of(asked.item).drawn,
            "truth": revealed["words"],
            "feedback": [self.rich(t, asked.lesson) for t in judged.feedback],
            "revealed": revealed,
        }


def framed(setting: Setting) -> bool:
    """Return whether an experiment is another page, shown in a frame."""
    return setting.page != "bench" and setting.page in _PAGES


def _experiment(course: Course) -> Data:
    """Describe the experiment: the bench here, another page in a frame, or none."""
    setting = course.setting()
    if setting is None:
        return {"bench": False, "frame": "", "goal": "", "opening": False}
    ran = course.step.kind != "run" or course.step.id in course.ran
    # A goal outside of a run brings the bench into its question.
    goal = setting.goal if course.step.kind != "run" else ""
    out: Data = {"bench": True, "frame": "", "ran": ran, "free": bool(setting.free), "goal": goal}
    out["opening"] = course.step.moving
    if framed(setting):
        href = f"./{setting.page}?{show.values_query(Values(setting.sides, {}), setting.view)}"
        page = {"name": _PAGES[setting.page], "href": href}
        return out | {"bench": False, "frame": href, "page": page}
    return out


def _next(course: Course) -> Data | None:
    if course.at + 1 == len(course.steps):
        return None
    step, after = course.step, course.steps[course.at + 1]
    label = "Go to the experiment" if after.kind == "run" else f"Next: {STEPS[after.kind].lower()}"
    why = _WHY.get(step.kind, "Answer every question first.")
    return {"label": label, "open": course.complete(step), "why": why}


def _example(course: Course, step: Step) -> Data:
    lesson, item = course.lesson, course.lesson.items[step.example]
    asked = ask(lesson, item, seed_within(lesson, item, 0))
    html = finished(show.shown(asked)["html"], course.school)
    return {"html": html, "worked": show.revealed(asked)["worked"]}


def _sources(lesson: Lesson, out: Data) -> list[Data]:
    cited = set(_CITED.findall(repr(out)))
    return [
        {"number": i, "id": s.id, "text": s.text}
        for i, s in enumerate(lesson.sources, 1)
        if s.id in cited
    ]


def result(course: Course) -> Data:
    """Return how it went, objective by objective, and what to repeat."""
    lesson = course.lesson
    counted = [a for i, a in course.kept.items() if i in lesson.items and _counts(lesson, i)]
    missed = course.missed()
    right = sum(a.verdict == "right" for a in counted)
    found = learning.standings(course.school, course.diary.history())
    rows = [
        {
            "id": o.id,
            "text": o.text,
            "standing": found[o.id].words,
            "practice": bool(course.pool(o.id)),
        }
        for o in lesson.objectives
    ]
    return {
        "words": f"{right} of {len(counted)} answers in the quiz were right. Predictions do not "
        "count: they make you think first.",
        "objectives": rows,
        "to_repeat": [line(o.text) for o in learning.to_repeat(lesson, found) if o.id in missed],
        "again": "Take the whole lesson" if course.quiz_first else "Repeat the lesson",
        "next": _next_lesson(course),
    }


def _counts(lesson: Lesson, item: str) -> bool:
    return lesson.counts(lesson.items[item])


def _next_lesson(course: Course) -> Data | None:
    """Return the next lesson on the first track of this one that has one."""
    for track in course.lesson.tracks:
        order = [i for i in course.school.tracks[track].core if i in course.school.lessons]
        at = order.index(course.lesson.id) if course.lesson.id in order else len(order)
        if at + 1 < len(order):
            after = course.school.lessons[order[at + 1]]
            return {"href": f"./lesson?id={after.id}", "title": after.title}
    return None
