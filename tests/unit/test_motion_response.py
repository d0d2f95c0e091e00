"""Response over frequency, sensitivity, stress, and the build-up of a pulse."""

from dataclasses import replace

import numpy as np
import pytest

from tipsim.motion import Frame
from tipsim.motion.assembly import assemble
from tipsim.motion.buildup import Pulse, pulse
from tipsim.motion.response import natural_modes, response
from tipsim.motion.run import hub_motion, run
from tipsim.motion.sensitivity import Effect, Sensitivity, sensitivity
from tipsim.motion.stress import stress
from tipsim.setup.load import LensLoad
from tipsim.setup.material import Material
from tipsim.setup.scenario import Scenario
from tipsim.solve import solve

SINGLE = Scenario.preset("single-bend, torsional")
COUNTER = Scenario.preset("counter-bent, torsional")
STRAIGHT = Scenario.preset("straight, axial")
METAL = Material("metal", 113.8e9, 0.342, 4430.0)
LENGTH, OUTER = 20e-3, 0.45e-3
ROD = Frame(np.outer(np.linspace(0, LENGTH, 161), [1.0, 0, 0]), OUTER, 0.0, METAL, loss_factor=0.0)


def at(scenario: Scenario, frequency: float) -> Scenario:
    return replace(scenario, drive=replace(scenario.drive, frequency=frequency))


# Response -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("scenario", [SINGLE, COUNTER, STRAIGHT], ids=lambda s: s.name)
def test_the_curve_at_a_frequency_is_what_a_run_gives_there(scenario: Scenario) -> None:
    f = np.array([12e3, scenario.drive.frequency, 55e3])
    curve = response(scenario, f)
    for i, each in enumerate(f):
        m = run(at(scenario, float(each)))
        assert curve.end[i] == pytest.approx(m.end_stroke, rel=1e-6)
        assert curve.shaft[i] == pytest.approx(m.character.shaft_rms, rel=1e-6, abs=1e-20)
        assert curve.torque[i] == pytest.approx(m.hub_torque, rel=1e-6, abs=1e-12)
        assert curve.force[i] == pytest.approx(m.hub_force, rel=1e-6, abs=1e-6)
        assert curve.power[i] == pytest.approx(m.power, rel=1e-6)


@pytest.mark.parametrize("scenario", [SINGLE, COUNTER], ids=lambda s: s.name)
def test_peaks_stand_at_natural_modes(scenario: Scenario) -> None:
    """Two solvers, one answer: peaks of the curve lie on modes with the hub held, 1 % apart."""
    curve = response(scenario)
    modes = natural_modes(scenario)
    assert len(curve.peaks) >= 2
    for peak in curve.peaks:
        assert np.abs(modes.frequency / peak - 1).min() < 0.01
    assert modes.frequency.max() <= 60e3


# Sensitivity --------------------------------------------------------------------------------------


def test_sensitivity_is_what_trying_gives() -> None:
    found = {e.what: e for e in sensitivity(SINGLE).effects}
    assert set(found) == {"frequency", "stiffness", "length"}
    base = run(SINGLE)
    f = SINGLE.drive.frequency
    for i, factor in enumerate((0.99, 1.01)):
        tried = run(at(SINGLE, f * factor))
        end = tried.end_stroke / base.end_stroke - 1
        assert found["frequency"].end[i] == pytest.approx(end, rel=1e-9)
        shaft = tried.character.shaft_rms / base.character.shaft_rms - 1
        assert found["frequency"].shaft[i] == pytest.approx(shaft, rel=1e-9)
    assert found["frequency"].largest == max(abs(v or 0) for v in found["frequency"].end)


