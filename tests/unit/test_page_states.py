"""What is set on any page stays where it was set: by side, by field, through links and changes."""

from collections.abc import Callable, Iterator
from dataclasses import fields, replace
from typing import Any

import pytest

from tipsim.app.framework.bench_state import SHARED, BenchState
from tipsim.app.pages.camera.state import CameraState
from tipsim.app.pages.endoscope.state import EndoscopeState
from tipsim.app.pages.flow.state import HOLE, FlowState
from tipsim.app.pages.heat.state import HeatState
from tipsim.app.pages.tissue.state import TissueState
from tipsim.setup.errors import BadInput
from tipsim.setup.flow import Trial
from tipsim.setup.inputs import Input, inputs
from tipsim.setup.link import _decode as items_of
from tipsim.setup.scenario import Scenario

# ---- one side, the other, both ----

CASES: list[tuple[type[Any], str, Any, Callable[[Scenario], object], object]] = [
    # State, path, value, how it is read from a scenario, what must be there (SI).
    (FlowState, "flow.bottle_height_cm", 70, lambda s: s.flow.bottle_height, 0.7),
    (FlowState, HOLE, 0.3, lambda s: s.needle.bypass_diameter, 0.3e-3),
    (EndoscopeState, "endoscope.light_percent", 10, lambda s: s.endoscope.light, 0.1),
    (HeatState, "fluid.temperature_c", 30, lambda s: s.fluid.temperature, 303.15),
    (HeatState, "events", [{"time_s": 5, "what": "flow lost"}], lambda s: len(s.events), 1),
    (TissueState, "eye.iris_gap_mm", 0.5, lambda s: s.eye.iris_gap, 0.5e-3),
    (TissueState, "iris", "floppy", lambda s: s.eye.iris_modulus, 1e3),
    (BenchState, "drive.power_percent", 40, lambda s: s.drive.power, 0.4),
]


@pytest.mark.parametrize("side", ["a", "b", "both"])
@pytest.mark.parametrize(("state", "path", "value", "read", "expected"), CASES)
def test_a_change_reaches_its_side_and_no_other(
    side: str,
    state: type[Any],
    path: str,
    value: Any,
    read: Callable[[Scenario], object],
    expected: object,
) -> None:
    first = state.first()
    before = {s: read(getattr(bench_of(first), s)) for s in "ab"}
    assert before["a"] != pytest.approx(expected) and before["b"] != pytest.approx(expected)
    after = bench_of(first.change(side, path, value))
    for key in "ab":
        reached = side in (key, "both")
        assert read(getattr(after, key)) == pytest.approx(expected if reached else before[key])


def bench_of(state: Any) -> BenchState:
    bench: BenchState = getattr(state, "bench", state)
    return bench


@pytest.mark.parametrize("state", [FlowState, HeatState, TissueState, BenchState])
def test_an_unknown_side_is_refused(state: type[Any]) -> None:
    with pytest.raises(BadInput, match='side is "c"; allowed: a, b, both'):
        state.first().change("c", "drive.power_percent", 40)


@pytest.mark.parametrize(("side", "lengths"), [("a", (9, 60)), ("b", (60, 9)), ("both", (9, 9))])
def test_a_function_reaches_its_side_and_no_other(side: str, lengths: tuple[int, int]) -> None:
    state = FlowState.first().on("both", lambda s: replace(s, duration=60.0))
    bench = state.on(side, lambda s: replace(s, duration=9.0)).bench
    assert (bench.a.duration, bench.b.duration) == lengths


def to_side(state: CameraState, side: str) -> CameraState:
    return state.change("both", "side", side)


def test_the_camera_sees_each_drive_from_its_own_side_at_first() -> None:
    apart = CameraState.first(BenchState.first().change("b", "drive", "axial"))
    assert (apart.camera.view, to_side(apart, "b").camera.view) == ("edge-on", "flat")


def test_the_camera_keeps_the_view_that_was_chosen() -> None:
    other = {"edge-on": "flat", "flat": "edge-on"}
    first = CameraState.first()
    chosen = first.change("both", "camera.view", other[first.camera.view])
    assert to_side(chosen, "b").camera.view == other[first.camera.view]
    assert to_side(to_side(chosen, "b"), "a") == chosen


# ---- every field, every other change ----

FULL = (
    BenchState.first()
    .change("both", "lens", "medium")
    .change("both", "support", True)
    .change("both", "press", True)
    .change("both", "duty.kind", "pulsed")
)
"""Both benches with every part that may be absent."""
OTHER: dict[str, tuple[Any, tuple[str, ...]]] = {
    # A change, its value, and what it may move besides: a part brings its own numbers along.
    "needle": ("straight-wide", ("needle.", "sleeve.", "name", "markers_mm")),
    "drive": (
        "axial",
        ("drive.kind", "drive.frequency", "drive.axial", "drive.twist", "drive.phase", "name"),
    ),
    "sleeve": ("for-1.1", ("sleeve.",)),
    "lens": ("hard", ("lens.grade", "lens.shear_modulus_kpa")),
    "duty.kind": ("burst", ("duty.kind",)),
    "together": (False, ()),
    "fluid.temperature_c": (31.5, ("fluid.temperature_c",)),
}
STAYS = {
    "needle": ("sleeve.mobility", "sleeve.exposed_mm"),
    "sleeve": ("sleeve.mobility", "sleeve.exposed_mm"),
}
"""Of what a change may move, what was set by hand and must stay."""


