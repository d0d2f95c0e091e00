"""How fast our sweep is beside general codes, in one run on one machine.

What is compared is a ratio of processor time: all compute with one thread
(OPENBLAS_NUM_THREADS=1), each in a Python of its own, and of each the quickest of several rounds
counts. The curve is 400 frequencies of a needle of 150 nodes, driven at the hub.
"""

import numpy as np

from tests.peers import bars, clocks
from tests.peers.apart import apart, need
from tests.peers.bars import Bar
from tests.peers.held import named
from tests.published.bars import ReportTable
from tipsim.setup.catalogue import catalogue

HERTZ = np.linspace(20e3, 45e3, 400)
LOSS = 0.005
FEW, ROUNDS = 2, 5
NODES = (50, 100, 200, 500, 1000, 2000)
THAN_PUBLIC, THAN_SPARSE = 20, 1.5
"""Least ratios; in the thousands and about 8 when all runs alone."""


def needle(shape: str) -> Bar:
    bar = bars.from_catalogue(catalogue().main[shape], 0.12e-3)
    assert abs(bar.n - 150) <= 3
    return bar


def sweeps(bar: Bar) -> dict[str, float]:
    """Our seconds by drive."""
    drives = list(clocks.DRIVES)
    found = apart(clocks.ours, *((bar, HERTZ, LOSS, drive, ROUNDS) for drive in drives))
    return dict(zip(drives, [seconds for seconds, _ in found], strict=True))


def as_theirs(bar: Bar) -> np.ndarray:
    """Motion (f, n, 6) of our frame with the mass where OpenSees has it, without cones."""
    motion = clocks.DRIVES["elliptical"]
    base = {"axial": motion[0], "twist": motion[3]}
    return np.asarray(bar.lumped(loss_factor=LOSS).sweep(HERTZ, base).displacement)


def table(seconds_of_ours: dict[str, float], theirs: dict[str, float]) -> list[str]:
    lines = [f"{f'ours, {drive} drive':<58} {s:>8.3f} s" for drive, s in seconds_of_ours.items()]
    for what, seconds in theirs.items():
        ratios = ", ".join(f"{seconds / s:.1f}" for s in seconds_of_ours.values())
        lines.append(f"{what:<58} {seconds:>8.3f} s: {ratios} times ours")
    return lines


def test_a_sweep_beside_opensees(report_table: ReportTable) -> None:
    """OpenSees has no harmonic analysis: its public way is to print its matrices and solve them."""
    need("openseespy")
    bar = needle("single-bend")
    mine = sweeps(bar)
    (theirs,) = apart(clocks.opensees, (bar, HERTZ, LOSS, FEW, ROUNDS))
    end, same = (u[:, -1, :3] for u in (as_theirs(bar), theirs.pop("motion")))
    assert (np.linalg.norm(end - same, axis=1) <= 1e-6 * np.linalg.norm(same, axis=1)).all()
    report_table(
        f"{len(HERTZ)} frequencies, {bar.n} nodes, one thread [{named('openseespy')}]",
        table(mine, theirs),
    )
    assert theirs[clocks.PUBLIC] >= THAN_PUBLIC * max(mine.values())
    # Whatever it is told, and for the drive that costs us most.
    assert min(theirs[way] for way in clocks.SPARSE) >= THAN_SPARSE * max(mine.values())


def test_a_sweep_beside_ross(report_table: ReportTable) -> None:
    """On a straight needle, for a rotor has no bends; ross gives all freedoms over all forces."""
    need("ross")
    bar = needle("straight")
    mine = sweeps(bar)
    (theirs,) = apart(clocks.ross, (bar, HERTZ, 1, 1))
    report_table(
        f"{len(HERTZ)} frequencies, {bar.n} nodes, one thread [{named('ross-rotordynamics')}]",
        table(mine, {"run_freq_response, worked out from one frequency": theirs}),
    )
    assert theirs >= THAN_PUBLIC * max(mine.values())


def test_the_cost_grows_with_the_nodes_and_no_faster(report_table: ReportTable) -> None:
    (seconds,) = apart(
        clocks.by_nodes, ([bars.straight(n - 1) for n in NODES], HERTZ[:40], 2 * ROUNDS)
    )
    per_node = np.array(seconds) / NODES
    report_table(
        "Our sweep of 40 frequencies, one thread, by nodes",
        [
            f"{n:>5} nodes {s * 1e3:>8.1f} ms, {p * 1e6:>6.1f} µs a node"
            for n, s, p in zip(NODES, seconds, per_node, strict=True)
        ],
    )
    # Below 200 nodes what does not depend on them counts, too; that only helps.
    assert per_node[-1] <= 3 * per_node[NODES.index(200)]
