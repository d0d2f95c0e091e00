"""How far a floating sleeve follows the needle sideways, and the fluid on bare metal in air.

Sources
[1] R. J. Fritz, J Eng Ind 94 (1972) 167 (from memory): masses of fluid between two cylinders,
    m_a = rho pi a² (b²+a²)/(b²-a²), m_b = rho pi b² (b²+a²)/(b²-a²), m_c = 2 rho pi a² b²/(b²-a²).
[2] H. Lamb, Hydrodynamics, 6th ed. 1932, art. 67-68 (from memory): potential flow; between walls
    that move as U cos(theta) the potential is (A r + B/r) cos(theta), pressure -rho d(phi)/dt.
[3] Masses worked out apart from the code: 0.58, 0.51, 0.47 in air and 0.42, 0.345, 0.31 in water
    for sleeves of 0.75/0.95, 0.65/0.85, 0.55/0.75 mm around needles of 1.1, 0.9, 0.75 mm.
[4] G. G. Stokes 1851, a cylinder swinging in a viscous fluid (from memory); with a complex
    viscosity G/(i w) it is an incompressible elastic solid.

`by_pressure` never uses [1]: it solves the flow on both sides of the ring as small linear systems,
adds up the pressure on the ring, and asks for the ring's motion.
Tolerance: [1], [2] rounding; [3] half of the last digit given.
"""

import numpy as np
import pytest
from scipy.special import kv

from tests.published.bars import Check, ReportTable, Validation, hold
from tests.validation import within
from tipsim.motion.sleeve import floating, mobility
from tipsim.motion.water import annulus_factor, clinging_factor, clinging_film, sideways_film
from tipsim.setup.presets import preset
from tipsim.setup.thermal import Press

WATER, SILICONE, CORNEA = 1000.0, 1100.0, 1062.0
SIZES = {"1.1 mm": (0.55, 0.75, 0.2), "0.9 mm": (0.45, 0.65, 0.2), "0.75 mm": (0.375, 0.55, 0.2)}
HAND = {"1.1 mm": (0.58, 0.42), "0.9 mm": (0.508, 0.345), "0.75 mm": (0.47, 0.31)}


def by_pressure(a: float, b: float, c: float, outside: float) -> tuple[float, float]:
    """Motion of the ring over the needle's, and added mass on the needle over rho pi a².

    The needle accelerates with 1, the ring with z. Potentials are per acceleration: pressure is
    -rho phi, and a pressure p cos(theta) on radius r pushes with -pi r p on what it surrounds.
    """

    def potential(z: float) -> tuple[float, float]:
        """A and B of A r + B/r between needle and ring, from the speeds of both walls."""
        walls = np.array([[1, -1 / a**2], [1, -1 / b**2]])
        found = np.linalg.solve(walls, [1.0, z])
        return float(found[0]), float(found[1])

    def force_on_ring(z: float) -> float:
        grow, decay = potential(z)
        inside = -WATER * (grow * b + decay / b)
        # Outside only B/r is left, with the ring's speed at c.
        around = -outside * (-z * c**2 / c)
        return np.pi * b * inside - np.pi * c * around

    # Both forces are straight lines in z: the ring's own mass takes what they leave.
    still, moving = force_on_ring(0.0), force_on_ring(1.0)
    own = SILICONE * np.pi * (c**2 - b**2)
    ring = still / (own - (moving - still))
    grow, decay = potential(ring)
    on_needle = np.pi * a * WATER * (grow * a + decay / a)
    return ring, -on_needle / (WATER * np.pi * a**2)


@pytest.mark.parametrize("size", SIZES)
def test_a_floating_sleeve_follows_by_its_mass(
    size: str, report_table: ReportTable, validation: Validation
) -> None:
    a, b, wall = SIZES[size]
    rows = []
    for (what, rho), hand in zip((("air", 0.0), ("water", WATER)), HAND[size], strict=True):
        ours = float(floating(a, b, wall, WATER, SILICONE, rho))
        theirs, added = by_pressure(a, b, b + wall, rho)
        rows.append(Check(f"in {what}, by potential flow", ours, theirs, 1e-9))
        rows.append(Check(f"in {what}, by masses", ours, hand, 0.005 / hand))
        rows.append(Check("  added mass", float(annulus_factor(a, b, ours)), added, 1e-9))
    hold(report_table, f"Sleeve's motion over the needle's, {size} [Fritz; Lamb]", rows)
    validation(
        f"sideways motion of a floating sleeve over the needle's, {size}, in air and in water",
        ", ".join(f"{h:g}" for h in HAND[size]),
        within(c.deviation for c in rows),
        "rounding; 0.005 for the masses by hand",
        "potential flow solved apart (Lamb, from memory); masses by Fritz 1972 (from memory)",
    )


