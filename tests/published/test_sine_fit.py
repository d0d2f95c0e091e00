"""Sinusoids through tracks, against published methods and their own intervals.

Sources
-------
1. IEEE Std 1057, sine fitting by three and by four parameters (method from memory, no page at
   hand). Written anew here from its matrices, apart from the code under test.
2. D. C. Rife and R. R. Boorstyn, "Single-tone parameter estimation from discrete-time
   observations", IEEE Trans. Inf. Theory 20 (1974) 591-598: no estimate of a frequency does better
   than var(2 pi f T) = 24 s² / (A² n (n² - 1)) for a real sine of many cycles.
3. E. C. Fieller (1954) for ratios; coverage by drawing, here.
"""

import numpy as np
import pytest

from tipsim.measured.sine import fit_sine, shared_frequency
from tipsim.measured.strokes import ratios, strokes
from tipsim.measured.tracks import Tracks
from tipsim.setup.errors import BadInput

RATE, FREQUENCY = 640e3, 32e3
TIMES = np.arange(60) / RATE
NOISE = 6e-6
"""Half a pixel of 12 micrometres."""


def path(times: np.ndarray, frequency: float, x: complex, y: complex) -> np.ndarray:
    """Return places (f, 2) of Re(u exp(i w t)), written with cosines and phases."""
    turn = 2 * np.pi * frequency * times
    return np.stack([abs(u) * np.cos(turn + np.angle(u)) for u in (x, y)], axis=1)


def film(places: np.ndarray, times: np.ndarray = TIMES) -> Tracks:
    return Tracks("a.csv", times, tuple(range(1, len(places) + 1)), places, {})


def four_parameters(t: np.ndarray, y: np.ndarray, frequency: float) -> tuple[complex, float]:
    """Return amplitude and frequency by the standard's matrix, iterated."""
    w = 2 * np.pi * frequency
    a, b = 0.0, 0.0
    for _ in range(20):
        columns = [np.cos(w * t), np.sin(w * t), np.ones_like(t)]
        columns.append(-a * t * np.sin(w * t) + b * t * np.cos(w * t))
        d = np.stack(columns if a or b else columns[:3], axis=1)
        answer = np.linalg.solve(d.T @ d, d.T @ y)
        a, b = answer[:2]
        w += answer[3] if len(answer) > 3 else 0.0
    return complex(a, -b), w / (2 * np.pi)


def test_the_fit_is_that_of_the_standard(validation):
    rng = np.random.default_rng(7)
    y = 65e-6 * np.cos(2 * np.pi * 32111.0 * TIMES + 0.7) + 4e-6 + rng.normal(0, NOISE, 60)
    amplitude, frequency = four_parameters(TIMES, y, 32e3)
    places = np.stack([y, 0 * y], axis=1)
    ours, _ = shared_frequency(TIMES, places[None], 31e3, 33e3)
    assert ours == pytest.approx(frequency, rel=1e-8)
    fitted = fit_sine(TIMES, places, ours).amplitude[0]
    assert abs(fitted - amplitude) < 1e-6 * abs(amplitude)
    validation(
        "Stroke by a four-parameter sine fit, one noisy track",
        f"{2e6 * abs(amplitude):.3f} µm",
        f"{2e6 * abs(fitted):.3f} µm",
        "1e-6",
        "IEEE Std 1057, its matrices written anew in the test",
    )


def test_the_error_of_the_frequency_is_the_best_possible():
    """Against the bound of source 2, for one sine of amplitude A in noise s, n samples T apart."""
    rng = np.random.default_rng(1)
    amplitude, n = 65e-6, len(TIMES)
    bound = np.sqrt(24 * NOISE**2 / (amplitude**2 * n * (n**2 - 1))) * RATE / (2 * np.pi)
    errors, said = [], []
    for _ in range(300):
        y = amplitude * np.cos(2 * np.pi * FREQUENCY * TIMES + 1) + rng.normal(0, NOISE, n)
        found, error = shared_frequency(TIMES, np.stack([y, 0 * y], axis=1)[None], 31e3, 33e3)
        errors.append(found - FREQUENCY)
        said.append(error)
    # The y column holds no noise here, so what is said is low by the root of its freedom.
    assert np.std(errors) == pytest.approx(bound, rel=0.15)
    assert np.mean(said) * np.sqrt(2) == pytest.approx(bound, rel=0.1)


