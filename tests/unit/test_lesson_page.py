"""The pages of the lessons without a browser: what is asked, stored, told, printed."""

import json
import re
from typing import Any

import pytest

from tests.unit.courses import FIRST, LESSONS, course, finish, tell
from tests.unit.full_disk import held
from tipsim.app.framework.acts import FAILED
from tipsim.app.pages.lesson.page import NOT_STORED, LessonPage
from tipsim.app.pages.lesson.show import content
from tipsim.lesson.course import ASKING, Course
from tipsim.lesson.diary import Diary, Recorded
from tipsim.lesson.fill import fill
from tipsim.lesson.kinds import right_answer
from tipsim.lesson.read import school
from tipsim.lesson.records import Records
from tipsim.lesson.rounds import run_of, step_values
from tipsim.setup.link import from_items
from tipsim.solve import solve


def test_run_stays_locked_until_every_prediction_is_stored() -> None:
    one = course()
    assert one.next()
    assert not one.go("run")
    first, second = one.step.items
    assert one.questions() == (first,)
    one.answer(first, right_answer(one.asked(first)), "1")
    assert one.questions() == (first, second)
    assert not one.next()
    assert content(one)["step"]["next"]["open"] is False
    one.answer(second, right_answer(one.asked(second)), "3")
    assert one.next()
    assert one.step.id == "run"
    assert not one.next()
    one.run()
    assert one.next()


def test_a_prediction_needs_how_sure_one_is_and_tells_nothing() -> None:
    one = course()
    one.next()
    item = one.step.items[0]
    one.answer(item, right_answer(one.asked(item)), "")
    assert one.errors == {item: "Choose how sure you are as well."}
    assert item not in one.kept
    one.answer(item, right_answer(one.asked(item)), "2")
    (shown, *_) = content(one)["step"]["questions"]
    assert shown["state"] == "stored"
    assert shown["verdict"] is None
    assert shown["revealed"] is None
    assert "feedback" not in shown


def test_a_second_answer_to_the_same_question_is_dropped() -> None:
    one = course()
    one.next()
    item = one.step.items[0]
    one.answer(item, "c1", "1")
    one.answer(item, "c2", "3")
    assert one.kept[item].given == "c1"
    assert len(one.diary.history()) == 1


def test_every_lesson_can_be_gone_through(subtests: pytest.Subtests) -> None:
    for lesson in LESSONS:
        with subtests.test(lesson):
            one = course(lesson)
            finish(one)
            shown = content(one)
            assert json.dumps(shown)
            assert [s["state"] for s in shown["steps"][:-1]] == ["done"] * (len(one.steps) - 1)
            asked = [i for s in one.steps if s.kind == "quiz" for i in s.items]
            words = f"{len(asked)} of {len(asked)} answers in the quiz were right."
            assert shown["step"]["result"]["words"].startswith(words)


def test_every_step_speaks_of_the_bench_of_its_own_round() -> None:
    rounds = 0
    for found in school().lessons.values():
        for run in [s for s in found.steps if s.kind == "run"][1:]:
            at = found.steps.index(run)
            assert run_of(found, found.steps[at - 1]) is run
            assert run_of(found, found.steps[at + 1]) is run
            rounds += 1
    assert rounds


def test_texts_of_a_second_round_have_its_numbers() -> None:
    """At 60 %, as set for the second run, and not at 80 % as in the first."""
    found = school().lessons[FIRST]
    explain = next(s for s in found.steps if s.id == "explain-2")
    text = fill(explain.text.source, step_values(found, explain))
    (told,) = re.findall(r"moves by up to (\d+) µm", text)
    bench = from_items({"needle": "single-bend", "drive": "torsional", "power": "60"})
    shaft = solve(bench)["motion.shaft_stroke"] * 1e6
    assert float(told) == pytest.approx(shaft, abs=0.6)


# ---- nothing is told before it is stored ----


def test_what_cannot_be_stored_is_not_judged(records: Records) -> None:
    """Another program holds the file; the learner gets a sentence, and may try again."""
    code = records.add("blue heron").code
    page = LessonPage({"id": FIRST, "begin": "quiz"})
    tell(page, "hello", code)
    assert page.course is not None
    item = page.course.questions()[0]
    given = {"item": item, "given": right_answer(page.course.asked(item))}
    with held(records):
        tell(page, "answer", given)
        (shown,) = page.shown["step"]["questions"]
        assert shown["state"] == "open"
        assert shown["error"] == NOT_STORED
        assert "verdict" not in shown
        tell(page, "restart")
        assert page.shown["notice"] == NOT_STORED
    assert records.answers(code) == ()
    tell(page, "answer", given)
    assert [a.item for a in records.answers(code)] == [item]
    assert page.shown["step"]["questions"][0]["verdict"] == "right"
    assert page.shown["notice"] == ""


def test_wrong_input_is_said_and_nothing_is_stored() -> None:
    one = course(quiz_first=True)
    number = next(i for i in one.step.items if one.school.item(i).kind == "number")
    assert one.questions()[0] == number
    one.answer(number, "far", "")
    assert "allowed: a number" in one.errors[number]
    one.answer("no-such-item", 3, "")
    assert one.diary.history() == []


def test_messages_of_no_sense_change_nothing() -> None:
    page = LessonPage({"id": FIRST})
    tell(page, "next")
    assert page.part.content == {}
    tell(page, "hello")
    before = page.shown["step"]
    one = {"field": "answer", "value": {"item": 7}}
    for message in (7, {}, {"changes": 7}, {"changes": [{"field": "fly"}]}, {"changes": [one]}):
        page.handle(message)
        assert page.shown["step"] == before
    for field, value in (("go", "quiz"), ("go", []), ("practise", []), ("begin", 7)):
        tell(page, field, value)
        assert page.shown["step"] == before


