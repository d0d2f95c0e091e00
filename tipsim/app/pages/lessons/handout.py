"""A lesson as a handout: sheets for learners, and for teachers the answers and the guide."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import parse_qsl, urlencode

from markupsafe import Markup

from tipsim.app.framework.bench_state import BenchState
from tipsim.app.pages.lessons.lab_sheet import Row, setting_rows
from tipsim.lesson import show
from tipsim.lesson.ask import ask, lesson_values, seed_within
from tipsim.lesson.course import CONFIDENCE, STEPS, Data
from tipsim.lesson.draws import drawn
from tipsim.lesson.fill import fill
from tipsim.lesson.format import Lesson, School, Step, Text
from tipsim.lesson.kinds import kind_of, right_answer, score
from tipsim.lesson.markdown import line
from tipsim.lesson.markup import printed
from tipsim.lesson.quantities import Values
from tipsim.lesson.read import school
from tipsim.lesson.rounds import step_values
from tipsim.setup.errors import BadInput

LARGEST_SEED = 9999
_SPOKEN = ("prime", "run", "predict", "observe", "quiz")
"""Kinds of steps whose text learners get; explanations stand with the answers."""
_ROWS = ("choices", "entries", "lefts", "rights", "worked", "conditions", "solved", "why")
_FIELDS: Data = dict.fromkeys(_ROWS, ()) | {"unit": "", "means": ""}
"""What a sheet may show of an item besides its text, by kind."""


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
        self.school, self.seed, self.answers = found, seed, answers
        self.lesson = drawn(lesson, f"sheet {seed}")

    def data(self) -> Data:
        """Return everything that the template fills in."""
        lesson = self.lesson
        kinds = [*_SPOKEN, *(["explain", "key-points"] if self.answers else [])]
        in_steps = {i for s in lesson.steps for i in s.items}
        kept = [i for i in lesson.items if i not in in_steps]
        values = lesson_values(lesson)
        return {
            "title": lesson.title,
            "minutes": lesson.minutes,
            "seed": self.seed,
            "answers": self.answers,
            "objectives": [line(o.text) for o in lesson.objectives],
            "questions": [line(q) for q in lesson.questions],
            "parts": [self._part(s) for s in lesson.steps if s.kind in kinds],
            "more": [self._item(i) for i in kept] if self.answers else [],
            "guide": [(t, self._rich(x, values)) for t, x in lesson.guide.items() if self.answers],
            "printed": lambda markup: Markup(printed(markup, self.school)),
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

    def _rich(self, text: Text, values: Values) -> str:
        return show.lesson_html(self.lesson, fill(text.source, values))

    def _part(self, step: Step) -> Data:
        values = step_values(self.lesson, step)
        return {
            "kind": step.kind,
            "word": STEPS[step.kind],
            "title": step.title,
            "html": self._rich(step.text, values) if step.text else "",
            "tasks": [
                (name, [line(fill(t.source, values)) for t in texts])
                for name, texts in step.tasks
                if texts
            ],
            "settings": _set(show.values_query(values, step.view)) if step.kind == "run" else [],
            "items": [self._item(i) for i in step.items],
            "points": show.key_points(self.lesson) if step.kind == "key-points" else [],
        }

    def _item(self, id: str) -> Data:
        item = self.lesson.items[id]
        asked = ask(self.lesson, item, seed_within(self.lesson, item, self.seed))
        out = _FIELDS | show.shown(asked)
        shown: Data = {}
        if self.answers:
            shown = show.revealed(asked)
            why = score(asked, right_answer(asked)).feedback
            out["solved"] = shown.get("worked", ())
            out["why"] = [show.lesson_html(self.lesson, text) for text in why]
        return out | {
            "figure": kind_of(item).figure(out, shown),
            "unit": " ".join(filter(None, (out["unit"], out["means"]))),
            "answer": shown.get("words", ""),
        }


def _set(query: str) -> list[Row]:
    """Return what a run sets, as text: its needles, hub motion, and what is not as on a fresh page.

    >>> [name for name, *_ in _set("a.needle=straight&b.needle=straight&drive=axial&power=40")]
    ['Needle', 'Sleeve', 'Hub motion', 'Frequency', 'Power']
    """
    now = BenchState.from_items(dict(parse_qsl(query, keep_blank_values=True)))
    first = BenchState.first()
    fresh = set(setting_rows(first.a, first.b))
    return [row for i, row in enumerate(setting_rows(now.a, now.b)) if i < 3 or row not in fresh]


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
