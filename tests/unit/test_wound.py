"""The wound's lip: fit by hand, layers against closed forms, risk in words."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tipsim.heat.timeline import HeatRun, heat_run
from tipsim.setup.catalogue import catalogue
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Outside, Press
from tipsim.setup.units import CELSIUS
from tipsim.tissue.conduction import graded, slab, warm
from tipsim.tissue.texts import GROUPS, notes, studies
from tipsim.tissue.wound import contracture, fit, sleeve_misfit, sleeve_outside, squeeze, wound

BASE = replace(
    Scenario.preset("single-bend, torsional"),
    outside=Outside("wound", CELSIUS.to_si(33)),
    press=Press(),
    duration=5.0,
)
HEAT = heat_run(BASE, 5.0)
STALLED = replace(BASE, flow=replace(BASE.flow, aspiration=0.0, leak=1e-6 / 60))


def width(mm: float) -> Scenario:
    return replace(BASE, eye=replace(BASE.eye, wound_width=mm * 1e-3))


def numbers(**changes: Any) -> Scenario:
    tissue = replace(BASE.tissue, wound=replace(BASE.tissue.wound, **changes))
    return replace(BASE, tissue=tissue)


# Fit --------------------------------------------------------------------------------------------


def test_fit_by_hand() -> None:
    """Sleeve of 1.7 mm in a wound of 2.0 mm."""
    misfit = np.pi * 1.7 / (2 * 2.0) - 1
    assert sleeve_misfit(width(2.0)) == pytest.approx(misfit, rel=1e-12)
    found = squeeze(width(2.0), {})
    n = BASE.tissue.wound
    pressure = 0.4e6 * 0.534e-3 / 0.85e-3 * (misfit - n.give)
    assert found["pressure"][0] == pytest.approx(pressure, rel=1e-12)
    assert found["force"][0] == pytest.approx(pressure * 1.7e-3 * 2e-3, rel=1e-12)


@pytest.mark.parametrize(
    ("mm", "words"),
    [(1.8, "tight"), (2.0, "tight"), (2.2, "close"), (2.4, "close"), (2.5, "close")],
)
def test_words_for_the_fit(mm: float, words: str) -> None:
    assert wound(width(mm), HEAT).fit.words == words


@pytest.mark.parametrize(
    ("sleeve", "widths"),
    [("for-1.1", (2.75,)), ("for-0.9", (2.2, 2.4)), ("for-0.75", (2.0, 2.2))],
)
def test_sleeves_go_with_incisions_as_in_practice(sleeve: str, widths: tuple[float, ...]) -> None:
    """Neither tight nor leaking; pairs of common practice, no source."""
    chosen = catalogue().sleeves[sleeve]
    bare = replace(BASE, sleeve=None)
    needle = next(n for n, s in catalogue().sleeve_for.items() if s == sleeve)
    bench = replace(bare, needle=catalogue().needles[needle], sleeve=chosen)
    for mm in widths:
        there = replace(bench, eye=replace(bench.eye, wound_width=mm * 1e-3))
        assert fit(there).words == "close"


def test_the_fit_needs_no_temperatures() -> None:
    assert fit(BASE) == wound(BASE, HEAT).fit
    assert fit(BASE).pressure.usual == pytest.approx(squeeze(BASE, {})["pressure"][0])


def test_the_lip_s_temperatures_over_time_reach_its_peaks() -> None:
    """The face is as warm as its own curve; deeper places follow later and stay cooler."""
    lip = wound(BASE, HEAT).lip
    assert lip.course.shape == (len(lip.time), len(lip.depth))
    assert lip.course[:, 0] == pytest.approx(lip.face)
    assert np.all(np.diff(lip.course[:, :5].max(axis=0)) <= 1e-9)


def test_a_wide_wound_leaks_and_presses_nothing() -> None:
    fit = wound(width(3.0), HEAT).fit
    assert fit.words == "loose" and fit.misfit < 0
    assert fit.pressure.high == fit.force.high == fit.pinch.high == 0
    pressed = [float(squeeze(width(mm), {})["pressure"][0]) for mm in (2.3, 2.1, 2.0, 1.8)]
    assert pressed == sorted(pressed) and pressed[-1] > 0


def test_metal_does_not_fold() -> None:
    bare = replace(BASE, sleeve=None)
    found = squeeze(replace(bare, eye=replace(bare.eye, wound_width=1e-3)), {})
    assert found["pinch"][0] == 0 < found["force"][0]


# Layers -----------------------------------------------------------------------------------------


def test_three_layers_in_series_carry_the_steady_flux() -> None:
    """Resistances add up: film, three materials, film."""
    k = np.repeat([0.2, 0.58, 0.6], 10)
    layers = slab(np.full(30, 2e-5), k[None], 4e6, 500.0, 20.0)
    end = warm(layers, np.array([0.0, 500.0]), np.full(2, 330.0), 300.0, 300.0)
    flux = 30.0 / (1 / 500 + 2e-4 / 0.2 + 2e-4 / 0.58 + 2e-4 / 0.6 + 1 / 20)
    assert end.face[-1, 0] == pytest.approx(330 - flux / 500, abs=1e-6)
    assert end.temperature[-1, 0, -1] == pytest.approx(300 + flux / 20 + flux * 1e-5 / 0.6)


def test_an_insulated_slab_keeps_its_energy_and_gains_what_is_put_in() -> None:
    random = np.random.default_rng(5)
    widths, capacity = random.uniform(1e-5, 1e-4, 20), random.uniform(1e6, 5e6, 20)
    layers = slab(widths, random.uniform(0.2, 7, 20)[None], capacity[None])
    start, heat = random.uniform(300, 350, 20), random.uniform(0, 1e4, 20)
    out = warm(layers, np.array([0.0, 0.3, 2.0]), np.zeros(3), 0.0, start, heat)
    energy = (out.temperature[:, 0] * widths * capacity).sum(axis=1)
    assert np.diff(energy) == pytest.approx(heat.sum() * np.array([0.3, 1.7]), rel=1e-9)


def test_a_ramp_is_followed_exactly_whatever_the_steps() -> None:
    layers = slab(graded(5e-4, 24, 1.1), 0.58, 4e6, 5000.0, 20.0)
    few, many = np.array([0.0, 1.0, 3.0]), np.linspace(0, 3, 301)
    ramp = [np.interp(t, [0.0, 1.0, 3.0], [300.0, 340.0, 320.0]) for t in (few, many)]
    one, other = (warm(layers, t, r, 300.0, 300.0) for t, r in zip((few, many), ramp, strict=True))
    assert one.temperature[-1] == pytest.approx(other.temperature[-1], abs=1e-8)


def test_variants_side_by_side_are_the_same_as_one_by_one() -> None:
    time, near = np.linspace(0, 2, 9), np.linspace(300, 350, 9)
    films = np.array([1e3, 5e3, 5e4])
    together = warm(slab(graded(3e-4, 24, 1.1), 0.58, 4e6, films), time, near, 300.0, 300.0)
    for i, film in enumerate(films):
        alone = warm(slab(graded(3e-4, 24, 1.1), 0.58, 4e6, film), time, near, 300.0, 300.0)
        assert together.face[:, i] == pytest.approx(alone.face[:, 0], abs=1e-9)


def test_cells_through_the_lip_are_fine_enough() -> None:
    time = np.linspace(0, 5, 40)
    near = 300 + 30 * (1 - np.exp(-time))
    depth, films = 0.267e-3, (5000.0, 20.0)
    found = [
        float(
            warm(slab(graded(depth, n, g), 0.58, 3.97e6, *films), time, near, 300.0, 300.0).face[
                20, 0
            ]
        )
        for n, g in ((24, 1.1), (200, 1.01))
    ]
    assert found[0] == pytest.approx(found[1], abs=0.01)


# The whole --------------------------------------------------------------------------------------


def test_the_lip_lies_between_sleeve_and_surroundings_and_cools_with_depth() -> None:
    heat = heat_run(STALLED, 5.0)
    found = wound(STALLED, heat)
    lip = found.lip
    assert found.counted and found.peak.low <= found.peak.usual <= found.peak.high
    assert (lip.face <= lip.sleeve.max() + 1e-9).all() and (lip.face >= 306.14).all()
    assert (np.diff(lip.peak) <= 1e-9).all() and (np.diff(lip.dose) <= 0).all()
    assert lip.peak[0] - lip.peak[-1] > 0.05
    assert (lip.changed_low <= lip.changed_high).all()
    assert lip.peak[0] == pytest.approx(found.peak.usual, abs=1e-9)
    assert lip.dose[0] == pytest.approx(found.dose.usual, rel=1e-9)
    # The heat model's own tissue cell lies within what the lip spans.
    near = heat.layer("near")
    assert lip.peak.min() - 5 < np.nanmax(near) < lip.peak.max() + 0.5


def test_a_bench_without_wound_says_so() -> None:
    bench = replace(BASE, outside=Outside("air", temperature=298.15))
    assert not wound(bench, heat_run(bench, 1.0)).counted
    bare = replace(bench, sleeve=None, press=None)
    assert wound(bare, heat_run(bare, 1.0)).lip.face.max() > 298.15


def hotter(by: float) -> HeatRun:
    return replace(HEAT, temperature=HEAT.temperature + by)


def test_heat_reads_green_amber_and_red() -> None:
    free = replace(BASE, press=None)
    cool = wound(free, heat_run(free, 5.0))
    assert cool.risk.colour == "green" and cool.changed_high.high == 0
    peak = float(CELSIUS.from_si(wound(BASE, HEAT).peak.usual))
    for target, colour in ((43.0, "amber"), (50.0, "red"), (70.0, "red")):
        hot = wound(BASE, hotter(target - peak))
        assert hot.risk.colour == colour and hot.risk.words.endswith(".")
    assert hot.changed_high.usual > hot.changed_low.usual > 0.05


def test_long_warmth_counts_even_below_the_temperature_limit() -> None:
    warm_only = contracture(CELSIUS.to_si(43), 39.0, 2340.0)
    long = contracture(CELSIUS.to_si(43), 41.0, 2460.0)
    assert (warm_only.colour, long.colour) == ("amber", "amber")
    assert "equivalent" not in warm_only.words
    assert "41 equivalent minutes" in long.words


def test_where_the_lip_is_hottest_counts() -> None:
    course = sleeve_outside(BASE, HEAT)
    assert course.max() <= HEAT.peak_sleeve and course[0] == pytest.approx(306.15)


def test_a_needle_too_short_for_the_wound_still_has_an_answer() -> None:
    short = Scenario.preset("straight, axial")
    (piece,) = short.needle.pieces
    needle = replace(short.needle, pieces=(replace(piece, length=6e-3),), taper_length=0.5e-3)
    assert short.sleeve is not None
    bench = replace(short, needle=needle, sleeve=replace(short.sleeve, exposed=5e-3), duration=0.5)
    heat = heat_run(bench, 0.5)
    assert wound(bench, heat).peak.usual > 290


@pytest.mark.parametrize("name", ["contact_film", "outside_film", "thickness", "lip_share"])
def test_each_thermal_number_moves_the_lip(name: str) -> None:
    own = getattr(BASE.tissue.wound, name)
    assert wound(numbers(**{name: own * 1.1}), HEAT).peak.usual != wound(BASE, HEAT).peak.usual


# Words ------------------------------------------------------------------------------------------


def test_words_are_there_and_marked() -> None:
    for group in GROUPS:
        assert len({n.title for n in notes()[group]}) == len(notes()[group])
        for note in notes()[group]:
            assert note.text.endswith(".") and note.status == "common practice"
    assert [n.title for n in notes()["first"]][:2] == ["Stop ultrasound", "Restore flow"]


def test_both_sides_are_shown_where_studies_differ() -> None:
    asked = [s.question for s in studies()]
    assert asked.count("Hard lens: torsional or longitudinal?") == 2
    for s in studies():
        assert s.finding.endswith(".") and any(c.isdigit() for c in s.source)
