"""The power that passes along a needle, with the forces and the motion of OpenSeesPy.

OpenSees's matrices give the motion (solved by NumPy, as it has no harmonic analysis); its elements
give force and moment at their ends where the nodes are put there. Times the velocity, half the real
part, that is the power that passes. No fluid: OpenSees has none.
"""

import numpy as np
import pytest

from tests.peers import bars, opensees_frame
from tests.peers.apart import apart, need
from tests.peers.held import named
from tests.published.bars import ReportTable, Validation
from tests.validation import within
from tipsim.motion.powerflow import power_flow
from tipsim.setup.catalogue import catalogue
from tipsim.setup.sourced import number

HERTZ = 32e3


@pytest.fixture(autouse=True)
def _peer() -> None:
    need("openseespy")


def test_power_along_bent_needles_is_that_of_opensees(
    report_table: ReportTable, validation: Validation
) -> None:
    loss, omega = number("motion.loss_factor").si, 2 * np.pi * HERTZ
    six = np.array([5e-6, 0, 0, 0.03j, 0, 0])
    lines, off = [], []
    for shape in ("single-bend", "counter-bent"):
        bar = bars.from_catalogue(catalogue().main[shape], 0.25e-3)
        ((motion, _),) = apart(
            opensees_frame.response, (bar, "points", np.array([HERTZ]), loss, six)
        )
        ((force),) = apart(opensees_frame.section_forces, (bar, motion[0]))
        speed = 1j * omega * motion[0]
        passes = 0.5 * np.real(np.sum((1 + 1j * loss) * force[:, :6] * speed[:-1].conj(), axis=1))
        base = {"axial": six[0], "twist": six[3]}
        ours = power_flow(bar.lumped(loss_factor=loss).respond(HERTZ, base=base)).after[:-1]
        off.append(float(np.abs(ours - passes).max() / passes[0]))
        places = np.linspace(0, len(passes) - 1, 6).astype(int)
        lines.append(f"{shape}: " + ", ".join(f"{ours[i]:.4f}/{passes[i]:.4f}" for i in places))
    report_table(f"Power along needles, ours/theirs [W, {named('openseespy')}]", lines)
    assert max(off) < 1e-3
    validation(
        "power that passes along two bent needles at 32 kHz",
        "section forces times velocity",
        within(off),
        "0.1 %",
        "openseespy",
    )
