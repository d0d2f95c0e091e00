"""The equations of the heat network against textbook cases, built from the needle's own parts.

Sources
[1] F. P. Incropera et al., Fundamentals of Heat and Mass Transfer, example 3.9 (from memory): a
    very long rod of 5 mm, base 100 °C, air 25 °C, h 100 W/m²K, k 398, 180 and 14 W/mK. The book
    gives 8.3, 5.6 and 1.6 W and calls the rods long beyond 0.19, 0.13 and 0.04 m; 8.31, 5.59,
    1.56 W and 0.187, 0.126, 0.035 m are its formulas, sqrt(h P k A) T and 2.65 / m, where
    m = sqrt(h P / k A) (calculated; 99 % of the heat needs 2.647 / m).
[2] The same, chapter 11, counterflow oil cooler (data read, results calculated): oil 0.1 kg/s,
    2131 J/kgK, 100 °C; water 0.2 kg/s, 4178 J/kgK, 30 °C; U 37.8 W/m²K over 5.223 m².
    Effectiveness 0.5716, 8.53 kW, out at 60.0 and 40.2 °C.
[3] H. S. Carslaw and J. C. Jaeger, half-space under constant flux, rise of the surface
    2 q sqrt(a t / pi) / k (from memory): cornea, k 0.58 W/mK, a 1.454e-7 m²/s, 10 kW/m², 1 s.
[4] The Standard NAFEMS Benchmarks, 1990, test T3; data and target read as quoted in the
    verification manuals of three finite-element codes (secondary): bar of 0.1 m, at 0 °C, one end
    kept at 0, the other at 100 sin(pi t / 40) °C; k 35 W/mK, c 440.5 J/kgK, 7200 kg/m³; 36.60 °C
    at 0.08 m after 32 s.
[5] Incropera et al., chapter 3, Pennes' equation for a layer of muscle under skin and fat (from
    memory): muscle of 30 mm, k 0.5 W/mK, 700 W/m³, core and blood at 37 °C, perfusion 0.0005 1/s,
    blood 1000 kg/m³, 3600 J/kgK; skin and fat 3 mm, k 0.3, without blood; area 1.8 m²; outside
    24 °C with h 2 + 5.9 (air) and 200 W/m²K (water). 142 W and 34.8 °C below the skin in air,
    514 W and 28.2 °C in water.

Frame: one dimension; cells of equal length, temperatures in their middles, surfaces half a cell
further. Rows of 0.5 % are the sources' values, 1 % where a grid in time takes part; the closed
forms behind them are held to 0.1 % or better, and the error must fall with the square of the cell
or of the time step. Perfusion is an exchange with blood of its own temperature.
"""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import brentq

from tests.published.bars import Check, ReportTable, Validation, hold
from tests.validation import within
from tipsim.heat.build import Build, Network, lengthwise
from tipsim.heat.march import march
from tipsim.heat.steady import settled
from tipsim.heat.stepping import Marcher

Array = NDArray[np.float64]
ZERO = 273.15


def settle(net: Network, power: Array | float = 0.0) -> Array:
    """March until nothing changes any more, and solve for it at once: temperatures [K]."""
    gain = np.broadcast_to(np.asarray(power, float), net.capacity.shape)
    start = np.full(len(net.capacity), 300.0)
    ended = march(Marcher(net, 1e-3), start, 0.0, 1e6, lambda _: gain).temperature[-1]
    assert np.abs(settled(Marcher(net), gain, start) - ended).max() < 1e-3
    return ended


def slab(build: Build, length: float, area: float, k: float) -> tuple[Array, float, float]:
    """Join all cells in a row; cell lengths, and the conductance from an end to its cell [W/K]."""
    step = np.full(build.size, length / build.size)
    build.along(np.arange(build.size), lengthwise(np.full(build.size, area), k, step))
    return step, float(step[0]), 2 * k * area / float(step[0])


