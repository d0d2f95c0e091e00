"""Character of a motion, places that stand still, the mouth's rim."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from scipy.optimize import brentq

from tipsim.motion import Frame
from tipsim.motion.character import characterise, edge_stroke, still_points, surface_stroke
from tipsim.motion.response import response
from tipsim.motion.steady import Vibration
from tipsim.motion.travel import stroke
from tipsim.setup.material import Material
from tipsim.setup.presets import presets
from tipsim.setup.scenario import Scenario
from tipsim.solve import solve

METAL = Material("metal", 113.8e9, 0.3, 4430.0)
LENGTH = 20e-3
ROD = Frame(
    np.outer(np.linspace(0, LENGTH, 81), [1.0, 0, 0]), 20e-6, 0.0, METAL, shear=False, rotary=False
)


def moving(displacement: np.ndarray, frame: Frame = ROD) -> Vibration:
    u = np.asarray(displacement, dtype=complex)
    return Vibration(frame, 32e3, u, np.zeros_like(u))


BETA_L = (1.8751041, 4.6940911, 7.8547574, 10.9955407)  # Thomson, appendix D.


def zeros_of_a_cantilever_mode(mode: int) -> list[float]:
    """Where cosh - cos - sigma (sinh - sin) vanishes, over the length; 0.783 for the second."""
    b = BETA_L[mode - 1]
    sigma = (np.cosh(b) + np.cos(b)) / (np.sinh(b) + np.sin(b))

    def w(x: float) -> float:
        return float(np.cosh(b * x) - np.cos(b * x) - sigma * (np.sinh(b * x) - np.sin(b * x)))

    grid = np.linspace(0.05, 1, 96)
    return [brentq(w, a, c) for a, c in pairwise(grid) if w(a) * w(c) < 0]


@pytest.mark.parametrize("mode", [2, 3, 4])
def test_nodes_of_a_known_mode(mode: int) -> None:
    _, shape = ROD.modes(2 * mode, fixed=[0]).pairs
    theirs = [LENGTH * (1 - x) for x in reversed(zeros_of_a_cantilever_mode(mode))]
    assert len(theirs) == mode - 1
    assert still_points(moving(shape[2 * mode - 2])) == pytest.approx(theirs, abs=5e-4 * LENGTH)


def test_the_first_mode_has_no_node_but_the_clamp() -> None:
    _, shape = ROD.modes(2, fixed=[0]).pairs
    assert still_points(moving(shape[0])) == ()


def test_a_node_between_two_grid_points_is_found() -> None:
    u = np.zeros((81, 6))
    u[:, 2] = ROD.s - 0.73125 * LENGTH  # Between the 58th and the 59th node.
    assert still_points(moving(u)) == pytest.approx([0.26875 * LENGTH], abs=1e-6)
    # A low point that does not come near standing still does not count.
    u[:, 1] = 0.3 * LENGTH
    assert still_points(moving(u)) == ()


def test_the_first_twentieth_of_the_length_belongs_to_the_hub() -> None:
    u = np.zeros((81, 6))
    for place, expected in ((0.03, []), (0.07, [0.93 * LENGTH])):
        u[:, 2] = ROD.s - place * LENGTH
        assert still_points(moving(u)) == pytest.approx(expected, abs=1e-6)


def test_still_points_lie_where_the_motion_changes_sign() -> None:
    """A torsional single bend moves in and out of its plane alone, so signs tell where."""
    m = solve(Scenario.preset("single-bend, torsional")).motion
    aside, s = m.displacement[:, 2], m.frame.s
    moved = (aside / aside[-1]).real
    i = np.flatnonzero(moved[1:-1] * moved[2:] < 0) + 1
    zero = s[i] - moved[i] * (s[i + 1] - s[i]) / (moved[i + 1] - moved[i])
    assert len(zero) == 2
    assert m.still_points == pytest.approx(sorted(s[-1] - zero), abs=0.01e-3)


def test_motion_along_the_needle_has_no_nodes() -> None:
    u = np.zeros((81, 6))
    u[:, 0] = np.sin(ROD.s / LENGTH * 3)
    assert still_points(moving(u)) == ()
    assert still_points(moving(np.zeros((81, 6)))) == ()


def test_shares_of_a_motion_that_stays_on_one_side() -> None:
    bend = 12e-3
    u = np.zeros((81, 6))
    u[ROD.s > bend + 1e-9, 2] = 1e-6
    c = characterise(moving(u), 5e-3, bend)
    assert (c.shaft_stroke, c.shaft_rms) == (0, 0)
    assert c.whip_share == pytest.approx(1.0)
    v = np.zeros((81, 6))
    v[ROD.s <= bend + 1e-9, 2] = 3e-6
    c = characterise(moving(v), 5e-3, bend)
    assert c.shaft_stroke == pytest.approx(6e-6)
    # A sine of amplitude 3: its rms over time is 3 over the root of 2.
    assert c.shaft_rms == pytest.approx(3e-6 / 2**0.5)
    # 48 segments move; over the next the motion falls as a cubic, whose mean square is 13/35.
    assert c.pendular_share == pytest.approx(48 / (48 + 13 / 35), rel=1e-3)


def test_shares_weigh_with_metal_and_water() -> None:
    """Half of the length ten times as heavy: ten elevenths of the energy of an even motion."""
    around = np.zeros(80)
    metal = METAL.density * np.pi * 20e-6**2
    around[40:] = 9 * metal
    heavy = Frame(ROD.points, 20e-6, 0.0, METAL, around=replace(ROD.around, sideways_mass=around))
    u = np.zeros((81, 6))
    u[:, 1] = 1e-6
    c = characterise(moving(u, heavy), 0.0, LENGTH / 2)
    assert c.whip_share == pytest.approx(10 / 11, rel=1e-9)


@pytest.mark.parametrize("name", presets())
def test_shares_sum_to_one_or_are_none(name: str) -> None:
    c = solve(Scenario.preset(name)).motion.character
    if name.startswith("straight"):
        assert c.pendular_share is None and c.whip_share is None
        assert c.shaft_stroke == 0 and c.shaft_rms == 0
    else:
        assert c.pendular_share is not None and c.whip_share is not None
        assert c.pendular_share + c.whip_share == pytest.approx(1, abs=1e-12)
        assert 0 < c.pendular_share < 1
        assert c.shaft_rms * 2 * 2**0.5 <= c.shaft_stroke


def test_a_needle_bent_from_the_hub_on_has_finite_numbers() -> None:
    base = Scenario.preset("single-bend, torsional")
    pieces = (replace(base.needle.pieces[0], turn=0.3), *base.needle.pieces[2:])
    needle = replace(base.needle, pieces=pieces, taper_length=0.0)
    c = solve(replace(base, needle=needle).with_(**{"hub.held": "rigid"})).motion.character
    assert (c.shaft_stroke, c.shaft_rms) == (0, 0)
    assert c.whip_share == pytest.approx(1)


def test_a_first_bend_inside_the_taper_leaves_the_stretch_up_to_it_as_shaft() -> None:
    """Bend at 4 mm, taper to 5 mm: the shaft is 0 to 4 mm, in run, curve and plain data alike."""
    base = Scenario.preset("single-bend, torsional")
    first, *others = base.needle.pieces
    pieces = (replace(first, length=4e-3), *others, replace(first, length=10.4e-3))
    scenario = replace(base, needle=replace(base.needle, taper_length=5e-3, pieces=pieces))
    result = solve(scenario)
    m = result.motion
    # Straight along x up to the bend, so sideways is y and z; trapezoids between the nodes.
    x, u = m.frame.points[:, 0], m.displacement
    last = int(np.argmin(np.abs(x - 4e-3)))
    square = np.abs(u[: last + 1, 1]) ** 2 + np.abs(u[: last + 1, 2]) ** 2
    steps = x[1 : last + 1] - x[:last]
    rms = np.sqrt(sum((square[1:] + square[:-1]) / 2 * steps) / 4e-3 / 2)
    assert rms > 0.5e-6
    assert m.character.shaft_rms == pytest.approx(rms, rel=1e-9)
    curve = response(scenario, np.array([scenario.drive.frequency]))
    assert curve.shaft[0] == pytest.approx(rms, rel=1e-6)
    # The hub turns most of the surface: its twist at its own radius.
    turning = 2 * abs(u[0, 3]) * scenario.needle.hub_radius
    plain = result.to_dict()["motion"]
    assert plain["shaft_sideways_um_rms"] == pytest.approx(rms * 1e6, rel=1e-5)
    assert plain["shaft_surface_turning_um_pp"] == pytest.approx(turning * 1e6, rel=1e-5)


def test_a_shaft_that_swings_evenly_more_from_the_hub_on() -> None:
    """Motion a s from 5 to 12 mm: mean square a² (12³ - 5³) / 3 (12 - 5), half of it over time."""
    u = np.zeros((81, 6))
    u[:, 2] = 1e-3 * ROD.s
    shaft = characterise(moving(u), 5e-3, 12e-3)
    assert shaft.shaft_rms == pytest.approx(1e-6 * ((12**3 - 5**3) / 21 / 2) ** 0.5, rel=1e-3)
    assert shaft.shaft_stroke == pytest.approx(2 * 12e-6)
    # A segment is shaft when both of its nodes are: turning of the hub and beyond does not count.
    u[:, 3] = np.where((ROD.s > 4.9e-3) & (ROD.s < 12.1e-3), 0.01, 0.5)
    assert characterise(moving(u), 5e-3, 12e-3).shaft_turning == pytest.approx(2 * 0.01 * 20e-6)


def test_surface_travel_is_angle_times_radius() -> None:
    u = np.zeros((81, 6), dtype=complex)
    u[:, 3] = 0.05j  # Half of the twist, peak to peak, about the needle's own axis.
    u[:, 4] = 1.0  # And turning across it, which moves no surface round.
    assert surface_stroke(moving(u)) == pytest.approx(np.full(80, 2 * 0.05 * 20e-6))


@pytest.mark.parametrize("bevel", [0.0, np.radians(30), np.radians(45)])
def test_the_rim_s_stroke_against_trying_many_points(bevel: float) -> None:
    """The rim is where the mouth's plane, tilted in the bend plane, cuts the tube."""
    rng = np.random.default_rng(7)
    line = np.array([[0, 0, 0], [8, 0, 0], [10, 1.1, 0]]) * 1e-3
    frame = Frame(line, 0.45e-3, 0.3e-3, METAL)
    u = np.zeros((3, 6), dtype=complex)
    u[2, :3] = 1e-6 * (rng.normal(size=3) + 1j * rng.normal(size=3))
    u[2, 3:] = 3e-3 * (rng.normal(size=3) + 1j * rng.normal(size=3))
    v = moving(u, frame)
    t = frame.tangent[-1]
    best = 0.0
    for angle in np.linspace(0, 2 * np.pi, 3600):
        aside, up = np.array([-t[1], t[0], 0]), np.array([0.0, 0, 1])
        arm = 0.45e-3 * (np.cos(angle) * aside + np.sin(angle) * up)
        # The cut leans so that its plane turns about the z axis: further out on one side.
        arm = arm + (arm @ aside) * np.tan(bevel) * t
        best = max(best, float(stroke(u[2, :3] + np.cross(u[2, 3:], arm))))
    assert edge_stroke(v, 0.45e-3, bevel) == pytest.approx(best, rel=2e-3)


def test_twist_alone_moves_the_rim_by_angle_times_diameter() -> None:
    u = np.zeros((81, 6))
    u[-1, 3] = 0.02
    assert edge_stroke(moving(u), 0.45e-3, 0.0) == pytest.approx(2 * 0.02 * 0.45e-3, rel=1e-12)
