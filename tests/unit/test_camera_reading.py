"""What is read from a film: places, strokes, paths, files, and the preview."""

import re
from dataclasses import replace

import numpy as np
import pytest

from tests.unit.films import COUNTER, SINGLE, STRAIGHT, filmed, motion
from tipsim.motion.camera import Camera, measure, preview, shoot, take, track
from tipsim.motion.camera.measure import (
    ACROSS,
    AGAINST,
    STILL,
    UNCLEAR,
    WITH,
    sine,
    strongest_frequency,
)
from tipsim.motion.camera.table import track_table
from tipsim.motion.camera.view import Dot
from tipsim.setup.presets import preset
from tipsim.setup.scenario import Scenario

# ---- reading ----


def test_truth_is_the_benchs() -> None:
    for name in (SINGLE, COUNTER, STRAIGHT):
        m = motion(name)
        view = "flat" if name == STRAIGHT else "edge-on"
        readings = measure(filmed(name, view=view)).readings
        assert [r.true for r in readings] == pytest.approx([k.stroke for k in m.markers])
        words = {"with the end": WITH, "against the end": AGAINST}
        assert [r.true_direction for r in readings] == [words[k.direction] for k in m.markers]


def test_a_mark_at_the_border_is_left_out() -> None:
    film = filmed(pixel=5e-6, aim="3")
    assert [r.dot.number for r in measure(film).readings] == [2, 3, 4]
    assert measure(film).readings[0].true_direction == WITH


def test_a_mark_that_goes_too_far_is_lost_not_invented() -> None:
    """Four times the motion leaves the search area: those places are not numbers.

    No drive within its range moves so far; the needle is moved, not the drive.
    """
    m = motion(COUNTER)
    wild = replace(m, vibration=m.vibration.scaled(4.0))
    film = shoot(wild, preset(COUNTER).needle, Camera(noise="off", pixel=20e-6))
    first = track(film)[0]
    truth = film.truth(first.dot)
    far = np.abs(truth).max(axis=1) > 0.28e-3
    assert far.any() and not first.is_found[far].any()
    near = np.abs(truth).max(axis=1) < 0.2e-3
    assert first.places[near] == pytest.approx(truth[near], abs=5e-6)


def test_two_pictures_a_cycle_leave_the_stroke_open() -> None:
    """Sampled at the turning points, or where it passes through the middle."""
    turning = measure(filmed(frame_rate=64e3, exposure=0.1e-6))
    middle = measure(filmed(frame_rate=64e3, exposure=0.1e-6, trigger=np.pi / 2))
    assert turning.readings[0].seen == pytest.approx(turning.readings[0].true, rel=0.02)
    assert (middle.readings[0].seen or 0) < 0.1 * middle.readings[0].true
    assert turning.readings[0].fitted is None


def test_frequency_of_nothing_is_none() -> None:
    t = np.arange(40) / 1e3
    assert strongest_frequency(t, []) is None
    noise = np.random.default_rng(0).normal(size=40)
    assert strongest_frequency(t, [noise]) is None


def test_a_sine_is_found_with_its_phase_through_gaps() -> None:
    t = np.arange(50) / 1e3
    signal = 2.0 * np.cos(2 * np.pi * 210.3 * t - 0.7) + 5
    signal[[3, 20, 21]] = np.nan
    centred = signal - np.nanmean(signal)
    frequency = strongest_frequency(t, [centred])
    assert frequency == pytest.approx(210.3, abs=0.05)
    u = sine(t, signal, 210.3)
    assert u is not None
    assert abs(u) == pytest.approx(2) and np.angle(u) == pytest.approx(-0.7)
    assert sine(t, signal, 1.0) is None


# ---- files ----


def test_the_table_says_what_it_is_and_holds_every_place() -> None:
    film = filmed(frames=8)
    text = track_table(film, measure(film), ["needle A"])
    head = [line for line in text.splitlines() if line.startswith("# ")]
    assert head[0] == "# Model data: computed pictures of a computed motion, no measurement."
    assert head[1] == "# needle A" and "500000 pictures per second" in head[2]
    rows = [line.split(",") for line in text.splitlines() if not line.startswith("#")]
    names = rows[0]
    assert names[:4] == ["picture", "time_us", "marker", "x_seen_um"]
    assert len(rows) == 1 + 8 * 5 and all(len(r) == len(names) for r in rows)
    places = np.array([[float(v) for v in r] for r in rows[1:]])
    seen, true = places[:, 4], places[:, 6]
    assert seen == pytest.approx(true, abs=1.0)
    assert places[:5, 1] == pytest.approx(film.times[0] * 1e6, abs=1e-3)


