"""Water that moves with a needle: added mass, viscous films, viscosity.

Sources
[1] G. G. Stokes 1851; Encyclopaedia Britannica 1911 (read); Fritz, J Eng Ind 94 (1972) 167 (from
    memory): a cylinder of radius a inside a still one of radius b moves rho pi a² (b²+a²)/(b²-a²)
    of water with it, without friction and for small motion.
[2] G. G. Stokes 1851, a cylinder swinging sideways in open viscous water, exact for small motion:
    force per length -i w rho pi a² U (1 + 4 K1(x) / (x K0(x))), x = a sqrt(i w / nu) (from memory).
    The same equation solved for a cylinder that slides along itself, -2 pi mu x K1/K0 U, or turns
    about itself, torque -2 pi mu a² (x K0/K1 + 2) W, and for the water inside a tube with I0 and
    I1 for K (worked out here; any text on viscous flow).
[3] Viscosity of water: 1.002, 0.890, 0.653 mPa s at 20, 25, 40 °C (handbooks, from memory).

Normalisation: time as exp(+i w t); forces per displacement and per length of needle.
Tolerance: [1] 1 %. [2] the layer form is the first term for thin layers; what it leaves out is of
the order of the layer's thickness sqrt(2 nu / w) over a, 0.66 % at 32 kHz and 0.45 mm, so that
much for the drag (three times as much for a turning wall); the added mass has no term of that
order, so its square; and the error must shrink as the layer does when the frequency rises.
[3] 2.5 %, as the fit promises.
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import ive, kve

from tests.published.bars import (
    METAL,
    RADIUS,
    Check,
    ReportTable,
    Validation,
    frequencies,
    hold,
    slender,
)
from tests.validation import within
from tipsim.motion import Frame, Surroundings
from tipsim.motion.assembly import coverage, water_around
from tipsim.motion.water import annulus_factor
from tipsim.setup.flow import water_viscosity
from tipsim.setup.presets import preset
from tipsim.setup.scenario import Scenario

LENGTH = 1e3 * RADIUS
FACTORS = {(0.45, 0.55): 5.05, (0.45, 0.65): 2.841, (0.45, 0.85): 1.779, (0.45, 4500.0): 1.0}
WATER = 1000.0  # kg/m³


def bench(**sleeve: float) -> Scenario:
    """The straight 0.9 mm needle in its sleeve, with changes to the sleeve (SI)."""
    base = preset("straight, torsional").with_(outside="chamber")
    assert base.sleeve is not None
    return replace(base, sleeve=replace(base.sleeve, **sleeve))


def test_added_mass_in_a_sleeve(report_table: ReportTable, validation: Validation) -> None:
    """As a formula, and as what a beam in that water loses in frequency."""
    rows = []
    line = np.outer(np.linspace(0, LENGTH, 61), [1.0, 0, 0])
    displaced = WATER * np.pi * RADIUS**2
    metal = METAL.density * np.pi * RADIUS**2
    dry = frequencies(slender(line), [1, 2], 6)
    for (a, b), published in FACTORS.items():
        factor = float(annulus_factor(a, b))
        rows.append(Check(f"factor, {a:g} mm in {b:g} mm", factor, published, 1e-2))
        frame = slender(line, around=Surroundings(sideways_mass=displaced * factor))
        wet = frequencies(frame, [1, 2], 6)
        felt = ((dry / wet) ** 2 - 1) * metal / displaced
        rows.append(Check("  by the drop of bending modes 1 to 3", felt[::2], published, 1e-2))
    hold(report_table, "Added mass in a sleeve over displaced water [Stokes; Fritz 1972]", rows)
    validation(
        "added mass in an annulus, by formula and by the drop of frequencies",
        "5.05, 2.841, 1.779, 1 times the displaced fluid",
        within(c.deviation for c in rows),
        "1 %",
        "Stokes; Fritz 1972 (from memory)",
    )


@pytest.mark.parametrize(("b", "published"), [(0.55, 5.05), (0.65, 2.841), (0.85, 1.779)])
def test_the_bench_gives_a_needle_the_water_of_its_own_sleeve(b: float, published: float) -> None:
    scenario = bench(inner_radius=b * 1e-3, mobility=0.0)
    bore = WATER * np.pi * 0.3e-3**2
    displaced = WATER * np.pi * 0.45e-3**2
    inside, outside = scenario.sleeve_end - 1e-6, scenario.sleeve_end + 1e-6
    around = water_around(coverage(scenario, np.array([5.1e-3, inside, outside])))
    assert scenario.fluid.density == WATER
    factor = (np.asarray(around.sideways_mass) - bore) / displaced
    assert factor == pytest.approx([published, published, 1.0], rel=1e-2)


def test_a_sleeve_that_swims_along_carries_less_water() -> None:
    """m_a - zeta m_c of the design; at zeta = m_a / m_c nothing is left to move."""
    ratio = (0.45**2 + 0.65**2) / (2 * 0.65**2)
    assert float(annulus_factor(0.45, 0.65, ratio)) == pytest.approx(0.0, abs=1e-12)
    half = (annulus_factor(0.45, 0.65) + annulus_factor(0.45, 0.65, 0.6)) / 2
    assert annulus_factor(0.45, 0.65, 0.3) == pytest.approx(half, rel=1e-12)


def test_water_leaves_motion_in_length_and_twist_alone() -> None:
    line = np.outer(np.linspace(0, LENGTH, 41), [1.0, 0, 0])
    dry, wet = (
        Frame(line, LENGTH / 10, 0.0, METAL, around=Surroundings(sideways_mass=m))
        for m in (0.0, 5e-3)
    )
    for freedom in (0, 3):
        load = np.zeros(6)
        load[freedom] = 1.0
        ends = [f.respond(20e3, forces={-1: load}).displacement[-1, freedom] for f in (dry, wet)]
        assert ends[1] == pytest.approx(ends[0], rel=1e-12)


def per_length(scenario: Scenario, frequency: float) -> dict[str, complex]:
    """What the frame of this needle adds for water, per length of shaft outside the sleeve.

    Force that moves one end of a short piece with the bench's water, less the dry piece's: each
    end has half of the water. Sideways and along [N/m²], twist [N].
    """
    place = np.array([scenario.sleeve_end + 1e-4])
    outer, inner = (float(r[0]) for r in scenario.needle.radii_at(place))
    length = 1e-3
    wet, dry = (
        Frame([[0, 0, 0], [length, 0, 0]], outer, inner, METAL, around=around)
        for around in (water_around(coverage(scenario, place)), None)
    )
    out = {}
    for way, base, freedom in (("along", "x", 0), ("sideways", "y", 1), ("twist", "rx", 3)):
        force = [
            f.respond(frequency, base={base: 1.0}, fixed=[0, 1]).reaction[0, freedom]
            for f in (wet, dry)
        ]
        out[way] = (force[0] - force[1]) / (length / 2)
    return out


def exact(scenario: Scenario, frequency: float) -> dict[str, complex]:
    """The same from [2]; fluid in the bore moves sideways with the needle as one."""
    nu = scenario.fluid.viscosity / scenario.fluid.density
    mu, rho = scenario.fluid.viscosity, scenario.fluid.density
    a, c = scenario.needle.outer_radius, scenario.needle.inner_radius
    w = 2 * np.pi * frequency
    x, y = a * np.sqrt(1j * w / nu), c * np.sqrt(1j * w / nu)
    # Scaled Bessel functions: the scale falls out of each ratio.
    k, i = kve(1, x) / kve(0, x), ive(1, y) / ive(0, y)
    swing = 1j * w * rho * np.pi * a**2 * (1 + 4 * k / x) + 1j * w * rho * np.pi * c**2
    slide = 2 * np.pi * mu * (x * k + y * i)
    turn = 2 * np.pi * mu * (a**2 * (x / k + 2) + c**2 * (y / i - 2))
    return {"sideways": 1j * w * swing, "along": 1j * w * slide, "twist": 1j * w * turn}


def test_films_against_the_exact_cylinder(
    report_table: ReportTable, validation: Validation
) -> None:
    scenario, f = bench(), 32e3
    nu = scenario.fluid.viscosity / scenario.fluid.density
    thin = np.sqrt(nu / (np.pi * f)) / scenario.needle.outer_radius
    assert thin == pytest.approx(0.0066, abs=1e-4)
    ours, theirs = per_length(scenario, f), exact(scenario, f)
    a2 = WATER * np.pi * scenario.needle.outer_radius**2 * (2 * np.pi * f) ** 2
    c2 = WATER * np.pi * scenario.needle.inner_radius**2 * (2 * np.pi * f) ** 2
    rows = [
        Check(
            "sideways, added mass over displaced water",
            (-ours["sideways"].real - c2) / a2,
            (-theirs["sideways"].real - c2) / a2,
            thin**2,
        ),
        Check("sideways, drag, N/m²", ours["sideways"].imag, theirs["sideways"].imag, thin),
        Check("along, drag, N/m²", ours["along"].imag, theirs["along"].imag, thin),
        Check("along, mass, N/m²", ours["along"].real, theirs["along"].real, thin**2),
        # Outside a turning wall the flow curves away from it: three times the first-order term.
        Check("turning, drag, N", ours["twist"].imag, theirs["twist"].imag, 3 * thin),
        Check("turning, mass, N", ours["twist"].real, theirs["twist"].real, 3 * thin**2),
    ]
    hold(report_table, "Viscous films, open water, 32 kHz, 0.45 mm [Stokes 1851, exact]", rows)
    validation(
        "viscous film on a needle at 32 kHz: drag and mass, three ways of moving",
        "exact oscillating cylinder (Bessel functions)",
        within(c.deviation for c in rows),
        "first order in layer over radius, 0.7 to 2 %",
        "Stokes 1851 (from memory)",
    )


@pytest.mark.parametrize(
    ("way", "ratio"),
    # Along itself the first-order terms of the outside and of the bore cancel: one more order.
    [("sideways", 2.0), ("twist", 2.0), ("along", 4.0)],
)
def test_the_film_s_error_shrinks_as_the_layer_does(way: str, ratio: float) -> None:
    """At four times the frequency the layer is half as thick."""
    scenario = bench()
    errors = [
        abs(per_length(scenario, f)[way].imag / exact(scenario, f)[way].imag - 1)
        for f in (32e3, 128e3)
    ]
    assert errors[0] / errors[1] == pytest.approx(ratio, rel=0.03)


def test_the_film_takes_energy_out() -> None:
    """Drag in phase with velocity, layer's mass with the sign of a mass."""
    for value in per_length(bench(), 32e3).values():
        assert value.imag > 0 > value.real


def test_viscosity_of_water(report_table: ReportTable, validation: Validation) -> None:
    handbook = {20: 1.002, 25: 0.890, 40: 0.653}
    rows = [
        Check(f"{t} °C, mPa s", water_viscosity(t + 273.15) * 1e3, v, 0.025)
        for t, v in handbook.items()
    ]
    hold(report_table, "Viscosity of water [handbooks]", rows)
    validation(
        "viscosity of water at 20, 25, 40 °C",
        "1.002, 0.890, 0.653 mPa s",
        within(c.deviation for c in rows),
        "2.5 %",
        "handbooks (from memory)",
    )
