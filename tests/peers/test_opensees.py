"""Our frame against OpenSeesPy, a general structural code.

Compared: natural frequencies, matrices and steady vibration of the same lumped model, to 1e-6 (the
digits that eigen solvers leave); our own mass, a sixth of a segment inwards of its nodes, against
OpenSees's consistent mass, to 0.2 %; and one steady vibration that OpenSees reaches by steps in
time. OpenSees's nodal masses are diagonal in space, so where a bar runs along no axis its mass is
put on rigid links around the nodes. Segments are uniform on both sides: OpenSees has no cones. Not
compared: fluid films (OpenSees has no force that grows with w^1.5) and harmonic analysis (it has
none; its printed matrices are solved by NumPy, with the loss put in).
"""

import numpy as np
import pytest

from tests.peers import bars, opensees_frame
from tests.peers.apart import apart, need
from tests.peers.bars import Bar
from tests.peers.held import Row, hold, named, vectors
from tests.published.bars import ReportTable, Validation
from tests.validation import within
from tipsim.motion import band
from tipsim.motion.hub import HubSprings
from tipsim.setup.catalogue import catalogue
from tipsim.setup.sourced import number

SAME = 1e-6
COUNT = 8
STEPS = 80
BENT = ("single-bend", "counter-bent")


@pytest.fixture(autouse=True)
def _peer() -> None:
    need("openseespy")


def needles(spacing: float = number("motion.spacing").si) -> dict[str, Bar]:
    main = catalogue().main
    return {f"{shape} needle": bars.from_catalogue(main[shape], spacing) for shape in BENT}


def along_axes(steps: int = STEPS) -> dict[str, Bar]:
    shapes = {"straight": bars.straight, "tapered": bars.tapered, "elbow": bars.elbow}
    return {name: make(steps) for name, make in shapes.items()}


def ours(bar: Bar) -> np.ndarray:
    return bar.lumped().modes(COUNT).frequency


def spread(bar: Bar) -> np.ndarray:
    return bar.frame(stepped=True).modes(COUNT).frequency


def test_the_same_lumped_model_has_the_same_frequencies(
    report_table: ReportTable, validation: Validation
) -> None:
    cases = [(name, bar, "diagonal") for name, bar in along_axes().items()]
    cases += [(f"{name}, no shear", bar.slender(), mass) for name, bar, mass in cases]
    everywhere = {**along_axes(), **needles()}
    everywhere["elbow along no axis"] = everywhere["elbow"].turned([1, 2, -0.5], 0.7)
    cases += [(name, bar, "points") for name, bar in everywhere.items()]
    found = apart(opensees_frame.frequencies, *((bar, mass, COUNT) for _, bar, mass in cases))
    rows = [
        Row(f"{name}, {bar.n} nodes, mass {mass}", ours(bar), theirs, SAME)
        for (name, bar, mass), theirs in zip(cases, found, strict=True)
    ]
    hold(report_table, f"Clamped-free frequencies, same model [{named('openseespy')}]", rows)
    validation(
        "same lumped model, eight frequencies of twelve frames",
        "its frequencies",
        within(r.worst for r in rows),
        "1e-6",
        "openseespy",
    )


def test_the_comparison_sees_a_tilted_inertia() -> None:
    """A mass diagonal in space is wrong on a tilted leg, by far more than is allowed above."""
    bar = needles()["single-bend needle"]
    (theirs,) = apart(opensees_frame.frequencies, (bar, "diagonal", COUNT))
    assert np.abs(ours(bar) / theirs - 1).max() > 1e3 * SAME


def test_consistent_mass_agrees_too(report_table: ReportTable, validation: Validation) -> None:
    """Our own mass against mass spread along the segments, 0.1 mm long; neither has cones."""
    cases = {**along_axes(200), **needles(0.1e-3)}
    found = apart(
        opensees_frame.frequencies, *((bar, "consistent", COUNT) for bar in cases.values())
    )
    rows = [
        Row(f"{name}, {bar.n} nodes", spread(bar), theirs, 2e-3)
        for (name, bar), theirs in zip(cases.items(), found, strict=True)
    ]
    hold(report_table, f"Clamped-free frequencies, consistent mass [{named('openseespy')}]", rows)
    validation(
        "consistent mass, eight frequencies of five frames",
        "its frequencies",
        within(r.worst for r in rows),
        "0.2 %",
        "openseespy",
    )


def test_the_printed_matrices_are_ours() -> None:
    cases = {**along_axes(20), **needles(1e-3)}
    found = apart(opensees_frame.matrices, *((bar, "points") for bar in cases.values()))
    for bar, theirs in zip(cases.values(), found, strict=True):
        frame = bar.lumped()
        for stored, matrix in zip((frame.stiffness, frame.mass), theirs, strict=True):
            dense = np.column_stack([band.times(stored, column) for column in np.eye(6 * bar.n)])
            # Lengths and angles have units of their own: compare each entry with its diagonal.
            scale = np.sqrt(np.diag(matrix))
            assert (np.abs(dense - matrix) <= 1e-12 * np.outer(scale, scale)).all()