def moved_values(one: Input) -> Iterator[Any]:
    """Return values that a field may be set to, not its first one."""
    now = one.shown(FULL.a)
    if one.kind == "quantity":
        low, high, _ = one.slider
        yield from (
            v for k in (0.31, 0.52, 0.74, 0.11, 0.9) if (v := low + k * (high - low)) != now
        )
        yield from (v for v in (round(low), round(high)) if v != now)  # whole numbers
    elif one.kind == "choice":
        yield from (o for o in one.options if o != now)
    elif one.kind == "numbers":
        yield "0, 1.5, 2.5"


def set_by_hand(one: Input) -> BenchState | None:
    """Return the benches with a field set on both sides; None where no value can be."""
    for value in moved_values(one):
        try:
            return FULL.change("both", one.path, value)
        except BadInput:
            continue
    return None


FIELDS = {
    p: one for p, one in inputs(Scenario).items() if one.kind in ("quantity", "choice", "numbers")
}
BY_HAND = {p: state for p, one in FIELDS.items() if (state := set_by_hand(one)) is not None}


def test_nearly_every_field_can_be_set_alone() -> None:
    """What the test below cannot reach: shapes of needle and hub that only fit together."""
    alone = {p for p in FIELDS if p not in BY_HAND}
    assert all(p.startswith("needle.") for p in alone), alone
    assert len(BY_HAND) > 60


@pytest.mark.parametrize("change", OTHER)
def test_what_was_set_stays_with_every_other_change(change: str) -> None:
    value, moves = OTHER[change]
    lost = []
    for path, state in BY_HAND.items():
        kept = path in STAYS.get(change, ())
        if path == change or (path.startswith(moves) and not kept):
            continue
        after = state.change("both", change, value)
        for side in "ab":
            before_value = FIELDS[path].of(getattr(state, side))
            if FIELDS[path].of(getattr(after, side)) != before_value:
                lost.append(f"{side}: {path}")
    assert lost == []


def test_together_gives_b_all_of_a_but_needle_and_sleeve() -> None:
    apart = FULL.change("both", "together", False)
    for path in BY_HAND:
        if path.startswith(("needle.", "sleeve.", "markers")):
            continue
        value = next(iter(moved_values(FIELDS[path])))
        try:
            one = apart.change("a", path, value)
        except BadInput:
            continue
        same = one.change("both", "together", True)
        assert FIELDS[path].of(same.b) == FIELDS[path].of(one.a), path
        assert same.b.needle == apart.b.needle and same.b.sleeve == apart.b.sleeve
    assert set(SHARED) == {f.name for f in fields(Scenario)} - {"name", "needle", "sleeve"}


@pytest.mark.parametrize(
    ("kind", "rest"), [("pulsed", 0.010), ("burst", 0.040)], ids=["as long", "four times as long"]
)
def test_the_first_pulses_after_continuous(kind: str, rest: float) -> None:
    duty = BenchState.first().change("both", "duty.kind", kind).a.duty
    assert (duty.on_time, duty.off_time) == pytest.approx((0.010, rest))


# ---- links ----


@pytest.mark.parametrize("path", BY_HAND)
def test_every_field_survives_its_link(path: str) -> None:
    state = BY_HAND[path]
    back = BenchState.from_items(items_of(state.to_query()))
    for side in "ab":
        want, got = (FIELDS[path].of(getattr(s, side)) for s in (state, back))
        assert got == (pytest.approx(want, rel=1e-12) if not isinstance(want, str) else want)


def test_a_broken_link_keeps_what_is_good_and_names_what_is_not() -> None:
    items = {
        "view.flow.hold_s": "1.5",
        "view.flow.closing_time_ms": "-3",
        "view.speed": "1",
        "a.power": "40",
        "frequency": "many",
        "leak": "9",
        "zap": "1",
    }
    state, bad = FlowState.read(items)
    trial = state.bench.b.surge
    assert trial.hold == 1.5 and trial.closing_time == Trial().closing_time
    assert (state.bench.a.drive.power, state.bench.b.drive.power) == (0.4, 1.0)
    assert state.bench.b.flow.leak == pytest.approx(9e-6 / 60)
    assert [b.field for b in bad] == ["link: surge.closing_time_ms", "link: frequency", "link: zap"]
    assert "view.speed=1" in state.to_query(FlowState.kept_of(items))


def test_items_that_fit_only_after_another_are_taken() -> None:
    """A bypass hole needs its place; here the place comes last."""
    items = {"power": "none", HOLE: "0.2", "needle.bypass_distance_mm": "8"}
    state, bad = FlowState.read(items)
    assert state.bench.a.needle.bypass_diameter == pytest.approx(0.2e-3)
    assert [b.field for b in bad] == ["link: power"]


def test_a_long_broken_link_is_read_in_part() -> None:
    state, bad = FlowState.read({"power": "x"} | {f"drive.item{k}": "1" for k in range(500)})
    assert state == FlowState.first()
    assert "501 items long; allowed: up to 60 items" in str(bad[-1])


def test_another_needle_leaves_the_trial_of_occlusion() -> None:
    state = FlowState.first().change("both", "surge.hold_s", 0.7)
    assert state.change("a", "needle", "straight-wide").bench.a.surge.hold == 0.7