def orders(errors: list[float]) -> Array:
    """Order of convergence from errors at halved steps."""
    e = np.abs(errors)
    return np.asarray(np.log2(e[:-1] / e[1:]))


# Fins [1] --------------------------------------------------------------------------------------

RODS = {398.0: 8.31, 180.0: 5.59, 14.0: 1.56}
DIAMETER, FILM, BASE, AIR = 5e-3, 100.0, 100 + ZERO, 25 + ZERO


def fin(k: float, length: float, cells: int = 400) -> float:
    """Heat that a rod takes from its base [W]; its far end is insulated."""
    build = Build(cells)
    area = np.pi * DIAMETER**2 / 4
    step, _, entry = slab(build, length, area, k)
    build.lose(np.arange(cells), FILM * np.pi * DIAMETER * step, AIR)
    build.lose(np.array([0]), np.array([entry]), BASE)
    return entry * (BASE - float(settle(build.network(step))[0]))


def fin_number(k: float) -> float:
    """Return the fin's m [1/m]."""
    return float(np.sqrt(4 * FILM / (k * DIAMETER)))


def test_long_fins(report_table: ReportTable, validation: Validation) -> None:
    rows = []
    for k, watts in RODS.items():
        endless, m = fin(k, 10 / fin_number(k)), fin_number(k)
        length = brentq(lambda x, k=k, w=endless: fin(k, x, 100) - 0.99 * w, 2 / m, 4 / m)
        rows.append(Check(f"k {k:g}: heat, W", endless, watts, 5e-3))
        rows.append(Check("  99 % of it at a length of, m", length, 2.65 / m, 5e-3))
        exact = np.sqrt(FILM * np.pi * DIAMETER * k * np.pi * DIAMETER**2 / 4) * (BASE - AIR)
        rows.append(Check("  closed form, W", endless, exact * np.tanh(10), 1e-4))
    hold(report_table, "Long fins [Incropera, example 3.9]", rows)
    validation(
        "long fins, k 398, 180, 14 W/m·K",
        "8.31, 5.59, 1.56 W; 99 % of it at 0.187, 0.126, 0.035 m",
        within(c.deviation for c in rows),
        "0.5 %; 0.01 % of the closed form",
        "Incropera, example 3.9 (from memory)",
    )


def test_second_order_along_a_fin(validation: Validation) -> None:
    k = 180.0
    length = 2 / fin_number(k)
    exact = np.sqrt(FILM * np.pi * DIAMETER * k * np.pi * DIAMETER**2 / 4) * (BASE - AIR)
    found = orders([fin(k, length, n) - exact * np.tanh(2) for n in (10, 20, 40, 80)])
    assert ((found > 1.9) & (found < 2.1)).all(), found
    validation(
        "heat: order of convergence in space (also flow, half-space, bar, muscle)",
        "2",
        f"{found.min():.2f} to {found.max():.2f}",
        "1.9 to 2.1 (flow 1.8 to 2.2)",
        "theory",
    )


# Counterflow exchanger [2] -----------------------------------------------------------------------

OIL, WATER, UA = 0.1 * 2131, 0.2 * 4178, 37.8 * 5.223
HOT, COLD = 100 + ZERO, 30 + ZERO


def cooler(cells: int = 100) -> tuple[float, float]:
    """Temperatures at the outlets of oil and water [K]."""
    build = Build(2 * cells)
    oil, water = np.arange(cells), np.arange(cells, 2 * cells)
    build.exchange(oil, water, np.full(cells, UA / cells))
    build.carry(oil, OIL, HOT)
    build.carry(water[::-1], WATER, COLD)
    still = settle(build.network(np.ones(2 * cells)))
    # An outlet is the last face: from the two cells upstream of it, as within the line.
    return float(1.5 * still[oil[-1]] - 0.5 * still[oil[-2]]), float(
        1.5 * still[water[0]] - 0.5 * still[water[1]]
    )


