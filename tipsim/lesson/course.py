"""One run through a lesson: where it stands, what is open, what was answered."""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tipsim.lesson.ask import Asked, ask, filled_bench, seed_within
from tipsim.lesson.diary import REVIEW, Diary
from tipsim.lesson.draws import agreeing, drawn
from tipsim.lesson.format import Item, Lesson, School, Side, Step, Text
from tipsim.lesson.kinds import Judged, kind_of, score
from tipsim.lesson.records import Answer
from tipsim.lesson.rounds import run_of
from tipsim.lesson.show import shown
from tipsim.setup.errors import BadInput

Data = dict[str, Any]
CONFIDENCE = {"1": "Guessing", "2": "Fairly sure", "3": "Sure"}
"""How sure a learner is before seeing, by what is stored."""
STEPS: Mapping[str, str] = {
    "review": "Look back",
    "prime": "Introduction",
    "predict": "Predict",
    "run": "Run",
    "observe": "Observe",
    "compare": "Compare",
    "explain": "Explain",
    "quiz": "Quiz",
    "key-points": "Key points",
}
"""What each kind of step is called."""
ASKING = ("review", "predict", "observe", "quiz")
"""Kinds of steps that are over when every question is answered."""


@dataclass(frozen=True)
class Setting:
    """What is to stand on the bench, maybe for a goal; a new `key` means that it is laid anew."""

    key: str
    sides: Mapping[str, Side]
    free: tuple[str, ...]
    page: str
    view: Mapping[str, str]
    goal: str = ""


