"""Thermal dose, change of collagen and limits: exact integrals, validity, words."""

import numpy as np
import pytest
from scipy.constants import R
from scipy.integrate import quad
from scipy.special import exp1

from tipsim.heat.dose import BURN, COLLAGEN, Law, cem43, collagen, damage, law
from tipsim.heat.limits import judge
from tipsim.setup.errors import BadInput
from tipsim.setup.sourced import number

ZERO = 273.15
EVERY = (*COLLAGEN, BURN)


def celsius(*values: float) -> np.ndarray:
    return np.array(values, dtype=float) + ZERO


TIME = np.array([0.0, 0.3, 2.0, 2.5, 9.0])
COURSE = celsius(25, 41, 47, 42.5, 60)


def equivalent(t: float) -> float:
    """Rate of thermal dose at a temperature [°C]."""
    return float((0.5 if t >= 43 else 0.25) ** (43 - t))


def by_quadrature(rate: object, lowest: float = 0.0) -> float:
    """Integrate a rate of temperature [K] over the course, split where it bends or starts."""
    total = 0.0
    parts = zip(TIME[:-1], TIME[1:], COURSE[:-1], COURSE[1:], strict=True)
    for t0, t1, a, b in parts:
        bends = [(c - a) / (b - a) for c in (43 + ZERO, lowest) if min(a, b) < c < max(a, b)]
        for u0, u1 in zip([0, *sorted(bends)], [*sorted(bends), 1], strict=True):
            if a + (b - a) * (u0 + u1) / 2 < lowest:
                continue
            got, _ = quad(lambda u, a=a, b=b: rate(a + (b - a) * u), u0, u1, epsrel=1e-12)  # type: ignore[operator]
            total += got * (t1 - t0)
    return total


def test_dose_of_a_bent_course_is_exact() -> None:
    ours = cem43(TIME, COURSE)[-1]
    assert ours == pytest.approx(by_quadrature(lambda k: equivalent(k - ZERO)) / 60, rel=1e-9)


def test_dose_does_not_depend_on_where_a_straight_course_is_sampled() -> None:
    fine = np.sort(np.concatenate([TIME, np.linspace(0, 9, 77)]))
    assert cem43(fine, np.interp(fine, TIME, COURSE))[-1] == pytest.approx(
        cem43(TIME, COURSE)[-1], rel=1e-12
    )


def test_dose_runs_on_and_keeps_places_apart() -> None:
    both = np.stack([COURSE, np.full(5, 45 + ZERO)], axis=1)
    ours = cem43(TIME, both)
    assert ours.shape == (5, 2)
    assert np.array_equal(ours[:, 0], cem43(TIME, COURSE))
    assert (ours[0] == 0).all() and (np.diff(ours, axis=0) > 0).all()
    assert ours[-1, 1] == pytest.approx(9.0 * 4 / 60)


@pytest.mark.parametrize("off", [-1e-13, 0.0, 1e-13, 1e-6])
def test_dose_just_at_the_break(off: float) -> None:
    ours = cem43(np.array([0.0, 60.0]), np.array([43 + ZERO, 43 + ZERO + off]))[-1]
    assert ours == pytest.approx(1.0, abs=1e-6)


def closed_form(one: Law, start: float, stop: float, seconds: float) -> float:
    """Integral of A exp(-b/T) over a linear T, through the exponential integral."""
    b = one.energy / R

    def antiderivative(t: float) -> float:
        return float(t * np.exp(-b / t) - b * exp1(b / t))

    rise = antiderivative(stop) - antiderivative(start)
    return float(np.exp(one.log_factor)) * rise * seconds / (stop - start)


@pytest.mark.parametrize("id", ["skin_collagen", "tendon_collagen", "skin_burn"])
def test_damage_of_a_ramp_is_exact(id: str) -> None:
    one = law(id)
    start, stop = celsius(51, 71)
    ours = damage(np.array([0.0, 3.0]), np.array([start, stop]), one)[-1]
    assert ours == pytest.approx(closed_form(one, start, stop, 3.0), rel=1e-9)
    down = damage(np.array([0.0, 3.0]), np.array([stop, start]), one)[-1]
    assert down == pytest.approx(ours, rel=1e-12)


@pytest.mark.parametrize("id", EVERY)
def test_a_law_counts_only_from_its_lowest_temperature_on(id: str) -> None:
    one = law(id)
    wanted = by_quadrature(lambda k: float(np.exp(one.log_rate(k))), one.lowest)
    assert damage(TIME, COURSE, one)[-1] == pytest.approx(wanted, rel=1e-9)
    below = np.full(2, one.lowest - 0.01)
    assert damage(np.array([0.0, 1e6]), below, one)[-1] == 0
    assert damage(np.array([0.0, 1.0]), np.full(2, one.lowest), one)[-1] > 0