@pytest.mark.parametrize("ellipse", [0.0, 0.2])
def test_intervals_of_strokes_hold_the_truth_as_often_as_they_say(ellipse, validation):
    rng = np.random.default_rng(3)
    x, y = 30e-6 + 0j, 55e-6 + ellipse * 65e-6j
    true = np.ptp(path(np.linspace(0, 1 / FREQUENCY, 20001), FREQUENCY, x, y) @ _long(x, y))
    clean = path(TIMES, FREQUENCY, x, y)
    held = 0
    for _ in range(1000):
        (mark,) = strokes(film((clean + rng.normal(0, NOISE, clean.shape))[None]), FREQUENCY).marks
        held += mark.low <= true <= mark.high
    assert 930 <= held <= 970
    if not ellipse:
        validation(
            "95 % intervals of strokes that hold the truth, 1,000 noisy tracks",
            "93 to 97 %", f"{held / 10:.1f} %", "as said", "drawn in the test; Student's t",
        )  # fmt: skip


def test_intervals_of_ratios_hold_the_truth_as_often_as_they_say():
    rng = np.random.default_rng(4)
    clean = [path(TIMES, FREQUENCY, 0, a + 0j) for a in (40e-6, 20e-6)]
    held = 0
    for _ in range(1000):
        noisy = (c + rng.normal(0, NOISE, c.shape) for c in clean)
        (ratio,) = ratios(*(strokes(film(p[None]), FREQUENCY) for p in noisy))
        assert ratio.low is not None and ratio.high is not None
        held += ratio.low <= 2.0 <= ratio.high
    assert 930 <= held <= 970


def test_half_a_pixel_of_noise_and_twenty_pictures_a_cycle_leave_two_percent():
    """Mean error of the stroke, and the direction of each of two marks."""
    rng = np.random.default_rng(5)
    times = np.arange(96) / RATE
    clean = np.stack([path(times, FREQUENCY, 0, 65e-6), path(times, FREQUENCY, 0, -40e-6)])
    errors = []
    for _ in range(200):
        found = strokes(film(clean + rng.normal(0, NOISE, clean.shape), times), FREQUENCY)
        errors.append(found.marks[0].value / 130e-6 - 1)
        assert found.marks[1].direction == "against"
    assert np.mean(np.abs(errors)) < 0.02


def test_an_undersampled_film_is_not_fitted_blindly():
    times = np.arange(60) / 35e3
    clean = path(times, FREQUENCY, 0, 65e-6)[None]
    with pytest.raises(BadInput, match=r"frame rate is 35000 pictures per second: 1.09 a cycle"):
        strokes(film(clean, times), FREQUENCY)
    found = strokes(film(clean, times), FREQUENCY, aliased=True)
    assert found.marks[0].value == pytest.approx(130e-6, rel=1e-9)
    assert "seems to run at 3000 Hz" in found.doubts[0]
    # Two pictures a cycle exactly leave a sine open, whatever is said.
    with pytest.raises(BadInput, match=r"band of frequency|pictures"):
        strokes(film(path(np.arange(60) / 64e3, FREQUENCY, 0, 1e-6)[None], np.arange(60) / 64e3),
                FREQUENCY, aliased=True)  # fmt: skip


def test_drift_and_exposure_are_taken_away():
    exposure = 8e-6
    seen = np.sin(np.pi * FREQUENCY * exposure) / (np.pi * FREQUENCY * exposure)
    clean = path(TIMES, FREQUENCY, 0, 65e-6 * seen)
    clean[:, 1] += 200e-6 * TIMES / TIMES[-1]
    found = strokes(film(clean[None]), FREQUENCY, exposure=exposure)
    assert found.marks[0].value == pytest.approx(130e-6, rel=1e-9)
    assert found.marks[0].sine.drift == pytest.approx(200e-6, rel=0.01)
    assert any("drifted by 200 µm" in d for d in found.doubts)


def test_a_camera_that_shakes_is_put_right_by_a_mark_at_rest():
    rng = np.random.default_rng(6)
    shake = rng.normal(0, 50e-6, (60, 2))
    places = np.stack([path(TIMES, FREQUENCY, 0, 65e-6), np.zeros((60, 2))]) + shake
    found = strokes(film(places).against(2), FREQUENCY)
    assert found.tracks.numbers == (1,)
    assert found.marks[0].value == pytest.approx(130e-6, rel=1e-9)


def _long(x: complex, y: complex) -> np.ndarray:
    """Return the direction of the longest way, by trying 100,000 of them."""
    angles = np.linspace(0, np.pi, 100_001)
    sizes = np.abs(x * np.cos(angles) + y * np.sin(angles))
    best = angles[int(np.argmax(sizes))]
    return np.array([np.cos(best), np.sin(best)])