def effectiveness() -> float:
    """Closed form of the counterflow exchanger."""
    ratio, units = OIL / WATER, UA / OIL
    fall = np.exp(-units * (1 - ratio))
    return float((1 - fall) / (1 - ratio * fall))


def test_counterflow_exchanger(report_table: ReportTable, validation: Validation) -> None:
    oil, water = cooler()
    ours = (HOT - oil) / (HOT - COLD)
    rows = [
        Check("effectiveness", ours, 0.5716, 5e-3),
        Check("  closed form", ours, effectiveness(), 1e-4),
        Check("heat, kW", OIL * (HOT - oil) / 1e3, 8.53, 5e-3),
        Check("  taken up by the water, kW", WATER * (water - COLD) / 1e3, 8.53, 5e-3),
        Check("oil out, °C", oil - ZERO, 60.0, 5e-3),
        Check("water out, °C", water - ZERO, 40.2, 5e-3),
    ]
    hold(report_table, "Counterflow exchanger [Incropera, chapter 11]", rows)
    assert OIL * (HOT - oil) == pytest.approx(WATER * (water - COLD), rel=1e-9)
    validation(
        "counterflow heat exchanger",
        "ε 0.5716, 8.53 kW, 60.0 and 40.2 °C",
        within(c.deviation for c in rows),
        "0.5 %; 0.01 % of the closed form",
        "Incropera, chapter 11 (data read)",
    )


def test_second_order_along_counterflow() -> None:
    exact = HOT - effectiveness() * (HOT - COLD)
    found = orders([cooler(n)[0] - exact for n in (20, 40, 80, 160)])
    assert ((found > 1.8) & (found < 2.2)).all(), found


# Half-space [3] ------------------------------------------------------------------------------

CONDUCTIVITY, DIFFUSIVITY, FLUX = 0.58, 1.454e-7, 1e4
DEPTH = 4e-3
"""Five times as deep as heat reaches in 1 s, sqrt(4 a t) = 0.76 mm [m]."""


def heated(cells: int) -> tuple[Marcher, Callable[[Array], Array]]:
    """A square metre of tissue, warmed at its surface."""
    build = Build(cells)
    step, _, _ = slab(build, DEPTH, 1.0, CONDUCTIVITY)
    power = np.zeros(cells)
    power[0] = FLUX
    return Marcher(build.network(CONDUCTIVITY / DIFFUSIVITY * step), 1e-4), lambda _: power


def surface(first: float, cells: int) -> float:
    """Rise of the surface, half a cell above the first middle [K]."""
    return first + FLUX * DEPTH / cells / 2 / CONDUCTIVITY


def risen(seconds: float) -> float:
    """Closed form [K]."""
    return float(2 * FLUX * np.sqrt(DIFFUSIVITY * seconds / np.pi) / CONDUCTIVITY)


def test_half_space_under_constant_flux(report_table: ReportTable, validation: Validation) -> None:
    marcher, power = heated(200)
    end = march(marcher, np.zeros(200), 0.0, 1.0, power, first_level=0).temperature[-1]
    rows = [
        Check("rise of the surface, K", surface(end[0], 200), 7.4, 1e-2),
        Check("  closed form, K", surface(end[0], 200), risen(1.0), 1e-3),
    ]
    hold(report_table, "Half-space under constant flux [Carslaw & Jaeger]", rows)
    validation(
        "half-space, constant flux, 1 s",
        "7.4 °C rise",
        f"{surface(end[0], 200):.3f} °C (closed form {risen(1.0):.3f})",
        "1 %; 0.1 % of the closed form",
        "Carslaw & Jaeger (from memory)",
    )


def test_second_order_into_a_half_space() -> None:
    errors = []
    for cells in (25, 50, 100):
        marcher, power = heated(cells)
        t = np.zeros(cells)
        for _ in range(1250):
            t = marcher.step(t, 3, power).new
        errors.append(surface(t[0], cells) - risen(1.0))
    found = orders(errors)
    assert ((found > 1.9) & (found < 2.1)).all(), found


