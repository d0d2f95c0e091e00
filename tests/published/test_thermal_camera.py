"""What a thermal camera reads, against Planck's law and optics worked out by hand.

Sources
[1] Blackbody fractions as handbooks tabulate them (Incropera et al., table 12.2; Modest,
    appendix C): 0.0667, 0.2501, 0.4809, 0.7378 at 2000, 2898, 4000, 6000 µm K. From memory;
    confirmed here by numerical integration of Planck's law.
[2] Stefan-Boltzmann's law: all wavelengths together give sigma T^4 / pi.
[3] Fresnel's equations at right angles: 1 - ((n - 1)² + k²) / ((n + 1)² + k²).
[4] A bright stripe of width w behind a Gaussian blur of standard deviation s, gathered by a pixel
    of width p in its middle: mean over the pixel of (erf((w/2 + x) / s sqrt 2) +
    erf((w/2 - x) / s sqrt 2)) / 2 of the stripe's excess.

Frame: bodies drawn straight, looked at from the side; temperatures of our own making, so that the
truth is known.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.constants import Stefan_Boltzmann, c, h, k
from scipy.integrate import quad
from scipy.special import erf

from tipsim.heat.camera import Region, Skin, ThermalCamera, causes, read, record
from tipsim.heat.camera.emission import emissivity, under_film
from tipsim.heat.camera.planck import fraction, radiance, temperature

LONG, SHORT = (8e-6, 14e-6), (3e-6, 5e-6)
MIDDLE = Region(9e-3, 11e-3, -0.2e-3, 0.2e-3)


def planck(wavelength: float, t: float) -> float:
    """Return the spectral radiance of a black surface by Planck's law [W/m³/sr]."""
    return 2 * h * c**2 / wavelength**5 / np.expm1(h * c / (wavelength * k * t))


IDEAL = ThermalCamera(
    surface="black paint",
    set_emissivity=1.0,
    noise=0.0,
    time_constant=0.0,
    blur=0.0,
    pictures=1,
    pixel=0.1e-3,
)


def stick(temperature_of, radius: float = 0.8e-3, times=(0.0, 1.0), fine: int = 1000) -> Skin:
    """Return a stick of 20 mm whose temperature by place [m] and time [s] is given, in K."""
    edges = np.linspace(0, 20e-3, fine + 1)
    middle = (edges[1:] + edges[:-1]) / 2
    values = np.array([[[temperature_of(x, t)] for x in middle] for t in times])
    n = len(middle)
    return Skin(edges, np.full(n, radius), np.ones(n, bool), np.zeros(1), np.array(times), values)


def ideal(**changes) -> ThermalCamera:
    """Return a camera without faults before a black surface."""
    return replace(IDEAL, **changes)


def test_blackbody_fractions(validation):
    tabled = {2000: 0.0667, 2898: 0.2501, 4000: 0.4809, 6000: 0.7378}
    total = Stefan_Boltzmann * 500**4 / np.pi
    for product, share in tabled.items():
        ours = float(fraction(product * 1e-6))
        end = product * 1e-6 / 500
        below = quad(planck, 1e-7, end, args=(500.0,), epsabs=0, epsrel=1e-10)[0]
        assert ours == pytest.approx(below / total, rel=1e-7)
        assert ours == pytest.approx(share, abs=0.00005)
    validation(
        "shares of a black surface's radiation below 2000, 2898, 4000, 6000 µm K",
        ", ".join(map(str, tabled.values())),
        ", ".join(f"{float(fraction(p * 1e-6)):.4f}" for p in tabled),
        "0.00005",
        "handbook tables (from memory); Planck's law integrated numerically",
    )


def test_all_wavelengths_give_stefan_and_boltzmann():
    whole = radiance(320.0, (0.5e-6, 3.0))
    assert float(whole) == pytest.approx(Stefan_Boltzmann * 320**4 / np.pi, rel=1e-6)


@pytest.mark.parametrize("band", [LONG, SHORT])
@pytest.mark.parametrize("t", [290.0, 340.0, 400.0])
def test_a_band_is_planck_integrated(band, t):
    by_hand = quad(planck, *band, args=(t,), epsabs=0, epsrel=1e-10)[0]
    assert float(radiance(t, band)) == pytest.approx(by_hand, rel=1e-7)
    assert float(temperature(by_hand, band)) == pytest.approx(t, abs=1e-5)


def test_emissivity_seen_squarely_and_along():
    for m in (1.6 + 0j, 1.25 + 0.05j, 13.0 + 13.0j):
        square = 1 - ((m.real - 1) ** 2 + m.imag**2) / ((m.real + 1) ** 2 + m.imag**2)
        assert float(emissivity(1.0, m)) == pytest.approx(square, rel=1e-12)
        assert float(emissivity(0.0, m)) == pytest.approx(0.0, abs=1e-12)


