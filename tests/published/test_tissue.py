"""Tissue against outside values: level crossings, the mouth's speed, power and efficiency.

Sources
-------
[1] S. O. Rice, Mathematical analysis of random noise, Bell Syst Tech J 23 (1944) and 24 (1945):
    up-crossings of level u standard deviations: nu0 exp(-u²/2), nu0 = sqrt(m2/m0) with moments of
    the one-sided spectrum over frequency in hertz (from memory; the values are worked out).
[2] J Cataract Refract Surg 2015;41:1264-1267 (abstract): efficiency five-fold from 10 to 20 %
    power, then linear to 100 %; axial drive, pig lens.
[3] Trade article 2008: peak speed of the end up to 72 km/h, 20 m/s.
[4] M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, table 17.1: complete
    elliptic integral E(m): 1.57080 at 0, 1.35064 at 0.5, 1 at 1.
"""

from collections.abc import Callable, Iterable
from dataclasses import replace

import numpy as np
import pytest

from tests.published.bars import Validation
from tipsim.app.pages.tissue.compare import claims, near_still
from tipsim.app.pages.tissue.state import TissueState
from tipsim.motion.run import run
from tipsim.setup.scenario import Scenario
from tipsim.tissue.bands import Band
from tipsim.tissue.crossings import crossing_rate, flutter, share_beyond
from tipsim.tissue.equal import EQUAL_CUT, EQUAL_POWER, Side, equal_cutting_power, wide_ratio
from tipsim.tissue.iris import beside
from tipsim.tissue.nucleus import cutting, efficiency
from tipsim.tissue.touch import mean_length

ReportTable = Callable[[str, Iterable[str]], None]


def test_rice_s_formula_gives_the_tabled_values(validation: Validation) -> None:
    """[1]; the share of time is the tail of the normal distribution, by handbook tables."""
    assert [round(float(crossing_rate(u, 1.0)), 4) for u in (1, 2, 3)] == [0.6065, 0.1353, 0.0111]
    assert [round(float(share_beyond(u)), 4) for u in (0, 1, 2, 3)] == [
        *(0.5, 0.1587, 0.0228, 0.0013),
    ]
    validation(
        "level crossings at 1, 2, 3 standard deviations",
        "0.6065, 0.1353, 0.0111",
        ", ".join(f"{float(crossing_rate(u, 1.0)):.4f}" for u in (1, 2, 3)),
        "4 digits",
        "Rice 1944-45 (from memory)",
    )


def test_a_simulated_gap_closes_as_often_as_rice_says(
    report_table: ReportTable, validation: Validation
) -> None:
    """[1], within the simulation's own error, which comes from forty independent stretches."""
    lines = [line for level in (0.0, 0.5, 1.0, 1.5, 2.0) for line in crossings(level)]
    report_table("Level crossings", lines)
    validation(
        "simulated gap: contacts and share of time at five levels",
        "Rice's formula; tail of the normal distribution",
        "within 4 standard errors of the simulation",
        "4 standard errors, each below 3 %",
        "Rice 1944-45 (from memory)",
    )


def crossings(level: float) -> list[str]:
    """Compare one level, and return what was found."""
    rate, duration, gap, spread = 8.0, 60.0, 0.2e-3, 0.1e-3
    closed = gap - level * spread
    drawn = [flutter(gap, spread, rate, closed, duration, 1 / 1000, seed) for seed in range(40)]
    lines = []
    for what, got, want in (
        ("contacts per second", [d.contacts / duration for d in drawn], crossing_rate(level, rate)),
        ("share of time", [d.share for d in drawn], share_beyond(level)),
    ):
        mean, error = np.mean(got), np.std(got, ddof=1) / np.sqrt(len(got))
        # The error itself must be small, or this would check nothing.
        assert error < 0.03 * want
        assert abs(mean - want) < 4 * error
        lines.append(f"u = {level}: {what} {mean:.4f} ± {error:.4f}, formula {float(want):.4f}")
    return lines


def test_the_simulated_gap_has_its_mean_spread_and_rate() -> None:
    drawn = [flutter(0.2, 0.1, 5.0, 0.2, 100.0, 1 / 500, seed) for seed in range(20)]
    assert np.mean([d.gap.mean() for d in drawn]) == pytest.approx(0.2, abs=1e-12)
    assert np.mean([d.gap.std() for d in drawn]) == pytest.approx(0.1, rel=0.01)
    assert np.mean([d.contacts for d in drawn]) / 100 == pytest.approx(5.0, rel=0.01)
    # It begins where it ends: the step across the seam is no larger than any other.
    for d in drawn:
        assert abs(d.gap[0] - d.gap[-1]) <= np.abs(np.diff(d.gap)).max()


