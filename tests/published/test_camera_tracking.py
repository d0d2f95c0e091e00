"""What the camera bench tracks, against published methods and closed formulas.

Sources
[1] M. Guizar-Sicairos, S. T. Thurman, J. R. Fienup, "Efficient subpixel image registration
    algorithms", Opt. Lett. 33 (2008) 156-158 (method as coded in scikit-image; abstract read): an
    upsampling of k finds a shift to within 1/k of a pixel.
[2] C. E. Shannon, "Communication in the presence of noise", Proc. IRE 37 (1949) 10-21 (from
    memory): what is sampled fs times a second cannot be told from its alias |f - k fs|.
[3] Mean of a sine over a window, any book on signals: sin(pi f t) / (pi f t) (worked out); travel
    of a sine of amplitude A in a window t around its fastest moment: 2 A sin(pi f t) (worked out).

Frame: needles and drives as in test_needles.py; strokes peak to peak; pictures of 500 000 a second
and pixels of 5 µm unless said; no noise. What "true" is comes from the model that those checks
hold; here it is held that a film of it, made and read by separate code, gives it back.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from scipy import ndimage

from tests.published.bars import Check, ReportTable, Validation, hold
from tests.validation import within
from tipsim.motion.camera import Camera, Film, measure, shoot
from tipsim.motion.camera.sampling import apparent_frequency, averaged_share, smear
from tipsim.motion.camera.tracking import UPSAMPLING, shifts
from tipsim.motion.run import Motion
from tipsim.setup.presets import preset
from tipsim.solve import solve

SINGLE, COUNTER = "single-bend, torsional", "counter-bent, torsional"
QUIET = Camera(noise="off", pixel=5e-6, frames=60)


@cache
def motion(name: str) -> Motion:
    return solve(preset(name)).motion


def filmed(name: str, camera: Camera) -> Film:
    return shoot(motion(name), preset(name).needle, camera)


def test_a_known_shift_is_found_to_a_step_of_the_upsampling(
    report_table: ReportTable, validation: Validation
) -> None:
    """[1], on a picture from elsewhere: a smooth spot, shifted exactly by its spectrum."""
    y, x = np.mgrid[-20:21, -20:21]
    spot = 200 - 180 * np.exp(-(x**2 + (0.8 * y) ** 2) / 30)
    random = np.random.default_rng(5)
    wanted = random.uniform(-0.5, 0.5, (40, 2))
    moved = [
        np.fft.ifft2(ndimage.fourier_shift(np.fft.fft2(spot - 200), w)).real + 200 for w in wanted
    ]
    found = shifts(spot.astype(np.float32), np.array(moved, dtype=np.float32))
    worst = float(np.abs(found - wanted).max())
    report_table(
        "Shifts of a smooth spot, 40 at random [1]",
        [f"worst {worst:.4f} px, allowed {1 / UPSAMPLING:.4f} px (upsampling {UPSAMPLING})"],
    )
    assert worst <= 1 / UPSAMPLING
    validation(
        "camera: 40 random shifts of a spot",
        "exact, by its spectrum",
        f"within {worst:.2f} px",
        "0.05 px",
        "Guizar-Sicairos, Thurman & Fienup 2008 (abstract read)",
    )


def test_a_fast_film_gives_back_the_strokes(
    report_table: ReportTable, validation: Validation
) -> None:
    """Markers 1 and 5 of both default needles; 2 % as asked of the bench."""
    rows = []
    for name in (SINGLE, COUNTER):
        for aim in ("1", "5"):
            readings = measure(filmed(name, replace(QUIET, aim=aim))).readings
            (reading,) = (r for r in readings if r.dot.number == int(aim))
            assert reading.seen is not None and reading.fitted is not None
            true = motion(name).markers[int(aim) - 1].stroke
            what = f"{name.split(',')[0]}, marker {aim}"
            rows.append(Check(f"{what}: seen, µm", reading.seen * 1e6, true * 1e6, 0.02))
            rows.append(Check(f"{what}: sine, µm", reading.fitted * 1e6, true * 1e6, 0.02))
    hold(report_table, "Strokes in a film of 500 000 pictures a second", rows)
    validation(
        "camera: tracked strokes of markers 1 and 5, no noise",
        "the model’s own motion",
        within(c.deviation for c in rows),
        "2 %",
        "own model, filmed and read by separate code",
    )


def test_directions_in_a_film_are_those_of_the_bench() -> None:
    for name in (SINGLE, COUNTER):
        found = measure(filmed(name, replace(QUIET, pixel=12.5e-6))).readings
        assert [r.direction for r in found] == ["with", "with", "against", "against", "against"]


def test_too_slow_a_camera_sees_the_alias(
    report_table: ReportTable, validation: Validation
) -> None:
    """[2]: rates below twice the drive's, from its near to a thirtieth of it."""
    rows = [*aliases(SINGLE), *aliases(COUNTER)]
    hold(report_table, "Apparent frequency [2]", rows)
    validation(
        "camera: apparent frequency at nine rates, both bent needles",
        "alias formula",
        within(c.deviation for c in rows),
        "1 %",
        "sampling theorem",
    )


