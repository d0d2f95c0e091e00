"""The authors' guide tells the truth, and every mistake is told with file and line."""

import json
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from tests.lessons.answers import MAKERS, wrong_answers
from tests.lessons.example import change, complaints
from tipsim.lesson.ask import ask, lesson_values, variants
from tipsim.lesson.check import check_folder
from tipsim.lesson.fill import fill
from tipsim.lesson.kinds import KINDS, in_words, kind_of, right_answer, score
from tipsim.lesson.qti import assessment_item
from tipsim.lesson.show import key_points, lesson_html, revealed, shown, values_query
from tipsim.setup.errors import BadInput


def test_the_example_of_the_guide_is_without_mistakes(own: Path) -> None:
    assert complaints(own) == []


JUNK = [None, 3, "zz", "", [], {}, ["c1"], {"a": 3}, True, [[0, 1]], "12 kg", 1e9, [{}], {"p1": []}]
"""Answers of no sense, some of them right for another kind."""


def test_every_kind_does_all_that_a_kind_must(own: Path, subtests: pytest.Subtests) -> None:
    """Read, checked, asked, judged, exported: each kind has an example and answers to try."""
    school, _ = check_folder(own.parent)
    lesson = school.lessons["example-power"]
    assert set(MAKERS) == set(KINDS)
    for name, kind in KINDS.items():
        items = [item for item in lesson.items.values() if item.kind == name]
        with subtests.test(name):
            assert kind.name == name
            assert items
            for item in items:
                assert kind_of(item) is kind
                for asked in variants(lesson, item, seed=3):
                    right = right_answer(asked)
                    assert score(asked, right).verdict == "right"
                    assert in_words(asked, right)
                    assert shown(asked)["html"].startswith("<p>")
                    assert revealed(asked, right)["answer"] == right
                    assert isinstance(json.loads(json.dumps(shown(asked))), dict)
                    assert isinstance(kind.response(right), str)
                    assert assessment_item(asked, "x").endswith("</qti-assessment-item>\n")
                    figure = kind.figure(shown(asked), revealed(asked, right))
                    assert figure == "" or figure.startswith("<svg")
                    for off in wrong_answers(asked):
                        judged = score(asked, off.given)
                        assert judged.verdict != "right", (item.id, off)
                        assert off.verdict in ("", judged.verdict), (item.id, off)
                    for junk in JUNK:
                        with suppress(BadInput):
                            assert score(asked, junk).verdict != "right" or junk == right


# Answers to the examples of tests/lessons/every_kind.yaml, judged by hand: the stroke of the
# straight needle under axial drive is 90 um at 100 %, so 45 um at 50 %.
BY_HAND: list[tuple[str, Any, str]] = [
    ("kind-several", ["c1", "c3"], "right"),
    ("kind-several", ["c1"], "partly"),
    ("kind-several", ["c2"], "wrong"),
    ("kind-order", ["e2", "e3", "e1"], "right"),
    ("kind-order", ["e3", "e2", "e1"], "partly"),
    ("kind-order", ["e1", "e3", "e2"], "wrong"),
    ("kind-procedure", ["e1", "e2", "e3"], "right"),
    ("kind-place", 1.75, "right"),
    ("kind-place", "6,35 mm", "right"),
    ("kind-place", 4.0, "wrong"),
    ("kind-sketch", [[0, 1], [6, 1], [12, 1], [20, 1]], "wrong"),
    ("kind-goal", {"a": {"needle": "straight", "power": "60"}}, "right"),
    ("kind-goal", {"a": {"needle": "straight", "power": "55.5"}}, "partly"),
    ("kind-goal", {"a": {"needle": "straight", "power": "80"}}, "partly"),
]


def test_answers_are_judged_as_by_hand(own: Path) -> None:
    lesson = check_folder(own.parent)[0].lessons["example-power"]
    judged = [
        (id, given, score(ask(lesson, lesson.items[id], 0), given).verdict)
        for id, given, _ in BY_HAND
    ]
    assert judged == BY_HAND


def test_texts_are_shown_with_values(own: Path) -> None:
    lesson = check_folder(own.parent)[0].lessons["example-power"]
    values = lesson_values(lesson)
    prime, explain = (
        lesson_html(lesson, fill(lesson.step(id).text.source, values))
        for id in ("prime", "explain")
    )
    assert 'data-term="stroke">stroke</button> of\n36 µm' in prime
    assert 'href="#source-crouch2004"' in explain
    assert key_points(lesson)[0].startswith("<p>In this model")
    assert values_query(values) == "a.power=40&b.power=80&needle=straight&drive=axial"
    assert lesson.step("compare").items == ("example-predict",)