# ---- coming back ----


def test_a_learner_who_was_stopped_goes_on_with_the_same_questions(records: Records) -> None:
    code = records.add("blue heron").code
    first = LessonPage({"id": FIRST})
    tell(first, "hello", code)
    assert first.course is not None
    finish(first.course, "quiz")
    item = first.course.questions()[0]
    first.course.answer(item, "1", "")
    waiting = first.course.questions()[1]
    seed = first.course.asked(waiting).seed

    second = LessonPage({"id": FIRST})
    tell(second, "hello", code.lower().replace("-", " "))
    shown = second.shown["step"]
    assert shown["id"] == "quiz"
    assert second.shown["who"] == "blue heron"
    assert [q["state"] for q in shown["questions"]] == ["judged", "open"]
    assert second.course is not None
    assert second.course.asked(waiting).seed == seed


def test_an_unknown_code_is_said_and_keeps_nothing(records: Records) -> None:
    page = LessonPage({"id": FIRST})
    tell(page, "hello", "23456-789AB")
    assert "nothing is saved" in page.shown["notice"]
    assert type(page.course.diary) is Diary if page.course else False


def test_an_unknown_lesson_is_said() -> None:
    page = LessonPage({"id": "no-such"})
    tell(page, "hello")
    assert page.shown["notice"] == 'There is no lesson "no-such"; this is the first one.'
    assert page.shown["lesson"]["id"] == FIRST


def test_earlier_lessons_open_a_later_one_and_stay_when_one_comes_back(records: Records) -> None:
    code = records.add("blue heron").code
    finish(course(FIRST, Recorded(records, code)))
    later = next(i for i in LESSONS if i != FIRST)
    one = course(later, Recorded(records, code))
    assert one.step.kind == "review"
    items = one.step.items
    assert 1 <= len(items) <= 2
    assert all(school().home(i).id == FIRST for i in items)
    one.answer(items[0], right_answer(one.asked(items[0])), "")
    assert course(later, Recorded(records, code)).step.items == items
    finish(one, "predict")
    again = course(later, Recorded(records, code))
    assert again.step.id == "predict"
    assert again.steps[0].items == items


def test_going_through_again_asks_anew(records: Records) -> None:
    code = records.add("blue heron").code
    one = course(FIRST, Recorded(records, code))
    finish(one)
    assert records.progress(code)[FIRST].finished
    assert course(FIRST, Recorded(records, code)).step.kind == "key-points"
    one.restart()
    assert (one.at, one.kept) == (0, {})
    assert records.progress(code)[FIRST].run == 2


# ---- quiz first, and practice ----


def test_who_knows_it_takes_the_quiz_first() -> None:
    one = course(quiz_first=True)
    assert [s.kind for s in one.steps] == ["quiz", "key-points"]
    finish(one)
    assert content(one)["step"]["result"]["to_repeat"] == []


def test_a_lesson_is_done_by_its_quiz_only_when_all_was_right(records: Records) -> None:
    code = records.add("blue heron").code
    one = course(FIRST, Recorded(records, code), quiz_first=True)
    one.answer(one.questions()[0], "1", "")
    finish(one)
    assert records.progress(code)[FIRST].finished is None
    # Opened as a whole it begins with what was not done yet.
    assert course(FIRST, Recorded(records, code)).step.kind == "predict"
    other = records.add("grey wren").code
    finish(course(FIRST, Recorded(records, other), quiz_first=True))
    assert records.progress(other)[FIRST].finished is not None


def test_a_missed_objective_is_to_be_repeated_and_can_be_practised() -> None:
    one = course(quiz_first=True)
    item = one.questions()[0]
    one.answer(item, "1", "")
    assert one.kept[item].verdict == "wrong"
    finish(one)
    objective = one.school.item(item).objective
    words = {o.id: o.text for o in one.lesson.objectives}
    assert any(words[objective][:20] in r for r in content(one)["step"]["result"]["to_repeat"])
    for _ in range(3):
        one.practise(objective)
        (practised,) = one.questions()
        assert one.school.item(practised).objective == objective
        one.answer(practised, right_answer(one.asked(practised)), "")
        assert not one.is_open(practised)
    assert all(words[objective][:20] not in r for r in content(one)["step"]["result"]["to_repeat"])


def test_whatever_fails_is_answered_with_a_sentence(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    page = LessonPage({"id": FIRST})
    tell(page, "hello")
    before = page.shown["step"]
    for wrong in (7, {"given": 1}, None):
        tell(page, "answer", wrong)
        assert (page.shown["step"], page.shown["notice"]) == (before, FAILED)

    def broken(*_: Any) -> Any:
        raise ZeroDivisionError

    monkeypatch.setattr(Course, "next", broken)
    tell(page, "next")
    assert page.shown["notice"] == FAILED
    assert page.shown["step"] == before
    monkeypatch.setattr("tipsim.app.pages.lesson.page.content", broken)
    tell(page, "back")
    assert page.shown["notice"] == FAILED
    fresh = LessonPage({"id": FIRST})
    tell(fresh, "hello")
    assert fresh.shown["notice"] == FAILED
    assert FAILED in fresh.part.content["html"]
    assert len(caplog.records) == 6


def test_steps_that_ask_are_known() -> None:
    """Every kind of step that holds questions is one the player waits at."""
    for lesson in school().lessons.values():
        for step in lesson.steps:
            if step.items and step.kind not in ("compare", "run"):
                assert step.kind in ASKING