def test_mean_speed_on_an_ellipse_is_the_elliptic_integral(validation: Validation) -> None:
    """[4] and the plain mean over many phases."""
    thin = mean_length(np.array([1.0, 1j * np.sqrt(0.5), 0]))
    assert float(thin) == pytest.approx(2 / np.pi * 1.35064, rel=1e-5)
    turn = np.exp(2j * np.pi * (np.arange(4000) + 0.5) / 4000)
    u = np.random.default_rng(2).normal(size=(2, 5, 3)) @ np.diag([1.0, 0.4, 2.0])
    amplitude = u[0] + 1j * u[1]
    plain = np.linalg.norm((amplitude[..., None] * turn).real, axis=1).mean(axis=1)
    assert mean_length(amplitude) == pytest.approx(plain, rel=1e-6)
    validation(
        "mean speed on an ellipse",
        "E(0.5) = 1.35064",
        f"{float(thin) * np.pi / 2:.5f}",
        "1e-5",
        "Abramowitz & Stegun",
    )


@pytest.mark.parametrize("drive", ["axial", "torsional", "elliptical"])
@pytest.mark.parametrize("shape", ["straight", "single-bend", "counter-bent"])
def test_the_mouth_s_speed_is_pi_f_stroke_below_the_ceiling(shape: str, drive: str) -> None:
    """Within 1 % of pi f (peak to peak), against the largest speed over many phases; [3]."""
    scenario = Scenario.preset(f"{shape}, {drive}")
    found = cutting(scenario, motion := run(scenario))
    turn = np.exp(2j * np.pi * np.arange(720) / 720)
    velocity = motion.vibration.velocity[-1, :3]
    largest = np.linalg.norm((velocity[:, None] * turn).real, axis=0).max()
    assert found.speed == pytest.approx(largest, rel=0.01, abs=1e-9)
    assert found.speed == pytest.approx(np.pi * scenario.drive.frequency * found.stroke, rel=1e-12)
    assert found.too_fast == (found.speed > 20.0)


def test_a_speed_beyond_the_ceiling_is_flagged() -> None:
    """[3]; a hub that moves twice as far."""
    scenario = Scenario.preset("counter-bent, torsional")
    far = replace(
        scenario, drive=replace(scenario.drive, twist_stroke=2 * scenario.drive.twist_stroke)
    )
    assert not cutting(scenario, run(scenario)).too_fast
    assert cutting(far, run(far)).too_fast


def test_axial_cutting_jumps_five_fold_and_then_goes_straight(
    report_table: ReportTable, validation: Validation
) -> None:
    """[2], on the whole chain from power to rate, not only on the formula."""
    base = Scenario.preset("straight, axial")

    def rate(power: float) -> float:
        bench = replace(base, drive=replace(base.drive, power=power))
        return cutting(bench, run(bench)).rate.usual

    powers = [0.05, 0.1, 0.15, 0.2, 0.4, 0.6, 0.8, 1.0]
    rates = [rate(p) for p in powers]
    assert rates[3] / rates[1] == pytest.approx(5.0, rel=1e-9)
    assert np.diff(rates[3:], 2) == pytest.approx(0, abs=1e-12)
    assert rates == sorted(rates) and rate(0.0) == 0
    report_table(
        "Axial cutting with power, over the reference needle's",
        [f"{p:4.0%}: {r:.4f}" for p, r in zip(powers, rates, strict=True)],
    )
    validation(
        "longitudinal (axial) cutting, from 10 to 20 % power, then a straight line",
        "5 times",
        f"{rates[3] / rates[1]:.3f} times (taken, not predicted)",
        "1e-9",
        "J Cataract Refract Surg 2015;41:1264 (abstract)",
    )


def test_the_published_course_stands_whatever_is_assumed_beside_it() -> None:
    """[2]: the jump is the number's own; beyond 20 % it is a straight line to 1."""
    for knee in (0.1, 0.2, 0.5):
        for jump in (3.0, 5.0, 8.0):
            powers = (0, 0.1, 0.2, 0.6, 1)
            at = {p: float(efficiency(np.array(p), knee, jump, 0.1, 0.2)) for p in powers}
            assert at[0.2] / at[0.1] == pytest.approx(jump, rel=1e-12)
            assert at[0.6] == pytest.approx((at[0.2] + at[1]) / 2, rel=1e-12)
            assert at[1] == pytest.approx(1, rel=1e-12) and at[0] == 0


# Common practice, no source: with the iris lying on the sleeve, the single-bend needle releases
# pigment and the counter-bent one nearly none. Put in numbers: work of rubbing over 4 times as
# large at equal power, over 2 times at equal cutting, whatever the assumed numbers are. Nothing is
# fitted to this: the geometry was chosen on motion at other places of the needle.


