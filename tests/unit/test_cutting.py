"""Cutting: the rim's sweep in closed form, contact, and equal cutting."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tipsim.motion.run import run
from tipsim.motion.steady import Vibration
from tipsim.setup.catalogue import lens
from tipsim.setup.drive import Duty
from tipsim.setup.scenario import Scenario
from tipsim.tissue.equal import Side, equal_cutting_power, rubbing_ratio, wide_ratio
from tipsim.tissue.mouth import rim, sweep
from tipsim.tissue.nucleus import cutting, in_contact, mouth, rate_at, reference

STRAIGHT = Scenario.preset("straight, axial")
SQUARE = replace(STRAIGHT, needle=replace(STRAIGHT.needle, bevel=0.0))


def moving(scenario: Scenario, **motion: complex) -> Any:
    """The scenario's motion with the end moved as given: x, y, z, rx, ry, rz."""
    solved = run(scenario)
    u = solved.displacement.copy()
    u[-1] = [motion.get(k, 0) for k in ("x", "y", "z", "rx", "ry", "rz")]
    v = solved.vibration
    return replace(solved, vibration=Vibration(v.frame, v.frequency, u, v.reaction))


def side(name: str, **drive: Any) -> Side:
    scenario = Scenario.preset(name)
    scenario = replace(scenario, drive=replace(scenario.drive, **drive))
    return Side(scenario, run(scenario))


def test_square_mouth_in_closed_form() -> None:
    """Radius R, stroke s: 2 pi R s along the axis, 4 R s sideways, nothing when turning."""
    tangent = run(SQUARE).frame.tangent[-1]
    a, radius = 10e-6, SQUARE.needle.outer_radius
    along = sweep(SQUARE, moving(SQUARE, **dict(zip("xyz", a * tangent, strict=True))))
    assert along.normal == pytest.approx(2 * np.pi * radius * 2 * a, rel=1e-9)
    assert along.sideways == pytest.approx(0, abs=1e-15)
    assert along.normal_speed == pytest.approx(2 * np.pi * 40e3 * a / np.sqrt(2), rel=1e-9)
    aside = sweep(SQUARE, moving(SQUARE, z=a))
    assert aside.normal == pytest.approx(0, abs=1e-15)
    assert aside.sideways == pytest.approx(4 * radius * 2 * a, rel=1e-3)
    twist = dict(zip(("rx", "ry", "rz"), 0.05 * tangent, strict=True))
    turning = sweep(SQUARE, moving(SQUARE, **twist))
    assert max(turning.normal, turning.sideways) == pytest.approx(0, abs=1e-15)


def test_bevelled_mouth_is_an_ellipse_whose_plane_is_tilted() -> None:
    bevel = np.radians(45)
    needle = replace(SQUARE.needle, bevel=bevel)
    bench = replace(SQUARE, needle=needle)
    tangent = run(bench).frame.tangent[-1]
    edge = rim(bench, tangent)
    assert edge.normal @ tangent == pytest.approx(np.cos(bevel))
    assert np.abs(edge.lever @ edge.normal).max() < 1e-15
    assert np.abs((edge.along * edge.across).sum(axis=1)).max() < 1e-12
    reach = np.linalg.norm(edge.lever, axis=1)
    radius = needle.outer_radius
    assert (reach.min(), reach.max()) == pytest.approx((radius, radius / np.cos(bevel)))
    # Ramanujan's second formula for the ellipse's circumference, good to 1e-5 here.
    p, q = radius / np.cos(bevel), radius
    h = ((p - q) / (p + q)) ** 2
    around = np.pi * (p + q) * (1 + 3 * h / (10 + np.sqrt(4 - 3 * h)))
    assert edge.piece.sum() == pytest.approx(around, rel=1e-5)
    along = sweep(bench, moving(bench, **dict(zip("xyz", 1e-5 * tangent, strict=True))))
    assert along.normal == pytest.approx(around * 2e-5 * np.cos(bevel), rel=1e-4)
    assert along.sideways > 0


def test_twist_alone_does_not_cut_with_a_straight_square_mouth() -> None:
    bench = replace(Scenario.preset("straight, torsional"), needle=SQUARE.needle)
    found = cutting(bench, run(bench))
    assert found.rate.usual == pytest.approx(0, abs=1e-12)
    assert found.swept_normal == pytest.approx(0, abs=1e-15)


def test_the_reference_needle_with_all_of_its_rim_on_medium_lens_cuts_one() -> None:
    """Apart from the share of time in contact."""
    n = replace(SQUARE.tissue.cutting, contact=1.0)
    bench = replace(SQUARE, tissue=replace(SQUARE.tissue, cutting=n))
    m = mouth(bench, run(bench))
    per_contact = float(rate_at(m, 1.0, {})[0] / in_contact(m, {})[0])
    assert per_contact == pytest.approx(m.sweep.normal * 40e3 / reference(), rel=1e-3)
    assert per_contact == pytest.approx(1, rel=0.01)