def test_why_the_law_for_cornea_is_not_used_below_55() -> None:
    cornea = law("cornea_collagen")
    assert cornea.lowest == pytest.approx(55 + ZERO)
    # The bare formula would cook a resting eye, at 37 °C, in a quarter of an hour.
    assert cornea.time_constant(37 + ZERO) == pytest.approx(1010, rel=0.005)
    resting = collagen(np.array([0.0, 3600.0]), np.full(2, 37 + ZERO))
    assert resting.high == 0 and np.isnan(resting.share["cornea_collagen"])
    assert "cornea_collagen" in resting.silent
    # Laws with a steeper rise have no such trouble: weeks and more.
    assert law("skin_collagen").time_constant(37 + ZERO) > 14 * 86400


def test_the_band_holds_what_each_law_says() -> None:
    band = collagen(np.array([0.0, 4.0]), np.full(2, 64 + ZERO))
    said = np.array(list(band.share.values()))
    assert band.low == said.min() and band.high == said.max()
    assert 0 < band.low < band.high < 1
    assert (band.silent, band.beyond, band.words) == ((), (), "")
    for id in COLLAGEN:
        wanted = 1 - np.exp(-4.0 / law(id).time_constant(64 + ZERO))
        assert band.share[id] == pytest.approx(wanted, rel=1e-9)
    assert BURN not in band.share


def test_the_band_place_by_place() -> None:
    """Cool, between two laws' lowest, and hotter than a law was measured at."""
    places = np.tile(celsius(40, 52, 85), (2, 1))
    band = collagen(np.array([0.0, 1.0]), places)
    assert band.low.shape == band.high.shape == (3,)
    assert band.low[0] == band.high[0] == 0
    assert np.isnan(band.share["cornea_collagen"][1]) and band.high[1] > band.low[1] > 0
    assert band.silent == () and band.beyond == ("tendon_collagen",)
    assert "75 °C" in band.words and "rat tail" in band.words


def test_more_heat_never_changes_less() -> None:
    time = np.array([0.0, 1.0, 3.0, 4.0])
    peaks = np.linspace(45, 95, 101) + ZERO
    course = np.stack([np.full(101, 30 + ZERO), peaks, peaks, np.full(101, 30 + ZERO)])
    for id in EVERY:
        assert (np.diff(damage(time, course, law(id))[-1]) >= 0).all()
    assert (np.diff(cem43(time, course)[-1]) > 0).all()


@pytest.mark.parametrize("id", EVERY)
def test_onset_undoes_the_law(id: str) -> None:
    one = law(id)
    found = one.onset(1.0, 0.5)
    assert found > one.lowest
    changed = -np.expm1(-damage(np.array([0.0, 1.0]), np.full(2, found), one)[-1])
    assert changed == pytest.approx(0.5, rel=1e-9)
    assert one.onset(1e9, 0.01) == one.lowest


@pytest.mark.parametrize("use", [cem43, collagen])
@pytest.mark.parametrize(
    ("time", "temperature", "field"),
    [
        ([0.0, 1.0, 0.5], [300.0] * 3, "time"),
        ([[0.0, 1.0]], [[300.0, 300.0]], "time"),
        ([0.0, np.nan], [300.0, 300.0], "time"),
        ([0.0, 1.0], [300.0] * 3, "temperature"),
        ([0.0, 1.0], [300.0, np.nan], "temperature"),
        ([0.0, 1.0], [300.0, -5.0], "temperature"),
    ],
)
def test_bad_courses_are_refused(use, time, temperature, field: str) -> None:
    with pytest.raises(BadInput) as caught:
        use(np.array(time), np.array(temperature))
    assert caught.value.field == field


def test_an_unknown_law_is_refused() -> None:
    with pytest.raises(BadInput, match="skin_collagen"):
        law("lens")


@pytest.mark.parametrize(
    ("temperature", "colour", "word"),
    [
        (40.9, "green", "Below"),
        (41, "amber", "measured in patients"),
        (44.9, "amber", "measured in patients"),
        (45, "red", "endpoint"),
        (57.9, "red", "(45 °C)"),
        (58, "red", "begins to shrink"),
        (59.9, "red", "begins to shrink"),
        (60, "red", "shrinks"),
        (90, "red", "shrinks"),
    ],
)
def test_words_for_a_temperature(temperature: float, colour: str, word: str) -> None:
    said = judge(temperature + ZERO, 1.0)
    assert said.colour == colour and word in said.words


@pytest.mark.parametrize(
    ("temperature", "seconds", "over"),
    [
        (51, 59, False),
        (51.1, 59, True),
        (51, 60, True),
        (48, 599, False),
        (48, 600, True),
        (43, 3600, False),
    ],
)
def test_contact_limits_go_with_time(temperature: float, seconds: float, over: bool) -> None:
    assert judge(temperature + ZERO, seconds).over_contact is over


@pytest.mark.parametrize(
    ("temperature", "seconds"), [(np.nan, 1.0), (300.0, -1.0), (300.0, np.inf)]
)
def test_bad_judgements_are_refused(temperature: float, seconds: float) -> None:
    with pytest.raises(BadInput):
        judge(temperature, seconds)


def test_limits_stand_in_order() -> None:
    values = [number(f"limit.{k}").si for k in ("bench", "collagen_from", "collagen_to")]
    assert values == sorted(values)
    contact = [number(f"contact.{k}").si for k in ("long", "minutes", "brief")]
    assert contact == sorted(contact)
