"""The camera without a screen: settings, sampling, exposure, picture, noise, reading."""

from dataclasses import replace

import numpy as np
import pytest

from tests.unit.films import SINGLE, filmed, motion
from tipsim.motion.camera import Camera, Film, examples, measure, shoot
from tipsim.motion.camera.exposure import phase_weights
from tipsim.motion.camera.film import FULL_LIGHT, full_light_electrons, levels
from tipsim.motion.camera.measure import (
    STILL,
)
from tipsim.motion.camera.render import BACKGROUND, DOT, phase_count, render
from tipsim.motion.camera.sampling import (
    alias,
    averaged_share,
    greatest_miss,
    rate_for,
    smear,
)
from tipsim.motion.camera.view import SENSOR, scene
from tipsim.setup.errors import BadInput
from tipsim.setup.presets import preset
from tipsim.solve import solve

# ---- settings ----


@pytest.mark.parametrize(
    ("settings", "sentence"),
    [
        ({"frame_rate": 1}, "frame_rate_per_s is 1 /s; allowed: 10 to 2e+06 /s."),
        ({"exposure": 3e-6}, "exposure_us is 3 µs; allowed: at most 2 µs, the time from one"),
        ({"frames": 10.5}, "frames is 10.5; allowed: a whole number."),
        ({"frames": 4}, "frames is 4; allowed: 8 to 96."),
        ({"pixel": float("nan")}, "pixel_um is nan; allowed: a number, 4 to 40 µm."),
        ({"view": "above"}, 'view is "above"; allowed: edge-on, flat'),
        ({"aim": "13"}, 'aim is "13"; allowed: end, 1'),
        ({"signal_to_noise": 0}, "signal_to_noise is 0; allowed: 2 to 1000."),
        ({"seed": -1}, "seed is -1; allowed: 0 to 9999."),
    ],
)
def test_what_no_camera_can_do_gets_one_sentence(
    settings: dict[str, object], sentence: str
) -> None:
    with pytest.raises(BadInput) as bad:
        Camera(**settings)  # type: ignore[arg-type]
    assert str(bad.value).startswith(sentence) and "\n" not in str(bad.value)


def test_a_marker_that_is_not_there_cannot_be_aimed_at() -> None:
    with pytest.raises(BadInput, match=r"aim is marker 6; allowed: end, or a marker from 1 to 5\."):
        filmed(aim="6")


def test_an_exposure_may_fill_the_time_between_pictures() -> None:
    for rate in (10.0, 998.4, 35.2e3, 500e3):
        assert Camera(frame_rate=rate, exposure=1 / rate if rate > 10 else 0.1).exposure > 0


@pytest.mark.parametrize("frequency", [20e3, 32e3, 40e3, 44.1e3, 100e3])
def test_examples_are_cameras_at_any_frequency_and_say_what_they_do(frequency: float) -> None:
    made = examples(frequency)
    assert list(made) == ["fast", "slow", "still", "strobe", "smear", "skin"]
    for example in made.values():
        example.on(Camera())
    per_cycle = {id: e.frame_rate / frequency for id, e in made.items()}
    assert per_cycle["fast"] > 15 and 1 < per_cycle["slow"] < 2 and per_cycle["still"] == 1
    strobe = alias(frequency, made["strobe"].frame_rate) / made["strobe"].frame_rate
    assert strobe == pytest.approx(0.05, abs=0.006)
    assert made["smear"].exposure * frequency == pytest.approx(0.64, abs=0.01)
    # Each of these differs from another in one thing alone.
    assert made["slow"].frame_rate == made["smear"].frame_rate
    assert replace(made["skin"].on(Camera()), marks="middle") == made["fast"].on(Camera())


# ---- sampling ----


def test_smear_is_the_longest_way_in_any_exposure() -> None:
    """Against a search over all moments; the formula holds up to half a cycle and beyond."""
    t = np.linspace(0, 1, 4001)
    for cycles in (0.01, 0.1, 0.3, 0.49, 0.5, 0.8, 1.7):
        exposed = np.linspace(0, cycles, 2001)
        paths = np.cos(2 * np.pi * (t[:, None] + exposed[None, ::20]))
        longest = (paths.max(axis=1) - paths.min(axis=1)).max() / 2
        assert smear(1.0, 1.0, cycles) == pytest.approx(longest, rel=2e-3)


