"""What must hold for any vibrating frame, whatever its shape."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from tests.property.benches import benches, between, pressed, with_drive
from tipsim.motion import Frame, Surroundings
from tipsim.motion.assembly import assemble, coverage, water_around
from tipsim.motion.run import hub_motion, run
from tipsim.setup.hub import Hub
from tipsim.setup.scenario import Scenario

MIRROR = np.array([1.0, -1.0, 1.0])
"""Across the plane y = 0: displacements take these signs, rotations the opposite ones."""


ROUNDING = 1e-6
"""Bending stiffness goes with the fourth power of the step: at 100 nodes it takes up half of a
float's sixteen digits."""


def close(ours: np.ndarray, theirs: np.ndarray, rel: float) -> None:
    """Alike, measured on the largest motion; a rotation counts by what it moves 1 mm away."""
    weigh = np.array([1, 1, 1, 1e-3, 1e-3, 1e-3])
    assert np.abs((ours - theirs) * weigh).max() <= rel * np.abs(theirs * weigh).max()


def fluid_frame(scenario: Scenario, turned: Rotation | None = None, **more: object) -> Frame:
    """The frame of a needle, perhaps turned in space, with extras at nodes."""
    flat = assemble(scenario)
    points = flat.points if turned is None else turned.apply(flat.points)
    return Frame(
        points,
        flat.section.outer,
        flat.section.inner,
        flat.material,
        loss_factor=flat.loss_factor,
        around=flat.around,
        **more,  # type: ignore[arg-type]
    )


@given(benches(), st.data())
@settings(max_examples=40)
def test_force_here_motion_there_is_motion_here_force_there(
    scenario: Scenario, data: st.DataObject
) -> None:
    damped = data.draw(st.integers(1, 20))
    frame = fluid_frame(scenario, dampers={damped: 3.0}, springs={-1: [1e4, 0, 2e4, 0, 0.1, 0]})
    i, j = (data.draw(st.integers(1, frame.n - 1)) for _ in range(2))
    p, q = (data.draw(st.integers(0, 5)) for _ in range(2))
    f = scenario.drive.frequency
    there = frame.respond(f, forces={i: np.eye(6)[p]}).displacement
    here = frame.respond(f, forces={j: np.eye(6)[q]}).displacement
    # Where symmetry keeps one direction out of another, both are rounding: measure on the whole.
    size = np.sqrt(np.abs(there[i, p] * here[j, q]))
    assert abs(there[j, q] - here[i, p]) <= 1e-9 * size


@given(benches(), st.data())
@settings(max_examples=40)
def test_work_in_is_energy_lost(scenario: Scenario, data: st.DataObject) -> None:
    node = data.draw(st.integers(1, 20))
    damper = data.draw(st.none() | between(0.01, 100.0))
    # On turning, too, or a straight needle's twist would never feel it.
    dampers = None if damper is None else {node: [damper] * 3 + [1e-6 * damper] * 3}
    frame = fluid_frame(scenario, dampers=dampers)
    v = frame.respond(scenario.drive.frequency, base=hub_motion(scenario))
    assert v.power_in > 0
    assert v.power_lost == pytest.approx(v.power_in, rel=1e-9)
    assert (v.lost_in_dampers.sum() > 0) == (damper is not None)
    for part in (v.lost_in_segments, v.lost_in_film, v.lost_in_dampers):
        assert part.min() >= -1e-12 * v.power_lost