def test_stiffness_frequency_and_length_hang_together() -> None:
    """A needle 2 % stiffer acts as one driven 1 % slower, but for films and water: all small."""
    found = {e.what: e for e in sensitivity(replace(SINGLE, sleeve=None)).effects}
    low, high = found["frequency"].end
    assert low is not None and high is not None
    slope = (high - low) / 2
    soft, stiff = found["stiffness"].end
    assert soft is not None and stiff is not None
    assert (stiff - soft) / 2 == pytest.approx(-slope / 2, rel=0.1)


def test_one_percent_of_length_is_one_percent_of_frequency_for_a_rod_in_its_length() -> None:
    """An even rod moves at its end by 1 / cos(k L), and k L does not care which of them grows."""
    rod = replace(STRAIGHT, sleeve=None, needle=replace(STRAIGHT.needle, taper_length=0.0))
    found = {e.what: e for e in sensitivity(rod).effects}
    speed = (rod.needle.material.young / rod.needle.material.density) ** 0.5
    angle = 2 * np.pi * rod.drive.frequency * rod.needle.length / speed
    for i, factor in enumerate((0.99, 1.01)):
        expected = np.cos(angle) / np.cos(factor * angle) - 1
        assert found["length"].end[i] == pytest.approx(expected, rel=0.03)
        assert found["frequency"].end[i] == pytest.approx(expected, rel=0.03)


@pytest.mark.parametrize(("frequency", "missing"), [(10e3, 0), (100e3, 1)])
def test_a_limit_in_the_way_leaves_that_side_out(frequency: float, missing: int) -> None:
    effects = sensitivity(at(STRAIGHT, frequency)).effects
    for effect in effects:
        absent = [i for i in range(2) if effect.end[i] is None]
        assert absent == ([missing] if effect.what == "frequency" else [])
        assert [effect.shaft[i] is None for i in absent] == [True] * len(absent)


def test_delicate_means_more_than_five_percent() -> None:
    steady, shaky = Effect("length", (-0.049, None), (0.3, 0.3)), Effect("x", (-0.051, 0), (0, 0))
    assert (steady.largest, shaky.largest) == (0.049, 0.051)
    assert not Sensitivity((steady, steady)).delicate
    assert Sensitivity((steady, shaky)).delicate
    still = replace(STRAIGHT, drive=replace(STRAIGHT.drive, power=0.0))
    assert all(e.end == (0.0, 0.0) for e in sensitivity(still).effects)


# Stress -------------------------------------------------------------------------------------------


def test_stress_of_a_cantilever_under_a_slow_force() -> None:
    """Handbook: 4 F L / pi r³ at the clamp, falling to nothing at the end, as F grows with x."""
    force = 0.5
    s = stress(ROD.respond(1.0, forces={-1: [0, 0, force, 0, 0, 0]}))
    arm = LENGTH - np.arange(161) * LENGTH / 160
    nominal = 4 * force * arm / (np.pi * OUTER**3)
    assert s.bending == pytest.approx(nominal, rel=1e-3, abs=1e-3 * nominal[0])
    assert s.peak == pytest.approx(s.bending.max())
    assert s.peak_place == 0
    assert np.abs(s.axial).max() < 1e-3 * s.peak and np.abs(s.torsion).max() < 1e-3 * s.peak


def test_stress_in_length_and_twist() -> None:
    """Handbook: F / A, and 2 T / pi r³; von Mises joins them as the root of s² + 3 t²."""
    force, moment = 40.0, 5e-3
    normal, shear = force / (np.pi * OUTER**2), 2 * moment / (np.pi * OUTER**3)
    for load, mises in (
        ([force, 0, 0, 0, 0, 0], normal),
        ([0, 0, 0, moment, 0, 0], 3**0.5 * shear),
        ([force, 0, 0, moment, 0, 0], (normal**2 + 3 * shear**2) ** 0.5),
        # A quarter cycle apart they never peak together.
        ([force, 0, 0, 1j * moment, 0, 0], max(normal, 3**0.5 * shear)),
    ):
        s = stress(ROD.respond(1.0, forces={-1: load}))
        assert s.equivalent == pytest.approx(np.full(161, mises), rel=1e-3)


