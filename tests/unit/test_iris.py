"""The iris beside the sleeve: against hand calculation, and what each setting does."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.stats import norm

from tipsim.motion.run import run
from tipsim.motion.sleeve import mobility
from tipsim.motion.travel import at
from tipsim.setup.scenario import Scenario
from tipsim.tissue.iris import beside, film, iris, stirred

SINGLE = Scenario.preset("single-bend, torsional")
MOTION = run(SINGLE)


def eye(scenario: Scenario, **changes: Any) -> Scenario:
    return replace(scenario, eye=replace(scenario.eye, **changes))


def numbers(scenario: Scenario, **changes: Any) -> Scenario:
    tissue = replace(scenario.tissue, iris=replace(scenario.tissue.iris, **changes))
    return replace(scenario, tissue=tissue)


def work(scenario: Scenario) -> float:
    return float(beside(scenario, run(scenario), {}).work[0])


def test_the_work_is_the_formula_worked_out_by_hand() -> None:
    """On a point-like contact at the default place: every term from where it comes."""
    point = eye(SINGLE, iris_gap=0.1e-3, iris_place=5e-3)
    point = numbers(point, length=0.5e-3, arc=np.radians(20))
    found = beside(point, MOTION, {})
    assert SINGLE.sleeve is not None
    follows = float(mobility(SINGLE, np.array([SINGLE.needle.length - 5e-3]))[0])
    u = at(MOTION.frame, MOTION.displacement, [SINGLE.needle.length - 5e-3])[0]
    # Torsional: across the bend plane only; the sleeve passes its mobility, and leans along.
    before = np.searchsorted(MOTION.frame.s, SINGLE.needle.length - 5e-3) - 1
    tangent = MOTION.frame.tangent[before]
    sideways = follows * u[2]
    lean = follows * SINGLE.sleeve.outer_radius * abs(u[3:] @ np.cross([0, 0, 1.0], tangent))
    most = np.hypot(abs(sideways), lean)
    speed = 2 / np.pi * 2 * np.pi * SINGLE.drive.frequency * abs(sideways)
    assert 0.97 * speed < found.sliding.speed[0] < 1.01 * speed * most / abs(sideways)
    share = norm.sf((0.1e-3 - found.sliding.reach[0]) / found.spread[0])
    assert found.share[0] == pytest.approx(share, rel=1e-12)
    area = 0.5e-3 * np.radians(20) * SINGLE.sleeve.outer_radius
    n = point.tissue.iris
    by_hand = 60 * share * found.sliding.speed[0] * n.pressure * area * n.friction
    assert found.work[0] == pytest.approx(by_hand, rel=1e-12)


def test_what_the_sleeve_passes_on() -> None:
    held = replace(SINGLE, sleeve=replace(SINGLE.sleeve, mobility=0.0))  # type: ignore[type-var]
    assert work(eye(held, iris_gap=0.0)) == 0
    # A bare needle rubs with all of its motion, turning too.
    bare = replace(SINGLE, sleeve=None)
    slid = beside(bare, run(bare), {}).sliding
    assert slid.radius[0] == pytest.approx(SINGLE.needle.outer_radius)
    # So it does where the iris lies on the end that stands out of the sleeve.
    assert beside(eye(SINGLE, iris_place=0.6e-3), MOTION, {}).sliding.radius[0] < 0.7e-3


@pytest.mark.parametrize("place", [0.6e-3, 5e-3])
def test_turning_and_lengthwise_motion_rub_by_what_is_passed_on(place: float) -> None:
    """A straight needle that only turns, or only moves along: its surface speed by hand."""
    for drive, share in (("torsional", "twist_share"), ("axial", "along_share")):
        bench = eye(Scenario.preset(f"straight, {drive}"), iris_place=place)
        bench = numbers(bench, length=0.5e-3, **{share: 0.05})
        motion = run(bench)
        u = at(motion.frame, motion.displacement, [bench.needle.length - place])[0]
        sleeved = place > 1e-3
        assert bench.sleeve is not None
        radius = bench.sleeve.outer_radius if sleeved else bench.needle.outer_radius
        moved = abs(u[0]) if drive == "axial" else radius * abs(u[3])
        speed = 2 / np.pi * 2 * np.pi * bench.drive.frequency * moved * (0.05 if sleeved else 1)
        assert beside(bench, motion, {}).sliding.speed[0] == pytest.approx(speed, rel=0.01)


def test_turning_adds_to_sideways_motion_on_one_side_and_takes_from_it_on_the_other() -> None:
    """Under a small contact at 4 mm, where all of the sleeve goes aside faster than it turns."""
    place, share = 4e-3, 0.03
    bench = eye(numbers(SINGLE, length=0.5e-3, arc=np.radians(20)), iris_place=place)
    turned = numbers(bench, twist_share=share)
    one, other = (
        float(beside(eye(turned, iris_side=side), MOTION, {}).sliding.speed[0])
        for side in (0.0, np.pi)
    )
    none = float(beside(bench, MOTION, {}).sliding.speed[0])
    assert min(one, other) < none < max(one, other)
    assert (one + other) / 2 == pytest.approx(none, rel=1e-3)
    # What is added or taken is the mean speed of the sleeve's surface as it turns.
    angle = abs(at(MOTION.frame, MOTION.displacement, [SINGLE.needle.length - place])[0][3])
    assert SINGLE.sleeve is not None
    surface = 2 / np.pi * 2 * np.pi * 32e3 * share * SINGLE.sleeve.outer_radius * angle
    assert abs(one - other) / 2 == pytest.approx(surface, rel=0.005)


def test_the_same_motion_on_the_other_side_rubs_as_much() -> None:
    one = beside(eye(SINGLE, iris_side=np.pi / 2), MOTION, {})
    other = beside(eye(SINGLE, iris_side=-np.pi / 2), MOTION, {})
    assert one.work == pytest.approx(other.work)
    # Towards the iris, the motion taps instead of rubbing.
    below = beside(SINGLE, MOTION, {})
    assert one.sliding.speed[0] < below.sliding.speed[0]
    assert one.sliding.reach[0] > 5e-6 > 1e-9 > below.sliding.reach[0]


@pytest.mark.parametrize("gap", [-0.5e-3, 0.0, 0.2e-3, 3e-3])
def test_at_all_gaps_the_numbers_are_numbers(gap: float) -> None:
    found = iris(bench := eye(SINGLE, iris_gap=gap), run(bench))
    for band in (found.work_per_minute, found.contact_share, found.index, found.speed):
        assert np.isfinite([band.low, band.usual, band.high]).all()
        assert 0 <= band.low <= band.usual <= band.high
    assert found.contact_share.high <= 1
    assert found.contact_time >= 0


def test_what_lowers_rubbing() -> None:
    """Each of these is common practice, no source; here it must follow from the formulas."""
    usual = work(SINGLE)
    flow = replace(SINGLE, flow=replace(SINGLE.flow, aspiration=SINGLE.flow.aspiration / 2))
    pulsed = replace(SINGLE, duty=replace(SINGLE.duty, kind="pulsed", off_time=1.0))
    power = replace(SINGLE, drive=replace(SINGLE.drive, power=0.5))
    for calmer in (eye(SINGLE, iris_gap=0.4e-3), flow, power, eye(SINGLE, iris_modulus=20e3)):
        assert work(calmer) < 0.9 * usual
    assert work(pulsed) == pytest.approx(usual / 2)
    assert work(eye(SINGLE, iris_modulus=1e3)) > 1.5 * usual


def test_without_flow_nothing_flutters() -> None:
    still = replace(SINGLE, flow=replace(SINGLE.flow, aspiration=0.0, leak=0.0))
    found = beside(still, run(still), {})
    assert (found.spread[0], found.share[0], found.work[0]) == (0, 0, 0)
    lying = beside(eye(still, iris_gap=-0.1e-3), run(still), {})
    assert lying.share[0] == 1 and lying.work[0] > 0


def test_flutter_follows_pressure_over_modulus_up_to_its_limit() -> None:
    one = np.ones(1)
    wide, fast = stirred(2.0, one, 1e-4, 1.0, 1e-3, 8.0, 0.0)  # type: ignore[arg-type]
    assert (wide[0], fast[0]) == (pytest.approx(4e-4), pytest.approx(16.0))
    wide, fast = stirred(1.0, 4 * one, 1e-4, 0.5, 1e-3, 8.0, 1.0)  # type: ignore[arg-type]
    assert (wide[0], fast[0]) == (pytest.approx(0.5e-4), pytest.approx(16.0))
    assert stirred(9.0, one, 1e-4, 1.0, 1e-3, 8.0, 0.5)[0][0] == 1e-3  # type: ignore[arg-type]


def test_the_picture_s_running_sum_tends_to_the_mean() -> None:
    found = beside(SINGLE, MOTION, {})
    drawn = film(found, SINGLE.eye.iris_gap, 2000.0, 1 / 200, seed=4)
    assert (np.diff(drawn.work) >= 0).all()
    assert drawn.work[-1] / 2000 * 60 == pytest.approx(float(found.work[0]), rel=0.1)
    again = film(found, SINGLE.eye.iris_gap, 2000.0, 1 / 200, seed=4)
    assert (again.work == drawn.work).all()
    assert np.diff(drawn.work)[~drawn.flutter.touching[1:]] == pytest.approx(0)
