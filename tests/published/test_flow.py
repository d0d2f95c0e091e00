"""Where the fluid goes, against hydrostatics, laminar flow's closed forms and clinical studies.

Sources
[1] Hydrostatics: 1 cm of water is 98.0665 Pa, 1 mmHg is 133.322387415 Pa (definitions).
[2] Poiseuille's tube; the concentric annulus and its thin-gap limit 12 mu L / (2 pi r h³) (any text
    on viscous flow). A trade article of 2006 says that a needle of 1.1 mm lets more than twice as
    much through as one of 0.9 mm: (1.1/0.9)⁴ = 2.23.
[3] Bernoulli: a loss-free jet, sqrt(2 dp / rho).
[4] Chamber of 0.25 mL; at 40 mL/min exchanged 160 times a minute (teaching page 2020).
[5] Liyanage et al. 2009, J Cataract Refract Surg 35:1003-1005 (abstract): 67 ± 11 % of the
    irrigation of a whole operation leaked from the wounds.
[6] Kaji et al. 2012, Graefes Arch Clin Exp Ophthalmol (abstract): 342 ± 131 mm/s is the peak speed
    in the chamber, flow only, pig eye.
[7] Clin Ophthalmol 2025;19:1357-1364, DOI 10.2147/OPTH.S516801 (abstract): the volume of a surge
    grows with the vacuum limit and falls with the chamber's pressure, at 300 to 650 mmHg and 30 to
    80 mmHg.
[8] A linear circuit of resistances, inertias and gives: the matrix exponential; a vacuum that a
    constant flow builds: a straight line, then exp(-t / RC).
[9] Oshika et al. 1999, J Cataract Refract Surg 25:873-875 (read): an iris was sucked in at 300
    mmHg, 28 mL/min, bottle 70 cm; the settings were then reduced to 180 mmHg and 22 mL/min. One
    case.

Tolerance: [1] to [4] and [8] exact but for rounding and the solver's tolerance. [5] and [6] are
bands of patients and eyes; [7] and [9] are orders.
"""

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.linalg import expm
from scipy.optimize import brentq

from tests.published.bars import Validation
from tipsim.flow.balance import balance, leak_conductance
from tipsim.flow.circuit import Circuit, bottle_pressure, circuit
from tipsim.flow.path import Path, annulus, hole, tube
from tipsim.flow.surge import run_circuit, surge
from tipsim.setup.flow import Flow, Trial
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.units import CM_WATER, ML_MIN, MMHG, UL_MMHG

Report = Callable[[str, list[str]], None]
BENCH = Scenario.preset("single-bend, torsional")


def test_pressure_of_a_centimetre(validation: Validation) -> None:
    """[1]."""
    one = bottle_pressure(Flow(0.0, 0.0, bottle_height=0.01), 1000.0)
    assert one == pytest.approx(CM_WATER.to_si(1), rel=1e-12)
    assert one / MMHG.to_si(1) == pytest.approx(0.7356, abs=5e-5)
    still = balance(BENCH, Flow(0.0, 0.0))
    assert still.chamber_pressure == pytest.approx(MMHG.to_si(90 * 0.735559), rel=1e-5)
    validation(
        "pressure of a column",
        "0.7356 mmHg/cm",
        f"{one / MMHG.to_si(1):.5f} mmHg/cm",
        "0.00005",
        "definitions",
    )


