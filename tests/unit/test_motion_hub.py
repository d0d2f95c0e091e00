"""A hub on springs: every way of solving says the same, and a stiff one ends in a rigid hub."""

from dataclasses import replace

import numpy as np
import pytest

from tipsim.motion import Frame, buildup, camera
from tipsim.motion.assembly import assemble
from tipsim.motion.hub import HubSprings
from tipsim.motion.nearby import near_modes
from tipsim.motion.response import natural_modes, response
from tipsim.motion.run import hub_motion, run
from tipsim.motion.sensitivity import sensitivity
from tipsim.setup.hub import Hub
from tipsim.setup.load import LensLoad, Support
from tipsim.setup.material import Material
from tipsim.setup.scenario import Scenario

RIGID = Hub("rigid")
SPRINGS = Hub("springs", 300.0, 12e6)
NAMES = [f"{s}, {d}" for s in ("single-bend", "counter-bent") for d in ("torsional", "elliptical")]


def on(name: str, hub: Hub) -> Scenario:
    return replace(Scenario.preset(name), hub=hub)


def off(one: np.ndarray, other: np.ndarray) -> float:
    return float(np.abs(one - other).max() / np.abs(other).max())


@pytest.mark.parametrize("name", NAMES)
def test_ever_stiffer_springs_end_in_the_rigid_hub(name: str) -> None:
    rigid = run(on(name, RIGID))
    stiff = run(on(name, Hub("springs", 1e6, 1e11))).vibration
    stiffer = assemble(on(name, RIGID))
    stiffer.hub = HubSprings(1e18, 1e12)
    limit = stiffer.respond(rigid.frequency, base=hub_motion(on(name, RIGID)))
    assert off(limit.displacement, rigid.displacement) < 1e-9
    assert off(limit.reaction, rigid.vibration.reaction) < 1e-9
    # What is left falls in proportion to the give: a millionth of it here.
    assert 1e-9 < off(stiff.displacement, rigid.displacement) < 1e-3


@pytest.mark.parametrize("name", NAMES)
def test_the_hub_s_own_equilibrium(name: str) -> None:
    """Worked out here: the hub goes where its springs carry what the needle asks of it."""
    motion = run(on(name, SPRINGS))
    u, r = motion.displacement[0], motion.vibration.reaction[0]
    # The needle leaves along x; force of the springs on the needle is stiffness times -motion.
    for across in ([1, 2], [4, 5]):
        stiffness = SPRINGS.side_stiffness if across[0] < 3 else SPRINGS.tilt_stiffness
        assert off(r[across], -stiffness * u[across]) < 1e-9
    given = hub_motion(on(name, SPRINGS))
    assert u[[0, 3]] == pytest.approx([given.get(k, 0) for k in ("axial", "twist")], rel=1e-12)
    # Springs without loss take no power.
    assert motion.power == pytest.approx(motion.vibration.power_lost, rel=1e-9)
    side, tilt = motion.hub_side_force, motion.hub_moment
    assert motion.hub_shift == pytest.approx(2 * side / SPRINGS.side_stiffness)
    assert motion.hub_tilt == pytest.approx(2 * tilt / SPRINGS.tilt_stiffness)


@pytest.mark.parametrize("name", NAMES)
def test_springs_as_a_needle_s_own_springs_at_a_node(name: str) -> None:
    """The same needle with plain springs at its hub, driven by the forces that were found."""
    frame = assemble(on(name, SPRINGS))
    motion = run(on(name, SPRINGS))
    side, tilt = SPRINGS.side_stiffness, SPRINGS.tilt_stiffness
    at_hub = np.zeros((frame.n, 6, 6))
    at_hub[0] = np.diag([0, side, side, 0, tilt, tilt])
    plain = frame.loaded(at_hub, 0 * at_hub)
    plain.hub = None
    push = np.zeros(6, dtype=complex)
    push[[0, 3]] = motion.vibration.reaction[0, [0, 3]]
    free = plain.respond(motion.frequency, forces={0: push}, fixed=())
    assert off(free.displacement, motion.displacement) < 1e-6


@pytest.mark.parametrize("name", NAMES)
def test_sweep_and_one_frequency_agree(name: str) -> None:
    scenario = on(name, SPRINGS)
    frame, base = assemble(scenario), hub_motion(scenario)
    hertz = np.array([20e3, 32e3, 33.3e3, 45e3])
    swept = frame.sweep(hertz, base)
    for i, f in enumerate(hertz.tolist()):
        one = frame.respond(f, base=base)
        assert off(swept.displacement[i], one.displacement) < 1e-9
        assert off(swept.reaction[i], one.reaction[0]) < 1e-9
    drive = scenario.drive.frequency
    curve = response(scenario, np.array([drive]))
    assert curve.end[0] == pytest.approx(run(scenario).end_stroke, rel=1e-9)


