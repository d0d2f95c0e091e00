"""How long a solve takes, how that grows with nodes, and against a general sparse solver.

Only ratios within one run are asserted; times are printed.
"""

from collections.abc import Callable, Iterable, Mapping
from functools import partial
from time import process_time
from typing import TypeVar

import numpy as np
from scipy.sparse import coo_array, csc_array
from scipy.sparse.linalg import splu

from tipsim.motion import Frame
from tipsim.motion.assembly import coverage, water_around
from tipsim.motion.run import hub_motion
from tipsim.motion.steady import Vibration, base_motion
from tipsim.motion.travel import stroke
from tipsim.setup.scenario import Scenario
from tipsim.solve import solve

Key = TypeVar("Key", int, str)
ReportTable = Callable[[str, Iterable[str]], None]
PAIR = ("single-bend, torsional", "counter-bent, torsional")
COUNTS = (50, 80, 200, 500, 1000, 2000)


def milliseconds(acts: Mapping[Key, Callable[[], object]], rounds: int = 25) -> dict[Key, float]:
    """Shortest processor time of each act [ms]; they take turns on a busy machine."""
    best = dict.fromkeys(acts, float("inf"))
    for _ in range(rounds):
        for key, act in acts.items():
            begun = process_time()
            act()
            best[key] = min(best[key], 1e3 * (process_time() - begun))
    return best


def frame_of(scenario: Scenario, nodes: int) -> Frame:
    """The needle's frame with about so many nodes, from nothing, at any spacing."""
    needle = scenario.needle
    s = needle.stations(needle.length / (nodes - 1), (scenario.sleeve_end,))
    outer, inner = needle.radii_at(s)
    return Frame(
        needle.points_at(s),
        outer,
        inner,
        needle.material,
        loss_factor=scenario.loss_factor,
        around=water_around(coverage(scenario, (s[1:] + s[:-1]) / 2)),
    )


def ours(scenario: Scenario, nodes: int) -> Vibration:
    frame = frame_of(scenario, nodes)
    return frame.respond(scenario.drive.frequency, base=hub_motion(scenario))


def by_sparse(scenario: Scenario, nodes: int) -> np.ndarray:
    """The same equations put into a general sparse matrix and factorised by SuperLU."""
    frame = frame_of(scenario, nodes)
    w = 2 * np.pi * scenario.drive.frequency
    segments = frame.segment_stiffness * (1 + 1j * frame.loss_factor)
    own = (1j - 1) * w**1.5 * frame.node_film - w**2 * frame.node_mass
    rows, columns = np.indices((12, 12))
    first = 6 * np.arange(frame.n)[:, None, None]
    six = np.indices((6, 6))
    i = np.concatenate([(first[:-1] + rows).ravel(), (first + six[0]).ravel()])
    j = np.concatenate([(first[:-1] + columns).ravel(), (first + six[1]).ravel()])
    values = np.concatenate([segments.ravel(), own.ravel()])
    whole = csc_array(coo_array((values, (i, j)), shape=(6 * frame.n, 6 * frame.n)))
    base = base_motion(frame, 0, hub_motion(scenario))
    u = np.empty(6 * frame.n, dtype=complex)
    u[:6] = base
    u[6:] = splu(whole[6:, 6:]).solve(-(whole[6:, :6] @ base))
    return u.reshape(frame.n, 6)


def test_time_of_a_solve(report_table: ReportTable) -> None:
    lines, ratios = [], []
    for name in PAIR:
        scenario = Scenario.preset(name)
        nodes = solve(scenario).motion.frame.n
        time = milliseconds(
            {"whole": partial(solve, scenario), "bare": partial(ours, scenario, nodes)}
        )
        ratios.append(time["whole"] / time["bare"])
        lines.append(
            f"{name}: {time['whole']:.2f} ms, {nodes} nodes; "
            f"of that frame and vibration {time['bare']:.2f} ms"
        )
    report_table("Time of a solve, shortest of 25", lines)
    # Reading strokes, markers and nodes off the motion must stay a side matter.
    assert max(ratios) < 6


def test_time_grows_with_the_nodes_and_no_faster(report_table: ReportTable) -> None:
    scenario = Scenario.preset(PAIR[1])
    finest = stroke(ours(scenario, 4000).displacement[-1, :3])
    time = milliseconds({count: partial(ours, scenario, count) for count in COUNTS})
    each, lines = {}, []
    for count in COUNTS:
        v = ours(scenario, count)
        each[count] = time[count] / v.frame.n
        off = float(stroke(v.displacement[-1, :3]) / finest - 1)
        lines.append(
            f"{v.frame.n:>5} nodes: {time[count]:7.2f} ms, {each[count] * 1e3:5.1f} µs a node, "
            f"end stroke {off:+.4%} off that of 4000"
        )
    growth = each[2000] / each[500]
    report_table(
        f"Time and accuracy over nodes, {PAIR[1]}",
        [*lines, f"time per node, 2000 over 500 nodes: {growth:.2f} (the square of them: 4)"],
    )
    # In proportion is 1, as the square of the nodes would be 4.
    assert growth < 2.5


def test_against_a_general_sparse_solver(report_table: ReportTable) -> None:
    """Same matrices, same answer; SuperLU has to find out that the matrix is a band."""
    scenario, lines, ratios = Scenario.preset(PAIR[1]), [], []
    for count in (80, 500):
        one, other = ours(scenario, count).displacement, by_sparse(scenario, count)
        assert np.abs(one - other)[:, :3].max() < 1e-6 * np.abs(one)[:, :3].max()
        time = milliseconds(
            {"ours": partial(ours, scenario, count), "sparse": partial(by_sparse, scenario, count)}
        )
        ratios.append(time["ours"] / time["sparse"])
        lines.append(
            f"{len(one)} nodes: {time['ours']:.2f} ms, sparse {time['sparse']:.2f} ms, "
            f"ratio {ratios[-1]:.2f}"
        )
    report_table("Frame and solve, banded against scipy.sparse and splu", lines)
    # Generous: it should win, and must not lose.
    assert max(ratios) < 1.5
