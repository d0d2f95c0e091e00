"""A lesson's form, counted by hand; and answers that a measurement contradicts are not graded."""

from dataclasses import replace
from pathlib import Path

import pytest

from tests.lessons.example import change, complaints
from tipsim.heat.validation.rows import rows
from tipsim.lesson.ask import Asked, ask_variant
from tipsim.lesson.check import check_folder
from tipsim.lesson.check_form import knowledge, minutes_of
from tipsim.lesson.check_missed import check_missed, order_missed, row_missed
from tipsim.lesson.faults import Faults
from tipsim.lesson.format import Bench, Formula, Lesson
from tipsim.lesson.handed import paper, papers
from tipsim.lesson.read import school
from tipsim.setup.errors import BadInput

PRACTICAL = (
    *("pedal-first-minute", "setting-up", "occlusion-and-surge", "wound-burn"),
    *("why-needle-burns", "choosing-settings", "plan-wet-lab"),
)


def test_minutes_are_words_items_and_runs(own: Path) -> None:
    """Words are counted here once more, each placeholder as one."""
    lesson = check_folder(own.parent)[0].lessons["example-power"]
    words = 0
    for step in lesson.steps:
        for text in (step.text, *step.change, *step.look):
            depth, inside = 0, ""
            for sign in text.source:
                depth += (sign == "{") - (sign == "}")
                inside += "x" if depth or sign == "}" else sign
            words += len(inside.split())
    words += sum(len(c.text.source.split()) for c in lesson.key_points)
    items = sum(len(s.items) for s in lesson.steps if s.kind in ("predict", "observe", "quiz"))
    assert minutes_of(lesson) == pytest.approx(words / 160 + 0.6 * items + 1.5, abs=0.05)


@pytest.mark.parametrize(
    ("file", "old", "new", "told"),
    [
        ("lesson.md", "minutes: 8", "minutes: 16", "minutes is 16; allowed: within a fifth"),
        ("items.yaml", "  asks: apply\n", "", "asks is missing; allowed: recall, explain"),
        ("kinds.yaml", "asks: apply", "asks: recall", "recall is 7 of 8; allowed: at most a third"),
        (
            "kinds.yaml",
            "asks: apply",
            "asks: explain",
            "decide is 1 of 8; allowed: at least",
        ),
        ("lesson.md", "minutes: 8", "minutes: 8\npractical: true", "to decide is 0; allowed: 5"),
        (
            "lesson.md",
            'change: ["Press Run',
            'change: ["Nothing yet. Press Run',
            "nothing at first",
        ),
        ("lesson.md", "moving: true", "moving: false", "moving is false"),
    ],
)
def test_a_lesson_out_of_form_is_refused(
    own: Path, file: str, old: str, new: str, told: str
) -> None:
    change(own / file, old, new)
    found = complaints(own)
    assert any(told in sentence for sentence in found), found


def test_practical_lessons_hold_cases_and_none_is_longer_than_twenty_minutes() -> None:
    lessons = school().lessons
    assert {id for id, lesson in lessons.items() if lesson.practical} == set(PRACTICAL)
    for lesson in lessons.values():
        counted = knowledge(lesson)
        assert 3 * counted["recall"] <= counted.total(), lesson.id
        assert 3 * (counted["apply"] + counted["decide"]) >= counted.total(), lesson.id
        assert lesson.minutes <= 20
        assert abs(minutes_of(lesson) - lesson.minutes) <= minutes_of(lesson) / 5
    for id in PRACTICAL:
        assert sum(i.asks == "decide" for i in lessons[id].items.values()) >= 5, id


def test_the_front_door_has_nine_questions_and_opens_with_motion() -> None:
    lesson = next(iter(school().lessons.values()))
    assert lesson.id == "drive-to-stroke"
    assert sum(len(s.items) for s in lesson.steps if s.kind != "compare") <= 9
    assert all(each.steps[0].moving for each in school().lessons.values())


# ---- numbers that a measurement contradicts ----


def graded(lesson: Lesson, side: dict[str, str], right: str) -> Asked:
    """A question on one side, graded by one condition."""
    item = lesson.items["heat-why-spot"]
    choices = tuple(
        replace(c, right=Formula(right if i == 0 else "false")) for i, c in enumerate(item.choices)
    )
    bench = Bench({"c": side})
    return ask_variant(lesson, replace(item, choices=choices, bench=bench), 0)


def refused(side: dict[str, str], right: str) -> list[str]:
    faults = Faults()
    check_missed(graded(school().lessons["heat-along-shaft"], side, right), faults)
    return [str(f) for f in faults]


def test_an_answer_on_a_missed_row_is_refused_and_on_a_hit_one_is_not() -> None:
    """Each published row, laid on a lesson's bench, with a question on what it measured."""
    seen = set()
    for row in rows().rows:
        where = "wound" if row.measure.startswith("wound") else "sleeve"
        right = f"c.heat.peak_{where}_temperature_c > 40"
        named = [w for w in refused(dict(row.bench), right) if f'"{row.id}" as missed' in w]
        assert bool(named) == row_missed(row), row.id
        seen.add(row_missed(row))
    assert seen == {True, False}


def test_what_no_row_measured_may_be_asked() -> None:
    bare = {"needle": "straight-1.1", "drive": "axial", "sleeve": "none", "outside": "wound"}
    assert refused(bare | {"aspiration": "0", "leak": "0"}, "c.end_stroke_um_pp > 10") == []


def test_watts_of_rubbing_and_metal_are_not_ranked_while_the_order_is_missed() -> None:
    order = next(o for o in rows().orders if o.rubbing_over_metal)
    told = refused({"needle": "single-bend"}, "c.heat.sources_w.rubbing > c.heat.sources_w.metal")
    assert bool(told) == order_missed(order)


# ---- papers ----


def test_every_paper_has_its_title_and_every_box_is_one() -> None:
    found = papers()
    assert {"setting-up", "plan-residents", "plan-nurses", "plan-research"} <= set(found)
    for id, title in found.items():
        shown = paper(id)
        assert shown["title"] == title and title
        assert "[ ]" not in shown["html"]
        assert "<table>" in shown["html"]
    assert paper("setting-up")["html"].count('class="box"') == 16
    with pytest.raises(BadInput, match="nix"):
        paper("nix")


def test_a_record_of_an_earlier_track_follows_the_new_one() -> None:
    found = school()
    assert found.track("self-study") is found.tracks["research"]
    assert found.track("nix") is None
