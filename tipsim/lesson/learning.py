"""What a learner has mastered, and what is due again.

Mastery is three right answers in a row to an objective, from two different questions at least.
Three in a row is as good a sign as a fitted knowledge model for whether the next answer will be
right; more in a row would predict transfer better [1]. It is a rule anyone can check by hand.

Reviews come at growing distances. What helps is that practice is spaced at all (g 0.74 against
massed); growing distances are no better than even ones (0.03) [2]. They are taken here because the
same number of reviews reaches further. The distances themselves are a convention of ours.

1. Kelly, Wang, Thompson & Heffernan 2015, Educational Data Mining, Madrid (read: abstract).
2. Latimier, Peyre & Ramus 2021, Educ Psychol Rev 33:959-987 (read: abstract).
"""

import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from tipsim.lesson.format import Lesson, Objective, School
from tipsim.lesson.kinds import RIGHT, kind_of
from tipsim.lesson.records import Answer
from tipsim.setup.described import about, described

STREAK = 3
"""Right answers in a row that make mastery."""
DAYS = (1, 3, 7, 14, 30, 60)
"""Days to the next review after each right answer that came when it was due."""
REVIEWS = 2
"""Items of earlier lessons that open a lesson."""


@described()
class Standing:
    """Where a learner is with an objective."""

    answered: int = about(
        "Answers that count: those of quizzes and reviews. Predictions and what was just seen "
        "on the screen say nothing about what stayed.",
        default=0,
    )
    streak: tuple[str, ...] = about(
        "What was asked (item and variant) in the right answers in a row, up to the last answer.",
        default=(),
    )
    level: int = about("Reviews in a row that went well.", default=0)
    due: datetime | None = about("When to ask again; None before the first answer.", default=None)

    @property
    def mastered(self) -> bool:
        """Return whether the objective is mastered."""
        return len(self.streak) >= STREAK and len(set(self.streak)) >= 2

    @property
    def words(self) -> tuple[str, str]:
        """Return it as "none", "part" or "good", and in words.

        >>> Standing(answered=2, streak=("one",)).words
        ('part', '1 right in a row; 3 make mastery')
        """
        if self.mastered:
            return "good", "mastered"
        if not self.answered:
            return "none", "not asked yet"
        streak = len(self.streak)
        more = "" if streak < STREAK else ", of one question"
        return "part", f"{streak} right in a row{more}; {STREAK} make mastery"

    def after(self, asked: str, right: bool, time: datetime) -> "Standing":
        """Return the standing after one more answer.

        Examples
        --------
        >>> from datetime import UTC
        >>> noon = datetime(2031, 5, 4, 12, tzinfo=UTC)
        >>> one = Standing().after("power 40", True, noon)
        >>> (one.due - noon).days, one.after("power 60", True, noon).level
        (1, 1)
        >>> (one.after("power 60", True, one.due).due - one.due).days
        3
        """
        if not right:
            due = time + timedelta(days=DAYS[0])
            return Standing(self.answered + 1, (), 0, due)
        streak = (*self.streak, asked)[-STREAK:]
        found = replace(self, answered=self.answered + 1, streak=streak)
        # A right answer before it was due shows little about what stays.
        if self.due is not None and time < self.due:
            return found
        days = DAYS[min(self.level, len(DAYS) - 1)]
        return replace(found, level=self.level + 1, due=time + timedelta(days=days))


def standings(school: School, answers: Iterable[Answer]) -> dict[str, Standing]:
    """Return where a learner is with each objective of every lesson.

    Parameters
    ----------
    answers : iterable of Answer
        All answers of the learner, the oldest first. Those to items that are no longer there are
        left out.
    """
    items = {
        id: item
        for lesson in school.lessons.values()
        for id, item in lesson.items.items()
        if lesson.counts(item)
    }
    out = {o.id: Standing() for lesson in school.lessons.values() for o in lesson.objectives}
    for answer in answers:
        item = items.get(answer.item)
        if item is not None and item.objective in out:
            asked = f"{item.id} {sorted(answer.variant.items())}"
            before = out[item.objective]
            out[item.objective] = before.after(asked, answer.verdict == RIGHT, answer.time)
    return out


def due(found: Mapping[str, Standing], now: datetime) -> tuple[str, ...]:
    """Return the objectives whose review is due, the longest overdue first."""
    late = {id: s.due for id, s in found.items() if s.due is not None and s.due <= now}
    return tuple(sorted(late, key=late.__getitem__))


def to_repeat(lesson: Lesson, found: Mapping[str, Standing]) -> tuple[Objective, ...]:
    """Return the objectives of a lesson that were answered and are not mastered yet."""
    return tuple(o for o in lesson.objectives if found[o.id].answered and not found[o.id].mastered)


def reviews(
    school: School, answers: Sequence[Answer], lesson: str, now: datetime, most: int = REVIEWS
) -> tuple[str, ...]:
    """Choose items of earlier lessons to open a lesson with.

    Parameters
    ----------
    answers : sequence of Answer
        All answers of the learner, the oldest first.
    lesson : str
        The lesson that is opened; its own objectives are left out.

    Returns
    -------
    tuple of str
        Ids of items, each of another objective: what is due first, then what is not mastered, then
        what was answered longest ago; of each objective what was asked least. Fewer where the
        learner has not got so far.
    """
    found = standings(school, answers)
    late = due(found, now)
    last = {a.objective: a.time for a in answers}
    home = {o.id: each for each in school.lessons.values() for o in each.objectives}
    known = [id for id, s in found.items() if s.answered and home[id].id != lesson and id in last]

    def turn(objective: str) -> tuple[int, bool, datetime]:
        place = late.index(objective) if objective in late else len(late)
        return place, found[objective].mastered, last[objective]

    known.sort(key=turn)
    chosen = (_least_asked(home[id], id, answers) for id in known)
    return tuple(item for item in chosen if item)[:most]


def _least_asked(lesson: Lesson, objective: str, answers: Sequence[Answer]) -> str:
    """Return the item of an objective that was asked least, by chance among equals."""
    asked = [a.item for a in answers]
    items = [
        item.id
        for item in lesson.items.values()
        if item.objective == objective and not kind_of(item).free(item) and lesson.counts(item)
    ]
    chance = random.Random(f"{objective} {len(asked)}")
    chance.shuffle(items)
    return min(items, key=asked.count, default="")
