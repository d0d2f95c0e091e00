"""What a lesson draws once holds through all of it, and is tried in every case by the check."""

import json
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from tests.lessons.example import change, complaints, write_example
from tests.unit.courses import course, finish
from tipsim.app.pages.lesson.show import content
from tipsim.lesson.diary import Diary, Recorded
from tipsim.lesson.draws import drawn
from tipsim.lesson.read import school
from tipsim.lesson.records import Records
from tipsim.setup.catalogue import catalogue

ID = "bench-study"


def keyed(key: str) -> Diary:
    diary = Diary()
    diary.key = key
    return diary


def names(draw: Any) -> list[str]:
    """Titles of the needles that were drawn, read from the catalogue."""
    known = catalogue()
    return [known.needles[known.main.get(draw[n], draw[n])].title for n in ("p", "q")]


def test_every_draw_comes_about_equally_often() -> None:
    """Of 800 learners 200 each, within five standard deviations: √(800 · ¼ · ¾) = 12.2."""
    lesson = school().lessons[ID]
    found = Counter(json.dumps(drawn(lesson, f"learner {i}").draw) for i in range(800))
    assert len(found) == len(lesson.draws) == 4
    assert all(abs(n - 200) < 61 for n in found.values()), found


def test_runs_questions_and_texts_share_one_draw() -> None:
    seen = set()
    for key in map(str, range(24)):
        now = course(ID, keyed(key))
        draw = now.lesson.draw
        seen.add(tuple(draw.values()))
        for step in now.steps:
            if step.kind == "run":
                now.at = now.steps.index(step)
                setting = now.setting()
                assert setting is not None
                assert [setting.sides[s]["needle"] for s in "ab"] == list(draw.values())
                assert [setting.sides[s]["needle.title"] for s in "ab"] == ["P", "Q"]
        for item in now.lesson.items:
            asked = now.asked(item)
            used = [asked.values.sides[s]["needle"] for s in "ab"]
            if "p" in asked.variant:
                assert used == list(draw.values()), (key, item)
    assert len(seen) == 4


def test_a_second_tab_has_the_same_draw_and_a_repeat_draws_again(tmp_path: Path) -> None:
    records = Records(tmp_path / "records.db")
    draws = []
    for _ in range(6):
        code = records.add("Ann").code
        one, tab = course(ID, Recorded(records, code)), course(ID, Recorded(records, code))
        assert one.lesson.draw == tab.lesson.draw
        first = one.lesson.draw
        one.restart()
        draws.append((first, one.lesson.draw))
        assert course(ID, Recorded(records, code)).lesson.draw == one.lesson.draw
    assert any(first != then for first, then in draws)


def test_names_are_told_at_the_end_only() -> None:
    for key in ("one", "two"):
        now = course(ID, keyed(key))
        told = names(now.lesson.draw)
        while True:
            shown = content(now)
            shown["step"] = {k: v for k, v in shown["step"].items() if k not in ("frame", "page")}
            for question in (*shown["step"]["questions"], *shown["step"]["compare"]):
                question.pop("query")
            text = json.dumps(shown, ensure_ascii=False, default=str)
            if now.step.kind == "key-points":
                assert f"P was {told[0]}, Q was {told[1]}." in text
                break
            assert not [n.title for n in catalogue().needles.values() if n.title in text]
            finish(now, now.steps[now.at + 1].id)


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """The guide's example, which draws the needle of its side A."""
    own = write_example(tmp_path / "lessons")
    path = own / "lesson.md"
    text = path.read_text(encoding="utf-8")
    draws = "drawn:\n  - {which: straight}\n  - {which: straight-wide}\nbench:\n"
    path.write_text(text.replace("bench:\n", draws, 1), encoding="utf-8")
    return own


def test_the_check_tries_every_draw(own: Path) -> None:
    change(own / "lesson.md", "minutes: 8", "minutes: 5", 1)
    before = complaints(own)
    change(own / "lesson.md", "needle: straight,", "needle: $which,", 1)
    assert complaints(own) == before
    change(own / "lesson.md", "which: straight-wide", "which: straight-nothing", 1)
    assert any("straight-nothing" in each for each in complaints(own))
    change(own / "lesson.md", "which: straight-nothing", "other: straight", 1)
    assert any("different names" in each for each in complaints(own))
