"""The endoscope's parts: place of the lens, chance, light, what is hidden, what misleads."""

from dataclasses import replace

import numpy as np
import pytest

from tipsim.motion.run import run
from tipsim.setup.endoscope import Endoscope
from tipsim.setup.errors import BadInput
from tipsim.setup.scenario import Scenario
from tipsim.solve import compare, solve
from tipsim.tissue.endoscope.count import efficiency, merged
from tipsim.tissue.endoscope.film import sensed, shoot, stamped
from tipsim.tissue.endoscope.lens import Lens, lens
from tipsim.tissue.endoscope.measure import read, region
from tipsim.tissue.endoscope.ratio import ratio
from tipsim.tissue.endoscope.verdict import (
    blur_outcome,
    count_outcome,
    facts,
    light_outcome,
    ratio_outcome,
)
from tipsim.tissue.endoscope.view import mark, view

BENCH = Scenario.preset("single-bend, torsional").with_(
    **{"endoscope.pictures": 24, "endoscope.columns": 96, "eye.iris_gap": 1.5e-4}
)
MOTION = run(BENCH)


def seen(**changes: float):
    one = BENCH.with_(**{k.replace("__", "."): v for k, v in changes.items()})
    return read(shoot(one, run(one)))


def test_the_same_seed_gives_the_same_film_and_another_one_another() -> None:
    first, again = (shoot(BENCH, MOTION).pictures for _ in "ab")
    other = shoot(BENCH.with_(**{"endoscope.seed": 2}), MOTION).pictures
    assert (first == again).all()
    assert (first != other).mean() > 0.5


def test_two_needles_are_filmed_by_chance_of_their_own() -> None:
    other = replace(BENCH, needle=replace(BENCH.needle, id="another"))
    a, b = (shoot(s, MOTION).release.born for s in (BENCH, other))
    assert len(a) != len(b) or not np.allclose(a, b)


def test_the_lens_looks_at_its_aim_from_its_distance() -> None:
    look = view(BENCH)
    spot = mark(BENCH, MOTION, look)
    assert np.linalg.norm(spot.place - look.place) == pytest.approx(3.5e-3, rel=1e-9)
    assert spot.spot == pytest.approx(look.lens.middle, abs=1e-6)
    assert look.axes @ look.axes.T == pytest.approx(np.eye(3), abs=1e-12)
    # The iris is below: what lies toward it is lower in the picture.
    lower = look.project(look.origin - 1e-3 * look.basis[1])
    assert lower[1] > look.project(look.origin)[1]


def test_the_field_fills_the_picture_whatever_the_distortion() -> None:
    for k in (-0.15, 0.0, 0.3):
        one = lens(Endoscope(distortion=k, field=1.6))
        edge = np.array([np.sin(0.8), 0.0, np.cos(0.8)])
        assert one.project(edge)[0] == pytest.approx(127.5)


def test_what_is_behind_the_lens_has_no_place() -> None:
    assert np.isnan(Lens((9, 9), 5.0).project(np.array([0.1, 0.0, -1.0]))).all()


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"exposure": 0.2}, "exposure_ms"),
        ({"columns": 100.5}, "whole number"),
        ({"light": 2.0}, "light"),
        ({"distortion": 0.5}, "distortion"),
    ],
)
def test_bad_settings_name_the_field(changes: dict[str, float], says: str) -> None:
    with pytest.raises(BadInput, match=says):
        Endoscope(**changes)


def test_noise_is_that_of_light_and_sensor() -> None:
    """At white n electrons scatter by sqrt(n + r²): by hand from the settings."""
    setting = Endoscope(light=0.5, exposure=4e-3, electrons=1e6, read_noise=20.0)
    light = np.full((1, 200, 200), 0.5, dtype=np.float32)
    levels = sensed(light, setting, np.random.default_rng(1))
    n = 0.5 * 2000
    assert levels.mean() == pytest.approx(120, abs=0.2)
    assert levels.std() == pytest.approx(np.sqrt(n + 400) * 240 / 2000, rel=0.03)


def test_too_much_light_fills_the_pixels() -> None:
    film = seen(endoscope__light=1.0, endoscope__exposure=0.06, endoscope__full_well=5000.0)
    assert facts(film).full > 0.3
    assert facts(seen()).full == 0


def test_a_stamp_takes_the_light_that_it_should() -> None:
    """Depth times 2 π σ² of a Gaussian spot."""
    veil = stamped(
        (2, 40, 40),
        np.array([1]),
        np.array([[[20.3, 19.6]]]),
        np.array([[2.0]]),
        np.array([[0.4]]),
        np.array([[True]]),
    )
    assert veil[0].sum() == 0
    assert veil[1].sum() == pytest.approx(0.4 * 2 * np.pi * 4, rel=0.01)


def test_neighbours_say_how_many_lie_on_each_other() -> None:
    """Specks spread at random: of n in an area those nearer than r to another, by hand."""
    random = np.random.default_rng(5)
    place, frame = random.uniform(0, 100, (400, 2)), np.zeros(400, dtype=np.intp)
    far = np.linalg.norm(place[:, None] - place[None], axis=-1)[np.triu_indices(400, 1)]
    assert merged(frame, place, 1)[0] == pytest.approx((far < 2.3).sum(), rel=0.35)


def test_no_specks_found_are_no_specks() -> None:
    share, error, noise = efficiency(np.zeros(4), np.zeros(4))
    assert share > 0 and error >= 0 and noise > 0


def test_nothing_moves_nothing_is_released_and_nothing_is_claimed() -> None:
    still = seen(drive__power=0.0)
    assert still.film.release.released == 0 and still.count.true_mean == 0
    assert count_outcome(still) == "open" and blur_outcome(still) == "open"
    assert light_outcome(still) == "open"
    found = ratio(still, still)
    assert found.seen is None and found.expected is None
    assert ratio_outcome(found) == "open"


def test_twice_the_rubbing_is_twice_the_release() -> None:
    """Friction stands in the work of rubbing as a factor, and nowhere else."""
    one, two = (seen(tissue__iris__friction=f) for f in (0.1, 0.2))
    assert two.expected == pytest.approx(2 * one.expected, rel=1e-12)


def test_distortion_and_depth_change_the_scale_away_from_the_middle() -> None:
    assert facts(seen()).scale == pytest.approx(0, abs=1e-3)
    assert abs(facts(seen(endoscope__mark=6e-3)).scale) > 0.1
    assert facts(seen(endoscope__distortion=0.2)).edge > 0.3


def test_a_long_exposure_draws_specks_out_and_a_wrong_focus_spreads_them() -> None:
    first = facts(seen())
    assert facts(seen(endoscope__exposure=0.08)).streak > 5 * first.streak
    assert facts(seen(endoscope__focus=0.6e-3)).spread > 1.5 * first.spread


def test_the_region_is_cut_at_the_rim() -> None:
    film = shoot(BENCH.with_(**{"endoscope.region_x": 0.0, "endoscope.region_size": 0.5}), MOTION)
    rows, columns = region(film)
    assert columns == slice(0, 24)
    assert rows.stop <= film.look.lens.shape[0]


def test_a_mark_outside_the_picture_is_not_measured() -> None:
    result = solve(BENCH.with_(**{"endoscope.mark": 1e-3, "endoscope.distance": 1e-3}))
    assert result["endoscope.blur"] is None
    assert result["endoscope.stroke"] > 0


def test_comparing_gives_the_ratio_with_its_interval() -> None:
    other = Scenario.preset("counter-bent, torsional")
    found = compare(solve(BENCH), solve(other))["specks_a_over_b"]
    assert found["low"] < found["seen"] < found["high"]
