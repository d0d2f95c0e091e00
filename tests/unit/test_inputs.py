"""Inputs declared once: what is known of each, names, changes, kinds of numbers, counts."""

import ast
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import tipsim
from tests.everything import everything_on
from tipsim.app.framework.bench_state import BenchState
from tipsim.app.pages.heat.state import HeatState
from tipsim.setup.errors import BadInput
from tipsim.setup.event import Event
from tipsim.setup.help import help_text
from tipsim.setup.inputs import changed, find_input, inputs
from tipsim.setup.link import (
    LONGEST,
    apply_settings,
    from_items,
    from_query,
    pair_from_items,
    renewed,
)
from tipsim.setup.needle import Piece
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import numbers
from tipsim.setup.text import read_value, write_value
from tipsim.setup.units import UNITS
from tipsim.solve import solve
from tipsim.store import result

BASE = Scenario.preset("counter-bent, torsional")
EVERY = inputs(Scenario)


@pytest.mark.parametrize("path", EVERY)
def test_every_input_says_what_it_is(path: str) -> None:
    one = EVERY[path]
    assert one.label[0].isupper() or one.label[0].isdigit(), path
    assert len(one.label) <= 80 and len(one.doc) >= 5
    assert one.kind in ("quantity", "numbers", "choice", "words", "parts")
    if one.kind == "quantity":
        low, high, step = one.slider
        assert one.unit in UNITS.values()
        assert one.low <= low < high <= one.high and 0 < step < high - low
        assert one.scale in ("linear", "log") and (one.scale == "linear" or low > 0)
    if one.kind in ("numbers", "parts"):
        assert 1 <= one.most <= 24
    said = help_text(one, everything_on())
    assert said.startswith(one.doc[:1].upper()) and "\n" not in said
    if one.source is not None:
        assert one.source.source in said and one.source.unit == one.unit


def test_first_values_are_those_of_the_data_files() -> None:
    """By the number as the file holds it, turned into SI by its factor."""
    checked = 0
    for one in EVERY.values():
        value = one.of(BASE)
        if one.source is None or value is None or one.name == "outside.temperature":
            continue
        unit = one.source.unit
        expected = (one.source.value + float(unit.offset)) * float(unit.factor)
        assert math.isclose(value, expected, rel_tol=1e-12), one.path
        checked += 1
    assert checked > 60


def test_a_path_is_the_id_of_its_number_in_what_is_only_assumed() -> None:
    parts = ("thermal", "rubbing", "squeeze", "chamber", "incision", "lines", "flow")
    found = {i.name for i in EVERY.values() if i.part in parts and i.source}
    assert {"rubbing.coefficient", "thermal.silicone_conductivity", "chamber.volume"} <= found
    assert found <= set(numbers())


def test_names_paths_and_short_names_lead_to_the_same_input() -> None:
    for name in ("aspiration", "flow.aspiration", "flow.aspiration_ml_min"):
        assert find_input(Scenario, name).path == "flow.aspiration_ml_min"
    with pytest.raises(BadInput, match=r'powr is not a known name here; .*nearest: "power"'):
        find_input(Scenario, "powr")


@pytest.mark.parametrize("path", EVERY)
def test_the_text_of_a_value_gives_it_back(path: str) -> None:
    one, scenario = EVERY[path], everything_on()
    value = one.of(scenario)
    assert read_value(one, write_value(one, value)) == value


# ---- changes ----


def test_with_takes_names_paths_short_names_and_parts() -> None:
    one = BASE.with_(
        power=0.5,
        sleeve=None,
        events=[Event(1.0, "drive off")],
        **{"flow.aspiration_ml_min": 30, "flow.leak": 1e-8, "rubbing.coefficient": 0.2},
    )
    assert (one.drive.power, one.sleeve, one.flow.leak) == (0.5, None, 1e-8)
    assert one.flow.aspiration == pytest.approx(30e-6 / 60, rel=1e-15)
    assert one.events == (Event(1.0, "drive off"),) and one.rubbing.coefficient == 0.2
    assert BASE.drive.power == 1.0


def test_with_refuses_by_name_and_value() -> None:
    with pytest.raises(BadInput, match=r'frequenzy is not a known.*nearest: "frequency"'):
        BASE.with_(frequenzy=1.0)
    with pytest.raises(BadInput, match=r"drive.power_percent is 120 %; allowed: 0 to 100 %"):
        BASE.with_(power=1.2)
    with pytest.raises(BadInput, match=r"power_percent is much; allowed: a number, 0 to 100 %"):
        BASE.with_(**{"drive.power_percent": "much"})


