"""Bands: what they hold, and that nothing inside the ranges falls outside."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tipsim.setup.sourced import numbers
from tipsim.setup.tissue import Tissue
from tipsim.tissue.bands import Band, Range, Values, bands, ranges

AB = (Range("a", 0.0, 1.0, 2.0), Range("b", 1.0, 2.0, 3.0))


def test_rising_and_falling_together_reach_the_true_extremes() -> None:
    found = bands(lambda v: {"d": v["a"] - v["b"], "p": v["a"] * v["b"]}, AB)
    assert (found["d"].low, found["d"].usual, found["d"].high) == (-3.0, -1.0, 1.0)
    assert (found["p"].low, found["p"].usual, found["p"].high) == (0.0, 2.0, 6.0)
    assert found["p"].alone == {"a": (0.0, 4.0), "b": (1.0, 3.0)}
    assert found["p"].most == "a"


@given(st.lists(st.floats(-1, 1), min_size=3, max_size=3), st.integers(0, 2**31))
def test_no_point_of_a_monotone_result_falls_outside(slope: list[float], seed: int) -> None:
    over = [Range(f"n{i}", 1.0, 2.0, 20.0) for i in range(3)]

    def product(v: Values) -> Values:
        return {"p": np.prod([v[f"n{i}"] ** slope[i] for i in range(3)], axis=0)}

    band = bands(product, over)["p"]
    points = np.random.default_rng(seed).uniform(1, 20, (3, 50))
    inside = product({f"n{i}": points[i] for i in range(3)})["p"]
    assert (inside >= band.low * (1 - 1e-9)).all() and (inside <= band.high * (1 + 1e-9)).all()


def test_more_levels_find_a_peak_between_the_ends() -> None:
    def bump(v: Values) -> Values:
        return {"y": 1 - (v["x"] - 0.5) ** 2}

    two = bands(bump, [Range("x", 0.0, 0.0, 1.0)], samples=4)["y"]
    many = bands(bump, [Range("x", 0.0, 0.0, 1.0, levels=11)], samples=4)["y"]
    assert two.alone["x"] == (0.75, 0.75) and two.most is None
    assert many.alone["x"] == (0.75, 1.0) and many.high == 1.0


def test_numbers_that_pass_a_limit_are_named() -> None:
    band = Band(
        1.0, 3.0, 9.0, (2.0, 5.0), {"up": (3.0, 9.0), "down": (1.0, 3.0), "none": (3.0, 3.0)}
    )
    assert band.below(2.0) == ("down",) and band.above(5.0) == ("up",)
    # Where the usual value already fails, only what makes it worse or better is named.
    assert band.below(4.0) == ("down",) and band.above(2.0) == ("up",)
    assert band.over(2.0).alone["up"] == (1.5, 4.5) and band.over(2.0).most == "up"


def test_the_inner_band_holds_nine_tenths() -> None:
    band = bands(lambda v: {"y": v["a"]}, AB, samples=2000)["y"]
    assert band.inner == pytest.approx((0.1, 1.9), abs=0.002)
    assert band.low <= band.inner[0] < band.inner[1] <= band.high


def test_rounding_is_no_change() -> None:
    band = bands(lambda v: {"y": 1 / 3 + 1e-13 * v["a"]}, AB)["y"]
    assert band.most is None and band.below(1.0) == ()


def test_it_repeats_exactly_and_goes_by_factors_over_decades() -> None:
    over = [Range("f", 0.01, 0.1, 1.0), Range("g", 1.0, 2.0, 3.0)]
    seen: list[Values] = []

    def look(v: Values) -> Values:
        seen.append(v)
        return {"f": v["f"] * v["g"]}

    assert bands(look, over) == bands(look, over)
    f, g = seen[0]["f"][-64:], seen[0]["g"][-64:]
    # A hypercube has one point in each of as many equal steps.
    assert sorted((np.log10(f) + 2) / 2 * 64 // 1) == list(range(64))
    assert sorted((g - 1) / 2 * 64 // 1) == list(range(64))


def test_every_number_of_the_tissue_has_its_range() -> None:
    tissue = Tissue()
    for group in ("iris", "cutting", "wound"):
        found = ranges(group, getattr(tissue, group))
        assert {r.id for r in found} <= set(numbers())
        for r in found:
            assert r.low < r.high and r.low <= r.usual <= r.high
            assert r.usual == pytest.approx(numbers()[r.id].si)


def test_the_inner_band_holds_the_value_as_set() -> None:
    """Also where a number stands at the end of its range: 0 of 0 to 1, nine tenths above."""
    band = bands(lambda v: {"y": v["a"]}, [Range("a", 0.0, 0.0, 1.0)])["y"]
    assert band.inner[0] == band.usual == 0.0
    assert band.inner[1] == pytest.approx(0.95, abs=0.02)