def test_mean_place_shrinks_by_the_formula() -> None:
    t = np.linspace(0, 1, 200, endpoint=False)
    for cycles in (0.05, 0.5, 0.64, 1.0, 1.5):
        exposed = (np.arange(4000) + 0.5) / 4000 * cycles
        mean = np.cos(2 * np.pi * (t[:, None] + exposed)).mean(axis=1)
        assert averaged_share(1.0, cycles) == pytest.approx(np.ptp(mean) / 2, abs=2e-3)


@pytest.mark.parametrize("per_cycle", [2.5, 4, 7.3, 15.625])
def test_one_cycle_never_misses_more_than_the_bound(per_cycle: float) -> None:
    worst = 0.0
    for start in np.linspace(0, 1, 500):
        seen = np.cos(2 * np.pi * (start + np.arange(2 * int(per_cycle) + 2) / per_cycle))
        worst = max(worst, 1 - np.ptp(seen) / 2)
    assert worst <= greatest_miss(per_cycle) + 1e-9


def test_rate_for_a_miss_is_the_reverse() -> None:
    for miss in (0.001, 0.02, 0.3):
        assert greatest_miss(rate_for(32e3, miss) / 32e3) == pytest.approx(miss)
    assert greatest_miss(1.9) == 1


@pytest.mark.parametrize("length", [0.001, 0.032, 0.25, 0.64, 1.0, 2.3, 32.0])
def test_weights_gather_what_an_exposure_sees(length: float) -> None:
    """Against a fine sum over the exposure, of something that varies over the cycle."""
    count, start = 48, np.array([0.0, 0.013, 0.5, 0.97])
    phases = np.arange(count) / count
    w = phase_weights(start, length, count)
    assert w.sum(axis=1) == pytest.approx(1) and (w >= -1e-12).all()
    fine = start[:, None] + (np.arange(20_000) + 0.5) / 20_000 * length
    for k in (1, 2):
        gathered = w @ np.cos(2 * np.pi * k * phases)
        exact = np.cos(2 * np.pi * k * fine).mean(axis=1)
        assert gathered == pytest.approx(exact, abs=(np.pi * k / count) ** 2 / 2)


# ---- pictures ----


def test_pictures_fit_the_sensor_and_cover_what_they_say() -> None:
    for pixel in (4e-6, 12.5e-6, 40e-6):
        for aim in ("end", "3"):
            film = filmed(pixel=pixel, aim=aim, frames=8)
            rows, columns = film.scene.shape
            assert film.pictures.shape == (8, rows, columns) and film.pictures.dtype == np.uint8
            assert rows <= SENSOR[0] and columns <= SENSOR[1]
            assert columns * pixel <= 6.05e-3


def test_marks_are_dark_and_where_they_should_be() -> None:
    film = filmed(frames=8)
    still = film.stills[0] / FULL_LIGHT
    for dot in film.scene.dots:
        column, row = (int(n) for n in np.rint(film.scene.to_pixels(dot.place)))
        assert still[row, column] == pytest.approx(DOT, abs=0.01)
    assert still[0, 0] == pytest.approx(BACKGROUND, abs=0.01)
    assert still.max() > 0.9


def test_a_still_needle_looks_the_same_at_every_moment() -> None:
    one = preset(SINGLE)
    off = replace(one, drive=replace(one.drive, power=0.0))
    film = shoot(solve(off).motion, off.needle, Camera(noise="off"))
    assert (film.pictures == film.stills[0]).all()
    found = measure(film)
    assert found.frequency is None
    assert [(r.seen, r.direction, r.true_direction) for r in found.readings] == [
        (0.0, STILL, STILL)
    ] * 5


def test_a_picture_is_the_mean_of_what_stood_before_it_while_exposed() -> None:
    """An exposure of one cycle and a half, against a sum of 300 instants."""
    one, camera = preset(SINGLE), Camera(frame_rate=1000, exposure=1.5 / 32e3, frames=8)
    seen = scene(motion(SINGLE), one.needle, camera)
    count = phase_count(seen)
    start, length = np.array([0.2]), 1.5
    picture = render(seen, phase_weights(start, length, count))[0][0]
    instants = np.zeros((1, 300))
    instants[0, (60 + np.arange(450)) % 300] = 1  # 0.2 to 1.7 in steps of 1/300
    counted = np.bincount((60 + np.arange(450)) % 300, minlength=300)[None] / 450
    assert picture == pytest.approx(render(seen, counted)[0][0], abs=0.02)


