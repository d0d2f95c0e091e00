"""The deep beam of a published benchmark: natural frequencies and damped forced vibration.

Source
[1] J. Maguire, D. J. Dawswell and L. Gould, Selected Benchmarks for Forced Vibration, NAFEMS R0016
    (1989), tests 5 and 5H; data and reference values read as quoted in the verification manuals of
    two finite-element codes, which agree; the report itself was not seen.
[2] G. R. Cowper, J Appl Mech 33 (1966) 335: kappa of a rectangle, 10(1+nu) / (12+11nu) (from
    memory). With it the reference frequencies of [1] are met to 0.02 %, with 5/6 to 0.4 %.

Beam: 10 m long, 2 m square, E 200 GPa, nu 0.3, 8000 kg/m³. End A holds x, y, z and twist, end B y
and z. Test 5H: 1 MN/m along y over the whole length, harmonic, damping 2 %.

Stand-in: a frame has round sections only. One tube has the area and the second moment of the
square, so with the same E and density it has the same stiffness in length and bending, mass and
rotary inertia; its Poisson's ratio is chosen so that kappa G A is the square's, too. Only torsion
differs, so the two torsional modes of [1] (71.20 and 213.61 Hz) are left out. Ends are held by
springs almost a million times stiffer than the beam. Two per cent of critical damping is a loss
factor of 0.04, exact at resonance. The spread load stands as forces at the nodes.
Tolerance: 0.1 % for frequencies, 0.5 % for the peak; the source gives four digits.
"""

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar

from tests.published.bars import Check, ReportTable, Validation, hold
from tests.validation import within
from tipsim.motion import Frame
from tipsim.motion.sections import cowper
from tipsim.motion.steady import Vibration
from tipsim.setup.material import Material

LENGTH, SIDE = 10.0, 2.0
YOUNG, POISSON, DENSITY = 200e9, 0.3, 8000.0
LOAD, DAMPING = 1e6, 0.02
AREA, SECOND_MOMENT = SIDE**2, SIDE**4 / 12
KAPPA = 10 * (1 + POISSON) / (12 + 11 * POISSON)  # [2]
STEPS = 100
MIDDLE = STEPS // 2
STIFF = 1e16
"""Springs that hold the ends [N/m, N m/rad]; 48 E I / L³ is 1.3e10 N/m."""

BENDING, LENGTHWISE = (42.65, 148.15, 283.47), 125.00  # [1], test 5 [Hz]
PEAK, STRESS, AT = 13.45e-3, 241.9e6, 42.65  # [1], test 5H [m, Pa, Hz]


def radii() -> tuple[float, float]:
    """Outer and inner radius of the tube that has the square's area and second moment [m]."""
    total, wall = 4 * SECOND_MOMENT / AREA, AREA / np.pi
    return float(np.sqrt((total + wall) / 2)), float(np.sqrt((total - wall) / 2))


def beam() -> Frame:
    outer, inner = radii()

    def slide(poisson: float) -> float:
        return float(cowper(inner / outer, poisson)) / (1 + poisson) - KAPPA / (1 + POISSON)

    metal = Material("stand-in", YOUNG, brentq(slide, 0.0, 0.49), DENSITY)
    points = np.outer(np.linspace(0, LENGTH, STEPS + 1), [1, 0, 0])
    springs = {0: STIFF * np.array([1, 1, 1, 1, 0, 0]), STEPS: STIFF * np.array([0, 1, 1, 0, 0, 0])}
    return Frame(points, outer, inner, metal, loss_factor=2 * DAMPING, springs=springs)


def shake(frame: Frame, hertz: float) -> Vibration:
    share = np.full(STEPS + 1, LOAD * LENGTH / STEPS)
    share[[0, -1]] /= 2
    forces = {i: np.array([0, force, 0, 0, 0, 0]) for i, force in enumerate(share)}
    return frame.respond(hertz, forces=forces, fixed=[])


def fibre_stress(vibration: Vibration) -> float:
    """Bending stress amplitude in the outermost fibre of the square at mid-span [Pa]."""
    frame = vibration.frame
    ends = vibration.displacement[MIDDLE : MIDDLE + 2].ravel()
    moment = (1 + 1j * frame.loss_factor) * (frame.segment_stiffness[MIDDLE] @ ends)[5]
    return float(abs(moment)) * (SIDE / 2) / SECOND_MOMENT


def test_the_stand_in_has_the_stiffness_and_mass_of_the_square() -> None:
    frame = beam()
    section, metal = frame.section, frame.material
    assert section.area == pytest.approx(AREA, rel=1e-12)
    assert section.second_moment == pytest.approx(SECOND_MOMENT, rel=1e-12)
    slide = section.shear_coefficient(metal.poisson) * metal.shear
    assert slide == pytest.approx(KAPPA * YOUNG / (2 * (1 + POISSON)), rel=1e-12)


def test_natural_frequencies_of_the_deep_beam(
    report_table: ReportTable, validation: Validation
) -> None:
    sideways, lengthwise = [], []
    for f, shape in beam().modes(12, fixed=[]):
        along, across, twist = shape[:, 0], shape[:, 1:3], SIDE * shape[:, 3]
        most = np.argmax([np.abs(u).max() for u in (along, across, twist)])
        (lengthwise, sideways, [])[most].append(f)
    # Bending comes twice, in two planes that the eigen solver is free to choose.
    rows = [
        Check("bending, Hz", sideways[: 2 * len(BENDING) : 2], BENDING, 1e-3),
        Check("length, Hz", lengthwise[0], LENGTHWISE, 1e-3),
    ]
    hold(report_table, "Deep simply supported beam [NAFEMS R0016, test 5]", rows)
    validation(
        "deep beam, natural frequencies (NAFEMS 5)",
        "42.65, 148.15, 283.47 and 125.00 Hz",
        within(c.deviation for c in rows),
        "0.1 %",
        "NAFEMS R0016, as quoted in verification manuals (secondary)",
    )


def test_peak_of_the_damped_forced_vibration(
    report_table: ReportTable, validation: Validation
) -> None:
    frame = beam()
    found = minimize_scalar(
        lambda f: -abs(shake(frame, f).displacement[MIDDLE, 1]), bounds=(40, 45), method="bounded"
    )
    peak = shake(frame, found.x)
    rows = [
        Check("peak at, Hz", found.x, AT, 5e-3),
        Check("peak at mid-span, mm", -found.fun * 1e3, PEAK * 1e3, 5e-3),
        Check("stress at mid-span, MPa", fibre_stress(peak) / 1e6, STRESS / 1e6, 5e-3),
    ]
    hold(report_table, "Deep beam, damped forced vibration [NAFEMS R0016, test 5H]", rows)
    validation(
        "deep beam, damped forced vibration (NAFEMS 5H)",
        "42.65 Hz, 13.45 mm, 241.9 MPa",
        f"{found.x:.2f} Hz, {-found.fun * 1e3:.2f} mm, {fibre_stress(peak) / 1e6:.1f} MPa",
        "0.5 %",
        "NAFEMS R0016, as quoted in verification manuals (secondary)",
    )
