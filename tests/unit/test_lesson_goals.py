"""The setup of a lesson: goals that are judged by it, and what a learner can change of it."""

from typing import Any

import pytest

from tests.unit.courses import course, tell
from tipsim.app.pages.lesson.live import LiveBench
from tipsim.app.pages.lesson.page import LessonPage
from tipsim.lesson.diary import Diary
from tipsim.lesson.kinds import right_answer

GOAL = "bent-needle-swings"
"""A lesson whose quiz ends with a goal: a shaft that does not go sideways."""


def goal_page() -> tuple[LessonPage, str]:
    page = LessonPage({"id": GOAL, "begin": "quiz"})
    tell(page, "hello")
    one = page.course
    assert one is not None
    for _ in range(20):
        item = one.questions()[-1]
        if one.school.item(item).kind == "goal":
            tell(page, "")
            return page, item
        one.answer(item, right_answer(one.asked(item)), "")
    pytest.fail("the quiz holds no goal")


def test_a_goal_is_judged_by_what_stands_on_the_bench() -> None:
    page, item = goal_page()
    assert page.shown["step"]["goal"] == item
    tell(page, "answer", {"item": item, "given": {}})
    assert page.shown["step"]["questions"][-1]["verdict"] == "partly"
    tell(page, "again", item)
    changes = [
        {"side": "a", "field": "needle", "value": "straight-medium"},
        {"side": "both", "field": "drive", "value": "axial"},
    ]
    page.bench.handle({"seq": 1, "changes": changes})
    tell(page, "answer", {"item": item, "given": {}})
    shown = page.shown["step"]["questions"][-1]
    assert shown["verdict"] == "right"
    assert shown["revealed"]["holds"] == [True, True]


def test_a_goal_in_a_framed_page_is_judged_by_its_address_and_free_fields_only() -> None:
    page, item = goal_page()
    # The camera is no free field, and does not matter.
    query = "?a.needle=straight&drive=axial&power=100&view.camera=edge"
    tell(page, "answer", {"item": item, "given": {"query": query}})
    assert page.shown["step"]["questions"][-1]["verdict"] == "right"
    page, item = goal_page()
    tell(page, "answer", {"item": item, "given": {"query": "?power=lots"}})
    shown = page.shown["step"]["questions"][-1]
    assert shown["state"] == "open"
    assert 'power is "lots"' in shown["error"]


class Due(Diary):
    """Somebody for whom a goal of the lesson on occlusion is due."""

    def to_review(self, *_: Any) -> tuple[str, ...]:
        return ("surge-goal",)


def test_a_goal_asked_as_a_review_stands_on_the_page_of_its_own_lesson() -> None:
    guest = course("pendulum-and-whip", Due())
    assert guest.lesson.page == "bench" and guest.step.kind == "review"
    setting = guest.setting()
    assert setting is not None and setting.page == "flow"


def test_only_free_fields_can_be_changed() -> None:
    bench = LiveBench()
    bench.lay({"a": {"needle": "straight"}, "b": {"needle": "single-bend"}}, ["power"])
    before = bench.state
    for field, value in (("needle", "straight"), ("drive", "axial"), ("spacing_mm", 0.1)):
        bench.handle({"seq": 1, "changes": [{"side": "both", "field": field, "value": value}]})
        assert bench.state == before
        assert "fixed in this step" in bench.controls.reply["notice"]
    wrong = {"side": "both", "field": "drive.power_percent", "value": 140}
    bench.handle({"seq": 2, "changes": [wrong]})
    assert "0 to 100 %" in bench.controls.reply["errors"]["both:drive.power_percent"]
    bench.handle({"seq": 3, "changes": [{**wrong, "value": 20}]})
    assert bench.state.bench.a.drive.power == 0.2
    bench.handle({"seq": 4, "changes": [{"side": "both", "field": "reset"}]})
    assert bench.state == before
    assert "link" not in bench.controls.reply


def test_the_bench_of_a_lesson_can_be_undone_until_it_is_laid_anew() -> None:
    bench = LiveBench()
    bench.lay({"a": {"needle": "straight", "power": "40"}}, ["power"])
    change = {"side": "both", "field": "drive.power_percent", "value": 80}
    bench.handle({"seq": 1, "changes": [change]})
    assert bench.settings()["b"]["power"] == "80"
    bench.handle({"seq": 2, "changes": [{"side": "both", "field": "undo", "value": True}]})
    assert bench.settings()["b"]["power"] == "40"
    assert (bench.controls.reply["undo"], bench.controls.reply["redo"]) == (False, True)
    bench.lay({"a": {"needle": "straight", "power": "60"}}, ["power"])
    assert (bench.controls.reply["undo"], bench.controls.reply["redo"]) == (False, False)
