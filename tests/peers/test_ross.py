"""Our frame against ross, a rotordynamics library, on a rotor at rest.

Compared, ours of uniform segments, since fibres of ross's cones do not lean: straight and tapered
shafts with shear and rotary inertia, floating free and on two bearings, and the response that
ross's own `run_freq_response` gives. ross has no clamp, no bends
and no hysteretic loss: its damping is viscous, stiffness times a factor, so at each frequency ours
gets the loss factor that this means.
Tolerance: 0.2 % in frequency, 1 % in the response: on the flank of a resonance a shift of 0.02 %
over a loss factor of 0.02 moves the curve by up to 1 %.
"""

import numpy as np
import pytest

from tests.peers import bars, ross_frame
from tests.peers.apart import apart, need
from tests.peers.bars import Bar
from tests.peers.held import Row, hold, named
from tests.published.bars import ReportTable, Validation
from tests.validation import within
from tipsim.motion import Frame

WITHIN = 2e-3
COUNT = 8
FINE, CONES = 320, 80
BEARING = 1e7
"""Stiffness of a bearing [N/m], far above the tube's own."""
VISCOUS = 1e-7
"""Damping over stiffness [s]: a loss factor of 0.02 at 32 kHz."""
SHAFTS = {"straight": bars.straight, "tapered": bars.tapered}


@pytest.fixture(autouse=True)
def _peer() -> None:
    need("ross")


def frame(bar: Bar, bearing: float, loss_factor: float = 0.0) -> Frame:
    sideways = np.array([0, bearing, bearing, 0, 0, 0])
    first = sideways + np.array([bearing, 0, 0, 0, 0, 0])
    return bar.frame(stepped=True, loss_factor=loss_factor, springs={0: first, -1: sideways})


def test_frequencies_of_shafts_at_rest(report_table: ReportTable, validation: Validation) -> None:
    cases = [(name, k) for name in SHAFTS for k in (0.0, BEARING)]
    found = apart(ross_frame.frequencies, *((SHAFTS[name](CONES), COUNT, k) for name, k in cases))
    rows = []
    for (name, k), theirs in zip(cases, found, strict=True):
        mine = frame(SHAFTS[name](FINE), k).modes(COUNT + 6, fixed=[]).frequency
        said = "on two bearings" if k else "floating"
        rows.append(Row(f"{name}, {said}", mine[mine > ross_frame.RIGID][:COUNT], theirs, WITHIN))
    hold(report_table, f"Shafts at rest, Hz [{named('ross-rotordynamics')}]", rows)
    validation(
        "straight and tapered shafts at rest, eight frequencies",
        "its frequencies",
        within(r.worst for r in rows),
        "0.2 %",
        "ross-rotordynamics",
    )


def test_response_of_shafts_at_rest(report_table: ReportTable, validation: Validation) -> None:
    hertz = np.linspace(5e3, 60e3, 20)
    found = apart(
        ross_frame.response, *((make(CONES), hertz, VISCOUS, BEARING) for make in SHAFTS.values())
    )
    rows = []
    for (name, make), theirs in zip(SHAFTS.items(), found, strict=True):
        bar = make(FINE)
        mine = [
            frame(bar, BEARING, 2 * np.pi * f * VISCOUS)
            .respond(f, forces={FINE // 2: [0, 1, 0, 0, 0, 0]}, fixed=[])
            .displacement[FINE // 2, 1]
            for f in hertz
        ]
        rows.append(Row(f"{name}, middle to middle", np.array(mine), theirs, 1e-2))
    title = f"Response, 5 to 60 kHz, on two bearings [{named('ross-rotordynamics')}]"
    hold(report_table, title, rows)
    validation(
        "straight and tapered shafts on two bearings, 5 to 60 kHz",
        "its response",
        within(r.worst for r in rows),
        "1 %",
        "ross-rotordynamics",
    )