def test_a_lost_mark_leaves_its_cells_empty() -> None:
    film = filmed(frames=8)
    found = track(film)
    found[0].places[2] = np.nan
    text = track_table(film, measure(film, found))
    (row,) = re.findall(r"^3,[\d.]+,1,.*$", text, re.M)
    assert row.split(",")[3:5] == ["", ""]


# ---- paths and outcomes ----


def mark(*moves: complex) -> Dot:
    return Dot(1, 0.0, np.zeros(2), np.array(moves, dtype=complex), np.zeros(3, dtype=complex))


def test_the_long_axis_of_a_path_and_whether_it_is_a_loop() -> None:
    half = 2**-0.5
    for dot, axis, loops in (
        (mark(3e-6, 3e-6), (half, half), False),
        (mark(3e-6, -3e-6), (half, -half), False),
        (mark(4e-6j, 1e-6), (1, 0), True),
        (mark(0, 3e-6), (0, 1), False),
        (mark(0, 0), (0, 1), False),
        # A thin loop: area over pi 0.04 of the mean square, below the limit of 0.05.
        (mark(1e-6, 0.04e-6j), (1, 0), False),
    ):
        assert abs(dot.axis @ np.array(axis)) == pytest.approx(1)
        assert dot.axis[np.argmax(np.abs(dot.axis))] > 0
        assert dot.loops == loops


@pytest.mark.parametrize(
    ("direction", "true", "outcome"),
    [
        (WITH, WITH, "good"),
        (STILL, STILL, "good"),
        (AGAINST, WITH, "bad"),
        (ACROSS, AGAINST, "bad"),
        (UNCLEAR, WITH, "open"),
        (STILL, AGAINST, "open"),
        (WITH, STILL, "open"),
    ],
)
def test_a_direction_is_right_wrong_or_open(direction: str, true: str, outcome: str) -> None:
    found = measure(filmed(frames=8)).readings[0]
    assert replace(found, direction=direction, true_direction=true).outcome == outcome


# ---- preview ----


def test_a_preview_expects_the_mean_over_each_exposure() -> None:
    """Against a fine sum of the mark's path over the exposure, and a film's own standard error."""
    one: Scenario = preset(SINGLE)
    camera = Camera(frame_rate=35.2e3, exposure=20e-6, trigger=0.7)
    ahead = take(motion(SINGLE), one.needle, camera)
    (first, *_) = preview(ahead).readings
    moment = (np.arange(2000) + 0.5) / 2000 * 20e-6
    times = np.arange(camera.count)[:, None] / 35.2e3 + moment
    turn = np.exp(1j * (0.7 + 2 * np.pi * ahead.frequency * times))
    (dot,) = [d for d in ahead.scene.dots if d.number == 1]
    for k in range(2):
        path = (turn * dot.moves[k]).real.mean(axis=1)
        assert first.track.places[:, k] == pytest.approx(path, abs=1e-9)
    assert first.seen == pytest.approx(np.ptp(first.track.places @ first.axis))


@pytest.mark.parametrize("settings", [{}, {"signal_to_noise": 60.0}, {"pixel": 25e-6}])
def test_a_preview_of_a_fast_camera_is_near_its_film(settings: dict[str, float]) -> None:
    one: Scenario = preset(COUNTER)
    camera = Camera(**settings)  # type: ignore[arg-type]
    ahead = preview(take(motion(COUNTER), one.needle, camera))
    film = measure(shoot(motion(COUNTER), one.needle, camera))
    assert ahead.frequency == pytest.approx(film.frequency, rel=2e-3)
    assert len(ahead.readings) == len(film.readings) >= 4
    for early, late in zip(ahead.readings, film.readings, strict=True):
        assert (early.dot.number, early.direction) == (late.dot.number, late.direction)
        assert early.seen is not None and late.seen is not None
        assert early.seen == pytest.approx(late.seen, abs=late.bar + early.bar)
        # No estimate is better than the bound; ours comes near it.
        assert 0.6 < late.track.scatter / early.track.scatter < 2


def test_a_mark_that_a_picture_does_not_show_is_not_found_there() -> None:
    """Two dark pictures of nothing but noise: no place in them looks like the mark."""
    film = filmed(frames=10, noise="on")
    dark = np.random.default_rng(5).integers(40, 70, film.pictures.shape[1:], dtype=np.uint8)
    film.pictures[[3, 7]] = dark, dark[::-1]
    for one in track(film):
        assert np.flatnonzero(~one.is_found).tolist() == [3, 7]
        assert np.abs(one.likeness[[3, 7]]).max() < 0.5
