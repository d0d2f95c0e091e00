"""From scenario to numbers: every setting counts, and the numbers agree with each other."""

import json
from collections.abc import Iterator
from dataclasses import fields, replace
from functools import cache
from typing import Any

import numpy as np
import pytest

import tipsim
from tests.everything import changed, everything_on, settings
from tipsim.motion.buildup import pulse
from tipsim.quantities import PARTS, plain
from tipsim.setup.drive import Duty
from tipsim.setup.event import Event
from tipsim.setup.flow import BY_VACUUM
from tipsim.setup.presets import presets
from tipsim.setup.scenario import Scenario
from tipsim.solve import compare, solve

SINGLE, COUNTER = (Scenario.preset(f"{s}, torsional") for s in ("single-bend", "counter-bent"))


BENCH = everything_on()

# Settings that change no number on this bench, and why; one that ends in a dot or bracket stands
# for all behind it. Whoever makes one count takes it off: the test below fails until then.
IDLE = {
    "needle.shape": "a word for the shape, which the pieces make",
    "duty.kind": "a word for the train of pulses, which its times make",
    "events[1].share": "a load has none",
    "events[2].share": "lost flow has none",
    "tissue.iris.spread_limit": "counts where flutter comes so far; see test_iris",
    "tissue.cutting.contact": "counts where no lens on the bench says how much touches",
    "tissue.cutting.jump": "counts below 20 % power; see test_tissue",
    "tissue.cutting.jump_low": "counts below 20 % power; see test_cutting",
    "surge.pump_lag": "counts where a pump is switched while it runs; see published/test_transient",
}


def numbers_of(scenario: Scenario) -> Iterator[str]:
    """All that comes out, but for names: part by part, what costs least first."""
    result = solve(scenario)
    yield json.dumps([plain(result, name) for name in ("motion", "stress", "flow", "cutting")])
    surge = result.surge
    yield json.dumps([surge.depth, surge.released, len(surge.time), float(surge.chamber.sum())])
    yield json.dumps(float(pulse(scenario, 1e-3, 1e-3).end.sum()))
    yield json.dumps(plain(result, "endoscope"))
    yield json.dumps(float(result.heat.temperature.sum()))
    yield json.dumps([plain(result, name) for name in PARTS])


ALL = list(settings(BENCH))
IN_WOUND = replace(BENCH, outside=replace(BENCH.outside, kind="wound"))
BARE_IN_WOUND = replace(IN_WOUND, sleeve=None, press=None, events=())
AROUND = {"thermal.cornea": IN_WOUND, "tissue.near": IN_WOUND, "tissue.far": IN_WOUND}
AROUND |= {"tissue.beyond": IN_WOUND, "chamber.": IN_WOUND, "thermal.chamber_film": IN_WOUND}
STUCK = replace(IN_WOUND, chamber=replace(IN_WOUND.chamber, filling="viscoelastic"))
LOST = replace(IN_WOUND, events=(Event(1.0, "flow lost"),))
# It fills whole slices of the needle, so a little more counts where one begins.
FURTHER = STUCK.with_(**{"viscoelastic.reach": 6e-3})
AROUND |= {"viscoelastic.": STUCK, "viscoelastic.reach": FURTHER, "chamber.left": LOST}
AROUND |= {"incision.": IN_WOUND, "incision.bare": BARE_IN_WOUND}
# Metal is wetted in air alone; lips press where the sleeve stretches them beyond what they give.
IN_AIR = replace(BENCH, outside=replace(BENCH.outside, kind="air"))
AROUND |= {"outside.film": IN_AIR, "thermal.air_film": IN_AIR}


def filmed(scenario: Scenario, **values: Any) -> Scenario:
    """The bench before a thermal camera that is set so."""
    return replace(scenario, thermal_camera=replace(scenario.thermal_camera, **values))