def test_brewster_angle_mirrors_half_of_what_is_polarised_across():
    # At Brewster's angle the part along the plane of view is absorbed entirely.
    n = 1.6
    angle = np.arctan(n)
    across = (
        (np.cos(angle) - n * np.cos(np.pi / 2 - angle))
        / (np.cos(angle) + n * np.cos(np.pi / 2 - angle))
    ) ** 2
    assert float(emissivity(np.cos(angle), n)) == pytest.approx(1 - across / 2, rel=1e-12)


@pytest.mark.parametrize("band", ["8–14 µm", "3–5 µm"])
def test_an_ideal_camera_reads_the_truth(band, validation):
    # A slope of 4 K/mm, linear within a pixel, so each pixel's own place is what it shows.
    body = stick(lambda x, _t: 300 + 4000 * x)
    film = record(body, ideal(band=band))
    inside = MIDDLE.pixels(film)
    own = temperature(film.signal[0], LONG if band.startswith("8") else SHORT)
    worst = float(np.abs(own - (300 + 4000 * film.x))[inside].max())
    assert worst < 0.1
    shown = read(film, MIDDLE)
    last = film.x[(film.x >= MIDDLE.near) & (film.x <= MIDDLE.far)].max()
    assert float(shown.hottest[0]) == pytest.approx(300 + 4000 * last, abs=0.1)
    assert float(shown.mean[0]) == pytest.approx(300 + 4000 * 10e-3, abs=0.1)
    assert float(shown.true_mean[0]) == pytest.approx(300 + 4000 * 10e-3, abs=0.1)
    validation(
        f"thermal camera without faults, {band}, slope of 4 K/mm",
        "the truth",
        f"within {max(worst, 0.01):.2f} K",
        "0.1 K",
        "temperatures of our own making",
    )


def test_a_wrong_emissivity_errs_by_the_formula():
    # A surface of 0.8 is one of black paint whose program takes 1.25 times as much.
    body = stick(lambda _x, _t: 350.0)
    camera = ideal(set_emissivity=0.8, mirrored=293.15, set_mirrored=293.15)
    shown = float(read(record(body, camera), MIDDLE).hottest[0])
    own, room = (quad(planck, *LONG, args=(t,))[0] for t in (350.0, 293.15))
    expected = temperature((own - 0.2 * room) / 0.8, LONG)
    assert shown == pytest.approx(float(expected), abs=1e-3)
    assert shown > 360


@pytest.mark.parametrize(("width", "blur", "pixel"), [(0.3, 0.25, 0.15), (0.2, 0.4, 0.2)])
def test_a_narrow_hot_band_reads_low_by_the_formula(width, blur, pixel, validation):
    cold, hot = 300.0, 350.0
    centre = 10e-3
    # Slices of 0.01 mm, so that edges of the stripe are edges of slices.
    of = lambda x, _t: hot if abs(x - centre) < width / 2 * 1e-3 else cold  # noqa: E731
    body = stick(of, 1.5e-3, fine=2000)
    camera = ideal(blur=blur * 1e-3, pixel=pixel * 1e-3)
    film = record(body, camera)
    # The pixel that holds the middle of the stripe, wherever the grid put it.
    column = int(np.argmin(np.abs(film.x - centre)))
    off = film.x[column] - centre
    s = blur * 1e-3 / np.sqrt(8 * np.log(2))

    def excess(x: float) -> float:
        a = width / 2 * 1e-3
        return float(erf((a + x) / s / np.sqrt(2)) + erf((a - x) / s / np.sqrt(2))) / 2

    half = pixel / 2 * 1e-3
    share = quad(excess, off - half, off + half)[0] / (2 * half)
    row = film.signal.shape[1] // 2
    got = float(film.signal[0, row, column])
    low, high = (float(radiance(t, LONG)) for t in (cold, hot))
    assert width < 3 * pixel
    assert (got - low) / (high - low) == pytest.approx(share, abs=2e-3)
    # So the program reads so many kelvin too low.
    planck_low, planck_high = (quad(planck, *LONG, args=(t,))[0] for t in (cold, hot))
    expected = float(temperature(planck_low + share * (planck_high - planck_low), LONG))
    assert float(temperature(got, LONG)) == pytest.approx(expected, abs=0.1)
    assert expected < hot - 3
    validation(
        f"thermal camera: hot band of {width} mm, blur {blur} mm, pixel {pixel} mm",
        f"{expected - hot:.1f} K",
        f"{float(temperature(got, LONG)) - hot:.1f} K",
        "0.1 K",
        "stripe behind a Gaussian blur, integrated numerically",
    )