def test_a_frame_in_space_is_solved_with_the_same_springs() -> None:
    """Turned along no axis it has one system of six freedoms, and moves alike."""
    name = "counter-bent, elliptical"
    flat = assemble(on(name, SPRINGS))
    turn = np.linalg.qr(np.arange(9.0).reshape(3, 3) ** 2 + np.eye(3))[0]
    turn *= np.sign(np.linalg.det(turn))
    needle = on(name, SPRINGS).needle
    turned = Frame(
        flat.points @ turn.T,
        *needle.radii_at(flat.s),
        flat.material,
        directions=needle.tangents_at(flat.s) @ turn.T,
        softness=flat.softness,
        loss_factor=flat.loss_factor,
        around=flat.around,
        hub=flat.hub,
    )
    base = hub_motion(on(name, SPRINGS))
    here, there = flat.respond(32e3, base=base), turned.respond(32e3, base=base)
    for part in (slice(0, 3), slice(3, 6)):
        assert off(there.displacement[:, part] @ turn, here.displacement[:, part]) < 1e-6
    swept = turned.sweep([32e3], base)
    assert off(swept.displacement[0], there.displacement) < 1e-9
    assert turned.modes(6).frequency == pytest.approx(flat.modes(6).frequency, rel=1e-6)


def test_modes_lie_where_the_response_peaks() -> None:
    """Without loss, the dynamic stiffness of needle and springs together is singular there."""
    scenario = on("single-bend, torsional", SPRINGS)
    found = natural_modes(scenario)
    rigid = natural_modes(on("single-bend, torsional", RIGID))
    lowest = min(len(found.frequency), len(rigid.frequency))
    assert (found.frequency[:lowest] < rigid.frequency[:lowest]).all()
    frame = assemble(scenario)
    for f, shape in zip(found.frequency[:6], found.shape[:6], strict=True):
        # Rayleigh: twice the strain energy over that of motion, the hub's springs counted here.
        ends = np.concatenate([shape[:-1], shape[1:]], axis=1)
        strain = np.einsum("mi,mij,mj->", ends, frame.segment_stiffness, ends)
        hub = SPRINGS.side_stiffness * (shape[0, 1:3] ** 2).sum()
        hub += SPRINGS.tilt_stiffness * (shape[0, 4:6] ** 2).sum()
        moving = np.einsum("ni,nij,nj->", shape, frame.node_mass, shape)
        assert np.sqrt((strain + hub) / moving) / (2 * np.pi) == pytest.approx(f, rel=1e-6)
        assert shape[0, 0] == shape[0, 3] == 0
    assert near_modes(scenario, 10e3) != near_modes(on("single-bend, torsional", RIGID), 10e3)


@pytest.mark.parametrize("name", NAMES)
def test_a_pulse_settles_at_the_steady_motion(name: str) -> None:
    scenario = on(name, SPRINGS)
    one = buildup.pulse(scenario, 8e-3, 1e-3)
    assert one.steady == pytest.approx(run(scenario).end_stroke, rel=1e-6)
    assert one.end[one.time < 7.9e-3][-1] == pytest.approx(one.steady, rel=0.01)


def test_sensitivity_load_and_camera_see_the_springs() -> None:
    soft, rigid = (on("single-bend, torsional", h) for h in (SPRINGS, RIGID))
    up = replace(soft, drive=replace(soft.drive, frequency=1.01 * soft.drive.frequency))
    effect = next(e for e in sensitivity(soft).effects if e.what == "frequency")
    assert effect.end[1] == pytest.approx(run(up).end_stroke / run(soft).end_stroke - 1, rel=1e-9)
    pressed = replace(soft, support=Support(6e-3), lens=LensLoad("medium", 100e3, 1.0))
    free = run(pressed).free
    assert free is not None and off(free.displacement, run(soft).displacement) < 1e-9
    for scenario in (soft, rigid):
        motion = run(scenario)
        seen = camera.preview(camera.take(motion, scenario.needle, camera.Camera()))
        assert seen.readings[0].true == pytest.approx(motion.end_stroke, rel=1e-9)
    assert run(soft).end_stroke > 1.02 * run(rigid).end_stroke


def test_a_spring_in_the_base_of_one_mass() -> None:
    """By hand, far below resonance: a rod's weight against the hub's springs in series."""
    metal = Material(name="rod", young=500e9, poisson=0.3, density=4430.0)
    points = np.outer(np.linspace(0, 10e-3, 41), [1.0, 0, 0])
    rod = Frame(points, 2e-3, 0.0, metal, loss_factor=0.0, hub=HubSprings(2e4, 1e9))
    mass = metal.density * np.pi * 4e-6 * 10e-3
    w = 0.5 * np.sqrt(2e4 / mass)
    moved = rod.respond(w / (2 * np.pi), base={"y": 1e-6}).displacement
    # One mass on one spring, its ground moved by y: y / (1 - w² m / k), here 4/3.
    assert moved[:, 1].real == pytest.approx(4 / 3 * 1e-6, rel=2e-3)