def test_vacuum_holds_and_axial_speed_pushes() -> None:
    axial, twist = side("single-bend, axial"), side("single-bend, torsional")
    a, t = (cutting(s.scenario, s.motion) for s in (axial, twist))
    assert a.push.usual > 10 * t.push.usual and a.contact.usual < t.contact.usual
    weak = replace(axial.scenario, flow=replace(axial.scenario.flow, vacuum_limit=0.0))
    assert cutting(weak, axial.motion).rate.usual == 0
    half = side("single-bend, axial", power=0.5)
    assert cutting(half.scenario, half.motion).push.usual == pytest.approx(a.push.usual / 4)


def test_hardness_and_pulses() -> None:
    bench = Scenario.preset("counter-bent, torsional")
    soft, hard = (
        cutting(x, run(x)).rate
        for x in (replace(bench, lens=lens("soft")), replace(bench, lens=lens("hard")))
    )
    assert soft.usual > hard.usual and soft.high > hard.high
    assert "cutting.contact" not in soft.alone and "lens.modulus" in soft.alone
    pulsed = replace(bench, duty=Duty("pulsed", 5e-3, 15e-3))
    assert cutting(pulsed, run(pulsed)).rate.usual == pytest.approx(
        cutting(bench, run(bench)).rate.usual / 4
    )
    assert cutting(bench, run(bench)).hardness_unexplained == pytest.approx(0.663, abs=0.001)


def test_equal_cutting_cuts_alike() -> None:
    for drive in ("axial", "torsional", "elliptical"):
        for power in (0.05, 0.15, 0.5):
            a = side(f"single-bend, {drive}", power=power)
            b = side(f"counter-bent, {drive}")
            found = equal_cutting_power(a, b)
            assert found.power is not None
            b2 = side(f"counter-bent, {drive}", power=found.power)
            one, two = (cutting(s.scenario, s.motion).rate.usual for s in (a, b2))
            assert one == pytest.approx(two, rel=1e-9)


def test_a_needle_against_itself_needs_the_same_power() -> None:
    a, b = side("straight, axial", power=0.37), side("straight, axial", power=0.0)
    found = equal_cutting_power(a, b)
    assert found.power == pytest.approx(0.37) and found.always
    assert (found.band.low, found.band.high) == pytest.approx((0.37, 0.37))


def test_what_cannot_be_reached_is_said() -> None:
    a = side("counter-bent, torsional")
    b = side("straight, torsional")
    found = equal_cutting_power(a, b)
    assert found.power is None and not found.always
    assert found.most is not None and found.most < 1
    still = side("counter-bent, torsional", power=0.0)
    nothing = equal_cutting_power(still, a)
    assert nothing.power == 0 and nothing.most is None and nothing.always


def test_rubbing_of_a_needle_over_itself_is_one() -> None:
    a, b = side("single-bend, torsional"), side("single-bend, torsional")
    for band in (rubbing_ratio(a, b).narrow, wide_ratio(a, b).wide):
        assert band is not None
        assert (band.low, band.usual, band.high) == pytest.approx((1, 1, 1))
    half = rubbing_ratio(a, side("single-bend, torsional", power=0.5)).narrow
    assert half is not None and half.usual == pytest.approx(2)
    # At equal cutting it takes A's power, whatever it is set to.
    alike = rubbing_ratio(a, side("single-bend, torsional", power=0.5), equal_cutting=True).narrow
    assert alike is not None and (alike.low, alike.high) == pytest.approx((1, 1))
    still = side("single-bend, torsional", power=0.0)
    assert rubbing_ratio(a, still).narrow is None


def test_a_number_set_differently_on_both_benches_is_not_moved() -> None:
    a, b = side("single-bend, torsional"), side("counter-bent, torsional")
    n = replace(b.scenario.tissue.iris, twist_share=0.05)
    scenario = replace(b.scenario, tissue=replace(b.scenario.tissue, iris=n))
    band = rubbing_ratio(a, Side(scenario, b.motion)).narrow
    assert band is not None and "iris.twist_share" not in band.alone


def test_below_the_knee_cutting_goes_by_the_powers_of_the_jump() -> None:
    """By hand, at 10 %: a fifth of 0.2 where the jump begins; from 5 % a third of the way up."""
    bench = Scenario.preset("straight, axial")

    def rate(low: float) -> float:
        own = replace(bench.tissue.cutting, share_at_knee=0.2, jump=5.0, jump_low=low)
        there = replace(bench, tissue=replace(bench.tissue, cutting=own))
        return float(rate_at(mouth(there, run(there)), 0.1, {})[0])

    assert rate(0.05) / rate(0.1) == pytest.approx((0.04 + 0.16 / 3) / 0.04, rel=1e-9)