def test_bores(report_table: Report, validation: Validation) -> None:
    """[2] The ratio of two bores, and a cone as many short tubes."""
    ratio = tube(1e-3, 0.02, 0.45e-3).linear / tube(1e-3, 0.02, 0.55e-3).linear
    assert ratio == pytest.approx((1.1 / 0.9) ** 4, rel=1e-12)
    assert round(ratio, 2) == 2.23
    cone = tube(1e-3, 0.02, 0.3e-3, 0.6e-3).linear
    edges = np.linspace(0.3e-3, 0.6e-3, 20001)
    slices = sum(tube(1e-3, 1e-6, r).linear for r in ((edges[1:] + edges[:-1]) / 2).tolist())
    assert cone == pytest.approx(slices, rel=1e-8)
    narrow, wide = (circuit(Scenario.preset(f"straight-{d}, axial")) for d in ("0.9", "1.1"))
    ours = (narrow.mouth + narrow.bore).flow(4e4) / (wide.mouth + wide.bore).flow(4e4)
    report_table(
        "Bores: flow of 1.1 over 0.9",
        [
            f"outer diameters, laminar: {ratio:.3f} (2.23)",
            (f"our needles by their bores, laminar: {narrow.bore.linear / wide.bore.linear:.2f}"),
            f"our needles with their inlets, at 300 mmHg over the needle alone: {1 / ours:.2f}",
        ],
    )
    bores = [2e3 * Scenario.preset(f"straight-{d}, axial").needle.inner_radius for d in (0.9, 1.1)]
    by_bores = (bores[1] / bores[0]) ** 4
    assert narrow.bore.linear / wide.bore.linear == pytest.approx(by_bores, rel=0.02)
    validation(
        "flow of bores 1.1 : 0.9, laminar",
        "2.23",
        f"{ratio:.3f} (our needles with inlets at 300 mmHg: {1 / ours:.2f})",
        "exact for the formula",
        "Poiseuille; trade article 2006",
    )


def test_the_gap_in_the_sleeve(validation: Validation) -> None:
    """[2] Against the velocity profile, integrated; and the thin-gap limit."""
    mu, a, b = 0.9e-3, 0.45e-3, 0.65e-3
    r = np.linspace(a, b, 200_001)
    # For a pressure gradient of 1; no slip at both walls.
    u = (b**2 - r**2 + (b**2 - a**2) * np.log(r / b) / np.log(b / a)) / (4 * mu)
    assert u[0] == pytest.approx(0, abs=1e-12) and u[-1] == pytest.approx(0, abs=1e-12)
    flow = np.trapezoid(2 * np.pi * r * u, r)
    assert annulus(mu, 1.0, a, b).linear == pytest.approx(1 / flow, rel=1e-8)
    for gap, rel in ((1e-2, 1e-4), (1e-3, 1e-6)):
        thin = 12 * mu / (2 * math.pi * (1 + gap / 2) * gap**3)
        assert annulus(mu, 1.0, 1.0, 1 + gap).linear == pytest.approx(thin, rel=rel)
    assert annulus(mu, 1.0, 1e-30, b).linear == pytest.approx(tube(mu, 1.0, b).linear, rel=0.02)
    validation(
        "laminar annulus",
        "integrated profile; thin gap",
        "the same",
        "1e-8; 1e-4 to 1e-6",
        "closed form",
    )


def test_jets(report_table: Report, validation: Validation) -> None:
    """[3] The bound, and [6] how fast the ports' jets enter the chamber.

    Speeds in the chamber fall from that of the jets, so the mean speed in the ports stands for the
    peak; the narrowest place of the jets, by 1 / 0.62, is faster still.
    """
    bound = hole(1000.0, 1.0, 1.0).flow(MMHG.to_si(70))
    assert bound == pytest.approx(math.sqrt(2 * 70 * 133.322387415 / 1000), rel=1e-12)
    assert round(bound, 1) == 4.3
    lines, ports = [f"loss-free jet of 70 mmHg: {bound:.2f} m/s (4.3)"], []
    for aspiration in (20, 25, 40):
        flow = replace(BENCH.flow, aspiration=ML_MIN.to_si(aspiration))
        port = balance(BENCH, flow).port_speed
        lines.append(f"ports at {aspiration} mL/min: {port:.2f} m/s (0.34 ± 0.13 in a pig eye)")
        ports.append(port)
        assert 0.1 < port < 1 < bound
    report_table("Speed of jets", lines)
    validation(
        "loss-free jet of 70 mmHg",
        "4.3 m/s",
        f"{bound:.2f} m/s",
        "exact for the formula",
        "Bernoulli",
    )
    validation(
        "speed of jets from the sleeve ports at 20, 25, 40 mL/min",
        "0.34 ± 0.13 m/s in the chamber",
        ", ".join(f"{port:.2f}" for port in ports) + " m/s",
        "0.1 to 1 m/s",
        "Kaji 2012, pig eye (abstract)",
    )


