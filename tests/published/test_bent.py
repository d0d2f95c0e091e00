"""A beam with one sharp bend, clamped at one end and free at the other.

Sources
[1] Closed form of two slender legs, written out in exact_bends.py beside this file; it shares
    nothing with the frame. The numbers below were worked out from it, and before that from
    another finite-element frame: they agree in every digit quoted.
[2] Grossi and Albarracin, Appl Acoust 74 (2013) 325, and Ratazzi, Bambill and Rossit, Chin J Eng
    (2013) 624658, tabulate such frames. Their tables could not be read, so no row is quoted.

Frame: first leg along +x from the clamp, bend in the x-y plane. Round rod, Poisson 0.3, so
GJ/EI = 1/1.3. Shear and rotary inertia off.
Normalisation: w (L1 + L2)² sqrt(rho A / EI), both legs together; for elbows with a short second
leg beta L1, where beta⁴ = w² rho A / EI.
Tolerance: 0.2 %, with a radius of 1/1000 of the first leg. The source leaves twist inertia out;
a radius of 1/200 lowers the third root out of plane by 0.16 % through it, and one of 1/50, near
a real needle's, by 3 %. The last test holds that, too.
"""

import numpy as np
import pytest

from tests.published.bars import (
    METAL,
    RADIUS,
    Check,
    ReportTable,
    Validation,
    beam_number,
    frequencies,
    hold,
    polyline,
    slender,
)
from tests.published.exact_bends import in_plane, out_of_plane
from tests.validation import within
from tipsim.motion import Frame

WITHIN = 2e-3
TORSION = 1 / 1.3
RIGHT = np.pi / 2
SLIGHT = np.radians(20)
LEG = 1e3 * RADIUS
FREEDOMS = {"in plane": (0, 1), "out of plane": (2,)}

# Second leg over first, angle, plane, w (L1 + L2)² sqrt(rho A / EI). [1]
WHOLE = {
    "right angle, equal legs, in plane": (1, RIGHT, "in plane", (4.687, 12.764, 63.018, 92.365)),
    "right angle, equal legs, out of plane": (
        *(1, RIGHT, "out of plane"),
        (4.420, 12.209, 62.772, 91.626),
    ),
    "20° at 80 %, in plane": (0.25, SLIGHT, "in plane", (3.5330, 22.072, 60.949)),
    "20° at 80 %, out of plane": (0.25, SLIGHT, "out of plane", (3.5335, 21.848, 56.981)),
    "20° at 85 %, in plane": (0.15 / 0.85, SLIGHT, "in plane", (3.5264, 22.118, 61.563)),
    "20° at 85 %, out of plane": (0.15 / 0.85, SLIGHT, "out of plane", (3.5270, 22.036, 59.314)),
}
# Second leg over first: beta L1, in plane. [1]
SHORT_LEG = {0.5: (1.37784, 2.77884, 4.74138), 0.25: (1.56514, 3.90143, 5.83300)}


def bent_line(second: float, angle: float, length: float = LEG) -> np.ndarray:
    """Nodes of two legs; `length` is the first's [m], `second` the other's over it."""
    far = [length * (1 + second * np.cos(angle)), length * second * np.sin(angle), 0]
    return polyline([[0, 0, 0], [length, 0, 0], far], (120, max(30, round(120 * second))))


def exact(second: float, angle: float, plane: str, count: int) -> np.ndarray:
    """Root beta L1 from the closed form."""
    if plane == "in plane":
        return in_plane(second, angle, count)
    return out_of_plane(second, angle, TORSION, count)


def test_bent_beams_vibrate_as_in_the_closed_form(
    report_table: ReportTable, validation: Validation
) -> None:
    rows = []
    for name, (second, angle, plane, roots) in WHOLE.items():
        found = frequencies(slender(bent_line(second, angle)), FREEDOMS[plane], len(roots))
        rows.append(Check(name, beam_number(found, LEG * (1 + second)), roots, WITHIN))
    for second, roots in SHORT_LEG.items():
        found = frequencies(slender(bent_line(second, RIGHT)), FREEDOMS["in plane"], len(roots))
        name = f"right angle, second leg {second:g}, beta L1"
        rows.append(Check(name, np.sqrt(beam_number(found, LEG)), roots, WITHIN))
    hold(report_table, "Bent beams, clamped-free [closed form]", rows)
    validation(
        "beam with one bend: right angle, 20° at 80 and 85 %, in and out of plane",
        "4.687, 12.764, 63.018; 3.533, 22.072, 60.949; 20 more",
        within(c.deviation for c in rows),
        "0.2 %",
        "closed form of two slender legs",
    )


def test_any_other_bend_does_so_too(report_table: ReportTable, validation: Validation) -> None:
    """So that no pair of mistakes hides in right angles and small ones."""
    rows = []
    for second, degrees in ((0.7, 57), (1.3, 128)):
        frame = slender(bent_line(second, np.radians(degrees)))
        for plane, freedoms in FREEDOMS.items():
            found = np.sqrt(beam_number(frequencies(frame, freedoms, 4), LEG))
            roots = exact(second, np.radians(degrees), plane, 4)
            name = f"{degrees}°, second leg {second:g}, {plane}"
            rows.append(Check(name, found, roots, WITHIN / 2))
    hold(report_table, "Other bends, beta L1 [closed form]", rows)
    validation(
        "bends of 57° and 128°, in and out of plane",
        "roots of the closed form",
        within(c.deviation for c in rows),
        "0.1 %",
        "`tests/published/exact_bends.py`",
    )


def test_the_quoted_numbers_are_those_of_the_closed_form() -> None:
    for second, angle, plane, roots in WHOLE.values():
        ours = exact(second, angle, plane, len(roots)) ** 2 * (1 + second) ** 2
        assert ours == pytest.approx(roots, rel=1.5e-4)  # They are quoted to four digits.
    for second, roots in SHORT_LEG.items():
        assert in_plane(second, RIGHT, 3) == pytest.approx(roots, abs=1e-5)


@pytest.mark.parametrize("plane", FREEDOMS)
def test_the_closed_form_without_a_bend_is_the_straight_beam(plane: str) -> None:
    # Thomson, appendix D: clamped-free beta L, here shared between two legs in line.
    straight = np.array([1.8751041, 4.6940911, 7.8547574])
    assert 2 * exact(1.0, 0.0, plane, 3) == pytest.approx(straight, rel=1e-6)


def test_twist_inertia_lowers_the_third_root_out_of_plane(report_table: ReportTable) -> None:
    """20° at 80 %, no shear, no rotary inertia; worked out earlier by another frame [1]."""
    rows = []
    for slimness, third in ((1 / 200, 56.89), (1 / 50, 55.17)):
        length = 20e-3
        line = bent_line(0.25, SLIGHT, 0.8 * length)
        frame = Frame(line, slimness * length, 0.0, METAL, shear=False, rotary=False)
        ours = beam_number(frequencies(frame, [2], 3), length, slimness * length)[2]
        rows.append(Check(f"radius/length 1/{1 / slimness:g}", ours, third, 1e-3))
    hold(report_table, "20° at 80 %, thick rod, third root out of plane [other frame]", rows)