def test_several_changes_are_checked_as_one() -> None:
    """A shorter needle with markers that fit it: neither could come first."""
    short = changed(BASE, {"needle.pieces": (Piece(9e-3),), "markers": (0.0,), "sleeve": None})
    assert short.needle.length == pytest.approx(9e-3)
    thick = {
        "needle.outer_radius": 0.6e-3,
        "sleeve.inner_radius": 0.9e-3,
        "needle.hub_radius": 2e-3,
    }
    assert changed(BASE, thick).needle.outer_radius == 0.6e-3
    with pytest.raises(BadInput, match=r"sleeve\.inner_radius_mm"):
        changed(BASE, {"needle.outer_radius": 0.7e-3, "needle.hub_radius": 2e-3})


def test_a_part_that_is_absent_begins_with_its_first_values() -> None:
    one = changed(BASE, {"press.force": 0.5})
    assert one.press is not None and one.press.arc == pytest.approx(np.pi / 2)
    with pytest.raises(BadInput, match=r"lens.grade is missing"):
        changed(BASE, {"lens.contact": 0.5})


def test_settings_are_in_units_of_files() -> None:
    one = apply_settings(BASE, ["flow.aspiration=30", "power = 40", "markers=0,2", "lens=hard"])
    assert one.flow.aspiration == pytest.approx(30e-6 / 60, rel=1e-15)
    assert (one.drive.power, one.markers) == (0.4, (0.0, 2e-3))
    assert one.lens is not None and one.lens.shear_modulus == 1e6
    with pytest.raises(BadInput, match=r'set is "power"; allowed: name=value'):
        apply_settings(BASE, ["power"])
    with pytest.raises(BadInput, match=r"power is \"much\"; allowed: a number"):
        apply_settings(BASE, ["power=much"])


# ---- kinds of numbers ----


@pytest.mark.parametrize(
    "value",
    [np.int64(33000), np.float32(33000), np.float64(33e3), np.array(33e3), 33000],
    ids=lambda v: type(v).__name__,
)
def test_any_kind_of_number_is_a_number(value: Any) -> None:
    drive = replace(BASE.drive, frequency=value)
    assert type(drive.frequency) is float and drive.frequency == 33000.0
    assert drive == replace(BASE.drive, frequency=33e3)


@pytest.mark.parametrize("value", [True, np.bool_(True), np.array([1.0]), 1j, "1", np.nan, None])
def test_what_is_no_number_is_refused(value: Any) -> None:
    with pytest.raises(BadInput, match=r"frequency_khz is .*; allowed: a number, 10 to 100 kHz"):
        replace(BASE.drive, frequency=value)


def test_a_number_beyond_its_range_is_shown_in_the_unit_of_the_input() -> None:
    with pytest.raises(BadInput) as caught:
        replace(BASE.drive, frequency=np.int64(330))
    assert caught.value.sentence == "Enter a number from 10 to 100 kHz. You entered 0.33 kHz."
    assert str(caught.value) == "frequency_khz is 0.33 kHz; allowed: 10 to 100 kHz."
    assert caught.value.within("drive").sentence == caught.value.sentence


@pytest.mark.parametrize("many", [[0, 1e-3], (0, 1e-3), np.array([0, 1e-3])], ids=type)
def test_any_sequence_of_numbers_is_several_numbers(many: Any) -> None:
    scenario = replace(BASE, markers=many)
    assert scenario.markers == (0.0, 1e-3) and hash(scenario)


def test_quantities_of_a_units_package_are_taken() -> None:
    pint = pytest.importorskip("pint")
    units = pint.UnitRegistry()
    drive = replace(BASE.drive, frequency=33 * units.kHz, twist_stroke=3 * units.degree)
    assert drive.frequency == pytest.approx(33e3)
    assert drive.twist_stroke == pytest.approx(math.radians(3))
    flow = BASE.with_(aspiration=30 * units.mL / units.min, bottle=0.9 * units.m).flow
    assert flow.aspiration == pytest.approx(30e-6 / 60)
    warm = replace(BASE.fluid, temperature=units.Quantity(30, units.degC))
    assert warm.temperature == pytest.approx(303.15)
    with pytest.raises(BadInput, match=r"frequency_khz is 33 second; allowed: a number"):
        replace(BASE.drive, frequency=units.Quantity(33, units.s))


