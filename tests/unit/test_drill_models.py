"""The drill's forecast is the package's own transient flow, and its coarse heat the full march."""

from dataclasses import replace

import numpy as np
import pytest

from tipsim.drill.actions import Action
from tipsim.drill.read import drill_ids, load_drill
from tipsim.drill.run import Case, run_case
from tipsim.drill.warm import FULL
from tipsim.flow import Change, balance, collapse_time, transient
from tipsim.flow.onward import at_rest, onward
from tipsim.heat.timeline import heat_run
from tipsim.setup.errors import BadInput
from tipsim.setup.event import Event
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press

BENCH = Scenario.preset("single-bend, torsional")


def off(mine: np.ndarray, own: np.ndarray) -> float:
    """Largest difference over the largest value."""
    return float(np.abs(mine - own).max() / np.abs(own).max())


@pytest.mark.parametrize("id", [id for id in drill_ids() if id != "tilt-on-the-sleeve"])
def test_flow_is_the_package_s_own_within_one_percent(id: str) -> None:
    """In one run from rest, with all that was done: the drill goes from stretch to stretch."""
    drill = load_drill(id)
    case = Case(drill, drill.seed)
    for actions in (drill.start, drill.careful(min(case.moments()))):
        curves = run_case(case, actions, drill.lasts)
        own = transient(drill.scenario, curves.done, drill.lasts)
        # Not at jumps, where one time has two values.
        time = np.setdiff1d(curves["time"], [c.time for c in curves.done])
        for name in ("vacuum", "irrigation", "leak", "chamber", "volume"):
            theirs = np.interp(time, own.time, getattr(own, name))
            whole = curves.held[:, 0] if name == "volume" else None
            mine = curves["pressure"] if name == "chamber" else whole
            mine = curves[name] if mine is None else mine
            if name == "chamber":  # Less than nothing is suction in a flat chamber.
                mine, theirs = np.maximum(mine, 0), np.maximum(theirs, 0)
            assert off(np.interp(time, curves["time"], mine), theirs) < 0.01, name
        begin = time > min(case.moments())
        surge = np.interp(time, own.time, own.volume)[begin].min()
        assert np.interp(time, curves["time"], curves.held[:, 0])[begin].min() == pytest.approx(
            surge, abs=0.01 * own.full
        )


def test_under_a_tilt_the_flow_ends_at_the_balance_of_a_pressed_sleeve() -> None:
    drill = load_drill("tilt-on-the-sleeve")
    curves = run_case(Case(drill, drill.seed), (), drill.lasts)
    pressed = balance(replace(drill.scenario, press=Press(force=drill.faults[0].size)))
    free = balance(drill.scenario)
    last = curves["pressure"][-1]
    assert last == pytest.approx(pressed.chamber_pressure, rel=0.01)
    assert last != pytest.approx(free.chamber_pressure, rel=0.01)


@pytest.mark.parametrize("id", drill_ids())
def test_coarse_heat_is_the_full_march_within_one_kelvin(id: str) -> None:
    drill = load_drill(id)
    case = Case(drill, drill.seed)
    coarse = run_case(case, drill.start, drill.lasts)
    full = run_case(replace(case, model=FULL), drill.start, drill.lasts)
    for name in ("sleeve", "wound"):
        assert np.array_equal(coarse["time"], full["time"])
        assert np.abs(coarse[name] - full[name]).max() < 1.0, name


def test_heat_without_flow_is_that_of_the_heat_page_within_one_kelvin() -> None:
    """The same case as events of `heat_run`, which switches the flow off at once."""
    drill = load_drill("line-kinked")
    case = Case(drill, drill.seed)
    moment = case.moments()[0]
    curves = run_case(case, drill.start, drill.lasts)
    events = (
        Event(0.0, "drive off"),
        Event(1.0, "drive on"),
        Event(1.0, "power", share=drill.scenario.drive.power * 0.6),
        Event(moment, "flow lost"),
    )
    own = heat_run(drill.scenario, drill.lasts, events)
    times = np.linspace(moment + 1, drill.lasts, 20)
    mine = np.interp(times, curves["time"], curves["sleeve"])
    # In the drill the needle is cooled until the chamber is flat; the page stops the flow at once.
    theirs = np.interp(times - collapse_time(drill.scenario), own.time, own.sleeve_peak)
    assert np.abs(mine - theirs).max() < 1.0


def test_an_unbroken_run_and_one_in_stretches_are_the_same() -> None:
    done = [Change(0.5, "opening", 0.0), Change(2.0, "opening", 1.0, 0.01)]
    done += [Change(2.5, "pump", -1.0), Change(3.0, "limit", 0.5), Change(3.2, "pump", 1.0)]
    own = transient(BENCH, done, 4.0)
    now, lows = at_rest(BENCH), []
    for end, change in zip((0.5, 2.0, 2.5, 3.0, 3.2, 4.0), [*done, None], strict=True):
        run, now = onward(BENCH, now, end, tolerance=1e-7)
        lows.append(run.chamber.min())
        if change is not None:
            now = now.changed(change.what, change.share, change.within)
    assert min(lows) == pytest.approx(own.chamber.min(), rel=2e-3)
    assert now.state[5:] == pytest.approx(own.volumes[-1], rel=1e-5)
    assert run.vacuum[-1] == pytest.approx(own.vacuum[-1], rel=1e-4)


def test_reflux_pushes_up_to_its_pressure_and_no_further() -> None:
    run = transient(BENCH, [Change(0.1, "opening", 0.0), Change(0.3, "pump", -1.0)], 6.0)
    # By hand: nothing flows in the end, so the line stands at the set 80 mmHg.
    assert run.line[-1] / 133.322 == pytest.approx(80, rel=1e-3)
    assert run.mouth[-1] == pytest.approx(0, abs=1e-12)
    free = transient(BENCH, [Change(0.3, "pump", -1.0)], 3.0)
    assert free.mouth[-1] < 0
    with pytest.raises(BadInput, match="-1 to 1"):
        Change(0.0, "pump", -2.0)


def test_a_lower_limit_holds_less_vacuum() -> None:
    run = transient(BENCH, [Change(0.1, "limit", 0.5), Change(0.2, "opening", 0.0)], 6.0)
    assert run.vacuum[-1] == pytest.approx(0.5 * BENCH.flow.vacuum_limit, rel=1e-3)


def test_reflux_frees_the_iris_sooner_than_the_vent() -> None:
    drill = load_drill("iris-at-the-port")
    moment = Case(drill, drill.seed).moments()[0]
    held = []
    for do in ("reflux", "irrigation", "aspiration"):
        curves = run_case(Case(drill, drill.seed), (Action(moment + 1, do),), drill.lasts)
        held.append(np.trapezoid(curves["iris"], curves["time"]))
    assert held[0] < held[1] < held[2]
