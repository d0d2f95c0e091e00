"""Laws of the flow, for random benches: what comes in goes out, and which way things move."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tipsim.flow.balance import Balance, balance
from tipsim.flow.circuit import circuit
from tipsim.flow.split import through_hole
from tipsim.flow.surge import surge
from tipsim.setup.flow import EVENTS, PUMPS, Flow, Trial
from tipsim.setup.presets import preset
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import ML_MIN, MMHG, UL_MMHG

SHAPES = ("straight-wide", "single-bend-20-medium", "counter-bent-medium", "straight-slim")
FEW = 1e-13
"""What counts as nothing [m³/s]: 6e-6 mL/min."""


@st.composite
def benches(draw: st.DrawFn) -> Scenario:
    """A needle of the catalogue, perhaps with a bypass hole, perhaps bare."""
    one = preset(f"{draw(st.sampled_from(SHAPES))}, torsional")
    hole = draw(st.sampled_from((0.0, 0.1e-3, 0.2e-3, 0.4e-3)))
    place = draw(st.floats(1e-3, one.needle.length - 0.1e-3)) if hole else 0.0
    one = replace(one, needle=replace(one.needle, bypass_diameter=hole, bypass_distance=place))
    return one if draw(st.integers(0, 5)) else replace(one, sleeve=None)


@st.composite
def settings_of_flow(draw: st.DrawFn) -> Flow:
    return Flow(
        ML_MIN.to_si(draw(st.floats(0, 100))),
        ML_MIN.to_si(draw(st.floats(0, 60))),
        draw(st.one_of(st.floats(0, 0.999), st.sampled_from((0.0, 1.0)))),
        draw(st.floats(0, 1.5)),
        MMHG.to_si(draw(st.floats(0, 700))),
        pump=draw(st.sampled_from(PUMPS)),
    )


def is_sound(b: Balance, flow: Flow, bath: bool) -> None:
    f = b.flows
    if not bath:
        assert f.irrigation == pytest.approx(f.mouth + f.bypass + f.leak, rel=1e-9, abs=FEW)
    drawn = f.mouth + f.bypass
    assert drawn >= -FEW
    if not flow.by_vacuum:
        assert drawn <= flow.aspiration * (1 + 1e-6) + FEW
    assert -1e-6 <= b.chamber_pressure <= b.bottle_pressure + 1e-6
    assert b.vacuum <= flow.vacuum_limit * (1 + 1e-6) + 0.1
    if (b.limited or flow.by_vacuum) and not b.collapses and drawn > FEW:
        assert b.vacuum == pytest.approx(flow.vacuum_limit, rel=1e-4, abs=1)
    assert f.bypass >= -FEW and f.leak >= 0 and f.irrigation >= -FEW


@given(benches(), settings_of_flow())
@settings(max_examples=150)
def test_what_comes_in_goes_out_and_no_limit_is_passed(bench: Scenario, flow: Flow) -> None:
    is_sound(balance(bench, flow), flow, bench.sleeve is None)


@given(benches(), settings_of_flow(), st.floats(0.01, 0.5), st.floats(1.05, 3))
def test_which_way_things_move(bench: Scenario, flow: Flow, up: float, times: float) -> None:
    """A higher bottle, more vacuum and a leakier wound."""
    assume(bench.sleeve is not None and flow.bottle_height + up <= 1.5)
    b = balance(bench, flow)
    higher = balance(bench, replace(flow, bottle_height=flow.bottle_height + up))
    assert higher.chamber_pressure >= b.chamber_pressure - 1e-3
    assert higher.flows.irrigation >= b.flows.irrigation - FEW
    assert not (higher.collapses and not b.collapses)
    vacuum = min(flow.vacuum_limit * times, MMHG.to_si(700))
    stronger = balance(bench, replace(flow, vacuum_limit=vacuum)).flows
    drawn = b.flows.mouth + b.flows.bypass
    assert stronger.mouth + stronger.bypass >= drawn - FEW
    leakier = balance(bench, replace(flow, leak=min(flow.leak * times, ML_MIN.to_si(60))))
    assert leakier.chamber_pressure <= b.chamber_pressure + 1e-3


@given(settings_of_flow(), st.floats(1.0, 1.2))
def test_a_wider_bore_lets_more_through(flow: Flow, times: float) -> None:
    """With the sleeve as it is: never less flow, and never more vacuum for the same flow."""
    one = preset("straight-medium, axial")
    wall = one.needle.outer_radius - 0.05e-3
    wide = replace(one.needle, inner_radius=min(one.needle.inner_radius * times, wall))
    narrow, wider = balance(one, flow), balance(replace(one, needle=wide), flow)
    assume(not narrow.collapses and not wider.collapses)
    assert wider.flows.mouth >= narrow.flows.mouth - FEW
    if not narrow.limited:
        assert wider.vacuum <= narrow.vacuum + 0.1


@given(st.floats(0.2, 0.99), st.floats(0.01, 0.5))
def test_a_blocked_mouth_draws_more_through_the_hole(occlusion: float, more: float) -> None:
    one = preset("counter-bent, torsional")
    needle = replace(one.needle, bypass_diameter=0.2e-3, bypass_distance=10e-3)
    bench = replace(one, needle=needle)
    less = balance(bench, replace(one.flow, occlusion=occlusion)).flows
    blocked = balance(bench, replace(one.flow, occlusion=min(1.0, occlusion + more))).flows
    assert blocked.bypass >= less.bypass - FEW and blocked.mouth <= less.mouth + FEW


@given(st.floats(-1e-6, 2e-6), st.floats(0, 2e-6))
def test_flow_parts_so_that_pressures_agree(supply: float, drawn: float) -> None:
    one = preset("counter-bent, torsional")
    needle = replace(one.needle, bypass_diameter=0.2e-3, bypass_distance=10e-3)
    ways = circuit(replace(one, needle=needle))
    assert ways.bypass is not None
    q = through_hole(ways.bypass, ways.onward, ways.mouth, supply, drawn)
    left = ways.bypass.drop(q)
    right = ways.onward.drop(supply - q) + ways.mouth.drop(drawn - q)
    assert left == pytest.approx(right, rel=1e-6, abs=1e-3)


@given(
    benches(), settings_of_flow(), st.floats(0.02, 5), st.floats(0.3, 5), st.sampled_from(EVENTS)
)
@settings(max_examples=40)
def test_a_trial_keeps_the_volume_and_its_limits(
    bench: Scenario, flow: Flow, line: float, chamber: float, event: str
) -> None:
    trial = Trial(
        0.5,
        line_compliance=UL_MMHG.to_si(line),
        chamber_compliance=UL_MMHG.to_si(chamber),
        event=event,
    )
    run = surge(replace(bench, surge=trial), flow)
    v, bath = run.volumes, bench.sleeve is None
    scale = max(1e-9, float(np.abs(v).max()))
    if not bath:
        off = v[:, 0] - v[:, 1] - v[:, 2] - run.stored[:, 0]
        assert np.abs(off).max() < 1e-9 * scale
    assert np.abs(v[:, 2] - v[:, 3] - run.stored[:, 1]).max() < 1e-9 * scale
    assert run.vacuum.max() <= flow.vacuum_limit * (1 + 1e-6) + 50
    if not flow.by_vacuum:
        assert run.pumped.max() <= flow.aspiration * (1 + 1e-9)
    assert run.chamber.min() >= 0 and np.all(np.diff(run.time) >= 0)
    assert (run.flat_at is None) or run.time[-1] == pytest.approx(run.flat_at)