# File, what is replaced by what in it, and what is told; {line} is that of the change.
MISTAKES = [
    (
        "items.yaml",
        "kind: one",
        "kind: onne",
        'items.yaml:{line}: kind is "onne"; allowed: one, sev',
    ),
    ("items.yaml", "unit: µm", "unit: nm", 'items.yaml:{line}: unit is "nm"'),
    ("items.yaml", "tolerance: 5 %", "tolerance: 0", 'items.yaml:{line}: tolerance is "0"'),
    ("items.yaml", "  kind: one\n", "", "items.yaml:1: kind is missing; allowed: one"),
    ("items.yaml", "keep_order", "keep_oder", "items.yaml:{line}: keep_oder is not a known key"),
    ("items.yaml", "id: example-seen", "id: Seen!", 'items.yaml:{line}: id is "Seen!"'),
    ("items.yaml", "id: example-seen", "id: example-number", "an id that no other item has"),
    (
        "items.yaml",
        "value: 1 / truth",
        "value: 1 + 1",
        "items.yaml:{line}: wrong value (bench) is 2",
    ),
    ("items.yaml", "value: 1 / truth", "value: 1 / trut", "items.yaml:{line}: value: trut (bench)"),
    (
        "items.yaml",
        "a.end_stroke_um_pp\n      feed",
        "a.end\n      feed",
        "right: end (bench) is not a known",
    ),
    ("items.yaml", "> 1.5 *", "> 2.5 *", "items.yaml:1: right choices (bench) is 0"),
    ("items.yaml", "right: b.end_stroke_um_pp > 1.5", "right: 1.5", "no condition"),
    ("items.yaml", "{first} % the", "{frist} % the", ": text: frist is not a known"),
    ("items.yaml", "stroke_um_pp:.1f}", "stroke_um_pp:1f}", 'format "1f"; allowed: .0f to .9f'),
    (
        "items.yaml",
        "power: $first",
        "power: $third",
        'variant first: 20, second: 60: a.power is "$third"',
    ),
    ("items.yaml", "second: [60, 80]", "second: [60, 130]", "drive.power_percent is 130 %"),
    (
        "items.yaml",
        "objective: example-proportion\n  kind: one",
        "objective: other\n  kind: one",
        '"other"; allowed: example-proportion',
    ),
    ("items.yaml", "  text: B's stroke", "  text: [B's stroke", "YAML is "),
    (
        "kinds.yaml",
        "tolerance: 0.5",
        "tolerance: 9",
        "wrong value (bench) is 0; allowed: a value beyond",
    ),
    (
        "kinds.yaml",
        "solution: {a: {power: 60}}",
        "solution: {a: {power: 80}}",
        "kinds.yaml:{line}: solution (bench) is without",
    ),
    (
        "kinds.yaml",
        "solution: {a: {power: 60}}",
        "solution: {a: {frequency: 39}}",
        "solution (bench)",
    ),
    ("kinds.yaml", "end_stroke_um_pp >= 50", "end_stroke_um_pp >= 30", "goal (bench)"),
    (
        "kinds.yaml",
        "free: [power, needle]",
        "free: [powr]",
        'free is "powr"; allowed: fields as in links (nearest: "power")',
    ),
    ("kinds.yaml", "on: b", "on: c", 'on is "c"; allowed: a side of the item\'s bench'),
    ("kinds.yaml", "b: {power: 50}", "b: {power: 20}", "values at least 2 % of the largest apart"),
    ("kinds.yaml", '{left: B, right: "{b.', '{left: B, right: "{a.', "right sides (bench)"),
    ("kinds.yaml", "of: sideways", "of: sidewards", 'of is "sidewards"; allowed: stroke, sideways'),
    ("kinds.yaml", "least: 0.7", "least: 7", 'least is "7"; allowed: a number from 0.1 to 0.99'),
    (
        "lesson.md",
        "minutes: 8",
        "minutes: 80",
        'lesson.md:{line}: minutes is "80"; allowed: a number from 5 to 20',
    ),
    ("lesson.md", "1.99 <", "2.99 <", "lesson.md:{line}: that is"),
    ("lesson.md", "    source: crouch2004\n", "", "lesson.md:15: claim is without ground"),
    (
        "lesson.md",
        "source: crouch2004",
        "source: crouch2005",
        'lesson.md:15: source is "crouch2005"',
    ),
    ("lesson.md", "[@crouch2004]", "[@crouch2005]", 'source is "crouch2005"; allowed: crouch2004'),
    (
        "lesson.md",
        "[[stroke]]",
        "[[stroek]]",
        'term is "stroek"; allowed: terms of glossary.yaml (nearest: "stroke")',
    ),
    ("lesson.md", "## observe:", "## obserf:", 'heading is "obserf: What did you see?"'),
    ("lesson.md", "## observe:", "## quiz:", "step after run is quiz; allowed: observe"),
    ("lesson.md", "[example-seen]", "[example-sen]", 'lesson.md:{line}: items is "example-sen"'),
    (
        "lesson.md",
        "needle: straight,",
        "needle: straigt,",
        'lesson.md:20: bench: link: needle is "straigt"',
    ),
    ("lesson.md", "tracks: [self-study]", "tracks: [nurses]", "tracks of tracks.yaml that list"),
    ("lesson.md", "needs: []", "needs: [nothing]", 'needs is "nothing"; allowed: ids of other'),
    ("lesson.md", "free: [power]", "free: [colour]", 'free is "colour"'),
    ("lesson.md", "The hub moves", "![](a.svg) The hub moves", 'picture is "a.svg"'),
    ("lesson.md", "The hub moves", "# Heading\n\nThe hub moves", "heading is of level 1 or 2"),
    ("lesson.md", "{a.end_stroke_um_pp:.0f}", "{1 / 0:.0f}", 'text: "1 / 0" is not possible'),
    ("guide.md", "## Timing", "## Time", "heading Timing is missing"),
    ("../tracks.yaml", "[example-power]", "[power]", 'tracks.yaml:2: lessons is "power"'),
    (
        "../glossary.yaml",
        "also: [strokes]",
        "also: [stroke]",
        'term is "stroke"; allowed: each term',
    ),
]