def test_driven_at_the_hub_all_nodes_move_alike(
    report_table: ReportTable, validation: Validation
) -> None:
    loss = number("motion.loss_factor").si
    hertz = np.linspace(20e3, 45e3, 20)
    base = {"axial": 10e-6, "twist": 0.02j, "y": 2e-6}
    cases = {"tapered": bars.tapered(STEPS), **needles()}
    six = np.array([10e-6, 2e-6, 0, 0.02j, 0, 0])
    found = apart(
        opensees_frame.response, *((bar, "points", hertz, loss, six) for bar in cases.values())
    )
    rows = []
    for (name, bar), (motion, force) in zip(cases.items(), found, strict=True):
        mine = bar.lumped(loss_factor=loss).sweep(hertz, base)
        one = bar.lumped(loss_factor=loss).respond(float(hertz[7]), base=base)
        for kind, part in (("", slice(0, 3)), (", rotation", slice(3, 6))):
            swept, alone, theirs = mine.displacement, one.displacement, motion[:, :, part]
            rows += [
                vectors(f"{name}, end{kind}", swept[:, -1, part], theirs[:, -1], SAME),
                vectors(
                    f"{name}, all nodes{kind}", alone[:, part].ravel(), theirs[7].ravel(), SAME
                ),
            ]
        for kind, part in (("force", slice(0, 3)), ("moment", slice(3, 6))):
            rows.append(vectors(f"{name}, {kind}", mine.reaction[:, part], force[:, part], SAME))
    hold(report_table, f"Response to the hub, 20 to 45 kHz [matrices, {named('openseespy')}]", rows)
    validation(
        "tip and node motion, hub force and moment, 20 to 45 kHz",
        "its matrices, solved",
        within(r.worst for r in rows),
        "1e-6",
        "openseespy",
    )


SPRINGS = [(15e6, 500.0), (5e6, 100.0), (1e8, 1000.0)]


@pytest.mark.parametrize("springs", SPRINGS, ids=str)
def test_on_springs_at_the_hub_the_same_frequencies_and_motion(
    springs: tuple[float, float], report_table: ReportTable, validation: Validation
) -> None:
    """Its eigen solver with elements without length at the root, and its matrices at 32 kHz."""
    hub, loss = HubSprings(*springs), number("motion.loss_factor").si
    hertz, along = np.linspace(20e3, 45e3, 12), np.array([10e-6, 0.05j])
    rows = []
    for name, bar in needles().items():
        (theirs,) = apart(opensees_frame.frequencies_on_springs, (bar, "points", COUNT, springs))
        frame = bar.lumped(hub=hub)
        rows.append(Row(f"{name}, frequencies", frame.modes(COUNT).frequency, theirs, 1e-3))
        ((motion, force),) = apart(
            opensees_frame.response_on_springs,
            (bar, "points", hertz, loss, along, np.array(springs)),
        )
        swept = bar.lumped(hub=hub, loss_factor=loss).sweep(
            hertz, {"axial": along[0], "twist": along[1]}
        )
        for place, node in (("end", -1), ("hub", 0)):
            mine = swept.displacement[:, node]
            rows.append(vectors(f"{name}, {place}", mine[:, :3], motion[:, node, :3], 1e-3))
        for kind, part in (("force", slice(0, 3)), ("moment", slice(3, 6))):
            rows.append(vectors(f"{name}, {kind}", swept.reaction[:, part], force[:, part], 1e-3))
    hold(report_table, f"On springs at the hub, {springs} [{named('openseespy')}]", rows)
    if springs == SPRINGS[0]:
        validation(
            "hub on springs (15 N/µm, 500 N m/rad): frequencies; tip, hub, force, 20 to 45 kHz",
            "its frequencies; its matrices, solved",
            within(r.worst for r in rows),
            "0.1 %",
            "openseespy",
        )


def test_steps_in_time_arrive_at_our_steady_vibration(
    report_table: ReportTable, validation: Validation
) -> None:
    """An elbow under a force at its end: OpenSees runs it from rest until it is steady.

    Newmark's average acceleration is off by the square of its step.
    """
    hertz, on_mass, loss = 32e3, 2e4, 0.02
    bar = bars.elbow(20)
    force = np.array([1.0, 0.5, 0.8, 0, 0, 0])
    damping = (on_mass, loss / (2 * np.pi * hertz))
    coarse, fine = apart(
        opensees_frame.transient, *((bar, hertz, damping, force, 30, k) for k in (100, 200))
    )
    plain = bar.lumped()
    dampers = {i: on_mass * plain.node_mass[i] for i in range(bar.n)}
    frame = bar.lumped(loss_factor=loss, dampers=dampers)
    mine = frame.respond(hertz, forces={-1: force}).displacement[-1]
    rows = [
        vectors(f"{kind} of the end, {k} steps a cycle", mine[part], theirs[part], within)
        for k, theirs, within in ((100, coarse, 8e-3), (200, fine, 2e-3))
        for kind, part in (("displacement", slice(0, 3)), ("rotation", slice(3, 6)))
    ]
    hold(report_table, f"Elbow, steady after 30 cycles of 32 kHz [{named('openseespy')}]", rows)
    gap = [np.linalg.norm(mine - theirs) for theirs in (coarse, fine)]
    assert gap[0] / gap[1] == pytest.approx(4, rel=0.1)
    validation(
        "elbow under a force, steady after 30 cycles",
        "stepped through time",
        within(r.worst for r in rows),
        "0.8 %; 0.2 % at half the step",
        "openseespy",
    )