# From an angle, above the middle, so that each sector counts; the tip is bare, and shines when dry.
FILMED = filmed(IN_AIR, height=0.2e-3, side=0.7, pictures=3, near=0.5e-3)
SHINING = filmed(replace(BENCH, outside=replace(BENCH.outside, kind="dry")), near=0.1e-3, far=1e-3)
AROUND |= {"thermal_camera.": FILMED, "thermal_camera.metal_resistivity": SHINING}
# A pixel is full in much light alone.
BRIGHT = replace(BENCH, endoscope=replace(BENCH.endoscope, exposure=0.03))
AROUND |= {"endoscope.full_well": BRIGHT}
NARROW = replace(BENCH, eye=replace(BENCH.eye, wound_width=2.0e-3))
AROUND |= {f"tissue.wound.{name}": NARROW for name in ("give", "modulus", "silicone_")}
DRAWN = replace(BENCH, flow=replace(BENCH.flow, pump=BY_VACUUM))
AROUND |= {"lines.vacuum_bore": DRAWN}
"""The bench on which a number counts, where it is not the first one; the longest name counts."""


def bench_for(path: str) -> Scenario:
    name = max((k for k in AROUND if path.startswith(k)), key=len, default="")
    return AROUND.get(name, BENCH)


@cache
def before(bench: Scenario) -> tuple[str, ...]:
    return tuple(numbers_of(bench))


def is_idle(path: str) -> bool:
    return any(path == k or (k[-1] in ".[" and path.startswith(k)) for k in IDLE)


@pytest.mark.parametrize("path", ALL)
def test_every_setting_changes_some_number(path: str) -> None:
    bench = bench_for(path)
    # The rest is not computed once something differs.
    differs = any(
        one != other
        for one, other in zip(numbers_of(changed(bench, path)), before(bench), strict=False)
    )
    if is_idle(path):
        assert not differs, f"{path} counts now: take it off the list of idle settings"
    else:
        assert differs, f"{path} changes nothing"


def absent(obj: Any, place: str = "") -> Iterator[str]:
    """Parts and numbers that a bench leaves at None or empty, so that nothing tries them."""
    for f in fields(obj):
        kind, value = f.metadata["kind"], getattr(obj, f.name)
        path = f"{place}{f.name}"
        if value is None or value == ():
            yield path
        elif kind == "part":
            yield from absent(value, f"{path}.")
        elif kind == "parts":
            # Enough when one of several has it.
            lacking = [set(absent(each, f"{path}[].")) for each in value]
            yield from set.intersection(*lacking)


FOLLOWS = {
    "sleeve.mobility": 0.2,
    "support.length": 3e-3,
    "press.length": 1e-3,
    "eye.iris_place": 2e-3,
    "endoscope.focus": 8e-3,
}
"""Numbers that follow from others unless they are set, and what they are set to here."""


@pytest.mark.parametrize("path", FOLLOWS)
def test_a_number_that_follows_from_others_can_be_set(path: str) -> None:
    bench = BENCH.with_(**{path: FOLLOWS[path]})
    assert any(a != b for a, b in zip(numbers_of(bench), before(BENCH), strict=False))


def test_the_bench_above_has_every_setting() -> None:
    """Nothing escapes because it is absent: what is new must be put on it."""
    assert set(absent(BENCH)) == set(FOLLOWS)
    assert all(any(path.startswith(k) for path in ALL) for k in IDLE)


KEYS = {
    "frequency_hz",
    "end_stroke_um_pp",
    "end_speed_m_s",
    "shaft_stroke_um_pp",
    "nodes_mm",
    "markers",
}