# A bar with one end swinging [4] ---------------------------------------------------------------

BAR, BAR_K, BAR_C = 0.1, 35.0, 7200 * 440.5
SWING = np.pi / 40
PLACE = 0.8
"""Where it is looked at, over the bar's length; falls on a face, between two cells."""


def bar(cells: int, tolerance: float = 1e-4) -> Marcher:
    """One square metre of it, in K above 0 °C."""
    build = Build(cells)
    step, _, entry = slab(build, BAR, 1.0, BAR_K)
    build.lose(np.array([0]), np.array([entry]), 0.0)
    build.lose(np.array([cells - 1]), np.array([entry]), 0.0)
    end = np.zeros(cells)
    end[-1] = entry * 100
    return Marcher(build.network(BAR_C * step), tolerance, lambda t: end * np.sin(SWING * t))


def at_place(temperature: Array) -> float:
    """Between the two cells at 0.08 m."""
    i = round(PLACE * len(temperature))
    return float(temperature[i - 1] + temperature[i]) / 2


def bar_exact(seconds: float) -> float:
    """Closed form: the swing that lasts, and modes that die away."""
    a = BAR_K / BAR_C
    p = np.sqrt(1j * SWING / a) * BAR
    n = np.arange(1, 200)
    modes = 2 * (-1.0) ** (n + 1) * np.pi * n / ((np.pi * n) ** 2 + p**2)
    fading = np.exp(-a * (np.pi * n / BAR) ** 2 * seconds) * np.sin(np.pi * n * PLACE)
    lasting = np.exp(1j * SWING * seconds) * np.sinh(p * PLACE) / np.sinh(p)
    return float(100 * (lasting - (modes * fading).sum()).imag)


def stepped(cells: int, level: int, steps: int) -> float:
    marcher, t = bar(cells), np.zeros(cells)
    h = marcher.step_size(level)
    for i in range(steps):
        t = marcher.step(t, level, lambda _: np.zeros(cells), i * h).new
    return at_place(t)


def test_bar_with_a_swinging_end(report_table: ReportTable, validation: Validation) -> None:
    done = march(bar(100), np.zeros(100), 0.0, 32.0, lambda _: np.zeros(100))
    ours = at_place(done.temperature[-1])
    rows = [
        Check("0.08 m, 32 s, °C", ours, 36.60, 1e-2),
        Check("  closed form, °C", ours, bar_exact(32.0), 1e-3),
        Check("  closed form against the source, °C", bar_exact(32.0), 36.60, 1e-3),
    ]
    hold(report_table, "Transient conduction [NAFEMS T3]", rows)
    assert done.imbalance < 1e-9
    validation(
        "transient bar, one end swinging",
        "36.60 °C at 0.08 m, 32 s",
        f"{ours:.3f} °C (closed form {bar_exact(32.0):.3f})",
        "1 %; 0.1 % of the closed form",
        "NAFEMS T3, as quoted in verification manuals (secondary)",
    )


def test_bar_until_a_time_that_no_step_divides() -> None:
    done = march(bar(400), np.zeros(400), 0.0, 7.00003, lambda _: np.zeros(400))
    assert done.time[-1] == pytest.approx(7.00003, abs=1e-12)
    assert at_place(done.temperature[-1]) == pytest.approx(bar_exact(7.00003), rel=2e-3)
    assert done.imbalance < 1e-9


def test_second_order_in_space_of_the_bar() -> None:
    found = orders([stepped(n, 9, 625) - bar_exact(32.0) for n in (20, 40, 80)])
    assert ((found > 1.9) & (found < 2.1)).all(), found


def test_second_order_in_time_with_a_moving_boundary(validation: Validation) -> None:
    """Until 32.768 s, which steps of every size divide."""
    best = stepped(20, 10, 320)
    found = orders([stepped(20, level, 5 * 2 ** (16 - level)) - best for level in (15, 14, 13)])
    assert ((found > 1.8) & (found < 2.3)).all(), found
    validation(
        "heat: order of convergence in time",
        "2",
        f"{found.min():.2f} to {found.max():.2f}",
        "1.8 to 2.3",
        "theory",
    )


