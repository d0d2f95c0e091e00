"""Mastery and reviews: the rules as they are written down."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from tipsim.lesson.learning import (
    DAYS,
    STREAK,
    Standing,
    due,
    reviews,
    standings,
    to_repeat,
)
from tipsim.lesson.read import school
from tipsim.lesson.records import Answer

NOON = datetime(2031, 5, 4, 12, tzinfo=UTC)
LESSON = "drive-to-stroke"


def answer(item: str, verdict: str, days: float = 0, **variant: float) -> Answer:
    objective = school().item(item).objective
    time = NOON + timedelta(days=days)
    return Answer(item, objective, LESSON, "quiz", 1, 0, variant, "c1", verdict, "", time)


def test_three_in_a_row_from_two_questions_are_mastery() -> None:
    number, bank = "stroke-power-number", "stroke-in-proportion"
    tried = [answer(number, "right", first=1), answer(number, "right", first=2)]
    assert not standings(school(), tried)["stroke-power"].mastered
    tried.append(answer(bank, "right"))
    assert standings(school(), tried)["stroke-power"].mastered
    tried.append(answer(bank, "partly"))
    found = standings(school(), tried)["stroke-power"]
    assert (found.mastered, found.streak, found.answered) == (False, (), 4)


def test_the_same_question_three_times_is_no_mastery() -> None:
    tried = [answer("stroke-in-proportion", "right")] * 5
    assert not standings(school(), tried)["stroke-power"].mastered


def test_predictions_and_what_was_seen_do_not_count() -> None:
    tried = [answer("stroke-predict-double", "wrong"), answer("stroke-seen-double", "right")]
    assert standings(school(), tried)["stroke-power"] == Standing()


def test_answers_to_items_that_are_gone_are_left_out() -> None:
    gone = Answer("gone", "gone", "gone", "quiz", 1, 0, {}, "c1", "right")
    assert all(s == Standing() for s in standings(school(), [gone]).values())


def test_distances_grow_while_reviews_go_well() -> None:
    standing, time = Standing(), NOON
    distances = []
    for _ in range(len(DAYS) + 2):
        standing = standing.after("x", True, time)
        assert standing.due is not None
        distances.append((standing.due - time).days)
        time = standing.due
    assert distances == [*DAYS, DAYS[-1], DAYS[-1]]
    assert all(one < other for one, other in pairwise(DAYS))
    back = standing.after("x", False, time)
    assert (back.level, back.due) == (0, time + timedelta(days=1))


def test_a_right_answer_before_it_is_due_moves_nothing() -> None:
    once = Standing().after("x", True, NOON)
    early = once.after("y", True, NOON + timedelta(hours=23))
    assert (early.level, early.due, len(early.streak)) == (once.level, once.due, 2)
    failed = Standing().after("x", False, NOON).after("x", True, NOON + timedelta(hours=1))
    assert failed.level == 0


@given(st.lists(st.tuples(st.booleans(), st.floats(0, 100)), max_size=30))
def test_a_review_is_never_due_in_the_past_or_too_far(steps: list[tuple[bool, float]]) -> None:
    standing, time = Standing(), NOON
    for right, days in steps:
        time += timedelta(days=days)
        standing = standing.after("x", right, time)
        assert standing.due is not None
        assert time < standing.due <= time + timedelta(days=DAYS[-1])
        assert len(standing.streak) <= STREAK
        assert right or not standing.streak


def test_what_is_due_comes_the_longest_overdue_first() -> None:
    tried = [answer("stroke-paper", "right", 0), answer("stroke-in-proportion", "right", 0.5)]
    found = standings(school(), tried)
    assert due(found, NOON + timedelta(days=0.9)) == ()
    assert due(found, NOON + timedelta(days=1.2)) == ("stroke-words",)
    assert due(found, NOON + timedelta(days=2)) == ("stroke-words", "stroke-power")


def test_reviews_open_a_lesson_with_two_items_of_earlier_ones() -> None:
    tried = [
        answer("stroke-paper", "right", 0),
        answer("stroke-in-proportion", "wrong", 0.1),
        answer("stroke-order", "right", 0.2),
    ]
    now = NOON + timedelta(days=1.05)
    chosen = reviews(school(), tried, "another-lesson", now)
    objectives = [school().item(i).objective for i in chosen]
    # One is due; of the others the one that went wrong comes before it.
    assert objectives[0] == "stroke-words"
    assert len(set(objectives)) == 2
    assert not set(chosen) & {"stroke-paper", "stroke-in-proportion"}
    assert reviews(school(), tried, LESSON, now) == ()
    assert reviews(school(), [], "another-lesson", now) == ()
    assert chosen == reviews(school(), tried, "another-lesson", now)


def test_reviews_are_of_items_that_need_no_picture_of_just_now() -> None:
    """Every objective of the lesson comes up, and never by a goal or what was just seen."""
    lesson = school().lessons[LESSON]
    reviewed = set()
    for first in (i for i in lesson.items.values() if lesson.counts(i)):
        for days in range(1, 7):
            tried = [answer(first.id, "right", d) for d in range(days)]
            (id,) = reviews(school(), tried, "other", NOON + timedelta(days=days))
            item = lesson.items[id]
            reviewed.add(item.objective)
            step = lesson.step_of(id)
            assert step is None or step.kind == "quiz"
            assert item.kind != "goal"
    assert reviewed == {o.id for o in lesson.objectives}


def test_what_is_to_repeat_was_answered_and_is_not_mastered() -> None:
    lesson = school().lessons[LESSON]
    assert to_repeat(lesson, standings(school(), [])) == ()
    found = standings(school(), [answer("stroke-paper", "wrong")])
    assert [o.id for o in to_repeat(lesson, found)] == ["stroke-words"]