@pytest.mark.parametrize("name", presets())
def test_the_plain_numbers_agree_with_each_other(name: str) -> None:
    scenario = Scenario.preset(name)
    result = solve(scenario)
    out = result.to_dict()
    assert json.loads(json.dumps(out, allow_nan=False)) == out
    motion = out["motion"]
    assert set(motion) >= KEYS
    assert (out["scenario"], out["needle"], out["drive"]) == (
        *(name, scenario.needle.id, scenario.drive.kind),
    )
    assert motion["frequency_hz"] == scenario.drive.frequency
    m = result.motion
    for key, value in (
        ("end_stroke_um_pp", m.end_stroke * 1e6),
        ("mouth_edge_stroke_um_pp", m.edge_stroke * 1e6),
        ("shaft_stroke_um_pp", m.character.shaft_stroke * 1e6),
        ("shaft_sideways_um_rms", m.character.shaft_rms * 1e6),
        ("pendular_share", m.character.pendular_share),
        ("whip_share", m.character.whip_share),
        ("nodes_mm", [n * 1e3 for n in m.nodes]),
        ("hub_torque_n_mm", m.hub_torque * 1e3),
        ("hub_force_n", m.hub_force),
        ("power_w", m.power),
    ):
        assert motion[key] == (None if value is None else pytest.approx(value, rel=1e-5)), key
    first = motion["markers"][0]
    assert first["distance_mm"] == 0
    assert first["stroke_um_pp"] == motion["end_stroke_um_pp"]
    assert [m["distance_mm"] for m in motion["markers"]] == [0, 1, 2, 3, 4]
    for marker in motion["markers"]:
        assert set(marker) == {"distance_mm", "stroke_um_pp", "phase_deg", "direction"}
        assert -180 <= marker["phase_deg"] <= 180
    speed = np.pi * motion["frequency_hz"] * motion["end_stroke_um_pp"] * 1e-6
    assert motion["end_speed_m_s"] == pytest.approx(speed, rel=1e-4)
    assert sum(motion["lost_w"].values()) == pytest.approx(motion["power_w"], rel=1e-4)
    assert motion["mean_power_w"] == motion["power_w"]
    assert motion["nodes_mm"] == sorted(motion["nodes_mm"])
    assert all(0 < n < scenario.needle.length * 1e3 for n in motion["nodes_mm"])
    assert motion["mouth_edge_stroke_um_pp"] >= motion["end_stroke_um_pp"] * (1 - 1e-5)


def test_pulses_lower_the_mean_power_only() -> None:
    steady = solve(SINGLE).motion
    pulsed = solve(replace(SINGLE, duty=Duty("pulsed", 5e-3, 15e-3))).motion
    assert pulsed.power == steady.power
    assert pulsed.mean_power == pytest.approx(steady.power / 4)
    assert pulsed.end_stroke == steady.end_stroke


def test_torsion_leaves_a_straight_needle_s_end_where_it_is() -> None:
    m = solve(Scenario.preset("straight, torsional")).motion
    assert m.end_stroke == 0
    assert m.surface_stroke.max() > 20e-6
    assert m.hub_torque > 0 and m.hub_force == 0


def test_compare_lays_both_side_by_side() -> None:
    a, b = solve(SINGLE), solve(COUNTER)
    both = compare(a, b)
    assert both["a"] == a.to_dict() and both["b"] == b.to_dict()
    ratios = both["ratios"]
    assert ratios["end_stroke_b_over_a"] == pytest.approx(
        b.motion.end_stroke / a.motion.end_stroke, rel=1e-5
    )
    assert ratios["marker_strokes_a_over_b"][4] == pytest.approx(
        a.motion.markers[4].stroke / b.motion.markers[4].stroke, rel=1e-5
    )
    assert ratios["shaft_rms_a_over_b"] == pytest.approx(
        a.motion.character.shaft_rms / b.motion.character.shaft_rms, rel=1e-5
    )
    assert both["markers_against_end"] == {"a": [3, 4, 5], "b": [3, 4, 5]}


def test_a_ratio_by_nothing_is_none() -> None:
    both = compare(solve(Scenario.preset("straight, torsional")), solve(SINGLE))
    assert both["ratios"]["end_stroke_b_over_a"] is None
    assert both["ratios"]["marker_strokes_a_over_b"] == [0, 0, 0, 0, 0]
    assert json.dumps(both, allow_nan=False)


def test_markers_of_different_numbers_are_compared_as_far_as_they_go() -> None:
    few = replace(COUNTER, markers=(0.0, 2e-3))
    both = compare(solve(SINGLE), solve(few))
    assert len(both["ratios"]["marker_strokes_a_over_b"]) == 2


def test_solving_does_not_touch_the_scenario_and_repeats_exactly() -> None:
    text = SINGLE.to_toml()
    one, two = solve(SINGLE), solve(SINGLE)
    assert SINGLE.to_toml() == text
    assert (one.motion.displacement == two.motion.displacement).all()
    assert one.scenario is SINGLE


def test_the_package_s_front_door() -> None:
    assert set(tipsim.__all__) <= set(dir(tipsim))
    result = tipsim.solve(tipsim.Scenario.preset("counter-bent, torsional"))
    assert len(result.motion.markers) == 5
    with pytest.raises(tipsim.BadInput):
        tipsim.Scenario.preset("corkscrew")