def test_limits_by_hand() -> None:
    # Silicone without mass in air, a thin gap: ring and needle move as one.
    assert float(floating(0.45, 0.4501, 1e-6, WATER, 0.0, 0.0)) == pytest.approx(1, abs=3e-4)
    # A ring as heavy as lead all through, or far away, stays where it is.
    assert float(floating(0.45, 0.65, 0.2, WATER, 1e9, 0.0)) < 1e-5
    assert float(floating(0.45, 45.0, 0.2, WATER, SILICONE, 0.0)) < 1e-3
    # Nothing but fluid of one density: a massless ring far from the needle is a line drawn in the
    # fluid, whose speed falls with the square of the distance.
    assert float(floating(0.45, 4.5, 1e-9, WATER, WATER, WATER)) == pytest.approx(0.01, rel=1e-4)


def test_fluid_that_clings_in_air(report_table: ReportTable, validation: Validation) -> None:
    """A r + B/r with the needle's speed at a and no pressure at the free surface c."""
    a, rows = 0.45, []
    for c in (0.47, 0.55, 0.95):
        grow, decay = np.linalg.solve([[1, -1 / a**2], [c, 1 / c]], [1.0, 0.0])
        added = -(grow * a + decay / a) / a
        # The fluid slides along the metal with (grow + decay / a²) sin: against its own -1.
        slip = 1 - (grow + decay / a**2)
        rows.append(Check(f"added mass, {c:g} mm", float(clinging_factor(a, c)), added, 1e-12))
        rows.append(Check("  film's share", float(clinging_film(a, c)), slip**2 / 2, 1e-12))
    hold(report_table, "Layer of fluid on bare metal in air [Lamb]", rows)
    assert float(clinging_factor(a, 1e4)) == pytest.approx(1.0)
    assert float(clinging_film(a, 1e4)) == pytest.approx(float(sideways_film(a, None)))
    validation(
        "added mass and film of fluid that clings to bare metal in air",
        "potential flow with a free surface, solved apart",
        within(c.deviation for c in rows),
        "rounding",
        "Lamb 1932 (from memory)",
    )


def test_along_the_needle_in_the_eye() -> None:
    """0 under a load, tissue's mass in the incision, water before it, air behind; by hand."""
    bench = preset("single-bend, torsional").with_(outside="wound")
    assert bench.needle.outer_radius == 0.45e-3
    length = bench.needle.length
    near, far = bench.incision.span
    places = length - np.array([near - 0.5e-3, (near + far) / 2, far + 0.5e-3])
    # m_c 0.7778, m_b 1.2003, silicone 0.33 and outside 0.7225 or 0.7673 [rho pi mm²].
    by_hand = [0.7778 / x for x in (2.2528, 2.2976, 1.5303)]
    assert mobility(bench, places) == pytest.approx(by_hand, rel=1e-3)
    pressed = bench.with_(press=Press(place=near - 0.5e-3, length=0.6e-3))
    assert mobility(pressed, places).tolist() == [0.0, *mobility(bench, places)[1:]]
    one = bench.with_(mobility=0.3)
    assert mobility(one, places).tolist() == [0.3] * 3
    assert mobility(one, np.array([length]))[0] == 1.0  # Bare metal moves as itself.


@pytest.mark.parametrize("modulus", [1e3, 1e4, 3e4])
def test_tissue_that_is_stiff_at_32_khz_changes_it_little(modulus: float) -> None:
    """The incision counts as a medium without stiffness; [4] says what soft tissue would add.

    Up to a shear modulus of 30 kPa at this frequency (resting cornea: a few to some tens of kPa)
    the coupling moves by less than 0.12.
    """
    a, b, wall = (1e-3 * x for x in SIZES["0.9 mm"])
    c, w = b + wall, 2 * np.pi * 32e3
    z = 1j * w * c / np.sqrt(modulus / CORNEA)
    outside = CORNEA * (1 + 4 * kv(1, z) / (z * kv(0, z)))
    gap = b**2 - a**2
    moved = WATER * b**2 * (b**2 + a**2) / gap + SILICONE * (c**2 - b**2) + outside * c**2
    exact = abs(2 * WATER * a**2 * b**2 / gap / moved)
    ours = float(floating(a, b, wall, WATER, SILICONE, CORNEA))
    assert abs(ours - exact) < 0.12