def test_turnover(validation: Validation) -> None:
    """[4]."""
    assert ML_MIN.to_si(40) * 60 / number("chamber.volume").si == pytest.approx(160, rel=1e-12)
    validation(
        "turnover of the chamber at 40 mL/min, 0.25 mL",
        "160 a minute",
        "160",
        "exact",
        "teaching page 2020",
    )


def test_share_that_leaks(report_table: Report, validation: Validation) -> None:
    """[5] The bench's wound is far tighter than those of the study; what would reach its band."""

    def share(leak: float, aspiration: float = 25.0) -> float:
        setting = replace(BENCH.flow, aspiration=ML_MIN.to_si(aspiration), leak=ML_MIN.to_si(leak))
        flows = balance(BENCH, setting).flows
        return flows.leak / flows.irrigation

    nominal = share(3.0)
    assert nominal < 0.45, "the usual leak lies in the clinical band now: write it down"
    low, idle = balance(BENCH), balance(BENCH, replace(BENCH.flow, aspiration=0.0))
    a, b = low.flows, idle.flows

    def over_a_case(busy: float) -> float:
        inward = busy * a.irrigation + (1 - busy) * b.irrigation
        return (busy * a.leak + (1 - busy) * b.leak) / inward

    busy = brentq(lambda x: over_a_case(x) - 0.67, 0, 1)
    wide = balance(BENCH, replace(BENCH.flow, leak=ML_MIN.to_si(60))).flows
    report_table(
        "Share of the irrigation that leaks (67 ± 11 % over an operation)",
        [
            f"bench, 25 mL/min drawn, matched wound (3 mL/min): {nominal * 100:.0f} %, not met",
            f"the same, pump idle for {100 - busy * 100:.0f} % of the time: 67 %",
            (
                f"a wound as leaky as can be set: {wide.leak / wide.irrigation * 100:.0f} %, "
                f"{wide.leak * 60e6:.0f} mL/min"
            ),
        ],
    )
    assert share(60.0) > nominal
    validation(
        "leakage over irrigation, a whole operation",
        "67 ± 11 %",
        f"{nominal * 100:.0f} %: **not met** (an operation has long rests)",
        "45 to 89 %",
        "Liyanage 2009 (abstract)",
    )


VOLUME = BENCH.chamber.volume


def gulp(vacuum: float, height: float, give: float) -> tuple[float, float]:
    """Volume that the chamber loses from blocked to lowest [µL], and the lowest pressure [mmHg]."""
    flow = replace(BENCH.flow, vacuum_limit=MMHG.to_si(vacuum), bottle_height=height / 100)
    # A stiff line, so that no run falls flat.
    trial = Trial(line_compliance=UL_MMHG.to_si(0.1), chamber_compliance=UL_MMHG.to_si(give))
    run = surge(replace(BENCH, surge=trial), flow)
    assert run.flat_at is None
    volume = run.chamber_compliance * (run.chamber.max() - run.lowest)
    return float(volume * 1e9), run.lowest / MMHG.to_si(1)


def test_surge_by_vacuum_and_pressure(report_table: Report, validation: Validation) -> None:
    """[7] Order only: the study's eye was a spring model, its volumes are not ours to quote.

    The order by vacuum is met. That by pressure is not with a chamber that gives alike at every
    pressure; it is when the chamber stiffens with pressure as a closed eye does (Friedenwald:
    give in proportion to 1 / pressure, from memory), which the model leaves out.
    """
    heights = (80, 100, 130)
    before = {h: balance(BENCH, replace(BENCH.flow, bottle_height=h / 100)) for h in heights}
    pressure = {h: b.chamber_pressure / MMHG.to_si(1) for h, b in before.items()}
    lines, alike, stiffer, lowest = [], {}, {}, {}
    for vacuum in (300, 400, 500):
        for h in heights:
            alike[vacuum, h], lowest[vacuum, h] = gulp(vacuum, h, 2.0)
            stiffer[vacuum, h], _ = gulp(vacuum, h, 2.0 * 40 / pressure[h])
            lines.append(
                f"{vacuum} mmHg, chamber at {pressure[h]:.0f}: {alike[vacuum, h]:.1f} µL, lowest "
                f"{lowest[vacuum, h]:.0f} mmHg; stiffening chamber {stiffer[vacuum, h]:.1f} µL"
            )
    report_table("Surge, from blocked to lowest, stiff line (0.1 µL/mmHg)", lines)
    for h in heights:
        assert alike[300, h] < alike[400, h] < alike[500, h]
    for vacuum in (300, 400, 500):
        assert lowest[vacuum, 80] < lowest[vacuum, 100] < lowest[vacuum, 130]
        assert alike[vacuum, 80] < alike[vacuum, 130], "the order is met now: write it down"
        assert stiffer[vacuum, 80] > stiffer[vacuum, 100] > stiffer[vacuum, 130]
    validation(
        "volume of a surge grows with the vacuum limit, falls with chamber pressure",
        "yes; yes",
        "yes; **no** (yes with a chamber that stiffens)",
        "order",
        "Clin Ophthalmol 2025;19:1357, DOI 10.2147/OPTH.S516801 (abstract)",
    )


