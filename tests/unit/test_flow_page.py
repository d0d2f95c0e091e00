"""The flow page, without a browser: state, form, packet, words, signs; and the flow's settings."""

import json
from dataclasses import replace
from typing import Any
from urllib.parse import parse_qsl

import numpy as np
import pytest

from tipsim.app.framework.form import form as form_of
from tipsim.app.framework.packet import decode
from tipsim.app.pages.flow import signs, table
from tipsim.app.pages.flow.packet import packet
from tipsim.app.pages.flow.page import FlowPage
from tipsim.app.pages.flow.ready import READY
from tipsim.app.pages.flow.state import HOLE, FlowState
from tipsim.app.pages.flow.words import headline, run_words
from tipsim.flow.balance import balance, flows, solve_circuit
from tipsim.flow.circuit import circuit
from tipsim.flow.surge import Trial, surge
from tipsim.setup.errors import BadInput
from tipsim.setup.link import from_query, to_query
from tipsim.setup.presets import presets
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.units import ML_MIN, MMHG

FIRST = FlowState.first()
BARE = FIRST.change("a", "sleeve", "none")


def drawn(state: FlowState) -> dict[str, Any]:
    """Return what the scene gets, after its way through the packet."""
    found: dict[str, Any] = decode(packet(state))
    return found


def same(one: object, other: object) -> bool:
    """Compare packets' contents, arrays by their numbers."""
    return packet_text(one) == packet_text(other)


def packet_text(data: object) -> str:
    return json.dumps(data, default=lambda array: array.tolist())


def of(query: str) -> FlowState:
    return FlowState.from_items(dict(parse_qsl(query)))


# ---- the flow's settings ----


def test_the_usual_flow_is_that_of_the_numbers() -> None:
    flow = Scenario.preset("straight, axial").flow
    for name in ("aspiration", "leak", "bottle_height", "vacuum_limit"):
        n = number(f"flow.{name}")
        assert getattr(flow, name) == pytest.approx(n.si, rel=1e-15)


def test_a_scenario_from_before_reads() -> None:
    one = Scenario.preset("straight, axial")
    text = "\n".join(
        line
        for line in one.to_toml().splitlines()
        if not line.startswith(("bottle_height", "vacuum_limit"))
    )
    assert Scenario.parse(text) == one


def test_bottle_and_vacuum_travel_in_links() -> None:
    one = Scenario.preset("straight, axial")
    flow = replace(one.flow, bottle_height=1.1, vacuum_limit=MMHG.to_si(450))
    changed = replace(one, flow=flow)
    query = to_query(changed)
    assert "bottle=110&vacuum=450" in query
    assert from_query(query) == changed


@pytest.mark.parametrize("name", sorted({p.rpartition(",")[0] for p in presets()}))
def test_every_needle_gets_the_set_flow(name: str) -> None:
    """What was assumed before, mouth = pump and leak as set, is near what is solved now."""
    scenario = Scenario.preset(f"{name}, torsional")
    f = flows(scenario)
    assert f.mouth == pytest.approx(scenario.flow.aspiration, rel=1e-6)
    assert f.irrigation == pytest.approx(scenario.flow.aspiration + scenario.flow.leak, rel=0.05)
    assert 0.5 * scenario.flow.leak < f.leak < 1.5 * scenario.flow.leak


def test_flows_of_another_moment() -> None:
    scenario = Scenario.preset("single-bend, torsional")
    blocked = flows(scenario, replace(scenario.flow, occlusion=1.0))
    assert blocked.mouth == 0 and blocked.irrigation == pytest.approx(blocked.leak, rel=1e-6)
    assert balance(scenario) is balance(scenario), "solved once"


def test_a_partly_covered_mouth_keeps_its_flow_until_the_limit() -> None:
    scenario = Scenario.preset("single-bend, torsional")
    half, most = (balance(scenario, replace(scenario.flow, occlusion=x)) for x in (0.5, 0.95))
    assert half.flows.mouth == pytest.approx(scenario.flow.aspiration, rel=1e-6)
    assert half.vacuum > balance(scenario).vacuum and not half.limited
    assert most.limited and most.vacuum == pytest.approx(scenario.flow.vacuum_limit, rel=1e-4)


def test_a_kink_starves_the_chamber_only_when_fluid_is_drawn() -> None:
    scenario = Scenario.preset("single-bend, torsional")
    kinked = circuit(scenario).kinked(0.35)
    still = solve_circuit(kinked, replace(scenario.flow, aspiration=0.0))
    assert still.chamber_pressure > 0.5 * still.bottle_pressure
    assert solve_circuit(kinked, scenario.flow).collapses


# ---- state and form ----


def form(state: FlowState) -> list[dict[str, Any]]:
    return form_of(state, FlowPage.groups, FlowPage.special)


