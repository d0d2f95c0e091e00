"""Pressure that a moving needle makes in its fluid, against other ways to work it out.

Sources
[1] Laplace's equation in the annulus by finite differences on a polar grid, solved here: second
    order, Richardson's extrapolation not needed at the grid used.
[2] H. Lamb, Hydrodynamics, 6th ed.: a cylinder in open fluid makes rho w² x a at its side
    (section 68), a plate of half width c rho w² x c in its middle (section 71); from memory.
[3] Fritz 1972 (see tests/published/test_water.py): the force on the inner cylinder; the pressure
    summed over its surface must give the added mass.
[4] T. G. Leighton, The Acoustic Bubble (1994): Blake's threshold, from memory.
[5] P. Zacharias and C.-D. Ohl 2013, J. Cataract Refract. Surg. (abstract): cavitation first seen at
    60 % power (longitudinal) and 80 % (torsional), suppressed by 1.0 and 0.3 bar.
"""

import numpy as np
import pytest
from scipy.sparse import coo_array
from scipy.sparse.linalg import spsolve

from tests.published.bars import Check, ReportTable, Validation, hold
from tests.validation import within
from tipsim.motion.annulus import stirred, wall_pressure
from tipsim.motion.cavitation import tip_pressure
from tipsim.motion.run import run
from tipsim.setup.hub import Hub
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.solve import solve

W = 2 * np.pi * 32e3
RHO = 1000.0
CASES = [(0.45, 0.65, 0.0), (0.45, 0.65, 0.48), (0.375, 0.55, 0.3), (0.55, 0.75, 0.58)]


def potential(a: float, b: float, zeta: float, rings: int = 200, spokes: int = 96) -> np.ndarray:
    """Solve Laplace's equation between two circles that move by 1 and zeta [1]; (rings, spokes).

    Cells in r and theta; what flows through both walls is given.
    """
    h, turn = (b - a) / rings, 2 * np.pi / spokes
    r = a + (np.arange(rings) + 0.5) * h
    theta = np.arange(spokes) * turn
    i, j = np.meshgrid(np.arange(rings), np.arange(spokes), indexing="ij")
    cell = (i * spokes + j).ravel()
    rows, columns, values = [], [], []
    right = np.zeros(rings * spokes)
    for step, face in ((1, a + (i + 1) * h), (-1, a + i * h)):
        there = i + step
        inside = ((there >= 0) & (there < rings)).ravel()
        share = (face * turn / h).ravel()
        rows += [cell[inside], cell[inside]]
        columns += [cell[inside], (there * spokes + j).ravel()[inside]]
        values += [-share[inside], share[inside]]
    for step in (1, -1):
        share = (h / (r[i] * turn)).ravel()
        rows += [cell, cell]
        columns += [cell, (i * spokes + (j + step) % spokes).ravel()]
        values += [-share, share]
    # Out of the cell through the walls: -d(phi)/dr inside, +d(phi)/dr outside.
    right[:spokes] += a * turn * np.cos(theta)
    right[-spokes:] -= b * turn * zeta * np.cos(theta)
    matrix = coo_array(
        (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns)))
    ).tolil()
    matrix[0, :] = 0
    matrix[0, 0], right[0] = 1.0, 0.0
    # One value is free; the mean is taken out.
    phi = spsolve(matrix.tocsc(), right).reshape(rings, spokes)
    return np.asarray(phi - phi.mean())


def at_walls(phi: np.ndarray, a: float, b: float, zeta: float) -> tuple[float, float]:
    """First harmonic of the potential at both walls, half a cell from the nearest ring."""
    rings, spokes = phi.shape
    theta = 2 * np.pi * np.arange(spokes) / spokes
    first = 2 / spokes * phi @ np.cos(theta)
    half = (b - a) / rings / 2
    return float(first[0] - half), float(first[-1] + half * zeta)