def test_settings_before_and_after_an_iris_was_sucked_in(
    report_table: Report, validation: Validation
) -> None:
    """[9] The reduced settings must leave the chamber more pressure, before and after a break."""
    lines, lowest = [], []
    for vacuum, aspiration in ((300, 28), (180, 22)):
        flow = replace(
            BENCH.flow,
            bottle_height=0.7,
            vacuum_limit=MMHG.to_si(vacuum),
            aspiration=ML_MIN.to_si(aspiration),
        )
        run, mm = surge(BENCH, flow=flow), MMHG.to_si(1)
        lowest.append((run.chamber[0] / mm, run.lowest / mm))
        lines.append(
            f"{vacuum} mmHg, {aspiration} mL/min: chamber {run.chamber[0] / mm:.0f} mmHg, lowest "
            f"{run.lowest / mm:.0f} (gives assumed), rush {run.fastest * 60e6:.0f} mL/min"
        )
    report_table("Bottle 70 cm, settings of a case report", lines)
    assert lowest[1][0] > lowest[0][0] and lowest[1][1] > lowest[0][1] + 5
    validation(
        "300 mmHg and 28 mL/min reduced to 180 and 22",
        "safer",
        f"lowest pressure {lowest[0][1]:.0f} and {lowest[1][1]:.0f} mmHg",
        "5 mmHg or more apart",
        "Oshika 1999 (read)",
    )


# ---- [8] limits in closed form ----


def straight(**changes: object) -> Circuit:
    """The bench's ways with every square term left out."""
    ways = circuit(BENCH)
    line = {
        name: Path(getattr(ways, name).linear)
        for name in ("supply", "onward", "mouth", "bore", "line")
    }
    return replace(ways, narrowing=0.0, **line, **changes)  # type: ignore[arg-type]


def test_vacuum_builds_in_a_straight_line_and_then_bends(validation: Validation) -> None:
    trial = Trial(hold=2.0)
    ways, flow = straight(), BENCH.flow
    run = run_circuit(ways, flow, trial, VOLUME)
    rest, give = ways.line.linear * (1 - trial.place), trial.line_compliance
    shut = run.blocked + trial.closing_time
    held = (run.time >= shut) & (run.time <= run.released)
    t = run.time[held] - shut
    in_line = run.line[held]
    assert rest * run.pumped[held] - in_line == pytest.approx(run.vacuum[held], rel=1e-9)
    straight_on = in_line[0] - flow.aspiration * t / give
    knee = -flow.vacuum_limit + rest * flow.aspiration
    at = (in_line[0] - knee) * give / flow.aspiration
    bent = -flow.vacuum_limit + rest * flow.aspiration * np.exp(-(t - at) / (rest * give))
    expected = np.where(t < at, straight_on, bent)
    assert 0.01 < at < 1.5
    assert in_line == pytest.approx(expected, rel=1e-6)
    validation(
        "vacuum build-up with an occluded opening",
        "a line, then exp(−t/RC)",
        "the same",
        "1e-6",
        "closed form",
    )


