"""What a lesson remembers of its learner: in the records, or for this visit only."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime

from tipsim.lesson.format import School
from tipsim.lesson.learning import REVIEWS, reviews
from tipsim.lesson.records import Answer, Progress, Records

REVIEW = "review"
"""Id of the step that opens a lesson with a look back."""


class Diary:
    """What a lesson needs to know and to note of a guest: it ends with the visit.

    Attributes
    ----------
    nickname : str
    key : str
        What a learner's variants are drawn by.

    Examples
    --------
    >>> diary = Diary()
    >>> diary.move("drive-to-stroke", "predict")
    >>> diary.progress("drive-to-stroke").step, diary.nickname
    ('predict', '')
    """

    nickname = ""

    def __init__(self) -> None:
        self.key = secrets.token_hex(4)
        self._answers: list[Answer] = []
        self._progress: dict[str, Progress] = {}

    def history(self) -> Sequence[Answer]:
        """Return every answer, the oldest first."""
        return self._answers

    def answers(self, lesson: str) -> Sequence[Answer]:
        """Return the answers of the present run through a lesson, the oldest first."""
        run = self.progress(lesson).run
        return [a for a in self.history() if (a.lesson, a.run) == (lesson, run)]

    def progress(self, lesson: str) -> Progress:
        """Return where the learner is in a lesson."""
        return self._progress.get(lesson) or _fresh(lesson)

    def store(self, answer: Answer) -> None:
        """Note an answer."""
        self._answers.append(answer)

    def move(self, lesson: str, step: str) -> None:
        """Note the step that is shown."""
        self._progress[lesson] = replace(self.progress(lesson), step=step)

    def begin(self, lesson: str) -> None:
        """Begin a lesson anew; what was answered before counts for reviews only."""
        now = self.progress(lesson)
        self._progress[lesson] = replace(now, step="", run=now.run + 1)

    def finish(self, lesson: str) -> None:
        """Note that a lesson was gone through to its end."""

    def to_review(self, school: School, lesson: str) -> tuple[str, ...]:  # noqa: ARG002
        """Return the items of earlier lessons that open this one; a guest has none."""
        return ()


class Recorded(Diary):
    """One learner's part of the records: everything is on disk when a method returns.

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

    def progress(self, lesson: str) -> Progress:
        """Return where the learner is in a lesson."""
        return self.records.progress(self.key).get(lesson) or _fresh(lesson)

    def store(self, answer: Answer) -> None:
        """Store an answer."""
        self.records.store(self.key, answer)

    def move(self, lesson: str, step: str) -> None:
        """Store the step that is shown."""
        self.records.move(self.key, lesson, step)

    def begin(self, lesson: str) -> None:
        """Begin a lesson anew."""
        self.records.begin(self.key, lesson)

    def finish(self, lesson: str) -> None:
        """Store that a lesson was gone through to its end."""
        self.records.finish(self.key, lesson)

    def to_review(self, school: School, lesson: str) -> tuple[str, ...]:
        """Return what is chosen anew at the start, and what was asked already further on."""
        asked = tuple(dict.fromkeys(a.item for a in self.answers(lesson) if a.step == REVIEW))
        if self.progress(lesson).step not in ("", REVIEW):
            return asked
        # As they were chosen at first: answers to them do not change the choice.
        before = [a for a in self.history() if (a.lesson, a.step) != (lesson, REVIEW)]
        fresh = reviews(school, before, lesson, self.records.now())
        return (*asked, *(i for i in fresh if i not in asked))[:REVIEWS]


def _fresh(lesson: str) -> Progress:
    return Progress(lesson, "", 1, datetime.now(UTC), None)