def test_bending_about_any_axis_is_the_same() -> None:
    for angle in (0.0, 0.3, 1.1):
        load = [0, np.cos(angle), np.sin(angle), 0, 0, 0]
        s = stress(ROD.respond(1.0, forces={-1: load}))
        # The circumference is tried at 36 places, 10 degrees apart: off by at most 0.4 %.
        theirs = 4 * LENGTH / (np.pi * OUTER**3)
        assert theirs * np.cos(np.radians(5)) <= s.peak * (1 + 1e-9) <= theirs * (1 + 1e-6)


def test_stress_of_a_quarter_wave_rod_at_full_stroke() -> None:
    """Facts of ultrasonics: E k u0 at the node; 254 MPa for 90 µm peak to peak at 40 kHz."""
    f, length = 40e3, np.sqrt(113.8e9 / 4430) / 40e3 / 4
    rod = Frame(
        np.outer(np.linspace(0, length, 161), [1.0, 0, 0]), OUTER, 0.0, METAL, loss_factor=0.001
    )
    v = rod.respond(f, forces={-1: [1, 0, 0, 0, 0, 0]})
    peak = stress(v).peak * 45e-6 / abs(v.displacement[-1, 0])
    assert peak == pytest.approx(254e6, rel=5e-3)


def test_stress_in_the_result() -> None:
    result = solve(SINGLE)
    told = result.to_dict()["stress"]
    assert told["peak_mpa"] == pytest.approx(result.stress.peak / 1e6, rel=1e-5)
    assert told["share_of_fatigue_strength"] == pytest.approx(told["peak_mpa"] / 510, rel=1e-5)
    low, high = told["share_of_fatigue_strength_range"]
    assert low < told["share_of_fatigue_strength"] < high
    half = solve(replace(SINGLE, drive=replace(SINGLE.drive, power=0.5)))
    assert half.stress.peak == pytest.approx(result.stress.peak / 2, rel=1e-9)


# A pulse ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("scenario", [SINGLE, COUNTER, STRAIGHT], ids=lambda s: s.name)
def test_a_long_pulse_ends_at_the_steady_motion_and_dies_after(scenario: Scenario) -> None:
    p = pulse(scenario, 5e-3, 5e-3)
    assert p.steady == pytest.approx(solve(scenario).motion.end_stroke, rel=1e-5)
    assert p.end[0] < 0.2 * p.steady
    assert p.end[p.time < 4.9e-3][-1] == pytest.approx(p.steady, rel=0.01)
    assert p.end[-1] < 0.02 * p.steady
    assert p.rise_time is not None and 0 < p.rise_time < 4e-3
    assert p.fall_time is not None and 0 < p.fall_time < 4e-3


def test_a_slow_hub_is_slow_and_a_short_pulse_never_gets_there() -> None:
    fast, slow = (
        pulse(STRAIGHT.with_(**{"drive.hub_time": t}), 12e-3, 1e-3) for t in (0.2e-3, 2e-3)
    )
    assert fast.rise_time is not None and slow.rise_time is not None
    # 1 - exp(-t/T) is within 10 % from 2.3 T on.
    assert slow.rise_time == pytest.approx(2.3 * 2e-3, rel=0.1)
    assert fast.rise_time < slow.rise_time / 4
    assert pulse(STRAIGHT.with_(**{"drive.hub_time": 2e-3}), 1e-3, 1e-3).rise_time is None


