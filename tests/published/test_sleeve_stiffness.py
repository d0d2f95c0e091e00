"""What the sleeve's own stiffness and its end at the handpiece would change: less than 1 %.

Source: two beams joined by fluid masses, written apart from the model (`sleeve_beam.py`); silicone
of 0.5 to 8 MPa (tables of PMC11019708 and PMC10452793 and a factor for frequency). Tolerance: 1 %.
Slender beams without films on a rigid hub: strokes differ from the model's, their change does not.
"""

from dataclasses import replace

import numpy as np
import pytest

from tests.published.bars import Check, ReportTable, Validation, hold
from tests.published.sleeve_beam import Coupled, Tube, tip
from tests.validation import within
from tipsim.motion.assembly import assemble
from tipsim.setup.presets import preset
from tipsim.setup.scenario import Scenario

MODULI = (0.5e6, 2e6, 8e6)
OUTSIDE = {"air": 0.0, "chamber": 1000.0}
SLEEVE_LOSS = 0.1
STEP = 0.1e-3


def coupled(bench: Scenario, modulus: float) -> tuple[Coupled, int]:
    """The masses of needle, fluid and silicone, by the formulas of Fritz and of round sections."""
    frame = assemble(bench)
    points = frame.points[:, :2]
    s = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    middle = (s[1:] + s[:-1]) / 2
    a, c = bench.needle.radii_at(middle)
    assert bench.sleeve is not None
    gap = bench.sleeve.inner_radius - bench.needle.outer_radius
    b = np.maximum(a + gap, bench.sleeve.inner_radius)
    d = b + bench.sleeve.wall
    inside = middle < bench.sleeve_end
    metal, water, silicone = bench.needle.material.density, 1000.0, 1100.0
    bare = (0.0 if bench.outside.kind == "air" else water) * np.pi * a**2
    if bench.outside.kind == "air":  # A film of 0.1 mm clings to the metal.
        e = a + 0.1e-3
        bare = water * np.pi * a**2 * (e**2 - a**2) / (e**2 + a**2)
    clear = b**2 - a**2
    both = water * np.pi * 2 * a**2 * b**2 / clear
    on_sleeve = (
        water * np.pi * b**2 * (b**2 + a**2) / clear
        + silicone * np.pi * (d**2 - b**2)
        + OUTSIDE[bench.outside.kind] * np.pi * d**2
    )
    own = metal * np.pi * (a**2 - c**2) + water * np.pi * c**2
    cross = metal * np.pi / 4 * (a**4 - c**4)
    material = bench.needle.material
    return Coupled(
        points,
        Tube(a, c, material.young, material.poisson, bench.loss_factor),
        Tube(d, b, modulus, 0.49, SLEEVE_LOSS),
        own,
        2 * cross,
        cross,
        np.where(inside, water * np.pi * a**2 * (b**2 + a**2) / clear, bare),
        np.where(inside, on_sleeve, 0.0),
        np.where(inside, both, 0.0),
    ), int(inside.sum())


@pytest.mark.parametrize("kind", OUTSIDE)
def test_silicone_s_stiffness_hardly_moves_the_tip(
    kind: str, report_table: ReportTable, validation: Validation
) -> None:
    rows = []
    for shape in ("single-bend", "counter-bent"):
        bench = preset(f"{shape}, torsional").with_(outside=kind, spacing=STEP)
        angular, twist = 2 * np.pi * bench.drive.frequency, bench.drive.twist_stroke / 2
        base, sleeved = coupled(bench, MODULI[0])
        by_mass = tip(base, sleeved, twist, angular, follows=True)
        for modulus in MODULI:
            bench_of, sleeved = coupled(bench, modulus)
            stiff = tip(bench_of, sleeved, twist, angular, follows=False)
            name = f"{shape}, {modulus / 1e6:g} MPa, µm"
            rows.append(Check(name, by_mass * 2e6, stiff * 2e6, 0.01))
    hold(report_table, f"Tip, sleeve by its mass against sleeve as a beam, {kind}", rows)
    validation(
        f"tip of the default pair, sleeve by its mass alone against a beam of silicone, {kind}",
        "coupled beams, 0.5, 2 and 8 MPa",
        within(c.deviation for c in rows),
        "1 %",
        "two beams joined by fluid masses (Fritz 1972, from memory), calculated apart",
    )


def test_a_sleeve_of_steel_stands_still() -> None:
    """The check of the check: a stiff beam holds the fluid as a rigid wall would (m_a alone)."""
    bench = preset("counter-bent, torsional").with_(spacing=STEP)
    angular, twist = 2 * np.pi * bench.drive.frequency, bench.drive.twist_stroke / 2
    stiff, sleeved = coupled(bench, 1e14)
    held = replace(stiff, between=np.zeros_like(stiff.between))
    rigid = tip(held, sleeved, twist, angular, follows=True)
    assert tip(stiff, sleeved, twist, angular, follows=False) == pytest.approx(rigid, rel=1e-3)
    floating = tip(stiff, sleeved, twist, angular, follows=True)
    assert floating != pytest.approx(rigid, rel=0.02)