def test_a_mistake_is_reported_with_its_place(own: Path, subtests: pytest.Subtests) -> None:
    for file, before, after, sentence in MISTAKES:
        with subtests.test(f"{file}: {after}"):
            path = own / file
            text = change(path, before, after, 1)
            line = text[: text.index(before)].count("\n") + 1
            found = complaints(own)
            path.write_text(text, encoding="utf-8")
            assert any(sentence.replace("{line}", str(line)) in each for each in found), found
            assert all(each.startswith("lessons/") and "\n" not in each for each in found)


def test_all_mistakes_come_at_once(own: Path) -> None:
    for file, before, after, _ in (MISTAKES[1], MISTAKES[3], MISTAKES[28], MISTAKES[44]):
        change(own / file, before, after, 1)
    files = {line.split(":")[0].rsplit("/", 1)[-1] for line in complaints(own)}
    assert {"items.yaml", "lesson.md", "guide.md"} <= files


def test_a_lesson_that_is_hardly_one_is_told_so(own: Path) -> None:
    for text, sentence in (
        ("", "lesson.md:1: front matter is missing"),
        ("---\n", "lesson.md:1: front matter is missing"),
        ("---\nid: x\n---\n", "lesson.md:2: title is missing"),
        ("no front matter", "lesson.md:1: front matter is missing"),
        ("---\n- a\n---\n", "lesson.md:2: content is no table"),
    ):
        own.joinpath("lesson.md").write_text(text, encoding="utf-8")
        assert any(sentence in each for each in complaints(own)), (text, complaints(own))


@pytest.mark.parametrize(
    ("right", "kind"),
    [("about twice as far as A and no more than that", "longest"), ("2 ×", "shortest")],
)
def test_length_must_not_tell_the_right_choice(own: Path, right: str, kind: str) -> None:
    path = own / "items.yaml"
    text = path.read_text(encoding="utf-8").replace("text: about twice as far", f"text: {right}")
    path.write_text(
        text + text.split("- id: example-seen")[0].replace("example-predict", "again"),
        encoding="utf-8",
    )
    assert any(f"items whose {kind} choice is right is 2 of 2" in c for c in complaints(own))


def test_steps_must_be_whole_rounds(own: Path) -> None:
    path = own / "lesson.md"
    text = path.read_text(encoding="utf-8")
    start, end = text.index("## predict"), text.index("## run")
    path.write_text(text[:start] + text[end:], encoding="utf-8")
    assert any("step before run is prime; allowed: predict" in c for c in complaints(own))


def test_a_guide_may_keep_a_heading_of_old(own: Path) -> None:
    guide = own / "guide.md"
    text = guide.read_text(encoding="utf-8")
    guide.write_text(text.replace("## Misconceptions", "## Usual wrong ideas"), encoding="utf-8")
    found, faults = check_folder(own.parent)
    assert list(map(str, faults)) == []
    assert list(found.lessons["example-power"].guide)[1] == "Misconceptions"