class Course:
    """A learner's way through a lesson.

    Parameters
    ----------
    school : School
    lesson : Lesson
    diary : Diary
    quiz_first : bool
        Only quiz and result: for those who know it already.

    Examples
    --------
    >>> from tipsim.lesson.diary import Diary
    >>> from tipsim.lesson.read import school
    >>> course = Course(school(), school().lessons["drive-to-stroke"], Diary())
    >>> course.next()
    True
    >>> course.step.kind, course.next()
    ('predict', False)
    """

    def __init__(
        self, school: School, lesson: Lesson, diary: Diary, quiz_first: bool = False
    ) -> None:
        self.school, self.lesson, self.diary = school, lesson, diary
        self.quiz_first = quiz_first
        self.visit = 0
        # What is drawn once is shown again at every message.
        self.drawn: dict[tuple[str, int], Asked] = {}
        self.shown: dict[tuple[str, int], Data] = {}
        self._start(diary.progress(lesson.id).step)

    def _start(self, place: str) -> None:
        self.lesson = self._own(self.lesson)
        self.kept: dict[str, Answer] = {a.item: a for a in self.diary.answers(self.lesson.id)}
        self.again: dict[str, int] = {}
        self.reopened: set[str] = set()
        self.begun: set[str] = set()
        self.practised: list[str] = []
        self.errors: dict[str, str] = {}
        self.steps = self._steps()
        ids = [s.id for s in self.steps]
        at = ids.index(place) if place in ids else 0
        self.ran = {s.id for s in self.steps[:at] if s.kind == "run"}
        while at and not self.reachable(at):
            at -= 1
        self.at = at
        self.visit += 1
        predicted = {i for s in self.steps if s.kind == "predict" for i in s.items}
        # A prediction that no longer fits its question can be made anew.
        self.reopened |= {i for i in predicted & set(self.kept) if self.judged(i) is None}

    def _own(self, lesson: Lesson) -> Lesson:
        """Return a lesson with what it draws for this learner's present run through it."""
        run = self.diary.progress(lesson.id).run
        return drawn(lesson, f"{self.diary.key} {run}")

    def _steps(self) -> tuple[Step, ...]:
        if self.quiz_first:
            return tuple(s for s in self.lesson.steps if s.kind in ("quiz", "key-points"))
        back = tuple(i for i in self.diary.to_review(self.school, self.lesson.id) if self._known(i))
        if not back:
            return self.lesson.steps
        text = Text("Before you go on: do you still remember this from earlier lessons?")
        first = Step(REVIEW, REVIEW, "A look back", text, self.lesson.place, items=back)
        return (first, *self.lesson.steps)

    def _known(self, item: str) -> bool:
        """Return whether an item is still there: lessons may have changed since it was due."""
        return any(item in lesson.items for lesson in self.school.lessons.values())

    @property
    def step(self) -> Step:
        """The step that is shown."""
        return self.steps[self.at]

    # ---- what is open ----

    def complete(self, step: Step) -> bool:
        """Return whether a step asks for nothing more."""
        if step.kind == "run":
            return step.id in self.ran and all(i in self.kept for i in step.items)
        return step.kind not in ASKING or all(i in self.kept for i in step.items)

    def reachable(self, at: int) -> bool:
        """Return whether every step before this one is complete."""
        return all(self.complete(s) for s in self.steps[:at])

    def questions(self) -> tuple[str, ...]:
        """Return what the step asks so far: what was answered, and the first that was not."""
        if self.step.kind == "key-points":
            return tuple(self.practised)
        if self.step.kind not in (*ASKING, "run"):
            return ()
        if self.step.kind == "run" and self.step.id not in self.ran:
            return ()
        open = [i for i in self.step.items if i not in self.kept]
        return tuple(i for i in self.step.items if i in self.kept or i == open[0])

    def is_open(self, item: str) -> bool:
        """Return whether an item waits for an answer."""
        return item not in self.kept or item in self.reopened

    def asked(self, item: str) -> Asked:
        """Return an item in the variant that this learner sees now."""
        if not self.is_open(item):
            seed = self.kept[item].seed
        else:
            seed = zlib.crc32(f"{self.diary.key} {item} {self.count(item)}".encode())
            seed = seed_within(self._own(self.school.home(item)), self.school.item(item), seed)
        return self._drawn(item, seed)

    def answered(self, item: str) -> Asked:
        """Return an item as it is now in the variant that was answered."""
        return self._drawn(item, self.kept[item].seed)

    def _drawn(self, item: str, seed: int) -> Asked:
        if (item, seed) not in self.drawn:
            home = self.school.home(item)
            self.drawn[item, seed] = ask(home, home.items[item], seed)
        return self.drawn[item, seed]

    def judged(self, item: str) -> Judged | None:
        """Return what the stored answer is worth; None if its question has changed since."""
        kept, asked = self.kept[item], self.answered(item)
        try:
            judged = score(asked, kept.given)
        except BadInput:
            return None
        same = dict(asked.variant) == dict(kept.variant) and judged.verdict == kept.verdict
        return judged if same else None

    def question(self, item: str) -> Data:
        """Describe an item as it is asked of this learner now."""
        asked = self.asked(item)
        key = item, asked.seed
        if key not in self.shown:
            self.shown[key] = shown(asked)
        return dict(self.shown[key])

    def count(self, item: str) -> int:
        """Return how often an item has been answered at all."""
        return sum(a.item == item for a in self.diary.history())

    # ---- moving ----

    def go(self, step: str) -> bool:
        """Go to a step by id, when it can be reached."""
        ids = [s.id for s in self.steps]
        if step not in ids or not self.reachable(ids.index(step)):
            return False
        if ids.index(step) == self.at:
            return True
        self.diary.move(self.lesson.id, step)
        self.at = ids.index(step)
        self.errors.clear()
        self.visit += 1
        # Who takes the quiz first is done with the lesson only when all of it was right.
        if self.step.kind == "key-points" and not (self.quiz_first and self.missed()):
            self.diary.finish(self.lesson.id)
        return True

    def missed(self) -> set[str]:
        """Return the objectives of which something in quiz or practice was not right."""
        items = self.lesson.items
        mine = [a for i, a in self.kept.items() if i in items and self.lesson.counts(items[i])]
        return {a.objective for a in mine if a.verdict != "right"}

    def next(self) -> bool:
        """Go on by one step, when this one is complete."""
        return self.at + 1 < len(self.steps) and self.go(self.steps[self.at + 1].id)

    def back(self) -> bool:
        """Go back by one step."""
        return self.at > 0 and self.go(self.steps[self.at - 1].id)

    def run(self) -> None:
        """Start the experiment of this step."""
        if self.step.kind == "run":
            self.ran.add(self.step.id)

    def restart(self) -> None:
        """Go through the lesson anew, with other variants."""
        self.diary.begin(self.lesson.id)
        self.quiz_first = False
        self._start("")

    # ---- answering ----

    def answer(self, item: str, given: Any, confidence: str) -> None:
        """Take an answer: store it, or note why it cannot be one. A second one is dropped."""
        if item not in self.questions() or not self.is_open(item):
            return
        if self.step.kind == "predict" and confidence not in CONFIDENCE:
            self.errors[item] = "Choose how sure you are as well."
            return
        asked = self.asked(item)
        try:
            judged = score(asked, given)
        except BadInput as bad:
            self.errors[item] = f"Your {bad.field} is {bad.value}; allowed: {bad.allowed}."
            return
        kept = Answer(
            item=item,
            objective=asked.item.objective,
            lesson=self.lesson.id,
            step=self.step.id,
            run=self.diary.progress(self.lesson.id).run,
            seed=asked.seed,
            variant=dict(asked.variant),
            given=given,
            verdict=judged.verdict,
            confidence=confidence if self.step.kind == "predict" else "",
        )
        self.diary.store(kept)
        self.kept[item] = kept
        self.errors.pop(item, None)
        self.reopened.discard(item)

    def ask_again(self, item: str) -> None:
        """Open an answered question in another variant."""
        if item in self.questions() and self.can_repeat(item):
            self.reopened.add(item)
            self.again[item] = self.again.get(item, 0) + 1

    def can_repeat(self, item: str) -> bool:
        """Return whether asking once more makes sense: another variant, a missed goal, a change."""
        if self.is_open(item) or self.step.kind == "predict":
            return False
        if self.judged(item) is None:
            return True
        found = self.school.item(item)
        missed = self.kept[item].verdict != "right"
        others = agreeing(self._own(self.school.home(item)), found) > 1
        return others or (missed and bool(kind_of(found).free(found)))

    def practise(self, objective: str) -> None:
        """Ask one more item of an objective on the result page, the least used first."""
        pool = self.pool(objective)
        if self.step.kind != "key-points" or not pool:
            return
        uses = {i: self.count(i) for i in pool}
        item = min(pool, key=lambda i: uses[i])
        self.practised = [item]
        if item in self.kept:
            self.reopened.add(item)
        self.again[item] = self.again.get(item, 0) + 1

    def pool(self, objective: str) -> list[str]:
        """Return the items of an objective that can be practised: those of quiz and reviews."""
        items = self.lesson.items.values()
        return [i.id for i in items if i.objective == objective and self.lesson.counts(i)]

    # ---- the bench ----

    def setting(self) -> Setting | None:
        """Return what stands on the bench in this step, or None without a bench."""
        goal = self._goal()
        if goal is not None:
            asked, item = goal
            sides = dict(asked.values.sides)
            run = run_of(self.lesson, self.step)
            # A goal that is asked as a review stands on the page of the lesson that it is from.
            home = self.school.home(item.id)
            at = run if run and home.id == self.lesson.id else home
            page, view = at.page, at.view
            key = f"{item.id} {self.again.get(item.id, 0)}"
            return Setting(key, sides, kind_of(item).free(item), page, dict(view), item.id)
        if self.step.moving:
            return self._opening()
        run = run_of(self.lesson, self.step)
        if run is None or self.step.kind not in ("run", "observe"):
            return None
        bench = self.lesson.bench if run.bench is None else self.lesson.bench.under(run.bench)
        return Setting(
            run.id, filled_bench(bench, self.lesson.draw), run.free, run.page, dict(run.view)
        )

    def _opening(self) -> Setting:
        """Return the first experiment of the lesson, which moves above its introduction."""
        first = next((s for s in self.lesson.steps if s.kind == "run"), self.step)
        over = first.bench
        bench = self.lesson.bench if over is None else self.lesson.bench.under(over)
        view = {**first.view, **self.step.view}
        return Setting("opening", filled_bench(bench, self.lesson.draw), (), first.page, view)

    def _goal(self) -> tuple[Asked, Item] | None:
        """Return the goal that is worked on: the last one asked, once its bench was called for."""
        for id in reversed(self.questions()):
            item = self.school.item(id)
            if kind_of(item).free(item) and self.has_begun(id):
                return self.asked(id), item
        return None

    def has_begun(self, item: str) -> bool:
        """Return whether a goal's bench stands: in a run only when called for, else at once."""
        return self.step.kind != "run" or item in self.begun or not self.is_open(item)

    def begin_goal(self, item: str) -> None:
        """Call for the bench of a goal."""
        if item in self.questions():
            self.begun.add(item)
