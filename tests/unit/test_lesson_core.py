"""Expressions, typed numbers, sketches, goals and Markdown, for what authors and learners do."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipsim.lesson import curves, expression
from tipsim.lesson.ask import Asked, ask, ask_variant
from tipsim.lesson.curves import Criterion
from tipsim.lesson.fill import fill
from tipsim.lesson.format import Bench, Item, Text
from tipsim.lesson.kinds import score
from tipsim.lesson.kinds.goal import set_by
from tipsim.lesson.markdown import html
from tipsim.lesson.quantities import QUANTITIES, Values, part_of, solved
from tipsim.lesson.read import school
from tipsim.lesson.units import FAMILIES, read_number
from tipsim.setup.errors import BadInput

BENT = {"needle": "single-bend", "drive": "torsional"}
VALUES = Values(
    {"a": BENT, "b": {**BENT, "power": "50"}}, {"power": 40.0, "tip": "straight-medium"}
)
LESSON = school().lessons["drive-to-stroke"]


@pytest.mark.parametrize(
    ("source", "value"),
    [
        ("1 + 2 * 3 ** 2 / 4 - -1", 6.5),
        ("max(1, power, 3) - min(2, 1)", 39),
        ("round(2.345, 1) + abs(-1) + sqrt(16)", 7.3),
        ("1 < 2 < 3 and not 2 > 3 or 1 == 2", True),
        ("tip == 'straight-medium'", True),
        ("b.end_stroke_um_pp / a.end_stroke_um_pp", 0.5),
        ("a.motion.markers[0].stroke_um_pp == a.end_stroke_um_pp", True),
        ("a.setting.drive.power_percent", 100),
        ("sourced.titanium.young", 113.8),
        ("apparent_hz(32000, 31000)", 1000),
        ("travel_um(32000, 100, 1000)", 100),
        ("cycles_in(32000, 1000)", 32),
        ("round(stroke_at(a, 0) - a.end_stroke_um_pp, 1)", 0),
    ],
)
def test_expressions_say_what_they_mean(source: str, value: float) -> None:
    assert expression.evaluate(source, VALUES) == pytest.approx(value, rel=1e-5)


@pytest.mark.parametrize("name", list(QUANTITIES))
def test_every_short_name_leads_somewhere(name: str) -> None:
    assert math.isfinite(solved(BENT).value((name,)))


def test_every_part_of_a_result_can_be_named() -> None:
    result = solved(BENT).result
    for name, value in result.to_dict().items():
        if isinstance(value, dict):
            assert part_of(result, name) == value
    with pytest.raises(BadInput, match="not a known quantity"):
        part_of(result, "wonud")


NO_EXPRESSIONS = [
    *("__import__('os')", "().__class__", "a.__class__", "a.result.scenario", "[1][0]"),
    *("(lambda: 1)()", "open('x')", "x := 1", "1 if 2 > 1 else 3", "f'{1}'", "1; 2"),
    *("a.motion.markers[-9]", "a.motion.nodes_mm[power]", "a.motion", "a", "tip + 1"),
    *("2 ** 99999", "(-8) ** 0.5", "1 / 0", "sqrt(-1)", "min()", "nobody", "a.nothing"),
    *("a.end_stroke_um_pp.more", "True + 1", "1j", "power[0]", "'x' * 3", "1 and 2", "not 1"),
    *("(" * 300 + "1" + ")" * 300, "stroke_at(a, 99)", "stroke_at(1, 2)"),
    *("a.setting", "sourced.nothing.here", "", "min(1, 2, key=abs)", "1 in 2", "'a' < 1"),
]


def test_what_is_no_expression_is_refused(subtests: pytest.Subtests) -> None:
    for source in NO_EXPRESSIONS:
        with subtests.test(source), pytest.raises(BadInput):
            expression.number(source, VALUES)


def test_what_cannot_be_filled_is_refused(subtests: pytest.Subtests) -> None:
    for text in ["{", "}", "{power", "{power:.99f}", "{power:x}", "{tip:.1f}", "{}"]:
        with subtests.test(text), pytest.raises(BadInput):
            fill(text, VALUES)


def test_a_time_that_never_comes_is_endless_but_never_shown() -> None:
    values = Values({"a": {"needle": "straight", "drive": "axial", "power": "5"}}, {})
    assert expression.holds("a.heat.seconds_to_60_c > 5", values)
    with pytest.raises(BadInput, match="not finite"):
        fill("{a.heat.seconds_to_60_c:.0f}", values)


@given(st.floats(-1e6, 1e6).map(lambda v: float(f"{v:.6g}")), st.sampled_from(sorted(FAMILIES)))
def test_typed_numbers_come_back(value: float, unit: str) -> None:
    typed = f"{value:.10f}"
    for text in (typed, typed.replace(".", ","), f" {typed} {unit} ", typed.replace("-", "−")):
        assert read_number(text, unit) == pytest.approx(value, rel=1e-11, abs=1e-9)


TYPED = [
    ("0,13 mm", "µm", 130),
    ("130 um pp", "µm", 130),
    ("130 microns", "µm", 130),
    ("130 μm (peak-to-peak)", "µm", 130),
    ("32 kHz", "Hz", 32000),
    ("32 000", "Hz", 32000),
    ("1.234.567,5", "Hz", 1234567.5),
    ("1,234,567.5", "Hz", 1234567.5),
    ("1.3e4", "Hz", 13000),
    (".5", "mm", 0.5),
    ("+4", "°C", 4),
    ("4 °c", "°C", 4),
    ("50 percent", "%", 50),
    ("2x", "times", 2),
    ("0,125", "mm", 0.125),
]


def test_numbers_as_people_type_them() -> None:
    found = [(text, unit, read_number(text, unit)) for text, unit, _ in TYPED]
    assert found == TYPED


NO_NUMBERS = [
    *(("", "µm"), ("many", "µm"), ("130 13", "µm"), ("130 kHz", "µm"), ("13 µm", "mmHg")),
    *(("1,300", "Hz"), ("1.2.3", "mm"), ("1,2,3", "mm"), ("nan", "mm"), ("1e999", "mm")),
    *(("5 furlongs", "mm"), ("--5", "mm"), ("300 K", "°C"), ("9" * 500, "mm")),
]


def test_other_numbers_are_asked_for_again(subtests: pytest.Subtests) -> None:
    for text, unit in NO_NUMBERS:
        with subtests.test(f"{text} in {unit}"), pytest.raises(BadInput, match="answer"):
            read_number(text, unit)


BASES = {
    "count": "times",
    "length": "m",
    "frequency": "Hz",
    "temperature": "°C",
    "warming": "K",
    "share": "%",
    "power": "W",
    "speed": "m/s",
    "flow": "mL/min",
    "pressure": "Pa",
    "time": "s",
    "angle": "°",
    "force": "N",
    "load": "g",
    "rate": "per s",
}
SIZES = {
    **dict.fromkeys(BASES.values(), 1.0),
    "cycles": 1.0,
    "pictures": 1.0,
    "needles": 1.0,
    "µm": 1e-6,
    "mm": 1e-3,
    "cm": 1e-2,
    "kHz": 1e3,
    "MHz": 1e6,
    "mW": 1e-3,
    "mm/s": 1e-3,
    "L/min": 1e3,
    "mN": 1e-3,
    "mmHg": 133.322,
    "kPa": 1e3,
    "cmH2O": 98.0665,
    "MPa": 1e6,
    "µs": 1e-6,
    "ms": 1e-3,
    "min": 60.0,
}
"""One of each unit in the base of its family, from the SI brochure and ISO 80000."""


def test_units_have_the_sizes_of_the_handbook() -> None:
    found = {
        unit: read_number(f"1 {unit}", BASES[family]) for unit, (family, _) in FAMILIES.items()
    }
    assert found == pytest.approx(SIZES, rel=1e-5)


SIDE = solved(BENT)
LENGTH = float(SIDE.from_end[0])


def criterion(kind: str, limit: float = 0.0) -> Criterion:
    return Criterion(kind, limit, Text("x"))


def drawn(points: list[list[float]]) -> Any:
    return curves.read_sketch(points, LENGTH)


def test_only_the_shape_of_a_sketch_counts() -> None:
    model = curves.as_points(curves.model_curve(SIDE, "sideways"), LENGTH)
    for scale in (0.01, 1, 250):
        curve = drawn([[x, y * scale] for x, y in reversed(model)])
        for each in (criterion("largest", 0.2), criterion("still", 0.2), criterion("alike", 0.98)):
            assert curves.meets(each, curve, SIDE, "sideways")


def test_each_criterion_tells_its_own_mistake() -> None:
    places = np.linspace(0, LENGTH, 60)
    swing = [[float(x), float(LENGTH - x)] for x in places]
    assert curves.meets(criterion("largest", 1), drawn(swing), SIDE, "sideways")
    assert not curves.meets(criterion("still", 1), drawn(swing), SIDE, "sideways")
    bump = [[float(x), float(np.exp(-(((x - 9) / 2) ** 2)))] for x in places]
    assert not curves.meets(criterion("largest", 1), drawn(bump), SIDE, "sideways")
    assert not curves.meets(criterion("end-over-shaft"), drawn(bump), SIDE, "sideways")
    assert curves.meets(criterion("end-over-shaft"), drawn(swing), SIDE, "sideways")
    assert not curves.meets(criterion("alike", 0.5), drawn(bump), SIDE, "sideways")


def test_the_highest_place_is_held_to_its_distance() -> None:
    near = [[float(x), float(np.exp(-(((x - 2) / 3) ** 2)))] for x in np.linspace(0, LENGTH, 200)]
    assert not curves.meets(criterion("largest", 1.7), drawn(near), SIDE, "sideways")
    assert curves.meets(criterion("largest", 2.3), drawn(near), SIDE, "sideways")


def test_a_level_line_fits_only_a_level_model() -> None:
    level = drawn([[0, 1], [9, 1], [LENGTH, 1]])
    straight = solved({"needle": "straight", "drive": "axial"})
    assert not curves.meets(criterion("largest", 20), level, SIDE, "sideways")
    assert curves.meets(criterion("largest", 1), level, straight, "sideways")


@pytest.mark.parametrize(
    "given_",
    [
        *(None, "x", [], [[0, 1]], [[0, 1], [1, 1], [2, 1]], [[0, -1], [9, 1], [18, 1]]),
        *([[0, math.nan], [9, 1], [18, 1]], [[0, 1, 2]] * 5, [[0, "x"], [9, 1], [18, 1]]),
        [[float(i), 1.0] for i in range(3000)],
    ],
)
def test_what_is_no_sketch_is_asked_for_again(given_: Any) -> None:
    with pytest.raises(BadInput, match="sketch"):
        curves.read_sketch(given_, LENGTH)


def goal() -> Asked:
    return ask_variant(LESSON, LESSON.items["stroke-goal"], 0)


def test_a_goal_is_not_met_by_what_is_not_free() -> None:
    asked = goal()
    assert score(asked, {"a": {"needle": "single-bend", "power": "42"}}).verdict == "right"
    # A needle that would do it, but is not free, changes nothing.
    cheated = {"needle": "single-bend-10-medium", "power": "95"}
    assert 50 <= solved({"drive": "torsional", **cheated}).value(("end_stroke_um_pp",)) <= 58
    assert score(asked, {"a": cheated}).verdict == "partly"
    # A bench's link leaves out what is as in its preset: here 100 %.
    assert score(asked, {"a": {"needle": "single-bend"}}).verdict == "partly"
    assert (
        set_by(asked, asked.item, {"a": {"drive.power_percent": "42"}}).values.sides[  # type: ignore[arg-type]
            "a"
        ]["drive.power_percent"]
        == "42"
    )


def test_impossible_settings_are_no_answer(subtests: pytest.Subtests) -> None:
    for given_ in [None, [], {"a": 3}, {"a": {"power": "much"}}, {"a": {"power": "999"}}]:
        with subtests.test(str(given_)), pytest.raises(BadInput):
            score(goal(), given_)


BAD_ANSWERS: list[tuple[str, Any]] = [
    *(("stroke-paper", g) for g in (None, "", "c9", 3, ["c1"], {})),
    *(("stroke-in-proportion", g) for g in (None, [], ["c9"], "c1", ["c1", None])),
    *(("stroke-power-number", g) for g in (None, "", True, [], "x", math.nan, math.inf)),
    *(("stroke-order", g) for g in (None, [], ["e1"], ["e1"] * 4, "e1")),
    *(("stroke-match-hub", g) for g in (None, {}, {"p1": "r1"}, {"p1": 1, "p2": 2, "p3": 3})),
    *(("stroke-seen-still", g) for g in (None, "near", {})),
]


def test_what_is_no_answer_is_asked_for_again(subtests: pytest.Subtests) -> None:
    for id, given_ in BAD_ANSWERS:
        with subtests.test(f"{id}: {given_}"), pytest.raises(BadInput):
            score(ask(LESSON, LESSON.items[id], 1), given_)


@given(
    st.recursive(
        st.none() | st.booleans() | st.floats() | st.text(max_size=8),
        lambda x: (
            st.lists(x, max_size=4)
            | st.dictionaries(st.sampled_from(["p1", "p2", "p3", "a", "power"]), x, max_size=3)
        ),
        max_leaves=8,
    )
)
def test_whatever_a_page_sends_is_judged_or_refused(sent: Any) -> None:
    for item in LESSON.items.values():
        try:
            score(ask(LESSON, item, 2), sent)
        except BadInput:
            continue


def test_seeds_reach_every_variant() -> None:
    item: Item = LESSON.items["stroke-power-number"]
    found = {str(ask(LESSON, item, seed).variant) for seed in range(60)}
    assert len(found) == len(item.variants)


def test_benches_are_laid_over_each_other_key_by_key() -> None:
    base = Bench({"both": {"drive": "torsional", "power": "60"}, "a": {"needle": "x"}, "b": {}})
    over = base.under(Bench({"both": {"power": "40"}, "b": {"power": "80"}, "c": {"needle": "y"}}))
    assert over.whole() == {
        "a": {"drive": "torsional", "power": "40", "needle": "x"},
        "b": {"drive": "torsional", "power": "80"},
        "c": {"drive": "torsional", "power": "40", "needle": "y"},
    }
    assert replace(base, sides={}).whole() == {}


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>",
        "<img src=x onerror=alert(1)>",
        "[x](javascript:alert(1))",
        "![x](javascript:alert(1))",
        '[[a" onmouseover="x]]',
        "[[<b>|<i>]]",
        "[x](data:text/html;base64,xxxx)",
    ],
)
def test_markdown_lets_no_script_through(text: str) -> None:
    out = html(text).lower()
    assert "<script" not in out
    assert "<img src=x" not in out
    assert 'href="javascript' not in out
    assert 'src="javascript' not in out
    assert 'href="data' not in out
    assert '" onmouseover="' not in out
    assert "<b>" not in out