def test_pressure_in_an_annulus(report_table: ReportTable, validation: Validation) -> None:
    rows, x = [], 10e-6
    for a, b, zeta in CASES:
        walls = at_walls(potential(a, b, zeta), a, b, zeta)
        theirs = RHO * W**2 * x * 1e-3 * max(abs(w) for w in walls)
        ours = float(wall_pressure(RHO, W, x, a * 1e-3, b * 1e-3, zeta))
        rows.append(Check(f"a {a}, b {b} mm, mobility {zeta}", ours, theirs, 2e-3))
    hold(report_table, "Pressure in the annulus, Pa [Laplace by finite differences]", rows)
    validation(
        "pressure amplitude between needle and sleeve, four gaps and mobilities",
        "Laplace's equation by finite differences",
        within(r.deviation for r in rows),
        "0.2 %",
        "worked out in the test",
    )


def test_pressure_around_the_needle_is_its_added_mass() -> None:
    """[3]: p(a) cos(theta) over the surface, times cos(theta), is mass times acceleration."""
    a, b, x = 0.45e-3, 0.65e-3, 10e-6
    theta = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    peak = float(wall_pressure(RHO, W, x, a, b))
    force = (peak * np.cos(theta) ** 2).mean() * 2 * np.pi * a
    mass = RHO * np.pi * a**2 * (b**2 + a**2) / (b**2 - a**2)
    assert force == pytest.approx(mass * W**2 * x, rel=1e-9)


def test_pressure_at_the_tip_in_open_fluid() -> None:
    """[2], by hand: 130 µm sideways at 32 kHz, 90 µm lengthwise at 40 kHz."""
    swinging = Scenario.preset("counter-bent, torsional").with_(power=0.5)
    motion = run(swinging)
    t = motion.frame.node_tangent[-1]
    u = motion.displacement[-1, :3]
    aside = np.linalg.norm(np.abs(u - (u @ t) * t))
    assert tip_pressure(swinging, motion) == pytest.approx(RHO * W**2 * aside * 0.45e-3, rel=1e-3)
    pushing = Scenario.preset("straight, axial")
    motion = run(pushing)
    wall = pushing.needle.outer_radius - pushing.needle.inner_radius
    by_hand = RHO * (2 * np.pi * 40e3) ** 2 * motion.end_stroke / 2 * wall / 2
    assert tip_pressure(pushing, motion) == pytest.approx(by_hand, rel=1e-6)


def beside_the_end(cells: int, reach: int = 8, back: int = 8, front: int = 6) -> tuple:
    """Pressure at the side of a solid cylinder that ends at z = 0, over that of an endless one.

    phi = f(r, z) cos(theta) [1], lengths in radii, f = 0 far out; returns z and the pressure there.
    """
    h = 1 / cells
    r, z = (
        (np.arange(reach * cells) + 0.5) * h,
        -back + (np.arange((back + front) * cells) + 0.5) * h,
    )
    fluid = ~((r[:, None] < 1) & (z[None, :] < 0))
    number_of = np.full(fluid.shape, -1)
    number_of[fluid] = np.arange(fluid.sum())
    i, j = np.nonzero(fluid)
    own, right = -(h**2) / r[i], np.zeros(len(i))
    rows, columns, values = [], [], []
    for di, dj in ((1, 0), (-1, 0), (0, 1), (0, -1)):
        near = (i + di).clip(0, len(r) - 1), (j + dj).clip(0, len(z) - 1)
        face = (i + (di == 1)) * h if di else r[i]
        inside = (i + di >= 0) & (i + di < len(r)) & (j + dj >= 0) & (j + dj < len(z))
        joined = inside & fluid[near]
        rows.append(np.flatnonzero(joined))
        columns.append(number_of[near][joined])
        values.append(face[joined])
        own[joined] -= face[joined]
        own[(i + di == len(r)) | (j + dj == len(z))] -= (
            2 * face[(i + di == len(r)) | (j + dj == len(z))]
        )
        if di == -1:
            right[inside & ~joined] += (h * face)[inside & ~joined]
    rows.append(np.arange(len(i)))
    columns.append(np.arange(len(i)))
    values.append(own)
    matrix = coo_array((np.concatenate(values), (np.concatenate(rows), np.concatenate(columns))))
    f = np.zeros(fluid.shape)
    f[fluid] = spsolve(matrix.tocsc(), right)
    return z[z < 0], h / 2 - f[cells, z < 0]


