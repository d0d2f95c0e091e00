"""The overview of the lessons, the handouts and the sheet for the wet lab, without a browser."""

import re
from datetime import timedelta
from typing import Any

import pytest

from tests.unit.courses import FIRST, LESSONS, course, finish
from tipsim.app.pages.lessons import drill
from tipsim.app.pages.lessons.page import Lessons
from tipsim.app.pages.lessons.paper import sheet_html
from tipsim.lesson.diary import Recorded
from tipsim.lesson.read import school
from tipsim.lesson.records import Records
from tipsim.setup.errors import BadInput
from tipsim.setup.inputs import changed
from tipsim.setup.link import from_items
from tipsim.setup.sourced import number
from tipsim.solve import solve


def go_through(records: Records, code: str, until: str = "key-points") -> None:
    """Answer everything of the first lesson right, up to a step."""
    finish(course(FIRST, Recorded(records, code)), until)


def tell(page: Lessons, field: str, value: Any = True) -> None:
    """Send a page what its part sends."""
    page.handle({"changes": [{"side": "both", "field": field, "value": value}]})


def overview(code: str | None = None) -> Lessons:
    page = Lessons()
    tell(page, "hello", code)
    return page


def handout_html(id: str, seed: str, answers: bool) -> str:
    return sheet_html("handout", {"id": id, "seed": seed, "answers": str(int(answers))})


def test_a_learner_starts_comes_back_takes_along_and_deletes(records: Records) -> None:
    page = overview()
    assert page.shown["learner"] is None
    tell(page, "choose", "nurses")
    tell(page, "start", "blue heron")
    code = page.shown["learner"]["code"]
    go_through(records, code, "predict")

    other = overview(code=code)
    assert other.shown["track"]["id"] == "nurses"
    assert other.shown["lessons"][FIRST]["state"] == "begun"
    assert "at predict" in other.shown["resume"]["words"]
    tell(other, "export")
    text = other.part.content["file"]["text"]
    tell(other, "remove")
    assert records.learners() == ()
    assert other.shown["learner"] is None
    tell(other, "import", text)
    assert other.shown["learner"]["code"] == code
    assert other.shown["lessons"][FIRST]["state"] == "begun"


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("start", "", "is empty"),
        ("start", "a@b.org", "is an address"),
        ("back", "hello", "is not a code"),
        ("back", "23456-789AB", "is not known here"),
        ("import", "{}", "missing or another one"),
        ("import", "nonsense", "is no JSON"),
    ],
)
def test_wrong_input_on_the_overview(records: Records, field: str, value: str, words: str) -> None:
    page = overview()
    tell(page, field, value)
    assert words in page.shown["errors"][field]
    assert page.shown["learner"] is None
    assert records.learners() == ()


def test_a_finished_lesson_is_done_and_later_due(records: Records) -> None:
    code = records.add("blue heron").code
    go_through(records, code)
    shown = overview(code).shown
    assert shown["lessons"][FIRST]["state"] == "done"
    assert shown["due"] == ""
    start = records.now()
    records.now = lambda: start + timedelta(days=2)
    shown = overview(code).shown
    assert shown["lessons"][FIRST]["state"] == "due"
    assert shown["due"].startswith("<b>To repeat now:</b>")


# ---- paper ----


@pytest.mark.parametrize("lesson", LESSONS)
def test_a_handout_holds_every_asked_item_and_answers_only_on_request(lesson: str) -> None:
    found = school().lessons[lesson]
    bare, full = (handout_html(lesson, "7", answers) for answers in (False, True))
    asked = {item for step in found.steps for item in step.items}  # a comparison asks none anew
    assert bare.count('<section class="item">') == len(asked)
    # Names are for files, not for learners.
    assert [item for item in asked if item in bare] == []
    assert 'class="answer"' not in bare
    assert "Guide for teachers" not in bare
    assert full.count("<b>Answer:</b>") >= len(found.items)
    for title in found.guide:
        assert f"<h3>{title}</h3>" in full
    assert "seed 7" in bare
    assert "data-term" not in full


def test_another_seed_gives_other_numbers() -> None:
    sheets = {handout_html(FIRST, str(seed), False) for seed in range(4)}
    assert len(sheets) == 4


@pytest.mark.parametrize(
    ("id", "seed", "words"), [("nix", "1", 'lesson is "nix"'), (FIRST, "-1", 'seed is "-1"')]
)
def test_a_handout_of_a_wrong_link(id: str, seed: str, words: str) -> None:
    with pytest.raises(BadInput, match=re.escape(words)):
        handout_html(id, seed, True)


def test_the_lab_sheet_holds_what_the_model_predicts() -> None:
    html = sheet_html("lab-sheet", {"power": "60", "outside": "wound", "aspiration": "10"})
    a = solve(
        from_items({"needle": "single-bend", "power": "60", "outside": "wound", "aspiration": "10"})
    )
    stroke = a.motion.end_stroke * 1e6
    # A hundredth more length and less, computed by themselves and not from the sensitivity.
    ends = sorted(stroke * (1 + e) for e in _length_effects(a))
    assert f"<td>{stroke:.0f} µm peak to peak ({ends[0]:.0f} to {ends[1]:.0f})</td>" in html
    assert f"<td>{a.heat.peak_sleeve - 273.15:.0f} °C (" in html
    assert "<h1>Sheet for the wet lab</h1>" in html
    assert "What happens" not in html
    assert "<td>60 %</td>" in html
    assert "<td>10 mL/min</td>" in html
    assert "no settings for a machine" in html
    low, high = (f"{t - 273.15:.0f}" for t in a.wound.peak.inner)
    assert f"({low} to {high}) °C</td>" in html
    with pytest.raises(BadInput, match="power"):
        sheet_html("lab-sheet", {"power": "lots"})


def _length_effects(r: Any) -> tuple[float, float]:
    effect = next(e for e in r.sensitivity.effects if e.what == "length")
    low, high = effect.end
    return low, high


DRILL = {"power": "100", "outside": "wound", "outside.temperature_c": "33", "duration": "30"}


def test_a_sheet_of_a_fault_says_so_and_counts_from_the_fault() -> None:
    html = sheet_html("lab-sheet", DRILL | {"events": "5:flow lost"})
    fault, usual = (
        solve(from_items({"needle": "single-bend", **DRILL, **more}))
        for more in ({"events": "5:flow lost"}, {})
    )
    assert "<h1>Fault drill, not normal use</h1>" in html
    assert "At 5 s irrigation stops" in html
    late = fault.heat.seconds_to(273.15 + 45)
    assert late is not None
    assert f"<td>{late - 5:.1f} s" in html
    assert f"<td>{late:.1f} s" not in html
    # Normal use stands beside it.
    assert usual.heat.peak_sleeve < 273.15 + 41 < fault.heat.peak_sleeve
    assert f"<td>{usual.heat.peak_sleeve - 273.15:.0f} °C (" in html
    assert f"<td>{fault.heat.peak_sleeve - 273.15:.0f} °C (" in html
    assert "Foot off when" in html


def test_the_band_of_a_drill_holds_its_value_and_both_ends_of_every_assumed_number() -> None:
    bench = from_items({"needle": "single-bend", **DRILL, "events": "5:flow lost"})
    run = solve(bench).heat
    low, high = drill.band(bench, drill.warmest(run), drill.warmest)
    assert low <= drill.warmest(run) <= high
    id = "thermal.annulus_mixing"
    for end in (number(id).low, number(id).high):
        found = solve(changed(bench, {id: number(id).unit.to_si(end)})).heat
        assert low - 3 < drill.warmest(found) < high + 3  # The band is computed on a rougher grid.