def test_noise_is_as_stated():
    body = stick(lambda _x, _t: 303.15)
    film = record(body, ideal(noise=0.08, pictures=40, frame_rate=40, seed=3))
    rows = slice(film.signal.shape[1] // 2 - 2, film.signal.shape[1] // 2 + 3)
    scatter = temperature(film.signal[:, rows, 20:180], LONG).std()
    assert scatter == pytest.approx(0.08, rel=0.03)
    shown = read(film, MIDDLE)
    assert shown.noise == pytest.approx(0.08, rel=0.02)


def test_a_slow_detector_follows_a_step_by_its_exponential():
    # A ramp of 100 K/s is followed late by the time constant.
    body = stick(lambda _x, t: 300 + 100 * t, times=(0.0, 0.5), fine=200)
    camera = ideal(time_constant=0.05, frame_rate=200, pictures=90)
    film = record(body, camera)
    row, column = film.signal.shape[1] // 2, film.signal.shape[2] // 2
    own = temperature(film.signal[:, row, column], LONG)
    # Radiance bends a little over 5 K; a hundredth of the lag of 5 K is allowed for that.
    assert float(300 + 100 * film.time[-1] - own[-1]) == pytest.approx(5.0, abs=0.15)


def test_causes_add_up_to_the_error():
    body = stick(lambda x, t: 300 + 40 * t * (abs(x - 10e-3) < 0.2e-3), fine=500)
    camera = ThermalCamera(noise=0.3, pictures=10, frame_rate=10, time_constant=0.1)
    film = record(body, camera)
    for picture in (4, 9):
        hottest, mean = causes(film, MIDDLE, picture)
        shown = read(film, MIDDLE)
        assert hottest.total == pytest.approx(shown.hottest[picture] - shown.true[picture])
        assert mean.total == pytest.approx(shown.mean[picture] - shown.true_mean[picture])
        assert shown.true[picture] == pytest.approx(300 + 40 * film.time[picture])
        assert hottest.blur < -0.5 and hottest.lag < -0.3 and hottest.noise > 0


def test_each_cause_is_alone_where_only_it_acts():
    """One fault at a time before a black or dry surface of 350 K, against Planck by hand."""
    body = stick(lambda _x, _t: 350.0)
    own, room, lamp = (quad(planck, *LONG, args=(t,))[0] for t in (350.0, 296.15, 333.15))

    def of_faults(**changes):
        film = record(body, ideal(**changes))
        return causes(film, MIDDLE, 0)[0]

    e = 1 - (0.6 / 2.6) ** 2
    as_set = {"surface": "dry silicone", "mirrored": 296.15, "set_mirrored": 296.15}
    cold = of_faults(**as_set)  # The program takes 1 for what is 0.947.
    expected = float(temperature(e * own + (1 - e) * room, LONG)) - 350
    assert cold.emissivity == pytest.approx(expected, abs=1e-3)
    assert expected < -2
    right = of_faults(**as_set | {"set_emissivity": e})
    assert right.emissivity == pytest.approx(0, abs=1e-6)
    lit = of_faults(**as_set | {"set_emissivity": e, "mirrored": 333.15})
    seen = e * own + (1 - e) * lamp
    expected = float(temperature((seen - (1 - e) * room) / e, LONG)) - 350
    assert lit.reflection == pytest.approx(expected, abs=0.05)
    assert expected > 1
    for one in (cold, right, lit):
        assert one.lag == one.noise == one.water == 0


def test_a_film_of_water_hides_shining_metal():
    """A tenth of a millimetre lets nothing pass: Beer's law, exp(-4 pi k d / wavelength)."""
    metal = 1 - abs((13 + 13j - 1) / (13 + 13j + 1)) ** 2
    water = 1 - abs((1.25 + 0.05j - 1) / (1.25 + 0.05j + 1)) ** 2
    passed = np.exp(-4 * np.pi * 0.05 * 0.1e-3 / 11e-6)
    assert passed < 0.01
    assert float(under_film(water, metal, passed)) == pytest.approx(water, abs=1e-3)
    # Ten micrometres let half pass, twice; by adding up light that goes to and fro.
    q, r, b = 0.5, 1 - water, 1 - metal
    back = r + sum((1 - r) ** 2 * b * q**2 * (r * b * q**2) ** n for n in range(60))
    assert float(under_film(water, metal, q)) == pytest.approx(1 - back, rel=1e-12)


def test_an_error_bar_holds_noise_and_doubts():
    body = stick(lambda _x, _t: 350.0)
    base = {"surface": "black paint", "set_emissivity": 0.9, "set_mirrored": 293.15}
    none = {"emissivity_doubt": 0.0, "mirrored_doubt": 0.0}
    room, own = (float(radiance(t, LONG)) for t in (293.15, 350.0))

    def bar(**changes):
        return float(read(record(body, ideal(**base | none | changes)), MIDDLE).bar[0])

    assert bar() == pytest.approx(0, abs=1e-9)
    read_as = [float(temperature((own - (1 - e) * room) / e, LONG)) for e in (0.87, 0.93)]
    assert bar(emissivity_doubt=0.03) == pytest.approx((read_as[0] - read_as[1]) / 2, rel=1e-6)
    warm = [float(radiance(293.15 + s, LONG)) for s in (-3, 3)]
    ends = [float(temperature((own - 0.1 * w) / 0.9, LONG)) for w in warm]
    assert bar(mirrored_doubt=3.0) == pytest.approx((ends[0] - ends[1]) / 2, rel=0.01)