def test_marks_move_as_the_model_says() -> None:
    """The darkest place's centre of mass, in pictures of instants, needs no tracker."""
    film = filmed(pixel=5e-6, aim="5", exposure=0.05e-6, frames=16)
    (dot,) = (d for d in film.scene.dots if d.number == 5)
    still = film.stills[0].astype(float)
    rest = _centre_of_darkness(still, film, dot.place)
    for picture, moved in zip(film.pictures, film.truth(dot), strict=True):
        found = _centre_of_darkness(picture.astype(float), film, dot.place + moved)
        assert found - rest == pytest.approx(moved, abs=0.25 * film.camera.pixel)


def _centre_of_darkness(picture: np.ndarray, film: Film, near: np.ndarray) -> np.ndarray:
    column, row = film.scene.to_pixels(near)
    reach = int(1.6 * film.scene.dot_radius / film.camera.pixel)
    rows = np.arange(round(row) - reach, round(row) + reach + 1)
    columns = np.arange(round(column) - reach, round(column) + reach + 1)
    dark = np.clip(150 - picture[np.ix_(rows, columns)], 0, None)
    down = (dark.sum(axis=1) * rows).sum() / dark.sum()
    right = (dark.sum(axis=0) * columns).sum() / dark.sum()
    return np.array([right, -down]) * film.camera.pixel


def test_marks_on_the_surface_turn_with_the_needle() -> None:
    """On the side toward the camera: displacement plus rotation x radius, read at the nodes."""
    m, one = motion(SINGLE), preset(SINGLE)
    seen = scene(m, one.needle, Camera(marks="surface"))
    u = m.displacement[-1]
    t = m.frame.node_tangent[-1]
    toward = np.array([0, 1.0, 0]) - t[1] * t
    arm = one.needle.radii_at([one.needle.length])[0][0] * toward / np.linalg.norm(toward)
    moved = u[:3] + np.cross(u[3:], arm)
    assert seen.dots[0].moves == pytest.approx([moved[0], -moved[2]], rel=2e-3)
    assert seen.dots[0].stroke == pytest.approx(m.end_stroke)
    # The bench's stroke is that of the middle line; what a print on the skin shows is another.
    assert seen.dots[0].stroke_in_view > 1.5 * m.end_stroke


def test_only_motion_in_the_pictures_plane_is_seen() -> None:
    flat = measure(filmed(view="flat"))
    assert max(r.seen or 0 for r in flat.readings) < 1e-6 < flat.readings[0].true
    axial = measure(filmed("single-bend, axial", view="edge-on"))
    for r in axial.readings:
        assert r.seen == pytest.approx(r.dot.stroke_in_view, rel=0.025)
        assert r.dot.stroke_in_view < r.true


# ---- noise ----


def test_noise_has_the_size_that_is_asked_for() -> None:
    """Scatter against light (a photon transfer curve): a straight line in the variance."""
    camera = Camera(signal_to_noise=20)
    n = full_light_electrons(Camera())
    for light in (0.1, 0.5, 1.0):
        flat = np.full((40, 100, 100), light * 0.9, np.float32)
        level = levels(flat, camera, np.random.default_rng(3)).astype(float)
        expected = (n * light * 0.9 + 20.0**2) * (FULL_LIGHT / n) ** 2 + 1 / 12
        assert level.var() == pytest.approx(expected, rel=0.02)
        assert level.mean() == pytest.approx(FULL_LIGHT * light * 0.9, abs=0.1)


def test_signal_over_noise_in_full_light_is_the_number() -> None:
    for wanted in (2.0, 12.0, 300.0):
        n = full_light_electrons(Camera(signal_to_noise=wanted))
        assert n / np.sqrt(n + 400) == pytest.approx(wanted)


def test_error_bars_hold_what_noise_does() -> None:
    """Of differences of two places at rest, 95 % lie within their error bar."""
    one = preset(SINGLE)
    off = solve(replace(one, drive=replace(one.drive, power=0.0))).motion
    inside = []
    for seed in range(6):
        film = shoot(off, one.needle, Camera(signal_to_noise=6, seed=seed, frames=32))
        for r in measure(film).readings:
            apart = r.track.places[::2] - r.track.places[1::2]
            inside += list((np.abs(apart) < r.bar).ravel())
    assert np.mean(inside) == pytest.approx(0.95, abs=0.03)
