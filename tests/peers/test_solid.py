"""Our frame of both bent needles against solid elements, dry, in and out of the bends' plane.

Compared: natural frequencies from 15 to 65 kHz, and the motion of the tip at 32 kHz under a hub
that turns or moves along its axis, rotation by what it moves of the rim. A solid turns oval in its
bends, its fibres lean in the cone, and a bend's mass lies outside its centreline; our frame has a
term for each. The solid's elements are coarse enough for seconds; finer ones, twice as many each
way, move its frequencies by up to 0.2 %. Where a tip hardly
moves, its motion is compared with the farthest that one of both tips goes.
"""

import numpy as np
import pytest

from tests.peers.apart import need
from tests.peers.held import Row, hold, named
from tests.peers.solid import Solid
from tests.published.bars import ReportTable, Validation
from tests.validation import within
from tipsim.motion import Frame
from tipsim.motion.ovalisation import softness
from tipsim.setup.catalogue import catalogue

WITHIN = 1e-2
SPACING = 0.1e-3
HERTZ = 32e3
BENT = ("single-bend", "counter-bent")
RIM = np.repeat([1.0, 0.45e-3], 3)
"""Rotations count by what they move of the rim [m]."""
TWIST, AXIAL = np.eye(6)[3], np.eye(6)[0]


@pytest.fixture(autouse=True)
def _peer() -> None:
    need("skfem")


def frame(shape: str) -> Frame:
    """A dry needle of the catalogue, without loss, its hub clamped."""
    needle = catalogue().needles[catalogue().main[shape]]
    s = needle.stations(SPACING)
    middle = (s[1:] + s[:-1]) / 2
    return Frame(
        needle.points_at(s),
        *needle.radii_at(s),
        needle.material,
        directions=needle.tangents_at(s),
        softness=softness(needle, middle, *needle.radii_at(middle)),
        loss_factor=0.0,
    )


def ours(one: Frame, out_of_plane: bool) -> np.ndarray:
    """Frequencies of the modes in or out of the plane, lowest first; turning counts by radius."""
    modes = one.modes(14)
    size = np.repeat([1.0, 0.5e-3], 3)
    share = ((modes.shape * size) ** 2).sum(axis=1)
    outward = share[:, [2, 3, 4]].sum(axis=1) > share[:, [0, 1, 5]].sum(axis=1)
    return modes.frequency[outward == out_of_plane]


def test_solid_elements_agree(report_table: ReportTable, validation: Validation) -> None:
    solids = {s: Solid(catalogue().needles[catalogue().main[s]]) for s in BENT}
    frames = {s: frame(s) for s in BENT}
    rows, tips = [], {}
    for shape in BENT:
        for out_of_plane, base in ((False, AXIAL), (True, TWIST)):
            said = f"{shape}, {'out of' if out_of_plane else 'in'} plane"
            theirs = solids[shape].frequencies(out_of_plane, 6)
            near = (theirs > 15e3) & (theirs < 65e3)
            mine = ours(frames[shape], out_of_plane)[: len(theirs)][near]
            rows.append(Row(f"{said}, frequencies", mine, theirs[near], WITHIN))
            motion = frames[shape].respond(HERTZ, base={"twist" if out_of_plane else "axial": 1.0})
            tips[said] = (
                motion.displacement[-1].real,
                solids[shape].tip(HERTZ, base, out_of_plane),
            )
    for plane in ("in", "out of"):
        both = {said: tips[said] for said in (f"{shape}, {plane} plane" for shape in BENT)}
        farthest = max(np.linalg.norm(theirs * RIM) for _, theirs in both.values())
        for said, (mine, theirs) in both.items():
            gap = np.linalg.norm((mine - theirs) * RIM) / farthest
            rows.append(Row(f"{said}, tip's motion", 1 + gap, 1.0, WITHIN))
    hold(report_table, f"Dry needles against quadratic hexahedra [{named('scikit-fem')}]", rows)
    frequencies = [r.worst for r in rows if "frequencies" in r.what]
    validation(
        "both bent needles as solids: frequencies, 15 to 65 kHz, in and out of plane",
        "quadratic hexahedra",
        within(frequencies),
        "1 %",
        "scikit-fem",
    )
    validation(
        "both bent needles as solids: motion of the tip at 32 kHz, of the farthest",
        "quadratic hexahedra",
        within(r.worst for r in rows if "tip" in r.what),
        "1 %",
        "scikit-fem",
    )