def test_a_pulse_that_rises_and_dies_as_known() -> None:
    """1 - exp(-t/T), then exp(-t/T): 10 % off and a tenth left after T ln 10 = 2.303 T each."""
    cycle, on, decay = 1e-5, 10e-3, 1e-3
    time = np.arange(2000) * cycle
    up = 80e-6 * (1 - np.exp(-time / decay))
    end = np.where(time < on, up, 80e-6 * np.exp(-(time - on) / decay))
    p = Pulse(time, end, 80e-6, on, np.zeros((0, 3)), time)
    assert p.rise_time == pytest.approx(np.log(10) * decay, abs=1.01 * cycle)
    assert p.fall_time == pytest.approx(np.log(10) * decay, abs=1.01 * cycle)
    short = time < on + decay
    assert Pulse(time[short], end[short], 80e-6, on, np.zeros((0, 3)), time).fall_time is None


def newmark(scenario: Scenario, on: float, off: float, hub_time: float) -> np.ndarray:
    """The same motion stepped through time (Newmark, mean acceleration), 240 steps a cycle.

    Matrices are put together here, full; losses are the dashpots that the module describes.
    """
    frame = assemble(scenario)
    w, n = 2 * np.pi * scenario.drive.frequency, frame.n
    k, c, m = (np.zeros((6 * n, 6 * n)) for _ in range(3))
    for i in range(n - 1):
        pair = slice(6 * i, 6 * i + 12)
        k[pair, pair] += frame.segment_stiffness[i]
    c += frame.loss_factor / w * k
    for i in range(n):
        own = slice(6 * i, 6 * i + 6)
        k[own, own] += frame.node_springs[i]
        c[own, own] += frame.node_film[i] * np.sqrt(w) + frame.node_dampers[i]
        m[own, own] += frame.node_mass[i] + frame.node_film[i] / np.sqrt(w)
    hub = hub_motion(scenario)
    way = np.zeros(6)
    way[[0, 3]] = np.real([hub.get("axial", 0), hub.get("twist", 0)])
    h = 2 * np.pi / w / 240
    t = np.arange(int(np.ceil((on + off) / h)) + 1) * h
    # The hub rises, then fades with what it has reached; its carrier runs through.
    size = np.where(
        t < on,
        1 - np.exp(-t / hub_time),
        (1 - np.exp(-on / hub_time)) * np.exp(-(t - on) / hub_time),
    )
    base = (size * np.sin(w * t))[:, None] * way
    speed = np.gradient(base, h, axis=0, edge_order=2)
    held, free = np.arange(6), np.arange(6, 6 * n)
    kf, cf, mf = (a[np.ix_(free, free)] for a in (k, c, m))
    couple_k, couple_c = (a[np.ix_(free, held)] for a in (k, c))
    push = -(base @ couple_k.T + speed @ couple_c.T)
    step = np.linalg.inv(mf + h / 2 * cf + h**2 / 4 * kf)
    u, v = np.zeros(len(free)), np.zeros(len(free))
    a = np.zeros(len(free))
    out = np.zeros((len(t), 3))
    for i in range(1, len(t)):
        guess_u, guess_v = u + h * v + h**2 / 4 * a, v + h / 2 * a
        a = step @ (push[i] - cf @ guess_v - kf @ guess_u)
        u, v = guess_u + h**2 / 4 * a, guess_v + h / 2 * a
        out[i] = u[-6:-3]
    return out


@pytest.mark.parametrize("name", ["straight, axial", "single-bend, torsional"])
def test_a_pulse_is_as_stepping_through_time_gives(name: str) -> None:
    """Modes and steady answers against a solver that knows neither."""
    base = Scenario.preset(name).with_(**{"hub.held": "rigid"})
    scenario = replace(base, spacing=0.25e-3, lens=LensLoad("soft", 1e4, 0.5))
    on, off, hub_time = 0.25e-3, 0.15e-3, 0.05e-3
    p = pulse(scenario.with_(**{"drive.hub_time": hub_time}), on, off)
    stepped = newmark(scenario, on, off, hub_time)[::10][: len(p.instants)]
    count = min(len(stepped), len(p.instants))
    off_by = np.abs(stepped[:count] - p.displacement[:count]).max()
    assert off_by < 0.02 * np.abs(p.displacement).max()
