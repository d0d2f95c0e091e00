"""The heat page with random settings: all of it in the link, and never a traceback."""

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.property.test_doors import WORDS
from tipsim.app.pages.heat.page import ASSUMED
from tipsim.app.pages.heat.state import HeatState
from tipsim.setup.errors import BadInput
from tipsim.setup.event import EVENTS, Event
from tipsim.setup.inputs import find_input
from tipsim.setup.link import _decode
from tipsim.setup.ready import READY
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import OUTSIDE

FIRST = HeatState.first()
PLAIN = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8)


@st.composite
def changes(draw: st.DrawFn) -> tuple[str, str, Any]:
    """One change that the page allows."""
    side = draw(st.sampled_from(("a", "b", "both")))
    kind = draw(st.sampled_from(("ready", "scale", "number", "events", "press", "outside", "load")))
    if kind == "number":
        one = find_input(Scenario, draw(st.sampled_from(ASSUMED)))
        return side, one.path, draw(st.floats(one.low, one.high))
    if kind == "events":
        return side, "events", draw(st.lists(events(), max_size=4))
    choices: dict[str, tuple[str, Any]] = {
        "ready": ("ready", st.sampled_from(sorted(READY))),
        "scale": ("scale", st.sampled_from(("fixed", "fit"))),
        "press": ("press", st.booleans()),
        "outside": ("outside.kind", st.sampled_from(OUTSIDE)),
        "load": ("duration_s", st.integers(1, 600)),
    }
    field, values = choices[kind]
    return side, field, draw(values)


@st.composite
def events(draw: st.DrawFn) -> dict[str, Any]:
    """An event as the page sends it."""
    what = draw(st.sampled_from(EVENTS))
    out: dict[str, Any] = {"time_s": draw(st.floats(0, 600)), "what": what}
    if what in ("occlusion", "power"):
        out["share_percent"] = draw(st.floats(0, 100))
    if what == "load" and draw(st.booleans()):
        out["place_mm"] = draw(st.floats(1, 15))
    return out


@given(st.lists(changes(), max_size=6))
@settings(max_examples=80)
def test_a_link_gives_back_the_same_page(steps: list[tuple[str, str, Any]]) -> None:
    state = FIRST
    for side, field, value in steps:
        state = state.change(side, field, value)
    query = state.to_query({"view.speed": "2"})
    again = HeatState.from_items(_decode(query))
    assert (again.bench.a, again.bench.b) == (state.bench.a, state.bench.b)
    assert again.scale == state.scale
    for bench in (state.bench.a, state.bench.b):
        assert list(bench.events) == sorted(bench.events, key=lambda e: e.time)


NAMES = st.sampled_from(["view.heat." + id for id in (*ASSUMED, "scale", "more", "")])


@given(st.dictionaries(NAMES | st.text(max_size=8), WORDS | st.text(max_size=8), max_size=4))
@settings(max_examples=150)
def test_any_link_is_understood_or_refused_in_one_sentence(items: dict[str, str]) -> None:
    try:
        HeatState.from_items(items)
    except BadInput as bad:
        assert "\n" not in str(bad) and str(bad).startswith("link: ")


@given(
    st.lists(
        st.dictionaries(st.sampled_from(["time_s", "what", "share_percent", "x"]), PLAIN) | PLAIN,
        max_size=3,
    )
    | PLAIN
)
@settings(max_examples=150)
def test_any_list_of_events_is_taken_or_refused_in_one_sentence(plain: Any) -> None:
    try:
        state = FIRST.change("both", "events", plain)
    except BadInput as bad:
        assert "\n" not in str(bad) and bad.field and bad.allowed
        return
    assert all(isinstance(event, Event) for event in state.bench.a.events)