@pytest.mark.parametrize("ready", READY, ids=lambda r: r.id)
def test_every_example_is_recognised_survives_its_link_and_differs(ready: Any) -> None:
    state = FIRST.change("both", "ready", ready.id)
    assert state.ready == ready.id
    assert of(state.to_query()) == state
    before, after = drawn(FIRST), drawn(state)
    assert (ready.id == "usual") == same(before["sides"], after["sides"])
    head = after
    assert {e["id"] for e in head["choices"]} == {r.id for r in READY}


@pytest.mark.parametrize(
    ("items", "sentence"),
    [
        ({"view.flow.hold_s": "0"}, "link: surge.hold_s is 0 s; allowed: 0.05 to 20 s."),
        ({"view.flow.hold_s": "x"}, 'link: surge.hold_s is "x"; allowed: a number.'),
        ({"view.flow.air": "1"}, "link: view.flow.air is not here; allowed: none"),
        (
            {"flow.bottle_height_cm": "500"},
            "link: flow.bottle_height_cm is 500 cm; allowed: 0 to 150 cm.",
        ),
    ],
)
def test_a_link_that_cannot_be_used_says_why(items: dict[str, str], sentence: str) -> None:
    with pytest.raises(BadInput) as bad:
        FlowState.from_items(items)
    assert str(bad.value).startswith(sentence)
    page = FlowPage(items | {"leak": "9"})
    reply = page.controls.reply
    # A number out of range has a sentence of its own; both name the field, and what is allowed.
    field, allowed = (
        sentence.removeprefix("link: ").split(" is ")[0],
        sentence.split("allowed: ")[1],
    )
    assert field in page.link_notice and allowed.rstrip(".") in page.link_notice
    assert reply["values"]["both:flow.leak_ml_min"] == 9 and "link" not in reply


def test_every_control_changes_what_is_drawn() -> None:
    hole = FIRST.change("both", HOLE, 0.2)
    # The time constant of pump and vent: a pump that holds its vacuum, and is still, has none.
    unseen = {"surge.pump_lag_s"}
    values = {
        "needle": "straight-wide",
        "flow.bottle_height_cm": 77,
        "flow.aspiration_ml_min": 33,
        "flow.vacuum_limit_mmhg": 222,
        "flow.leak_ml_min": 7,
        "flow.occlusion_percent": 44,
        HOLE: 0.3,
        "flow.pump": "vacuum",
        "surge.event": "no irrigation",
        "chamber.volume_ml": 0.3,
        "surge.place_percent": 60,
        "surge.pump_lag_s": 0.5,
        "surge.hold_s": 1.1,
        "surge.line_compliance_ul_mmhg": 0.2,
        "surge.chamber_compliance_ul_mmhg": 3,
        "surge.closing_time_ms": 77,
        "surge.opening_time_ms": 7,
    }
    for control in (c for g in form(hole) for c in g["controls"]):
        if control["field"] == "together":
            continue
        changed = hole.change(control["side"], control["field"], values.pop(control["field"]))
        # The name of the example that is set would change with any control.
        unmoved = same(*(drawn(state) | {"ready": ""} for state in (changed, hole)))
        assert unmoved == (control["field"] in unseen), control["label"]
        if control["field"] == "needle":
            values["needle"] = "straight-wide"
    assert set(values) == {"needle"}


def test_sides_part_when_they_are_set_one_by_one() -> None:
    apart = FIRST.change("both", "together", False)
    titles = [g["title"] for g in form(apart)]
    assert "Bottle and pump, A" in titles and "Event, compliance and times, B" in titles
    one = apart.change("b", "flow.bottle_height_cm", 60)
    a, b = drawn(one)["sides"]
    assert (a["bottle_cm"], b["bottle_cm"]) == (90, 60)
    assert of(one.to_query()) == one


def test_a_hole_comes_and_goes() -> None:
    hole = FIRST.change("a", HOLE, 0.2)
    assert hole.bench.a.needle.bypass_distance == pytest.approx(10e-3)
    assert not hole.bench.b.needle.bypass_diameter
    assert hole.change("a", HOLE, 0) == FIRST
    with pytest.raises(BadInput, match="bypass_diameter_mm is 3 mm"):
        FIRST.change("both", HOLE, 3)


@pytest.mark.parametrize("value", ["", "x", "nan", -1, 1e99, None])
def test_wrong_input_gets_a_sentence_and_changes_nothing(value: object) -> None:
    page = FlowPage({})
    before = page.state
    for field in ("surge.hold_s", "flow.bottle_height_cm", HOLE):
        page.handle({"seq": 1, "changes": [{"side": "both", "field": field, "value": value}]})
        (sentence,) = page.controls.reply["errors"].values()
        assert sentence.startswith("Enter a number from") or "allowed:" in sentence
        assert "\n" not in sentence
    assert page.state == before