def test_a_linear_bench_discharges_as_the_matrix_exponential(validation: Validation) -> None:
    trial = Trial(hold=2.0)
    ways, flow = straight(), BENCH.flow
    run = run_circuit(ways, flow, trial, VOLUME)
    k, leak = leak_conductance(flow), flow.leak
    assert k == pytest.approx(leak / MMHG.to_si(40))
    full = (run.time > run.released + 0.01) & (run.pumped >= flow.aspiration)
    first = int(np.flatnonzero(full)[0]) + 1
    up = ways.bore.linear + ways.line.linear * trial.place
    c, give, s, b = (
        trial.chamber_compliance,
        trial.line_compliance,
        ways.supply_inertia,
        ways.bore_inertia + ways.line_inertia * trial.place,
    )
    inward = ways.supply.linear + ways.onward.linear
    # Chamber and line pressure, flow of supply and bore, and 1 for what is constant.
    bottle = bottle_pressure(flow, ways.density)
    m = np.array(
        [
            [-k / c, 0, 1 / c, -1 / c, 0],
            [0, 0, 0, 1 / give, -flow.aspiration / give],
            [-1 / s, 0, -inward / s, 0, bottle / s],
            [1 / b, -1 / b, 0, -(up + ways.mouth.linear) / b, 0],
            [0, 0, 0, 0, 0],
        ]
    )
    in_line = run.line
    state = np.array(
        [run.chamber[first], in_line[first], run.irrigation[first], run.mouth[first], 1.0]
    )
    for i in range(first, len(run.time), 40):
        exact = expm(m * (run.time[i] - run.time[first])) @ state
        assert run.chamber[i] == pytest.approx(exact[0], rel=1e-5)
        assert in_line[i] == pytest.approx(exact[1], rel=1e-5, abs=1)
        assert run.mouth[i] == pytest.approx(exact[3], rel=1e-5)
    validation(
        "discharge of a linear bench after an occlusion break",
        "matrix exponential",
        "the same",
        "1e-5",
        "closed form",
    )


@pytest.mark.parametrize("bypass", [0.0, 0.2e-3])
def test_volume_is_kept_and_ends_are_the_balance(bypass: float, report_table: Report) -> None:
    needle = replace(BENCH.needle, bypass_diameter=bypass, bypass_distance=10e-3 * bool(bypass))
    # A stiff line, so that all has settled when the run ends.
    stiff = replace(BENCH.surge, line_compliance=UL_MMHG.to_si(0.1))
    bench = replace(BENCH, needle=needle, surge=stiff)
    run = surge(bench)
    v = run.volumes
    off = np.array(
        [v[:, 0] - v[:, 1] - v[:, 2] - run.stored[:, 0], v[:, 2] - v[:, 3] - run.stored[:, 1]]
    )
    assert np.abs(off).max() < 1e-9 * np.abs(v).max()
    steady, shut = balance(bench), balance(bench, replace(bench.flow, occlusion=1.0))
    last = int(np.searchsorted(run.time, run.released)) - 1
    for i, b in ((0, steady), (last, shut), (-1, steady)):
        assert run.chamber[i] == pytest.approx(b.chamber_pressure, rel=1e-6)
        assert run.vacuum[i] == pytest.approx(b.vacuum, rel=1e-5, abs=1)
        assert run.irrigation[i] == pytest.approx(b.flows.irrigation, rel=1e-5)
        assert run.bypass[i] == pytest.approx(b.flows.bypass, rel=1e-5, abs=1e-13)
    mm = MMHG.to_si(1)
    report_table(
        f"Surge of the usual bench, bypass hole {bypass * 1e3:g} mm",
        [
            f"volume kept to {np.abs(off).max() / np.abs(v).max():.0e} of what flows",
            (
                f"vacuum at its limit after {run.rise_time or 0:.2f} s; fastest flow in the bore "
                f"{run.fastest * 60e6:.0f} mL/min"
            ),
            (
                f"chamber {steady.chamber_pressure / mm:.1f} mmHg, blocked "
                f"{shut.chamber_pressure / mm:.1f}, lowest after the break {run.lowest / mm:.1f}; "
                f"{run.lost * 1e9:.0f} µL lost"
            ),
            (
                f"bypass {steady.flows.bypass * 60e6:.1f} mL/min with a free mouth, "
                f"{shut.flows.bypass * 60e6:.1f} blocked"
            ),
        ],
    )