# Perfused muscle [5] ---------------------------------------------------------------------------

MUSCLE, MUSCLE_K, SKIN, SKIN_K, BODY = 30e-3, 0.5, 3e-3, 0.3, 1.8
PERFUSION, METABOLIC, CORE, AROUND = 0.0005 * 1000 * 3600, 700.0, 37 + ZERO, 24 + ZERO
OUTSIDES = {"air": (7.9, 142.0, 34.8), "water": (200.0, 514.0, 28.2)}


def muscle(film: float, cells: int = 300) -> tuple[float, float]:
    """Heat lost [W] and temperature below the skin [K]."""
    build = Build(cells)
    step, _, entry = slab(build, MUSCLE, BODY, MUSCLE_K)
    build.lose(np.arange(cells), PERFUSION * BODY * step, CORE)
    build.lose(np.array([0]), np.array([entry]), CORE)
    skin = BODY / (SKIN / SKIN_K + 1 / film)
    through = 1 / (1 / entry + 1 / skin)
    build.lose(np.array([cells - 1]), np.array([through]), AROUND)
    still = settle(build.network(step), METABOLIC * BODY * step)
    lost = through * (float(still[-1]) - AROUND)
    return lost, AROUND + lost / skin


def muscle_exact(film: float) -> tuple[float, float]:
    """Closed form: a cosh + b sinh about the temperature where blood takes all that is made."""
    m = np.sqrt(PERFUSION / MUSCLE_K)
    even = CORE + METABOLIC / PERFUSION
    skin = 1 / (SKIN / SKIN_K + 1 / film)
    a, c, s = CORE - even, np.cosh(m * MUSCLE), np.sinh(m * MUSCLE)
    # Flux out of the muscle is flux through the skin.
    b = -(a * (MUSCLE_K * m * s + skin * c) + skin * (even - AROUND)) / (
        MUSCLE_K * m * c + skin * s
    )
    below = even + a * c + b * s
    return float(BODY * skin * (below - AROUND)), float(below)


def test_perfused_muscle(report_table: ReportTable, validation: Validation) -> None:
    rows = []
    for name, (film, watts, below) in OUTSIDES.items():
        ours, exact = muscle(film), muscle_exact(film)
        rows += [
            Check(f"{name}: heat, W", ours[0], watts, 5e-3),
            Check("  below the skin, °C", ours[1] - ZERO, below, 5e-3),
            Check("  closed form, W", ours[0], exact[0], 1e-5),
            Check("  closed form, K", ours[1], exact[1], 1e-6),
        ]
    hold(report_table, "Perfused muscle under skin [Incropera, chapter 3, Pennes]", rows)
    validation(
        "perfused muscle, in air and water",
        "142 W, 34.8 °C; 514 W, 28.2 °C",
        "; ".join(
            f"{w:.1f} W, {t - ZERO:.2f} °C" for w, t in (muscle(o[0]) for o in OUTSIDES.values())
        ),
        "0.5 %; 1e-5 of the closed form",
        "Incropera, chapter 3, Pennes (from memory)",
    )


def test_second_order_into_muscle() -> None:
    exact = muscle_exact(7.9)[0]
    found = orders([muscle(7.9, n)[0] - exact for n in (10, 20, 40)])
    assert ((found > 1.9) & (found < 2.1)).all(), found


def test_perfusion_counts() -> None:
    """Without blood the muscle would cool: the sink term is not idle."""
    build = Build(50)
    step, _, entry = slab(build, MUSCLE, BODY, MUSCLE_K)
    build.lose(np.array([0]), np.array([entry]), CORE)
    build.lose(np.array([49]), np.array([BODY * 7.9]), AROUND)
    without = settle(build.network(step), METABOLIC * BODY * step)[-1]
    assert without < muscle(7.9)[1] - 1