def aliases(name: str) -> list[Check]:
    f, rows = 32e3, []
    for rate in (60e3, 47e3, 35.2e3, 30e3, 25e3, 20e3, 9.7e3, 3.1e3, 998.4):
        assert rate < 2 * f
        camera = replace(QUIET, pixel=12.5e-6, frame_rate=rate, exposure=0.5e-6)
        seen = measure(filmed(name, camera)).frequency
        assert seen is not None
        formula = apparent_frequency(f, rate)
        rows.append(Check(f"{name}, {rate:g} pictures a second, Hz", seen, formula, 0.01))
    return rows


def test_at_the_drives_own_rate_it_stands_still() -> None:
    for whole in (1, 2, 7, 32):
        camera = replace(QUIET, pixel=12.5e-6, frame_rate=32e3 / whole, exposure=1e-6)
        found = measure(filmed(SINGLE, camera))
        assert found.frequency is None
        assert max(r.seen or 0 for r in found.readings) < 0.01 * motion(SINGLE).end_stroke


def darkness(picture: np.ndarray, film: Film, number: int) -> np.ndarray:
    """Share of a mark's darkness along the way up, through its middle, in [0, 1]."""
    (dot,) = (d for d in film.scene.dots if d.number == number)
    column = round(float(film.scene.to_pixels(dot.place)[0]))
    level = picture[:, column - 1 : column + 2].mean(axis=1)
    without = np.interp(*_beside(picture, column, film))
    return np.asarray((without - level) / (without - level.min()).max())


def _beside(picture: np.ndarray, column: int, film: Film) -> tuple[np.ndarray, ...]:
    """The metal's brightness two diameters beside the mark, for each row."""
    off = round(4 * film.scene.dot_radius / film.camera.pixel)
    rows = np.arange(len(picture))
    return rows, rows, picture[:, column - off - 1 : column - off + 2].mean(axis=1)


def width(profile: np.ndarray, threshold: float) -> float:
    """Length over which a profile is above a threshold, between pixels by straight lines [px]."""
    above = np.flatnonzero(profile > threshold)
    first, last = above[0], above[-1]
    left = (profile[first] - threshold) / (profile[first] - profile[first - 1])
    right = (profile[last] - threshold) / (profile[last] - profile[last + 1])
    return float(last - first + left + right)


@pytest.mark.parametrize("exposure", [1e-6, 2e-6, 4e-6, 6e-6, 8e-6])
def test_smear_in_the_picture_is_the_travel(exposure: float, report_table: ReportTable) -> None:
    """[3]: a dot smeared at its fastest is as much longer as it travels.

    A pixel at its ends is dark for a share of the exposure. Where that is more than q the dot is
    longer by the travel in the middle 1 - 2 q of the exposure; q is 0.2, clear of the pixels' own
    softness. The exposure's middle is where the mark passes its rest.
    """
    q = 0.2
    start = np.pi / 2 - np.pi * 32e3 * exposure
    camera = replace(
        QUIET, pixel=4e-6, aim="5", frames=8, frame_rate=100e3, exposure=exposure, trigger=start
    )
    film = filmed(SINGLE, camera)
    dot = 2 * film.scene.dot_radius
    still = width(darkness(film.stills[0].astype(float), film, 5), 0.5) * camera.pixel
    assert still == pytest.approx(dot, abs=0.25 * camera.pixel)
    smeared = width(darkness(film.pictures[0].astype(float), film, 5), q) * camera.pixel
    travel = smear(motion(SINGLE).markers[4].stroke, 32e3, (1 - 2 * q) * exposure)
    report_table(
        f"Smear of marker 5 in the middle of {exposure * 1e6:g} µs [3]",
        [f"in the picture {(smeared - dot) * 1e6:.1f} µm, by formula {travel * 1e6:.1f} µm"],
    )
    assert smeared - dot == pytest.approx(travel, rel=0.03, abs=0.25 * camera.pixel)


def test_the_mean_place_shrinks_with_exposure(report_table: ReportTable) -> None:
    """[3]: the centre of all darkness over a mark's whole path, picture by picture."""
    rows = []
    for exposure in (2e-6, 10e-6, 20e-6, 28e-6):
        camera = replace(QUIET, aim="5", frame_rate=35.2e3, exposure=exposure, frames=44)
        film = filmed(SINGLE, camera)
        (dot,) = (d for d in film.scene.dots if d.number == 5)
        column, row = (round(float(v)) for v in film.scene.to_pixels(dot.place))
        reach = round((film.scene.dot_radius + 1.1 * dot.stroke / 2) / camera.pixel) + 2
        side = round(film.scene.dot_radius / camera.pixel) + 2
        area = film.pictures[
            :, row - reach : row + reach + 1, column - side : column + side + 1
        ].astype(float)
        beside = film.pictures[:, row - reach : row + reach + 1, column - 3 * side].astype(float)
        dark = np.clip(beside[:, :, None] - area, 0, None)
        dark[dark < 3] = 0  # the metal's own curve, not the mark
        centre = (dark.sum(axis=2) * np.arange(2 * reach + 1)).sum(axis=1) / dark.sum(axis=(1, 2))
        stroke = np.ptp(centre) * camera.pixel
        expected = averaged_share(32e3, exposure) * dot.stroke
        rows.append(Check(f"{exposure * 1e6:g} µs, µm", stroke * 1e6, expected * 1e6, 0.04))
    hold(report_table, "Stroke of a mark's mean place over an exposure [3]", rows)
