"""The frame as anyone may use it: radii, extras at nodes, forces, and what it refuses."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from tipsim.motion import Frame, Surroundings
from tipsim.setup.errors import BadInput
from tipsim.setup.material import Material

METAL = Material("metal", 110e9, 0.3, 4430.0)
LENGTH, OUTER = 20e-3, 0.45e-3
AREA = np.pi * OUTER**2
BEND = METAL.young * np.pi / 4 * OUTER**4
LINE = np.outer(np.linspace(0, LENGTH, 41), [1.0, 0, 0])
CURVED = (
    np.stack(
        [
            np.sin(np.linspace(0, 1, 21)),
            1 - np.cos(np.linspace(0, 1, 21)),
            np.linspace(0, 0.2, 21) ** 2,
        ],
        axis=1,
    )
    * 20e-3
)


def rod(**more: Any) -> Frame:
    return Frame(LINE, OUTER, 0.0, METAL, **more)


def test_radii_may_be_one_number_one_per_node_or_one_per_segment() -> None:
    at_nodes = np.linspace(0.5e-3, 0.4e-3, 41)
    one = Frame(LINE, at_nodes, 0.2e-3, METAL)
    two = Frame(LINE, (at_nodes[1:] + at_nodes[:-1]) / 2, np.full(40, 0.2e-3), METAL)
    assert one.section.outer == pytest.approx(two.section.outer, rel=1e-15)
    # A cone beside steps of its mean radii: both are the same tapered rod.
    assert one.modes(6).frequency == pytest.approx(two.modes(6).frequency, rel=1e-3)
    assert (one.n, len(one.s), one.s[-1]) == (41, 41, pytest.approx(LENGTH))


def test_mass_is_all_there_and_turns_about_the_right_axes() -> None:
    """Sum of lumped masses: metal once in length, metal and water sideways, polar inertia."""
    frame = Frame(CURVED, OUTER, 0.2e-3, METAL, around=Surroundings(sideways_mass=0.01))
    length = frame.length.sum()
    metal = METAL.density * np.pi * (OUTER**2 - 0.2e-3**2)
    whole = frame.node_mass.sum(axis=0)
    assert np.trace(whole[:3, :3]) == pytest.approx(length * (3 * metal + 2 * 0.01))
    along = sum(
        (t @ m[:3, :3] @ t)
        for t, m in zip(frame.node_tangent[1:-1], frame.node_mass[1:-1], strict=True)
    )
    assert along == pytest.approx(
        (length - (frame.length[0] + frame.length[-1]) / 2) * metal, rel=0.02
    )
    second = np.pi / 4 * (OUTER**4 - 0.2e-3**4)
    assert np.trace(whole[3:, 3:]) == pytest.approx(length * METAL.density * 4 * second)
    # Where a segment's two halves lie inwards of its ends they cancel: no offset is left in all.
    assert whole[:3, 3:] == pytest.approx(np.zeros((3, 3)), abs=1e-9 * whole[0, 0] * length)


@pytest.mark.parametrize("points", [LINE, CURVED], ids=["straight", "in space"])
def test_rigid_motion_strains_nothing(points: np.ndarray) -> None:
    frame = Frame(points, OUTER, 0.2e-3, METAL)
    for shift, turn in (([1, 2, 3], [0, 0, 0]), ([0, 0, 0], [0.3, -0.2, 0.5])):
        move = np.concatenate(
            [np.asarray(shift) + np.cross(turn, points), np.tile(turn, (len(points), 1))], axis=1
        )
        pairs = np.concatenate([move[:-1], move[1:]], axis=1)
        k = frame.segment_stiffness
        force = np.einsum("mij,mj->mi", k, pairs)
        assert np.abs(force).max() <= 1e-9 * np.abs(k).max() * np.abs(move).max()
        assert k == pytest.approx(np.swapaxes(k, 1, 2))


def test_a_heavy_end_on_a_light_rod_is_a_mass_on_a_spring() -> None:
    mass = 1000 * METAL.density * AREA * LENGTH
    f = rod(masses={-1: mass}, shear=False).modes(1, fixed=[0]).frequency[0]
    assert f == pytest.approx(np.sqrt(3 * BEND / LENGTH**3 / mass) / (2 * np.pi), rel=1e-3)
    # The same as six numbers on the diagonal and as a matrix.
    six = [mass] * 3 + [0] * 3
    for same in (six, np.diag(six)):
        again = rod(masses={-1: same}, shear=False).modes(1, fixed=[0]).frequency[0]
        assert again == pytest.approx(f, rel=1e-9)


def test_a_spring_at_the_end_shares_the_force() -> None:
    beam = 3 * BEND / LENGTH**3
    frame = rod(springs={-1: [0, 2 * beam, 0, 0, 0, 0]}, shear=False, loss_factor=0.0)
    v = frame.respond(1.0, forces={-1: [0, 0.3, 0, 0, 0, 0]})
    assert v.displacement[-1, 1] == pytest.approx(0.1 / beam, rel=1e-4)


def test_a_damper_takes_half_of_c_times_speed_squared() -> None:
    frame = rod(dampers={20: [0, 0, 5.0, 0, 0, 0]}, loss_factor=0.0)
    v = frame.respond(900.0, forces={-1: [0, 0, 1, 0, 0, 0]})
    speed = abs(v.velocity[20, 2])
    assert v.lost_in_dampers[20] == pytest.approx(0.5 * 5.0 * speed**2)
    assert v.power_in == pytest.approx(v.lost_in_dampers.sum(), rel=1e-6)


def test_the_loss_factor_is_energy_lost_in_a_cycle_over_two_pi_times_its_peak() -> None:
    """Far below resonance: mean power is w eta / 2 times k u², k the static stiffness."""
    frame = rod(loss_factor=0.02, shear=False)
    v = frame.respond(50.0, forces={-1: [0, 1, 0, 0, 0, 0]})
    k, u, w = 3 * BEND / LENGTH**3, abs(v.displacement[-1, 1]), 2 * np.pi * 50
    assert v.lost_in_segments.sum() == pytest.approx(w * 0.02 / 2 * k * u**2, rel=5e-3)
    assert rod().loss_factor == METAL.loss_factor


@pytest.mark.parametrize("eta", [0.002, 0.01])
def test_a_resonance_is_as_high_and_as_wide_as_its_loss_factor_says(eta: float) -> None:
    """Q = 1 / eta: peak over half-power width, and peak over the modal static share."""
    frame = rod(loss_factor=eta)
    f0 = frame.modes(1, fixed=[0]).frequency[0]
    f = f0 * (1 + eta * np.linspace(-1, 1, 201))
    strokes = np.array(
        [abs(frame.respond(x, forces={-1: [0, 1, 0, 0, 0, 0]}).displacement[-1, 1]) for x in f]
    )
    peak = int(np.argmax(strokes))
    assert f[peak] == pytest.approx(f0, rel=eta / 50)
    wide = f[strokes >= strokes[peak] / 2**0.5]
    assert (wide[-1] - wide[0]) / f0 == pytest.approx(eta, rel=0.03)


def test_modes_have_unit_mass_and_do_not_mix() -> None:
    frame = Frame(CURVED, OUTER, 0.2e-3, METAL)
    shape = frame.modes(8, fixed=[0]).shape
    products = np.einsum("anf,nfg,bng->ab", shape, frame.node_mass, shape)
    assert products == pytest.approx(np.eye(8), abs=1e-7)
    assert (shape[:, 0] == 0).all()


def test_modes_come_lowest_first_and_one_by_one() -> None:
    modes = rod().modes(5)
    assert (np.diff(modes.frequency) >= -1e-6).all()
    pairs = list(modes)
    assert [f for f, _ in pairs] == modes.frequency.tolist()
    assert all(s.shape == (41, 6) for _, s in pairs)


def test_base_motion_in_space_axes_and_along_the_tangent() -> None:
    turned = Frame(LINE @ np.array([[0, 1, 0], [-1, 0, 0], [0, 0, 1.0]]), OUTER, 0.0, METAL)
    one = turned.respond(32e3, base={"axial": 1e-6, "twist": 0.01j}).displacement
    two = turned.respond(32e3, base={"y": 1e-6, "ry": 0.01j}).displacement
    assert one == pytest.approx(two, rel=1e-12)
    assert one[0] == pytest.approx([0, 1e-6, 0, 0, 0.01j, 0])


def test_other_fixed_nodes_stand_still_and_hold_on() -> None:
    v = rod().respond(5e3, base={"z": 1e-6}, fixed=[0, 40])
    assert (v.displacement[40] == 0).all()
    assert abs(v.reaction[40, 2]) > 0
    assert np.abs(v.reaction[1:40]).max() == 0
    last_first = rod().respond(5e3, base={"z": 1e-6}, fixed=[-1, 0])
    assert last_first.displacement[::-1, 2] == pytest.approx(v.displacement[:, 2], rel=1e-9)


def test_forces_may_act_at_several_nodes_at_once() -> None:
    forces = {10: [0, 1, 0, 0, 0, 0], -1: [0, 0, 0, 1e-3j, 0, 0]}
    both = rod().respond(8e3, forces=forces)
    alone = [rod().respond(8e3, forces={n: f}).displacement for n, f in forces.items()]
    assert both.displacement == pytest.approx(alone[0] + alone[1], rel=1e-9)
    assert both.reaction[10, 1] == 1 and both.reaction[40, 3] == 1e-3j


def test_a_free_body_may_be_pushed() -> None:
    """Far below its first mode it moves as one: force over mass over w²."""
    v = rod().respond(20.0, forces={20: [1, 0, 0, 0, 0, 0]}, fixed=[])
    mass = METAL.density * AREA * LENGTH
    assert v.displacement[:, 0] == pytest.approx(
        np.full(41, -1 / (mass * (2 * np.pi * 20) ** 2)), rel=1e-4
    )


def test_one_segment_is_enough() -> None:
    v = Frame(LINE[:2], OUTER, 0.0, METAL).respond(1.0, forces={1: [1, 0, 0, 0, 0, 0]})
    step = LENGTH / 40
    assert v.displacement[1, 0].real == pytest.approx(step / (METAL.young * AREA), rel=1e-6)


def test_it_says_what_it_is() -> None:
    assert repr(rod()) == "Frame(41 nodes, 20.00 mm, metal)"


REFUSED: dict[str, tuple[Callable[[], Any], str]] = {
    "one node": (
        lambda: Frame(LINE[:1], OUTER, 0, METAL),
        "points is shape (1, 3); allowed: (n, 3)",
    ),
    "flat nodes": (lambda: Frame(LINE[:, :2], OUTER, 0, METAL), "points is shape (41, 2)"),
    "a node that is no number": (
        lambda: Frame([[0, 0, 0], [np.nan, 0, 0]], OUTER, 0, METAL),
        "points is shape (2, 3); allowed: (n, 3) finite",
    ),
    "the same node twice": (
        lambda: Frame([[0, 0, 0], [1, 0, 0], [1, 0, 0]], OUTER, 0, METAL),
        "points is node 2; allowed: a place other than the node before it.",
    ),
    "radii of another number": (
        lambda: Frame(LINE, np.full(39, OUTER), 0, METAL),
        "outer_radius is shape (39,); allowed: one number, 41 at nodes or 40 for segments.",
    ),
    "no wall": (
        lambda: Frame(LINE, OUTER, OUTER, METAL),
        "outer_radius is 0.00045 m around a bore of 0.00045 m in segment 0",
    ),
    "a bore less than nothing": (lambda: Frame(LINE, OUTER, -1e-6, METAL), "outer_radius is "),
    "a radius that is no number": (lambda: Frame(LINE, np.nan, 0, METAL), "outer_radius is nan"),
    "a mass where no node is": (
        lambda: rod(masses={41: 1.0}),
        "masses is node 41; allowed: a node from 0 to 40.",
    ),
    "a spring of five numbers": (
        lambda: rod(springs={1: [1, 2, 3, 4, 5]}),
        "springs is shape (5,); allowed: one number, six numbers or a 6 x 6 matrix.",
    ),
    "no frequency": (lambda: rod().respond(0.0), "frequency is 0 Hz; allowed: a number above 0."),
    "frequency NaN": (lambda: rod().respond(np.nan), "frequency is nan Hz"),
    "base motion of a free body": (
        lambda: rod().respond(1e3, base={"x": 1}, fixed=[]),
        "base is imposed motion of a free body; allowed: at least one fixed node.",
    ),
    "an unknown way to move": (
        lambda: rod().respond(1e3, base={"twists": 1}),
        'base is twists; allowed: one of axial, twist, x, y, z, rx, ry, rz (nearest: "twist").',
    ),
    "a force where no node is": (
        lambda: rod().respond(1e3, forces={41: np.zeros(6)}),
        "forces is node 41, shape (6,); allowed: six numbers at a node 0 to 40.",
    ),
    "a force of three numbers": (
        lambda: rod().respond(1e3, forces={1: np.zeros(3)}),
        "forces is node 1, shape (3,)",
    ),
    "a clamp where no node is": (
        lambda: rod().respond(1e3, base={"x": 1}, fixed=[41]),
        "fixed is [41]; allowed: nodes from 0 to 40.",
    ),
    "a sweep from where no node is": (
        lambda: rod().sweep([1e3], {"x": 1}, fixed=[41]),
        "fixed is [41]; allowed: nodes from 0 to 40.",
    ),
    "a sweep through 0 Hz": (
        lambda: rod().sweep([1e3, 0.0], {"x": 1}),
        "frequencies is lowest 0 Hz; allowed: numbers above 0.",
    ),
    "a sweep of nothing": (lambda: rod().sweep([], {"x": 1}), "frequencies is lowest inf Hz"),
    "no mode": (lambda: rod().modes(0), "count is 0; allowed: a whole number from 1 to 80."),
    "too many modes": (
        lambda: rod().modes(81),
        "count is 81; allowed: a whole number from 1 to 80",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_makes_no_frame_is_refused(case: str) -> None:
    act, sentence = REFUSED[case]
    with pytest.raises(BadInput) as caught:
        act()
    assert str(caught.value).startswith(sentence)
