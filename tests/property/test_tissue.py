"""Laws of iris and cutting, for random benches."""

import json
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.property.benches import benches as any_benches
from tests.property.benches import between, number, with_drive
from tipsim.motion.run import run
from tipsim.quantities import plain
from tipsim.quantities.pair import pair_dict, rubbing_dict
from tipsim.setup.eye import Eye
from tipsim.setup.scenario import Scenario
from tipsim.setup.tissue import CuttingNumbers, IrisNumbers, Tissue
from tipsim.solve import Result
from tipsim.tissue.equal import Side, equal_cutting_power, wide_ratio
from tipsim.tissue.iris import beside, iris
from tipsim.tissue.mouth import sweep
from tipsim.tissue.nucleus import cutting

FEW = settings(max_examples=15)
NO_SPEED, NO_REACH = 1e-6, 1e-12
"""What counts as standing still [m/s, m]: rounding of motions a million times larger."""


@st.composite
def benches(draw: st.DrawFn) -> Scenario:
    """Benches whose bypass hole is shut: flow is another room's matter."""
    scenario = draw(any_benches())
    return replace(scenario, needle=replace(scenario.needle, bypass_diameter=0.0))


@st.composite
def eyes(draw: st.DrawFn) -> dict[str, Any]:
    """Any eye, and any numbers of the tissue within their ranges."""

    def some(cls: type) -> Any:
        return cls(**{f.name: draw(number(cls, f.name)) for f in fields(cls)})

    tissue = Tissue(iris=some(IrisNumbers), cutting=some(CuttingNumbers))
    return {"eye": some(Eye), "tissue": tissue}


@FEW
@given(benches(), eyes())
def test_bands_are_finite_and_hold_what_is_set(bench: Scenario, eye: dict[str, Any]) -> None:
    scenario = replace(bench, **eye)
    motion = run(scenario)
    found, cut = iris(scenario, motion), cutting(scenario, motion)
    for band in (found.work_per_minute, found.contact_share, cut.rate, cut.contact):
        assert 0 <= band.low <= band.usual <= band.high < np.inf
        assert band.low <= band.inner[0] <= band.inner[1] <= band.high
    parts = [plain(Result(scenario), part) for part in ("iris", "cutting")]
    assert json.dumps(parts, allow_nan=False)


@FEW
@given(benches(), eyes(), between(0.05e-3, 0.5e-3))
def test_a_farther_iris_is_never_rubbed_more(
    bench: Scenario, eye: dict[str, Any], more: float
) -> None:
    scenario = replace(bench, **eye)
    motion = run(scenario)
    gap = np.array([scenario.eye.iris_gap, scenario.eye.iris_gap + more])
    found = beside(scenario, motion, {"eye.iris_gap": gap})
    assert found.work[1] <= found.work[0] and found.share[1] <= found.share[0]
    assert (found.share >= 0).all() and (found.share <= 1).all()


@FEW
@given(benches(), eyes(), between(0.1, 1.0))
def test_motion_in_proportion_to_power(bench: Scenario, eye: dict[str, Any], part: float) -> None:
    """Speed, reach and swept areas follow the power; so does a factor on the motion."""
    scenario = replace(bench, **eye)
    less = with_drive(scenario, power=part * scenario.drive.power)
    whole, lower = run(scenario), run(less)
    one, two = sweep(scenario, whole), sweep(less, lower)
    assert (two.normal, two.sideways) == pytest.approx(
        (part * one.normal, part * one.sideways), rel=1e-6, abs=1e-16
    )
    scaled, solved = beside(scenario, whole, {}, part), beside(less, lower, {})
    slid = scaled.sliding, solved.sliding
    assert slid[0].speed == pytest.approx(slid[1].speed, rel=1e-6, abs=NO_SPEED)
    assert slid[0].reach == pytest.approx(slid[1].reach, rel=1e-6, abs=NO_REACH)


@FEW
@given(benches(), eyes())
def test_a_mirrored_needle_rubs_the_mirrored_iris_alike(
    bench: Scenario, eye: dict[str, Any]
) -> None:
    scenario = replace(bench, **eye)
    turned = tuple(replace(p, turn=-p.turn) for p in scenario.needle.pieces)
    mirrored = replace(scenario, needle=replace(scenario.needle, pieces=turned))
    if scenario.drive.kind == "elliptical":
        # In the mirror the twist goes the other way round.
        phase = scenario.drive.phase
        mirrored = with_drive(mirrored, phase=phase - np.pi if phase > 0 else phase + np.pi)
    side = np.array([scenario.eye.iris_side])
    other = np.pi - side
    one = beside(scenario, run(scenario), {"eye.iris_side": side})
    two = beside(mirrored, run(mirrored), {"eye.iris_side": other})
    assert two.sliding.speed == pytest.approx(one.sliding.speed, rel=1e-6, abs=NO_SPEED)
    assert two.sliding.reach == pytest.approx(one.sliding.reach, rel=1e-6, abs=NO_REACH)


@settings(max_examples=8)
@given(benches(), benches(), eyes())
def test_two_needles_side_by_side(a: Scenario, b: Scenario, eye: dict[str, Any]) -> None:
    sides = [Side(s, run(s)) for s in (replace(a, **eye), replace(b, **eye))]
    assert json.dumps(pair_dict(*sides), allow_nan=False)
    assert json.dumps(rubbing_dict(wide_ratio(*sides), 4.0), allow_nan=False)
    found = equal_cutting_power(*sides)
    if found.power is not None and found.power > 0:
        again = with_drive(sides[1].scenario, power=found.power)
        one = cutting(sides[0].scenario, sides[0].motion).rate.usual
        assert cutting(again, run(again)).rate.usual == pytest.approx(one, rel=1e-6)