@given(pressed())
@settings(max_examples=40)
def test_under_load_work_in_is_energy_lost_and_the_handpiece_holds_what_it_says(
    scenario: Scenario,
) -> None:
    loaded, free = run(scenario), run(replace(scenario, lens=None, support=None))
    assert loaded.vibration.power_lost == pytest.approx(loaded.power, rel=1e-9)
    assert free.free is None and loaded.free is not None
    close(loaded.free.displacement, free.displacement, 1e-12)
    hubs = loaded.displacement[0], free.displacement[0]
    if scenario.drive.holds == "motion":
        # Along the drive and in twist the hub is moved; sideways and in tilt it gives on springs.
        close(*(hub[None] * [1, 0, 0, 1, 0, 0] for hub in hubs), 1e-12)
        rigid = replace(scenario, hub=Hub(held="rigid"))
        hubs = (
            run(rigid).displacement[0],
            run(replace(rigid, lens=None, support=None)).displacement[0],
        )
        close(hubs[0][None], hubs[1][None], 1e-12)
    else:
        assert loaded.power == pytest.approx(free.power, rel=1e-9)
    if scenario.lens is not None:
        assert loaded.vibration.lost_in_dampers[-1] > 0
    if scenario.support is not None:
        far = loaded.frame.s[-1] - loaded.frame.s
        place, reach = scenario.support.place, scenario.support.length / 2 + scenario.spacing
        held = loaded.vibration.lost_in_dampers[:-1] > 0
        assert (np.abs(far[:-1][held] - place) <= reach).all()


@given(benches() | pressed())
@settings(max_examples=25)
def test_half_the_power_halves_every_motion(scenario: Scenario) -> None:
    whole = run(with_drive(scenario, power=0.8))
    half = run(with_drive(scenario, power=0.4))
    close(2 * half.displacement, whole.displacement, 1e-12)
    assert 2 * half.end_stroke == pytest.approx(whole.end_stroke, rel=1e-12)
    assert 2 * half.edge_stroke == pytest.approx(whole.edge_stroke, rel=1e-12)
    assert 2 * half.hub_torque == pytest.approx(whole.hub_torque, rel=1e-12)
    assert 4 * half.power == pytest.approx(whole.power, rel=1e-12)
    assert half.nodes == pytest.approx(whole.nodes, rel=1e-9)
    assert [m.direction for m in half.markers] == [m.direction for m in whole.markers]


@given(benches() | pressed())
@settings(max_examples=25)
def test_elliptical_is_axial_and_twist_at_once(scenario: Scenario) -> None:
    both, axial, twist = (
        run(with_drive(scenario, kind=k, holds="motion"))
        for k in ("elliptical", "axial", "torsional")
    )
    ahead = np.exp(1j * scenario.drive.phase)
    close(axial.displacement + ahead * twist.displacement, both.displacement, 1e-9)


@given(benches() | pressed())
@settings(max_examples=25)
def test_a_needle_bent_the_other_way_moves_as_in_a_mirror(scenario: Scenario) -> None:
    pieces = tuple(replace(p, turn=-p.turn) for p in scenario.needle.pieces)
    other = replace(scenario, needle=replace(scenario.needle, pieces=pieces))
    f, hub = scenario.drive.frequency, hub_motion(scenario)
    seen = assemble(scenario).respond(f, base=hub).displacement
    # A mirror turns twist round.
    turned = {k: -v if k == "twist" else v for k, v in hub.items()}
    ours = assemble(other).respond(f, base=turned).displacement
    close(ours, seen * np.concatenate([MIRROR, -MIRROR]), 1e-9)
    # And so strokes do not depend on the side at all.
    if scenario.drive.kind != "elliptical":
        assert run(other).end_stroke == pytest.approx(run(scenario).end_stroke, rel=1e-9)


@given(benches(), st.lists(between(-1, 1), min_size=4, max_size=4).filter(any))
@settings(max_examples=25)
def test_space_has_no_preferred_direction(scenario: Scenario, quaternion: list[float]) -> None:
    turned = Rotation.from_quat(quaternion)
    f, hub = scenario.drive.frequency, hub_motion(scenario)
    flat = fluid_frame(scenario, masses={-1: 1e-5}).respond(f, base=hub)
    there = fluid_frame(scenario, turned, masses={-1: 1e-5}).respond(f, base=hub)
    for before, after in ((flat.displacement, there.displacement), (flat.reaction, there.reaction)):
        moved = np.concatenate(
            [
                turned.apply(part.real) + 1j * turned.apply(part.imag)
                for part in (before[:, :3], before[:, 3:])
            ],
            axis=1,
        )
        close(after, moved, ROUNDING)
    assert there.power_in == pytest.approx(flat.power_in, rel=ROUNDING)