def test_at_the_end_itself_about_half_is_left(report_table: ReportTable) -> None:
    """What `tip_pressure` leaves out: at most a factor of two, so onset stays far below 80 %."""
    z, share = beside_the_end(10)
    places = np.array([-4.0, -1.0, -0.5, -0.1])
    found = np.interp(places, z, share)
    report_table(
        "Pressure beside the end of a cylinder over that of an endless one",
        [f"{-p:g} radii from the end: {s:.2f}" for p, s in zip(places, found, strict=True)],
    )
    assert found[0] == pytest.approx(1.0, abs=0.05)
    assert found[1] == pytest.approx(0.83, abs=0.04)
    assert 0.45 < found[3] < 0.6


@pytest.mark.parametrize(("radius", "beyond"), [(1e-6, 43e3), (0.2e-6, 260e3)])
def test_the_tension_is_blake_s(radius: float, beyond: float) -> None:
    """[4], with the surface tension of water: what the number's source says of its range."""
    surface, p0 = 0.0725, 101.3e3
    root = np.sqrt(3 * surface / (2 * radius**3 * (p0 + 2 * surface / radius)))
    assert 8 * surface / 9 * root == pytest.approx(beyond, rel=0.03)
    assert f"{beyond / 1e3:.0f} kPa" in number("cavitation.tension").source


def test_the_tension_that_the_published_onsets_ask_for() -> None:
    """[5]: pressure goes with power, p(onset) = p0 + T and p(full) = p0 + T + suppression."""
    p0 = number("cavitation.ambient").si
    tension = number("cavitation.tension")
    low, high = (tension.unit.to_si(v) for v in (tension.low, tension.high))
    for onset, suppressed, said in ((0.6, 1.0e5, 49e3), (0.8, 0.3e5, 19e3)):
        full = suppressed / (1 - onset)
        asked = onset * full - p0
        assert asked == pytest.approx(said, abs=2e3)
        assert low <= asked <= high


def test_onset_against_what_was_seen(report_table: ReportTable) -> None:
    """[5], honestly: lengthwise hit at the assumed tension, sideways far off.

    Where it is off, the sentence about bubbles errs to the side of caution.
    """
    rows = []
    found = {}
    for name, seen in (("straight, axial", 0.6), ("single-bend, torsional", 0.8)):
        scenario = Scenario.preset(name)
        found[name] = [
            solve(scenario.with_(**{"ceilings.tension": t}))["cavitation.tip_onset"]
            for t in (0.0, 40e3, 300e3)
        ]
        each = ", ".join(f"{v:.0%}" for v in found[name])
        rows.append(f"{name}: seen from {seen:.0%} on, computed {each} at 0, 40 and 300 kPa")
    report_table("Power at which bubbles begin at the tip", rows)
    # Hit within 15 points of power, as far as power displayed stands for stroke; then missed.
    assert found["straight, axial"][1] == pytest.approx(0.6, abs=0.15)
    assert found["single-bend, torsional"][1] < 0.3


def test_the_shaft_of_the_first_pair(report_table: ReportTable) -> None:
    """With a coupling of 0.48, a rigid hub and a bench in air, as the first version had it."""
    made = {}
    for shape in ("single-bend", "counter-bent"):
        bench = Scenario.preset(f"{shape}, torsional").with_(mobility=0.48, hub=Hub("rigid"))
        motion = run(bench)
        film = stirred(bench, motion.vibration)
        shaft = film.from_tip >= bench.needle.length - bench.needle.first_bend - 1e-12
        x = motion.sideways_stroke[: len(film.from_tip)] / 2
        a = bench.needle.radii_at(motion.frame.s[: len(x)])[0]
        gap = 0.2e-3
        b = np.maximum(a + gap, 0.65e-3)
        by_hand = RHO * W**2 * x * a * (b**2 + a**2 - 0.96 * b**2) / (b**2 - a**2)
        made[shape] = float(film.pressure[shaft].max())
        assert made[shape] >= by_hand[shaft].max() * (1 - 1e-9)
        assert solve(bench)["cavitation.shaft"] == pytest.approx(made[shape])
    report_table("Pressure along the shaft, MPa", [f"{k}: {v / 1e6:.2f}" for k, v in made.items()])
    assert made["single-bend"] > 3 * made["counter-bent"]
