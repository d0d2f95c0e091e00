"""The pages of the lessons without a browser: what is asked, stored, told, printed."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.exc import OperationalError

from tipsim.app.lessons.course import ASKING, Course
from tipsim.app.lessons.diary import Fleeting, Recorded
from tipsim.app.lessons.live import LiveBench
from tipsim.app.lessons.player import NOT_STORED, LessonPlayer
from tipsim.app.lessons.show import content
from tipsim.lesson.ask import ask
from tipsim.lesson.fill import fill
from tipsim.lesson.kinds import right_answer
from tipsim.lesson.read import school
from tipsim.lesson.records import Records
from tipsim.lesson.rounds import run_of, step_values

FIRST = "drive-to-stroke"
LESSONS = list(school().lessons)


@pytest.fixture
def records(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Records]:
    """Records of our own, which the pages use, too."""
    own = Records(tmp_path / "records.sqlite")
    for page in ("player", "overview"):
        monkeypatch.setattr(f"tipsim.app.lessons.{page}.records", lambda: own)
    yield own
    own.close()


def course(lesson: str = FIRST, diary: Any = None, **options: Any) -> Course:
    return Course(school(), school().lessons[lesson], diary or Fleeting(), **options)


def finish(course: Course, until: str = "key-points") -> None:
    """Answer everything right up to a step."""
    while course.step.id != until:
        course.run()
        while open := [i for i in course.questions() if course.is_open(i)]:
            for item in open:
                course.answer(item, right_answer(course.asked(item)), "2")
                assert course.errors == {}
        assert course.next()


# ---- order and locks ----


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
    assert one.errors == {item: "Say how sure you are, too."}
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


@pytest.mark.parametrize("lesson", LESSONS)
def test_every_lesson_can_be_gone_through(lesson: str) -> None:
    one = course(lesson)
    finish(one)
    shown = content(one)
    assert json.dumps(shown)
    assert [s["state"] for s in shown["steps"][:-1]] == ["done"] * (len(one.steps) - 1)
    good, of = re.match(r"(\d+) of (\d+)", shown["step"]["result"]["words"]).groups()  # type: ignore[union-attr]
    assert good == of != "0"
    assert "part" not in {o["level"] for o in shown["step"]["result"]["objectives"]} or of < "9"


@pytest.mark.parametrize("lesson", LESSONS)
def test_every_step_speaks_of_the_bench_of_its_own_round(lesson: str) -> None:
    found = school().lessons[lesson]
    for step in found.steps:
        fill(step.text.source, step_values(found, step))
    second = [s for s in found.steps if s.kind == "run"][1:]
    for run in second:
        at = found.steps.index(run)
        assert run_of(found, found.steps[at - 1]) is run
        assert run_of(found, found.steps[at + 1]) is run


def test_texts_of_a_second_round_have_its_numbers() -> None:
    """40 % beside 80 %: four times the watts, not what stands on the bench of the first run."""
    found = school().lessons[FIRST]
    explain = next(s for s in found.steps if s.id == "explain-2")
    text = fill(explain.text.source, step_values(found, explain))
    one, two = (float(w) for w in re.findall(r"(\d[\d.]*) W\b", text))
    assert two / one == pytest.approx(4, rel=0.1)


# ---- nothing is told before it is stored ----


@pytest.mark.parametrize("lesson", LESSONS)
def test_a_question_does_not_hold_its_answer(lesson: str) -> None:
    found = school().lessons[lesson]
    for item in found.items.values():
        asked = ask(found, item, 3)
        told = question(asked)
        assert not {"answer", "truth", "truths", "curve", "revealed", "feedback"} & set(told)
        for choice in told.get("choices", []):
            assert set(choice) == {"id", "html"}


def test_what_cannot_be_stored_is_not_judged(
    records: Records, monkeypatch: pytest.MonkeyPatch
) -> None:
    code = records.add("blue heron").code
    page = LessonPlayer({"id": FIRST, "begin": "quiz"})
    page.handle({"do": "hello", "code": code, "seq": 1})
    assert page.course is not None
    item = page.course.questions()[0]

    def fails(*_: Any) -> None:
        raise OperationalError("insert", {}, Exception("disk full"))

    monkeypatch.setattr(records, "store", fails)
    given = right_answer(page.course.asked(item))
    page.handle({"do": "answer", "item": item, "given": given, "seq": 2})
    (shown,) = page.part.content["step"]["questions"]
    assert shown["state"] == "open"
    assert shown["error"] == NOT_STORED
    assert "verdict" not in shown


def test_wrong_input_is_said_and_nothing_is_stored() -> None:
    one = course(quiz_first=True)
    number = next(i for i in one.step.items if one.school.item(i).kind == "number")
    assert one.questions()[0] == number
    one.answer(number, "far", "")
    assert "allowed: a number" in one.errors[number]
    one.answer("no-such-item", 3, "")
    assert one.diary.history() == []


def test_messages_of_no_sense_change_nothing() -> None:
    page = LessonPlayer({"id": FIRST})
    page.handle({"do": "next", "seq": 1})
    assert page.part.content == {}
    page.handle({"do": "hello", "seq": 2})
    before = page.part.content["step"]
    for message in ({"do": "fly"}, {}, {"do": "go", "step": "quiz"}, {"do": "answer", "item": 7}):
        page.handle({**message, "seq": 3})
        assert page.part.content["step"] == before


# ---- coming back ----


def test_a_learner_who_was_stopped_goes_on_with_the_same_questions(records: Records) -> None:
    code = records.add("blue heron").code
    first = LessonPlayer({"id": FIRST})
    first.handle({"do": "hello", "code": code, "seq": 1})
    assert first.course is not None
    finish(first.course, "quiz")
    item = first.course.questions()[0]
    first.course.answer(item, "1", "")
    waiting = first.course.questions()[1]
    seed = first.course.asked(waiting).seed

    second = LessonPlayer({"id": FIRST})
    second.handle({"do": "hello", "code": code.lower().replace("-", " "), "seq": 1})
    shown = second.part.content["step"]
    assert shown["id"] == "quiz"
    assert second.part.content["who"] == "blue heron"
    assert [q["state"] for q in shown["questions"]] == ["judged", "open"]
    assert second.course is not None
    assert second.course.asked(waiting).seed == seed


def test_an_unknown_code_is_said_and_keeps_nothing(records: Records) -> None:
    page = LessonPlayer({"id": FIRST})
    page.handle({"do": "hello", "code": "23456-789AB", "seq": 1})
    assert "nothing is kept" in page.part.content["notice"]
    assert isinstance(page.course.diary, Fleeting) if page.course else False


def test_an_unknown_lesson_is_said() -> None:
    page = LessonPlayer({"id": "no-such"})
    page.handle({"do": "hello", "seq": 1})
    assert page.part.content["notice"] == 'There is no lesson "no-such"; this is the first one.'
    assert page.part.content["lesson"]["id"] == FIRST


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


# ---- quiz first, practice, goals ----


def test_who_knows_it_takes_the_quiz_first() -> None:
    one = course(quiz_first=True)
    assert [s.kind for s in one.steps] == ["quiz", "key-points"]
    finish(one)
    assert content(one)["step"]["result"]["repeat"] == []


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
    assert any(words[objective][:20] in r for r in content(one)["step"]["result"]["repeat"])
    for _ in range(3):
        one.practise(objective)
        (practised,) = one.questions()
        assert one.school.item(practised).objective == objective
        one.answer(practised, right_answer(one.asked(practised)), "")
        assert not one.is_open(practised)
    assert all(words[objective][:20] not in r for r in content(one)["step"]["result"]["repeat"])


def goal_page() -> tuple[LessonPlayer, str]:
    page = LessonPlayer({"id": FIRST, "begin": "quiz"})
    page.handle({"do": "hello", "seq": 1})
    one = page.course
    assert one is not None
    while one.school.item(one.questions()[-1]).kind != "goal":
        item = one.questions()[-1]
        one.answer(item, right_answer(one.asked(item)), "")
    page.handle({"do": "", "seq": 2})
    return page, one.questions()[-1]


def test_a_goal_is_judged_by_what_stands_on_the_bench() -> None:
    page, item = goal_page()
    assert page.part.content["step"]["goal"] == item
    page.handle({"do": "answer", "item": item, "given": {}, "seq": 3})
    assert page.part.content["step"]["questions"][-1]["verdict"] == "partly"
    page.handle({"do": "again", "item": item, "seq": 4})
    assert page.course is not None
    power = right_answer(page.course.asked(item))["a"]["power"]
    side = next(iter(c["side"] for g in page.bench.controls.schema for c in g["controls"]))
    change = {"side": side, "field": "drive.power_percent", "value": float(power)}
    page.bench.handle({"seq": 1, "changes": [change]})
    page.handle({"do": "answer", "item": item, "given": {}, "seq": 5})
    shown = page.part.content["step"]["questions"][-1]
    assert shown["verdict"] == "right"
    assert shown["revealed"]["holds"] == [True, True]


def test_a_goal_in_a_framed_page_is_judged_by_its_address_and_free_fields_only() -> None:
    page, item = goal_page()
    assert page.course is not None
    power = right_answer(page.course.asked(item))["a"]["power"]
    query = f"?a.needle=straight&b.needle=straight&power={power}&view.camera=edge"
    page.handle({"do": "answer", "item": item, "given": {"query": query}, "seq": 3})
    assert page.part.content["step"]["questions"][-1]["verdict"] == "right"
    page, item = goal_page()
    page.handle({"do": "answer", "item": item, "given": {"query": "?power=lots"}, "seq": 3})
    shown = page.part.content["step"]["questions"][-1]
    assert shown["state"] == "open"
    assert 'power is "lots"' in shown["error"]


class Due(Fleeting):
    """Somebody for whom a goal of the lesson on burns is due."""

    def to_review(self, *_: Any) -> tuple[str, ...]:
        return ("burn-goal",)


def test_a_goal_asked_as_a_review_stands_on_the_page_of_its_own_lesson() -> None:
    guest = course("pendulum-and-whip", Due())
    assert guest.lesson.page == "bench" and guest.step.kind == "review"
    setting = guest.setting()
    assert setting is not None and setting.page == "heat"


def test_only_free_fields_can_be_changed() -> None:
    bench = LiveBench()
    bench.lay({"a": {"needle": "straight"}, "b": {"needle": "single-bend"}}, ["power"])
    before = bench.state
    for field, value in (("needle", "straight"), ("drive", "axial"), ("spacing_mm", 0.1)):
        bench.handle({"seq": 1, "changes": [{"side": "both", "field": field, "value": value}]})
        assert bench.state == before
    wrong = {"side": "both", "field": "drive.power_percent", "value": 140}
    bench.handle({"seq": 2, "changes": [wrong]})
    assert "Power is 140 %" in bench.controls.reply["errors"]["both:drive.power_percent"]
    bench.handle({"seq": 3, "changes": [{**wrong, "value": 20}]})
    assert bench.state.a.drive.power == 0.2
    bench.handle({"seq": 4, "changes": [{"side": "both", "field": "reset"}]})
    assert bench.state == before
    assert "link" not in bench.controls.reply


def test_steps_that_ask_are_known() -> None:
    """Every kind of step that holds questions is one the player waits at."""
    for lesson in school().lessons.values():
        for step in lesson.steps:
            if step.items and step.kind not in ("compare", "run"):
                assert step.kind in ASKING
