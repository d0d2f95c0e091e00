"""The heat page's settings, without a browser: state, link, events, form."""

from typing import Any

import pytest

from tests.unit.test_heat_page import FIRST, around
from tipsim import store
from tipsim.app.framework.form import form as form_of
from tipsim.app.pages.heat.page import ASSUMED, HeatPage
from tipsim.app.pages.heat.state import HeatState
from tipsim.heat.legs import Model
from tipsim.setup.errors import BadInput
from tipsim.setup.event import Event
from tipsim.setup.inputs import inputs
from tipsim.setup.ready import READY, ready_of
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number


@pytest.mark.parametrize("id", READY)
def test_a_ready_scenario_is_known_again_also_after_the_link(id: str) -> None:
    state = FIRST.change("both", "ready", id)
    assert ready_of(state.bench.a, state.bench.b) == id
    items = dict(pair.split("=", 1) for pair in state.to_query().replace("+", " ").split("&"))
    assert HeatState.from_items(items) == state
    assert state.bench.a.needle == FIRST.bench.a.needle and state.bench.together


def test_ready_scenarios_are_all_different() -> None:
    states = {FIRST.change("both", "ready", id) for id in READY}
    assert len(states) == len(READY)


def test_assumed_numbers_and_scale_are_in_the_link() -> None:
    assert "view." not in FIRST.to_query()
    state = FIRST.change("both", "squeeze.loss", "0.2").change("both", "scale", "fit")
    query = state.to_query({"view.speed": "2"})
    assert query.endswith("&squeeze.loss=0.2&view.speed=2&view.heat.scale=fit")
    items = dict(pair.split("=") for pair in query.split("&"))
    assert HeatState.from_items(items) == state
    back = state.change("both", "squeeze.loss", number("squeeze.loss").value)
    assert back == FIRST.change("both", "scale", "fit")


REFUSED = {
    "view.heat.rubbing.coefficient": (
        "much",
        'link: rubbing.coefficient is "much"; allowed: a number.',
    ),
    "view.heat.squeeze.loss": ("9", "link: squeeze.loss is 9; allowed: 0.01 to 0.3."),
    "view.heat.scale": ("wide", 'link: view.heat.scale is "wide"; allowed: fixed, fit.'),
    "view.heat.more": ("1", "link: view.heat.more is not here; allowed: scale."),
}


@pytest.mark.parametrize("key", REFUSED)
def test_a_bad_link_is_refused_by_key_and_value(key: str) -> None:
    value, sentence = REFUSED[key]
    with pytest.raises(BadInput) as caught:
        HeatState.from_items({key: value})
    assert sentence in str(caught.value)


EVENTS = [
    ([{"time_s": -1, "what": "load off"}], "event 1.time_s is -1 s; allowed: 0 to 600 s."),
    ([{"time_s": 5, "what": "power"}], "event 1.share_percent is missing; allowed: a number for"),
    ([{"time_s": "soon", "what": "load"}], "event 1.time_s is 'soon'; allowed: a number, 0 to"),
    ([{"what": "load"}], "event 1.time_s is missing; allowed: when it happens."),
    ("load", "events is not a list; allowed: up to 12 events."),
    ([{"time_s": 1, "what": "load"}] * 13, "events is 13 events; allowed: up to 12 events."),
]


@pytest.mark.parametrize(("plain", "sentence"), EVENTS)
def test_bad_events_are_refused_in_one_sentence(plain: Any, sentence: str) -> None:
    with pytest.raises(BadInput) as caught:
        FIRST.change("both", "events", plain)
    assert str(caught.value).startswith(sentence)


def test_events_are_put_in_order_of_time_on_one_side_or_both() -> None:
    plain = [{"time_s": 8, "what": "load off"}, {"time_s": 2, "what": "load", "place_mm": 4}]
    expected = (Event(2.0, "load", place=4e-3), Event(8.0, "load off"))
    both = FIRST.change("both", "events", plain)
    assert both.bench.a.events == both.bench.b.events == expected
    only = FIRST.change("b", "events", plain)
    assert only.bench.a.events == () and only.bench.b.events == expected


def test_setting_together_gives_b_what_warms_a() -> None:
    apart = FIRST.change("both", "together", False).change("a", "press", True)
    apart = apart.change("a", "events", [{"time_s": 2, "what": "flow lost"}])
    assert apart.bench.b.press is None
    joined = apart.change("both", "together", True).bench
    assert joined.b.press == joined.a.press and joined.b.events == joined.a.events


# ---- the form ----


def form(state: HeatState) -> list[dict[str, Any]]:
    return form_of(state, HeatPage.groups)


def test_every_number_of_the_form_says_its_source_or_meaning() -> None:
    state = FIRST.change("both", "ready", "load-blocked")
    controls = [c for g in form(state) for c in g["controls"] if c["kind"] == "number"]
    assert len(controls) > 20
    assert all(len(c["help"]) > 20 for c in controls)
    by_field = {c["field"]: c for c in controls}
    for path in ASSUMED:
        control, n = by_field[path], inputs(Scenario)[path].source
        assert n is not None
        assert f"({n.status})" in control["label"] and n.source in control["help"]
        assert n.low <= control["min"] <= n.value <= control["max"] <= n.high


def test_ids_are_unique_together_and_apart() -> None:
    for state in (FIRST, FIRST.change("both", "together", False)):
        ids = [c["id"] for g in form(state) for c in g["controls"]]
        assert len(ids) == len(set(ids))
        groups = [g["id"] for g in form(state)]
        assert len(groups) == len(set(groups))


@pytest.mark.parametrize("path", ASSUMED)
def test_every_assumed_number_changes_some_temperature(path: str) -> None:
    one = inputs(Scenario)[path]
    first = FIRST.change("both", "ready", "load-blocked")
    value = one.shown(first.bench.a)
    other = one.low if value - one.low > one.high - value else one.high
    kind = "chamber" if "chamber" in path else "air"
    runs = [
        store.get(around(state, kind).bench.a, "heat", Model(slices=24, sectors=4))
        for state in (first, first.change("both", one.path, other))
    ]
    assert abs(runs[0].peak_sleeve - runs[1].peak_sleeve) > 1e-4