def test_reset_and_what_belongs_to_other_pages() -> None:
    page = FlowPage({"view.speed": "1", "flow.leak_ml_min": "9", "view.flow.hold_s": "1"})
    assert "view.speed=1" in page.controls.reply["link"]
    page.handle({"seq": 3, "changes": [{"side": "both", "field": "reset", "value": True}]})
    assert page.state == FIRST
    assert page.controls.reply["seq"] == 3 and "view.speed=1" in page.controls.reply["link"]


# ---- what is shown ----


def test_the_packet_holds_the_runs() -> None:
    state = FIRST.change("both", "ready", "hole")
    head = drawn(state)
    run = state.runs[1]
    assert head["release"] == pytest.approx(run.released)
    assert head["end"] == pytest.approx(max(r.time[-1] for r in state.runs))
    rows = head["sides"][1]["curves"]
    # Compliance of the chamber as in its data file: 2 µL/mmHg; it holds 250 µL at 40 mmHg.
    assert rows["filled"] == pytest.approx(1 + 2 / 250 * (rows["chamber"] - 40), abs=1e-5)
    assert rows["rush"] == pytest.approx(rows["mouth"] + rows["bypass"], abs=1e-3)
    assert rows["chamber"] == pytest.approx(run.chamber / MMHG.to_si(1), rel=1e-6, abs=1e-4)
    assert rows["bypass"] == pytest.approx(run.bypass / ML_MIN.to_si(1), rel=1e-5, abs=1e-4)
    assert np.all(np.diff(rows["time"]) >= 0)


def test_words_fit_what_happens() -> None:
    usual = run_words(FIRST.bench.a, FIRST.runs[0])
    assert "The chamber stands at 42 mmHg" in usual and "dips to" in usual
    low = FIRST.change("both", "flow.bottle_height_cm", 20)
    assert run_words(low.bench.a, low.runs[0]).startswith("More is drawn than the bottle supplies")
    kink = FIRST.change("both", "surge.event", "no irrigation")
    assert "flat" in run_words(kink.bench.a, kink.runs[0])
    assert "open dish" in run_words(BARE.bench.a, BARE.runs[0])
    # Nothing is drawn, so nothing is lost when the opening comes free.
    still = FIRST.change("both", "flow.aspiration_ml_min", 0)
    assert headline(still.bench.a, still.runs[0]).endswith("the chamber stays at 63 mmHg.")


def test_numbers_beside_the_drawing() -> None:
    rows = {r["id"]: r for s in table.content(FIRST)["sections"] for r in s["rows"]}
    assert rows["chamber"]["a"] == "42" and rows["bypass"]["a"] == "no hole"
    assert rows["leak-share"]["check"]["verdict"] == "outside"
    leaky = FIRST.change("both", "flow.leak_ml_min", 60).change("both", "flow.aspiration_ml_min", 5)
    rows = {r["id"]: r for s in table.content(leaky)["sections"] for r in s["rows"]}
    assert rows["leak-share"]["check"]["verdict"] == "inside"
    bare = {r["id"]: r for s in table.content(BARE)["sections"] for r in s["rows"]}
    assert bare["chamber"]["a"] == "–" and bare["chamber"]["b"] == "42"
    alike = [w["lines"] for w in table.content(FIRST)["words"] if not w["side"]]
    assert "flow alike" in alike[0][0]


def test_every_source_is_told() -> None:
    told_of = {s["what"] for s in table.origins(FIRST)}
    assert number("surge.line_compliance").label in told_of and len(told_of) > 10


def test_signs_are_worse_than_the_bench_as_set() -> None:
    by_id = {s.id: s for s in signs.signs(FIRST)}
    usual = balance(FIRST.bench.a).chamber_pressure / MMHG.to_si(1)
    for id in ("low", "leak", "surge"):
        assert float(by_id[id].numbers[0].split()[0]) < usual - 5
    assert by_id["kink"].numbers[0] == "collapses"
    assert by_id["blocked"].numbers[1] == "300 mmHg"
    assert signs.content(BARE)["rows"] == []


def test_a_trial_refuses_what_cannot_be() -> None:
    with pytest.raises(BadInput, match=r"hold_s is 0 s; allowed: 0.05 to 20 s"):
        Trial(hold=0.0)


def test_a_mouth_that_is_blocked_all_along_makes_no_surge() -> None:
    scenario = Scenario.preset("single-bend, torsional")
    run = surge(scenario, flow=replace(scenario.flow, occlusion=1.0))
    assert run.depth == pytest.approx(0, abs=1) and run.fastest < 1e-12


def test_a_run_that_begins_flat_ends_there() -> None:
    scenario = Scenario.preset("straight-slim, axial")
    run = surge(scenario, flow=replace(scenario.flow, bottle_height=0.2))
    assert run.flat_at == 0 and len(run.time) == 1 and run.rise_time is None
