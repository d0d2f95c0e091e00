"""Our frame against scikit-fem, a general finite-element library.

Compared: the continuous beam that the frame stands for, in weak form on elements of fourth order
(`fem_frame.py`), converged far beyond what is asked of us; so this measures our lumping. Radii run
as true cones there. Without shear, straight bars are held against cubic Hermite elements.
Tolerance: 0.2 % in frequency at the node spacing that the simulator uses. In the response, a shift
of a resonance shows as the slope of the curve allows: 0.5 % of the motion, nodes every 0.05 mm.
"""

from dataclasses import replace

import numpy as np
import pytest

from tests.peers import bars, fem_frame
from tests.peers.apart import need
from tests.peers.bars import Bar
from tests.peers.held import Row, hold, named, vectors
from tests.published.bars import ReportTable, Validation
from tests.validation import within
from tipsim.setup.catalogue import catalogue
from tipsim.setup.sourced import number

WITHIN = 2e-3
COUNT = 8
SPACING = number("motion.spacing").si


@pytest.fixture(autouse=True)
def _peer() -> None:
    need("skfem")


def every(spacing: float) -> dict[str, Bar]:
    steps = round(bars.LENGTH / spacing)
    shapes = {"straight": bars.straight, "tapered": bars.tapered, "elbow": bars.elbow}
    made = {name: make(steps) for name, make in shapes.items()}
    made["elbow along no axis"] = made["elbow"].turned([1, 2, -0.5], 0.7)
    needles = catalogue().main.items()
    return made | {f"{s} needle": bars.from_catalogue(id, spacing) for s, id in needles}


def ours(bar: Bar) -> np.ndarray:
    return bar.frame().modes(COUNT).frequency


def test_frequencies_are_those_of_the_continuous_beam(
    report_table: ReportTable, validation: Validation
) -> None:
    rows = [
        Row(f"{name}, {bar.n} nodes", ours(bar), fem_frame.frequencies(bar, COUNT), WITHIN)
        for name, bar in every(SPACING).items()
    ]
    title = f"Clamped-free frequencies, nodes every {SPACING * 1e3:g} mm [{named('scikit-fem')}]"
    hold(report_table, title, rows)
    validation(
        "eight frequencies of seven shapes, fourth-order beam with true cones",
        "its frequencies",
        within(r.worst for r in rows),
        "0.2 %",
        "scikit-fem",
    )


@pytest.mark.parametrize("shape", ["elbow", "tapered", "counter-bent needle"])
def test_lumping_is_of_second_order(shape: str, report_table: ReportTable) -> None:
    """On one and the same line, so that only the lumping changes."""
    spacings = np.array([0.2e-3, 0.1e-3, 0.05e-3])
    gaps = []
    for spacing in spacings:
        bar = every(spacing)[shape]
        gaps.append(np.abs(ours(bar) / fem_frame.frequencies(bar, COUNT) - 1).max())
    orders = np.diff(np.log(gaps)) / np.diff(np.log(spacings))
    line = ", ".join(f"{g:.1e}" for g in gaps) + "; order " + ", ".join(f"{o:.2f}" for o in orders)
    report_table(f"{shape}: worst of {COUNT} at 0.2, 0.1, 0.05 mm [{named('scikit-fem')}]", [line])
    assert orders == pytest.approx(2, abs=0.2)


def test_straight_bars_without_shear_follow_hermite_elements(report_table: ReportTable) -> None:
    rows = []
    for name, make in (("straight", bars.straight), ("tapered", bars.tapered)):
        for rotary in (False, True):
            bar = replace(make(100), shear=False, rotary=rotary)
            theirs = fem_frame.straight_frequencies(bar, COUNT)
            said = "with" if rotary else "no"
            rows.append(Row(f"{name}, {said} rotary inertia", ours(bar), theirs, WITHIN))
    title = f"Clamped-free frequencies, no shear, Hermite elements [{named('scikit-fem')}]"
    hold(report_table, title, rows)


def test_driven_at_the_hub_the_end_moves_alike(
    report_table: ReportTable, validation: Validation
) -> None:
    loss = number("motion.loss_factor").si
    hertz = np.linspace(20e3, 45e3, 20)
    rows = []
    for name in ("single-bend needle", "counter-bent needle"):
        bar = every(0.05e-3)[name]
        six = np.array([10e-6, 0, 0, 0.02j, 0, 0])
        theirs = fem_frame.response(bar, hertz, loss, six)
        base = {"axial": 10e-6, "twist": 0.02j}
        mine = bar.frame(loss_factor=loss).sweep(hertz, base).displacement[:, -1]
        for kind, part in (("displacement", slice(0, 3)), ("rotation", slice(3, 6))):
            rows.append(vectors(f"{name}, {kind}", mine[:, part], theirs[:, part], 5e-3))
    hold(report_table, f"Response to the hub, 20 to 45 kHz [{named('scikit-fem')}]", rows)
    validation(
        "tip motion of both bent needles, 20 to 45 kHz",
        "its response",
        within(r.worst for r in rows),
        "0.5 %",
        "scikit-fem",
    )
