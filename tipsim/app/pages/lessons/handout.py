"""A lesson as a handout: sheets for learners, and for teachers the answers and the guide."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlencode

from tipsim.lesson import show
from tipsim.lesson.ask import ask, lesson_values
from tipsim.lesson.course import CONFIDENCE, STEPS, Data
from tipsim.lesson.fill import fill
from tipsim.lesson.format import Lesson, School, Step, Text
from tipsim.lesson.kinds import kind_of, right_answer, score
from tipsim.lesson.markdown import line
from tipsim.lesson.markup import printed
from tipsim.lesson.read import school
from tipsim.lesson.rounds import step_values
from tipsim.setup.errors import BadInput

LARGEST_SEED = 9999
_SPOKEN = ("prime", "run", "predict", "observe", "quiz")
"""Kinds of steps whose text learners get; explanations stand with the answers."""


class Handout:
    """One lesson for paper.

    Parameters
    ----------
    found : School
    lesson : Lesson
    seed : int
        What the variants are drawn from; printed on the sheet, so that it can be had again.
    answers : bool
        Whether it is the teacher's copy.

    Examples
    --------
    >>> found = school()
    >>> sheet = Handout(found, found.lessons["drive-to-stroke"], 1, False)
    >>> [part["word"] for part in sheet.data()["parts"]][:3]
    ['Introduction', 'Predict', 'Run']
    """

    def __init__(self, found: School, lesson: Lesson, seed: int, answers: bool) -> None:
        self.school, self.lesson, self.seed, self.answers = found, lesson, seed, answers

    def data(self) -> Data:
        """Return everything that the template fills in."""
        lesson = self.lesson
        kinds = [*_SPOKEN, *(["explain", "key-points"] if self.answers else [])]
        in_steps = {i for s in lesson.steps for i in s.items}
        kept = [i for i in lesson.items if i not in in_steps]
        return {
            "title": lesson.title,
            "minutes": lesson.minutes,
            "seed": self.seed,
            "answers": self.answers,
            "objectives": [line(o.text) for o in lesson.objectives],
            "questions": [line(q) for q in lesson.questions],
            "parts": [self._part(s) for s in lesson.steps if s.kind in kinds],
            "more": [self._item(i) for i in kept] if self.answers else [],
            "guide": self._guide() if self.answers else [],
            "sources": [
                {"id": s.id, "number": i, "text": s.text} for i, s in enumerate(lesson.sources, 1)
            ],
            "levels": list(CONFIDENCE.values()),
            "other": self._link(not self.answers, self.seed),
            "fresh": self._link(self.answers, self.seed % LARGEST_SEED + 1),
        }

    def _link(self, answers: bool, seed: int) -> str:
        query = {"id": self.lesson.id, "seed": seed} | ({"answers": 1} if answers else {})
        return f"./handout?{urlencode(query)}"

    def _rich(self, text: str) -> str:
        return printed(show.lesson_html(self.lesson, text), self.school)

    def _part(self, step: Step) -> Data:
        values = step_values(self.lesson, step)

        def lines(texts: tuple[Text, ...]) -> list[str]:
            return [printed(line(fill(t.source, values)), self.school) for t in texts]

        return {
            "kind": step.kind,
            "word": STEPS[step.kind],
            "title": step.title,
            "html": self._rich(fill(step.text.source, values)) if step.text else "",
            "tasks": [(name, lines(texts)) for name, texts in step.tasks if texts],
            "bench": show.values_query(values, step.view) if step.kind == "run" else "",
            "page": "" if step.page == "bench" else step.page,
            "items": [self._item(i) for i in step.items],
            "points": self._points() if step.kind == "key-points" else [],
        }

    def _points(self) -> list[str]:
        return [printed(p, self.school) for p in show.key_points(self.lesson)]

    def _item(self, id: str) -> Data:
        item = self.lesson.items[id]
        asked = ask(self.lesson, item, self.seed)
        data = show.shown(asked)
        shown = show.revealed(asked) if self.answers else {}
        out: Data = {
            "id": id,
            "kind": item.kind,
            "html": printed(data["html"], self.school),
            "figure": kind_of(item).figure(data, shown),
        }
        for name in ("choices", "entries", "lefts", "rights"):
            rows = data.get(name, [])
            out[name] = [{"id": r["id"], "html": printed(r["html"], self.school)} for r in rows]
        for name in ("worked", "conditions"):
            out[name] = [printed(row, self.school) for row in data.get(name, [])]
        out["unit"] = " ".join(filter(None, (data.get("unit"), data.get("means"))))
        if self.answers:
            out["answer"] = printed(shown["words"], self.school)
            out["solved"] = [printed(row, self.school) for row in shown.get("worked", [])]
            out["why"] = [self._rich(t) for t in score(asked, right_answer(asked)).feedback]
        return out

    def _guide(self) -> list[Data]:
        values = lesson_values(self.lesson)
        return [
            {"title": title, "html": self._rich(fill(text.source, values))}
            for title, text in self.lesson.guide.items()
        ]


def handout(items: Mapping[str, str]) -> Data:
    """Return what the handout of a link holds: ``id`` of the lesson, ``seed``, ``answers=1``.

    Raises
    ------
    BadInput
        For an unknown lesson or an invalid seed.
    """
    found = school()
    id, seed = items.get("id", ""), items.get("seed", "1")
    if id not in found.lessons:
        raise BadInput("lesson", f'"{id[:60]}"', ", ".join(found.lessons))
    if not seed.isdecimal() or int(seed) > LARGEST_SEED:
        raise BadInput("seed", f'"{seed[:20]}"', f"a whole number from 0 to {LARGEST_SEED}")
    return Handout(found, found.lessons[id], int(seed), items.get("answers") == "1").data()
