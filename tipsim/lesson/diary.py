"""What the player remembers of one learner: in the records, or for this visit only."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from typing import Any, Protocol

from tipsim.lesson.ask import Asked
from tipsim.lesson.format import School
from tipsim.lesson.kinds import Judged
from tipsim.lesson.learning import REVIEWS, reviews
from tipsim.lesson.records import Answer, Records

REVIEW = "review"
"""Id of the step that opens a lesson with a look back."""


class Diary(Protocol):
    """What a lesson needs to know and to note of its learner."""

    nickname: str
    key: str
    """What a learner's variants are drawn by."""

    def history(self) -> Sequence[Answer]:
        """Return every answer, the oldest first."""

    def answers(self, lesson: str) -> Sequence[Answer]:
        """Return the answers of the present run through a lesson, the oldest first."""

    def store(self, answer: Answer) -> None:
        """Note an answer; it is safe when this returns."""

    def run(self, lesson: str) -> int:
        """Return which time through a lesson this is, from 1."""

    def place(self, lesson: str) -> str:
        """Return the step that was last shown; "" at the start."""

    def move(self, lesson: str, step: str) -> None:
        """Note the step that is shown."""

    def begin(self, lesson: str) -> None:
        """Begin a lesson anew; what was answered before counts for reviews only."""

    def finish(self, lesson: str) -> None:
        """Note that a lesson was gone through to its end."""

    def to_review(self, school: School, lesson: str) -> tuple[str, ...]:
        """Return the items of earlier lessons that open this one."""


class Recorded:
    """One learner's part of the records: everything goes to disk at once.

    Parameters
    ----------
    records : Records
    code : str
        The learner's.

    Raises
    ------
    BadInput
        When there is no such learner.
    """

    def __init__(self, records: Records, code: str) -> None:
        learner = records.learner(code)
        self.records, self.key, self.nickname = records, learner.code, learner.nickname

    def history(self) -> Sequence[Answer]:
        """Return every answer, the oldest first."""
        return self.records.answers(self.key)

    def answers(self, lesson: str) -> Sequence[Answer]:
        """Return the answers of the present run through a lesson."""
        run = self.run(lesson)
        return [a for a in self.records.answers(self.key, lesson) if a.run == run]

    def store(self, answer: Answer) -> None:
        """Store an answer."""
        self.records.store(self.key, answer)

    def run(self, lesson: str) -> int:
        """Return which time through a lesson this is."""
        found = self.records.progress(self.key).get(lesson)
        return found.run if found else 1

    def place(self, lesson: str) -> str:
        """Return the step that was last shown."""
        found = self.records.progress(self.key).get(lesson)
        return found.step if found else ""

    def move(self, lesson: str, step: str) -> None:
        """Note the step that is shown."""
        self.records.move(self.key, lesson, step)

    def begin(self, lesson: str) -> None:
        """Begin a lesson anew."""
        self.records.begin(self.key, lesson)

    def finish(self, lesson: str) -> None:
        """Note that a lesson was gone through to its end."""
        self.records.finish(self.key, lesson)

    def to_review(self, school: School, lesson: str) -> tuple[str, ...]:
        """Return what is chosen anew at the start, and what was asked already further on."""
        asked = tuple(dict.fromkeys(a.item for a in self.answers(lesson) if a.step == REVIEW))
        if self.place(lesson) not in ("", REVIEW):
            return asked
        fresh = reviews(school, self.history(), lesson, self.records.now())
        return (*asked, *(i for i in fresh if i not in asked))[:REVIEWS]


class Fleeting:
    """For those who only look: it ends with the visit, and nothing is kept.

    >>> diary = Fleeting()
    >>> diary.move("drive-to-stroke", "predict")
    >>> diary.place("drive-to-stroke"), diary.nickname
    ('predict', '')
    """

    nickname = ""

    def __init__(self) -> None:
        self.key = secrets.token_hex(4)
        self._answers: list[Answer] = []
        self._runs: dict[str, int] = {}
        self._places: dict[str, str] = {}

    def history(self) -> Sequence[Answer]:
        """Return every answer of this visit."""
        return self._answers

    def answers(self, lesson: str) -> Sequence[Answer]:
        """Return the answers of the present run through a lesson."""
        run = self.run(lesson)
        return [a for a in self._answers if a.lesson == lesson and a.run == run]

    def store(self, answer: Answer) -> None:
        """Note an answer for this visit."""
        self._answers.append(answer)

    def run(self, lesson: str) -> int:
        """Return which time through a lesson this is."""
        return self._runs.get(lesson, 1)

    def place(self, lesson: str) -> str:
        """Return the step that was last shown."""
        return self._places.get(lesson, "")

    def move(self, lesson: str, step: str) -> None:
        """Note the step that is shown."""
        self._places[lesson] = step

    def begin(self, lesson: str) -> None:
        """Begin a lesson anew."""
        self._runs[lesson] = self.run(lesson) + 1
        self._places.pop(lesson, None)

    def finish(self, lesson: str) -> None:
        """Leave it at that: there is no record."""

    def to_review(self, school: School, lesson: str) -> tuple[str, ...]:  # noqa: ARG002
        """Return nothing: a look back needs a record."""
        return ()


def answer_of(
    lesson: str, step: str, run: int, asked: Asked, given: Any, judged: Judged, confidence: str
) -> Answer:
    """Make an answer ready to be stored."""
    return Answer(
        item=asked.item.id,
        objective=asked.item.objective,
        lesson=lesson,
        step=step,
        run=run,
        seed=asked.seed,
        variant=dict(asked.variant),
        given=given,
        verdict=judged.verdict,
        confidence=confidence,
    )