@given(benches(), between(0.2, 5.0))
@settings(max_examples=25)
def test_a_larger_needle_does_the_same_at_a_lower_frequency(scenario: Scenario, k: float) -> None:
    """All lengths times k, frequency over k, no films: the same shape, k times as large."""
    needle = scenario.needle
    s = needle.stations(scenario.spacing, (scenario.sleeve_end,))
    outer, inner = needle.radii_at(s)
    mass = np.asarray(water_around(coverage(scenario, (s[1:] + s[:-1]) / 2)).sideways_mass)

    def moved(scale: float) -> np.ndarray:
        frame = Frame(
            scale * needle.points_at(s),
            scale * outer,
            scale * inner,
            needle.material,
            loss_factor=scenario.loss_factor,
            around=Surroundings(sideways_mass=scale**2 * mass),
        )
        hub = hub_motion(scenario)
        base = {name: v * scale if name == "axial" else v for name, v in hub.items()}
        return frame.respond(scenario.drive.frequency / scale, base=base).displacement

    large = moved(k)
    large[:, :3] /= k
    close(large, moved(1.0), ROUNDING)


@given(benches())
@settings(max_examples=25)
def test_a_body_without_loss_moves_in_step_and_takes_no_power(scenario: Scenario) -> None:
    whole = assemble(replace(scenario, sleeve=None))
    frame = Frame(
        whole.points, whole.section.outer, whole.section.inner, whole.material, loss_factor=0.0
    )
    v = frame.respond(scenario.drive.frequency, base={"twist": 0.01, "axial": 1e-5})
    assert np.abs(v.displacement.imag).max() == 0.0
    assert v.power_in == 0.0 and v.power_lost == 0.0


@given(benches())
@example(Scenario.preset("single-bend, torsional"))
@settings(max_examples=15)
def test_response_is_the_sum_of_modes(scenario: Scenario) -> None:
    """Modes and steady response are two solvers; far below the cut the sum must agree.

    Force at the end, no films; what the missing modes add is the same as near zero frequency.
    """
    wet = assemble(scenario)
    frame = Frame(
        wet.points,
        wet.section.outer,
        wet.section.inner,
        wet.material,
        loss_factor=scenario.loss_factor,
        around=Surroundings(sideways_mass=wet.around.sideways_mass),
    )
    load = np.array([0.3, -0.5, 1.0, 0, 0, 0])
    f = 20e3
    direct, static = (frame.respond(g, forces={-1: load}).displacement for g in (f, 1e-3))
    frequency, shape = frame.modes(24, fixed=[0]).pairs
    gain = shape[:, -1] @ load
    w2, own = (2 * np.pi * f) ** 2, (2 * np.pi * frequency) ** 2 * (1 + 1j * scenario.loss_factor)
    # Each mode's share of the response, less its share of the static one.
    by_mode = static + np.einsum("k,knf->nf", gain / (own - w2) - gain / own, shape)
    close(by_mode, direct, 2e-3)


@given(benches() | pressed(), st.lists(between(15e3, 60e3), min_size=1, max_size=4))
@settings(max_examples=20)
def test_a_sweep_is_the_same_as_one_frequency_at_a_time(
    scenario: Scenario, frequencies: list[float]
) -> None:
    frame, hub = assemble(scenario), hub_motion(scenario)
    swept = frame.sweep(frequencies, hub)
    for i, f in enumerate(frequencies):
        one = frame.respond(f, base=hub)
        close(swept.displacement[i], one.displacement, ROUNDING)
        assert swept.power_in[i] == pytest.approx(one.power_in, rel=ROUNDING)
