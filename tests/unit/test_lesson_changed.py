"""Lessons that have changed since a learner answered: the stored verdict stays."""

import json
from dataclasses import replace
from typing import Any

from tests.unit.courses import FIRST, LESSONS, course, finish, tell
from tipsim.app.pages.lesson.page import LessonPage
from tipsim.app.pages.lesson.show import CHANGED, content
from tipsim.lesson.course import Course
from tipsim.lesson.diary import Diary, Recorded
from tipsim.lesson.kinds import right_answer
from tipsim.lesson.read import school
from tipsim.lesson.records import Records


def changed_course(answers: dict[str, tuple[Any, str]], **changes: Any) -> Course:
    """A course to its end whose learner gave these answers to what were other questions then.

    `answers` holds what was given and the verdict by item; `changes` fields of all stored answers.
    """
    diary = Diary()
    one = course(FIRST, diary)
    finish(one)
    for i, kept in enumerate(diary._answers):
        given, verdict = answers.get(kept.item, (kept.given, kept.verdict))
        diary._answers[i] = replace(kept, given=given, verdict=verdict, **changes)
    return course(FIRST, diary)


STALE: dict[str, Any] = {
    "one": "no-such-choice",
    "several": ["c1", "no-such-choice"],
    "number": {"a": {"power": "40"}},
    "order": ["e1"],
    "match": {"p1": "r1"},
    "place": "near the hub",
    "goal": "c1",
}
"""What cannot be an answer of a kind."""


def test_an_answer_that_no_longer_fits_shows_its_verdict_and_can_be_given_anew() -> None:
    items = school().lessons[FIRST].items
    stale = {i.id: (STALE[i.kind], "wrong") for i in items.values()}
    one = changed_course(stale)
    met = set()
    for step in one.steps:
        assert one.go(step.id)
        shown = content(one)["step"]
        assert json.dumps(shown)
        for pair in shown.get("compare", []):
            assert (pair["verdict"], pair["said"], pair["drawn"]) == ("wrong", CHANGED, False)
        for question in shown["questions"]:
            met.add(question["kind"])
            assert question["given"] is None
            if step.kind == "predict":
                assert (question["state"], question["error"]) == ("open", CHANGED)
                continue
            assert question["verdict"] == "wrong"
            assert question["feedback"] == [f"<p>{CHANGED}</p>"]
            assert question["revealed"] is None
            id = question["id"]
            one.ask_again(id)
            assert one.is_open(id)
            one.answer(id, right_answer(one.asked(id)), "")
            (judged,) = (q for q in content(one)["step"]["questions"] if q["id"] == id)
            assert judged["verdict"] == "right"
            assert judged["revealed"] is not None
    assert met == {items[i].kind for s in one.lesson.steps for i in s.items}


def test_an_answer_to_another_variant_is_not_judged_by_this_one() -> None:
    one = changed_course({}, variant={"gone": 1.0})
    assert one.go("quiz")
    shown = content(one)["step"]["questions"]
    assert {q["verdict"] for q in shown} == {"right"}
    assert [q["feedback"] for q in shown] == [[f"<p>{CHANGED}</p>"]] * len(shown)


def test_an_answer_whose_verdict_would_now_be_another_keeps_the_stored_one() -> None:
    one = changed_course(dict.fromkeys(("stroke-power-number",), ("1", "right")))
    assert one.go("quiz")
    (shown,) = (q for q in content(one)["step"]["questions"] if q["id"] == "stroke-power-number")
    assert (shown["verdict"], shown["feedback"]) == ("right", [f"<p>{CHANGED}</p>"])


def test_answers_to_items_that_are_gone_stop_nothing(records: Records) -> None:
    code = records.add("blue heron").code
    finish(course(FIRST, Recorded(records, code)))
    kept = records.answers(code)
    for item, objective in (("no-such-item", "no-such-objective"), ("gone", kept[0].objective)):
        gone = replace(kept[0], item=item, objective=objective, mark=item, given={"x": [1]})
        records.store(code, gone)
    page = LessonPage({"id": FIRST})
    tell(page, "hello", code)
    for step in page.shown["steps"]:
        tell(page, "go", step["id"])
        assert page.shown["step"]["id"] == step["id"]
        assert page.shown["notice"] == ""
    assert course(LESSONS[1], Recorded(records, code)).step.kind == "review"
