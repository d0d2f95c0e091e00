"""A needle's motion taken apart, and the power on its way, against closed forms.

Sources
[1] S. P. Timoshenko and J. M. Gere, Mechanics of Materials: a right-angled bracket, legs a and b,
    clamped, under a force F across its plane at the end: F a³/3EI and F b³/3EI by bending of the
    legs, F a b²/GJ by twist of the first (from memory).
[2] A rigid body turned by a small angle about its axis: each point moves by angle times distance
    from the axis.
[3] A rod with hysteretic loss, clamped at one end: the power that passes a place feeds the loss
    beyond it, half of omega eta times twice the strain energy there; strain of the free end's
    standing wave from E u'' = -rho omega² u.
"""

import numpy as np
import pytest

import tipsim
from tipsim.motion.assembly import assemble
from tipsim.motion.leaving import WAYS, leaving
from tipsim.motion.lumped import Lumped
from tipsim.motion.parts import NAMES, take_apart
from tipsim.motion.powerflow import power_flow
from tipsim.motion.run import run
from tipsim.motion.steady import respond
from tipsim.setup.material import Material

METAL = Material(name="metal", young=113.8e9, poisson=0.342, density=4430.0)
PAIR = ("single-bend, torsional", "counter-bent, torsional", "single-bend, elliptical")


@pytest.mark.parametrize(("a", "b"), [(20e-3, 6e-3), (12e-3, 12e-3)])
def test_a_bracket_under_a_force_across_its_plane(a, b):
    n = 40
    first = np.outer(np.linspace(0, a, n + 1), [1, 0, 0])
    second = first[-1] + np.outer(np.linspace(0, b, n + 1)[1:], [0, 1, 0])
    radius, force = 0.2e-3, 0.01
    frame = Lumped(np.vstack([first, second]), radius, 0.0, METAL, shear=False, loss_factor=0.0)
    # So slowly that it is at rest.
    parts = take_apart(respond(frame, 0.1, forces={-1: [0, 0, force, 0, 0, 0]}))
    inertia = np.pi / 4 * radius**4
    bending = force * (a**3 + b**3) / (3 * METAL.young * inertia)
    twist = force * a * b**2 / (METAL.young / (2 * (1 + METAL.poisson)) * 2 * inertia)
    assert parts.bending[-1, 2].real == pytest.approx(bending, rel=1e-4)
    assert parts.twist[-1, 2].real == pytest.approx(twist, rel=1e-4)
    assert abs(parts.rigid).max() == 0


@pytest.mark.parametrize("name", PAIR)
def test_parts_add_up_to_the_motion(name):
    vibration = run(tipsim.preset(name)).vibration
    parts = take_apart(vibration)
    whole = vibration.displacement[:, :3]
    assert np.abs(parts.total - whole).max() <= 1e-12 * np.abs(whole).max()
    assert sum(parts.shares()[part][-1] for part in NAMES) == pytest.approx(1, abs=1e-12)


@pytest.mark.parametrize("name", ["single-bend", "counter-bent"])
def test_a_rigid_needle_turns_about_its_axis(name):
    frame = assemble(tipsim.preset(f"{name}, torsional"))
    frame.node_springs[:] = 0
    turn = 0.025
    stiff = Lumped(frame.points, frame.section.outer, frame.section.inner, METAL)
    parts = take_apart(respond(stiff, 32e3, base={"twist": turn}))
    from_axis = np.hypot(frame.points[:, 1], frame.points[:, 2])
    assert parts.rigid_stroke == pytest.approx(2 * turn * from_axis, rel=1e-12, abs=1e-18)


@pytest.mark.parametrize("name", PAIR)
def test_power_is_kept_from_place_to_place(name):
    motion = run(tipsim.preset(name).with_(press=None))
    flow = power_flow(motion.vibration)
    scale = flow.at_hub
    assert flow.at_hub == pytest.approx(motion.power, rel=1e-12)
    assert np.abs(flow.after[:-1] - flow.before[1:] - flow.metal).max() < 1e-9 * scale
    assert np.abs(flow.before - flow.after - flow.film - flow.load).max() < 1e-9 * scale
    assert flow.passing(0.5 * flow.s[1]) == pytest.approx(flow.after[0] - flow.metal[0] / 2)


def test_power_along_a_rod_feeds_the_loss_beyond():
    length, hertz, loss, stroke = 20e-3, 30e3, 1e-3, 10e-6
    n = 400
    points = np.outer(np.linspace(0, length, n + 1), [1, 0, 0])
    rod = Lumped(points, 0.45e-3, 0.0, METAL, loss_factor=loss)
    flow = power_flow(respond(rod, hertz, base={"axial": stroke}))
    k = 2 * np.pi * hertz * np.sqrt(METAL.density / METAL.young)
    area = np.pi * 0.45e-3**2

    # u = stroke cos(k (L - x)) / cos(k L); the loss beyond x is an integral of sin².
    def beyond(x: float) -> float:
        left = length - x
        strain = (stroke * k / np.cos(k * length)) ** 2
        return (
            np.pi
            * hertz
            * loss
            * METAL.young
            * area
            * strain
            * (left / 2 - np.sin(2 * k * left) / (4 * k))
        )

    for x in (0.0, 5e-3, 12e-3):
        assert flow.passing(x) == pytest.approx(beyond(x), rel=2e-3)


@pytest.mark.parametrize(("name", "way"), [("torsional", "turning"), ("axial", "lengthwise")])
def test_a_straight_needle_carries_only_what_the_hub_does(name, way):
    """[2]: no bend, so no part of the motion makes another."""
    flow = run(tipsim.preset(f"straight, {name}")).power_flow
    assert getattr(flow, way) == pytest.approx(flow.after[:-1], rel=1e-9)
    assert np.abs(flow.bending).max() < 1e-9 * flow.at_hub


@pytest.mark.parametrize("name", [*PAIR, "counter-bent, axial"])
def test_what_leaves_between_two_places_is_the_difference_of_what_passes(name):
    """Energy is kept: all ways out of a stretch, worked out apart, against forces times speeds."""
    scenario = tipsim.preset(name)
    motion = run(scenario)
    flow, length = motion.power_flow, scenario.needle.length
    # Borders of what the nodes stand for, so that no node is cut in two.
    borders = np.concatenate([[0.0], (flow.s[1:] + flow.s[:-1]) / 2, [length]])[[0, 3, 20, 55, -1]]
    ways = leaving(scenario, motion, borders)
    assert set(ways) == set(WAYS)
    lost = sum(ways.values())
    passes = [flow.at_hub, *map(flow.passing, borders[1:-1]), 0.0]
    assert lost == pytest.approx(-np.diff(passes), abs=1e-9 * flow.at_hub)