# ---- counts ----


def test_no_more_parts_than_declared_in_python_links_and_files() -> None:
    thirteen = tuple(Event(float(i), "drive off") for i in range(13))
    with pytest.raises(BadInput, match=r"events is 13 events; allowed: up to 12 events"):
        replace(BASE, events=thirteen)
    text = ",".join(["1:drive off"] * 600)
    assert len(text) < LONGEST
    with pytest.raises(BadInput, match=r"link: events is 600 events; allowed: up to 12 events"):
        from_items({"events": text})
    with pytest.raises(BadInput, match=r"link: needle.pieces is 25 pieces; allowed: 1 to 24"):
        from_items({"needle.pieces": ",".join(["1"] * 25)})
    with pytest.raises(BadInput, match=r"link: markers is 13 numbers; allowed: 1 to 12 numbers"):
        from_items({"markers": ",".join(map(str, range(13)))})
    file = BASE.to_toml() + '\n[[events]]\ntime_s = 1\nwhat = "drive off"\n' * 13
    with pytest.raises(BadInput, match=r"events is 13 events; allowed: up to 12 events"):
        Scenario.parse(file.replace("events = []\n", ""))


def test_a_list_too_long_is_refused_before_any_of_it_is_read() -> None:
    """The first of them is impossible as well; what is said is that they are too many."""
    with pytest.raises(BadInput, match=r"events is 13 events; allowed"):
        from_items({"events": ",".join(["soon:nothing"] * 13)})


def test_a_link_too_long_is_refused() -> None:
    for read in (
        from_query,
        lambda q: from_items({"name": q}),
        lambda q: pair_from_items({"x": q}),
    ):
        with pytest.raises(BadInput, match=r"link is \d+ characters long; allowed: up to 32000"):
            read("x" * 33_000)


# ---- one scenario for all pages ----


@pytest.mark.parametrize("occlusion", ["0", "100"])
def test_a_moved_number_of_heat_is_the_same_on_every_page(occlusion: str) -> None:
    """In an old link it stood under the page of heat, and the others did not see it."""
    items = {"press": "on", "duration": "8", "occlusion": occlusion}
    items["view.heat.rubbing.coefficient"] = "0.2"
    state = HeatState.from_items(items)
    page = state.runs()[0].peak_sleeve - 273.15
    unmoved = HeatState.from_items({k: v for k, v in items.items() if "rubbing" not in k})
    assert page > unmoved.runs()[0].peak_sleeve - 273.15 + 10
    bench = BenchState.from_items(items).a
    assert result(bench).heat.peak_sleeve - 273.15 == page
    assert solve(bench).heat.peak_sleeve - 273.15 == page
    assert "rubbing.coefficient=0.2" in state.to_query()


def test_names_of_old_links_count_less_than_present_ones() -> None:
    old = {"view.flow.hold_s": "1", "view.heat.squeeze.loss": "0.1", "view.flow.more": "1"}
    assert renewed(old) == {"surge.hold_s": "1", "squeeze.loss": "0.1", "view.flow.more": "1"}
    assert renewed({**old, "surge.hold_s": "3"})["surge.hold_s"] == "3"
    both = pair_from_items(old | {"squeeze.loss": "0.2"})
    assert [s.squeeze.loss for s in both] == [0.2, 0.2] and both[1].surge.hold == 1.0


def test_no_module_outside_setup_reads_a_number_when_it_is_imported() -> None:
    """Calls of `number(...)` at the top level of a module of the models."""
    read = []
    for room in ("motion", "heat", "flow", "tissue"):
        for path in (Path(tipsim.__file__).parent / room).rglob("*.py"):
            for node in ast.parse(path.read_text(encoding="utf-8")).body:
                if isinstance(node, ast.Assign | ast.AnnAssign) and "number(" in ast.unparse(node):
                    read.append(f"{path.name}: {ast.unparse(node)[:60]}")
    assert read == []


def test_a_sentence_shows_thousands_apart_and_no_line_ends() -> None:
    refused = BadInput("rate\n", "7\x00", "at most 500\N{NARROW NO-BREAK SPACE}000 /s")
    assert str(refused) == "rate\\n is 7\\x00; allowed: at most 500\N{NARROW NO-BREAK SPACE}000 /s."