def lying(shape: str) -> Side:
    """A needle at full power, torsional, with an iris that lies on its sleeve."""
    scenario = Scenario.preset(f"{shape}, torsional")
    scenario = replace(scenario, eye=replace(scenario.eye, iris_gap=0.0))
    return Side(scenario, run(scenario))


@pytest.fixture(scope="module")
def pair() -> tuple[Side, Side, float]:
    a, b = lying("single-bend"), lying("counter-bent")
    power = equal_cutting_power(a, b).power
    assert power is not None
    return a, b, power


def band(pair: tuple[Side, Side, float], equal_cutting: bool) -> tuple[Band, Band]:
    found = wide_ratio(*pair[:2], equal_cutting)
    assert found.narrow is not None and found.wide is not None
    return found.narrow, found.wide


def test_rubbing_of_both_shapes_by_place(
    pair: tuple[Side, Side, float], report_table: ReportTable
) -> None:
    a, b, power = pair
    place = np.arange(3, 10.1, 1.0) * 1e-3
    at = {"eye.iris_place": place}
    one = beside(a.scenario, a.motion, at).work
    same, alike = (beside(b.scenario, b.motion, at, s).work for s in (1.0, power))
    lines = [f"B cuts like A at {power:.0%} power"]
    lines += [
        f"{p * 1e3:4.0f} mm from the end: {x:5.2f} at equal power, {y:5.2f} at equal cutting"
        for p, x, y in zip(place, one / same, one / alike, strict=True)
    ]
    for name, least, equal in (("power", EQUAL_POWER, False), ("cutting", EQUAL_CUT, True)):
        narrow, wide = band(pair, equal)
        lines += [
            f"equal {name}, 5 mm: {narrow.usual:.2f}",
            f"  over the assumed numbers {narrow.low:.2f} to {narrow.high:.2f}",
            f"  with place, side and gap {wide.low:.2f} to {wide.high:.2f}",
            f"  lowered below {least:g} by {', '.join(wide.below(least)) or 'none'}",
        ]
    report_table("Rubbing at the iris, single-bend over counter-bent", lines)
    # Far up the shaft the counter-bent needle is quiet, whatever power it takes to cut alike.
    assert (one / same)[-1] > EQUAL_POWER and (one / alike)[-1] > EQUAL_CUT


def test_at_equal_cutting_the_ratio_is_above_two_with_usual_numbers(
    pair: tuple[Side, Side, float],
) -> None:
    narrow, wide = band(pair, equal_cutting=True)
    assert narrow.usual > EQUAL_CUT
    # And what takes it below is named, as the screen must: not one number more or less.
    named = wide.below(EQUAL_CUT)
    assert {"iris.twist_share", "eye.iris_place"} <= set(named)
    assert set(named) == {id for id, (low, _) in wide.alone.items() if low < EQUAL_CUT}


@pytest.mark.xfail(
    raises=AssertionError,
    reason="Not met: 2.0 at 5 mm from the tip, 1 mm from the single bend's still point; from about "
    "7 mm on it is. The page says so.",
    strict=True,
)
def test_at_equal_power_the_ratio_is_above_four(pair: tuple[Side, Side, float]) -> None:
    assert band(pair, equal_cutting=False)[0].usual > EQUAL_POWER


@pytest.mark.xfail(
    raises=AssertionError,
    reason="Not met: near the shaft's still point, or if the sleeve turns along",
)
@pytest.mark.parametrize("equal", [False, True], ids=["equal power", "equal cutting"])
def test_the_ratio_holds_over_the_whole_band(pair: tuple[Side, Side, float], equal: bool) -> None:
    assert band(pair, equal)[1].low > (EQUAL_CUT if equal else EQUAL_POWER)


def test_the_page_names_what_decides_where_the_claim_fails() -> None:
    """A limit that is not met has a named reason on the screen: by hand from the motion itself."""
    state = TissueState.first()
    said = near_still(state)
    for key, result, does in zip("AB", state.results, ("lowers", "raises"), strict=True):
        nearest = min(result.motion.still_points, key=lambda p: abs(p - 5e-3))
        where, gap = f"{nearest * 1e3:.2g} mm", f"{abs(nearest - 5e-3) * 1e3:.2g} mm"
        assert f"{key} does at {where}, {gap} away, which {does} it" in said
    # Over the whole band: the one number that takes both ratios furthest down, by its label.
    turning = "share of the needle's turning that the sleeve takes on"
    for half in claims(state):
        assert turning in half["words"], half["words"]
