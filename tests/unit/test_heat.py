"""The core of the heat model: nothing is lost, orders are as promised, and every setting counts.

Laws only. Textbook cases and bench studies are not held yet, and nothing is fitted.
"""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from tipsim.heat.boiling import Boiling
from tipsim.heat.build import Build
from tipsim.heat.cells import cut
from tipsim.heat.legs import Model
from tipsim.heat.march import march
from tipsim.heat.network import network
from tipsim.heat.placing import spread
from tipsim.heat.power import Heating
from tipsim.heat.sources import IN_MOTION, heat_sources
from tipsim.heat.stepping import Marcher
from tipsim.heat.timeline import HeatRun, heat_run
from tipsim.heat.ways import pressed_sectors
from tipsim.motion.run import run
from tipsim.setup.catalogue import lens
from tipsim.setup.event import Event
from tipsim.setup.flow import Flow, water_viscosity
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Outside, Press

ML_MIN = 1e-6 / 60
BENCH = replace(
    Scenario.preset("single-bend, torsional"),
    flow=Flow(0.0, 1 * ML_MIN),
    outside=Outside("air"),
)
COARSE = Model(slices=40, sectors=4)
Array = NDArray[np.float64]


def warm(scenario: Scenario = BENCH, seconds: float = 3.0, *events: Event) -> HeatRun:
    return heat_run(scenario, seconds, events, COARSE)


def fixed_power(scenario: Scenario, slices: int) -> tuple[Marcher, Array]:
    """A linear problem: constant watts from metal and films."""
    cells = cut(scenario, slices, 4)
    sources = heat_sources(scenario, run(scenario), cells.edges)
    fixed, films = spread(sources, cells, None, 1.0, 1.0)
    return Marcher(network(scenario, cells)), fixed + films


@pytest.mark.parametrize("name", ["single-bend, torsional", "counter-bent, elliptical"])
@pytest.mark.parametrize("pressed", [False, True])
def test_the_causes_add_up_to_the_hubs_power(name: str, pressed: bool) -> None:
    scenario = replace(Scenario.preset(name), lens=lens("hard"), press=Press() if pressed else None)
    motion = run(scenario)
    found = heat_sources(scenario, motion, cut(scenario).edges)
    assert sum(found.total(c) for c in IN_MOTION) == pytest.approx(motion.power, rel=1e-9)
    assert (found.total("rubbing") > 0) is pressed


def test_energy_is_kept_in_the_linear_problem() -> None:
    marcher, power = fixed_power(BENCH, 80)
    start = np.full(len(power), 298.15)
    out = march(marcher, start, 0.0, 5.0, lambda _: power)
    assert out.imbalance < 1e-8


def test_in_the_end_as_much_leaves_as_comes_in() -> None:
    marcher, power = fixed_power(BENCH, 80)
    start = np.full(len(power), 298.15)
    end = march(marcher, start, 0.0, 4000.0, lambda _: power).temperature[-1]
    assert marcher.network.leaving(end) == pytest.approx(power.sum(), rel=1e-6)


def test_without_power_nothing_warms() -> None:
    off = replace(BENCH, drive=replace(BENCH.drive, power=0.0))
    out = warm(off)
    assert np.ptp(out.temperature) < 1e-9


def test_second_order_in_time() -> None:
    marcher, power = fixed_power(BENCH, 40)

    def after(level: int) -> Array:
        t = np.full(len(power), 298.15)
        for _ in range(2**13 // 2**level):
            t = marcher.step(t, level, lambda _: power).new
        return t

    best = after(4)
    errors = [np.abs(after(level) - best).max() for level in (9, 8, 7)]
    orders = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert (orders > 1.8).all(), orders


def test_second_order_along_the_flow() -> None:
    """Bore fluid drawn past a wall of constant flux: against twice the slices each time."""

    def outlet(slices: int) -> float:
        scenario = replace(BENCH, sleeve=None, flow=Flow(5 * ML_MIN, 0.0))
        cells = cut(scenario, slices, 1)
        net = network(scenario, cells)
        power = np.zeros(cells.size)
        s = cells.middle / scenario.needle.length
        power[cells.index["metal"][:, 0]] = cells.step * np.sin(np.pi * s) ** 2 * 20
        start = np.full(cells.size, 298.15)
        end = march(Marcher(net), start, 0.0, 400.0, lambda _: power).temperature[-1]
        return float(end[cells.index["bore"][len(s) // 2, 0]])

    values = [outlet(n) for n in (41, 123, 369, 1107)]
    steps = np.abs(np.diff(values))
    # Slices thrice as fine: second order takes the change to a ninth.
    assert (steps[:-1] / steps[1:] > 3**1.8).all(), steps


def test_the_step_by_error_agrees_with_a_finer_one() -> None:
    rough, fine = (
        heat_run(BENCH, 2.0, (), replace(COARSE, tolerance=t)).sleeve_peak[-1] for t in (0.02, 5e-4)
    )
    assert rough == pytest.approx(fine, abs=0.1)


def test_boiling_is_a_plateau_and_is_said() -> None:
    dry = replace(BENCH, flow=Flow(0.0, 0.0))
    out = warm(dry, 60.0)
    assert out.boiled is not None and 0 < out.boiled < 60
    assert out.time[-1] == pytest.approx(60)
    before = out.time < out.boiled
    assert not out.dry[before].any() and not out.steam[before].any()
    assert out.steam[-1] > 0 and 0 < out.dry_share[-1] <= 1
    fluid = np.concatenate([out.cells.index[k][out.cells.index[k] >= 0] for k in FLUIDS])
    left = out.dry[-1, fluid] < 1
    assert left.any() and out.temperature[-1, fluid][left].max() < 373.15 + 0.1
    assert out.imbalance < 1e-6
    assert warm(BENCH, 60.0).boiled is None


FLUIDS = ("annulus", "bore")


def kettle(watts: float, inflow: float = 0.0) -> tuple[Marcher, Array]:
    """One gram of water, heated by a fixed power; what flows in is as hot as what flows out."""
    build = Build(1)
    one = np.array([0])
    build.lose(one, np.zeros(1), 0.0)
    boiling = Boiling(373.15, LATENT, one, np.array([1e-3]), np.array([inflow]), np.array([1e4]))
    return Marcher(build.network(np.array([4.18])), boiling=boiling), np.array([watts])


LATENT = 2.257e6


def test_a_kettle_boils_away_by_its_heat_of_evaporation() -> None:
    """100 W warm 1 g of water from 20 to 100 °C in 3.344 s, and boil it away in 22.57 s more."""
    marcher, watts = kettle(100.0)
    heat = Heating(watts, np.zeros(0, dtype=int), np.zeros(0), np.zeros(0, dtype=int))
    out = march(marcher, np.array([293.15]), 0.0, 20.0, heat)
    assert out.boiled == pytest.approx(4.18 * 80 / 100, rel=1e-3)
    gone = (20.0 - 4.18 * 80 / 100) * 100 / LATENT
    assert out.steam[-1] == pytest.approx(gone, rel=1e-3)
    assert out.dry[-1, 0] == pytest.approx(gone / 1e-3, rel=1e-2)
    assert out.temperature[-1, 0] == pytest.approx(373.15, abs=0.02)
    assert out.imbalance < 1e-9
    longer = march(marcher, np.array([293.15]), 0.0, 40.0, heat)
    assert longer.dry[-1, 0] == 1 and longer.temperature[-1, 0] > 400


def test_a_film_is_lost_as_it_boils_away() -> None:
    """A film of 10 W whose cell passes on 4 W at its boiling point keeps 4 W: 60 % is gone."""
    build = Build(1)
    cell = np.array([0])
    build.lose(cell, np.array([4.0 / 80.0]), 293.15)
    boiling = Boiling(373.15, LATENT, cell, np.array([1e-6]), np.zeros(1), np.array([1e4]))
    marcher = Marcher(build.network(np.array([4.18e-3])), boiling=boiling)
    film = 10.0 / np.sqrt(float(water_viscosity(373.15)))
    heat = Heating(np.zeros(1), cell, np.array([film]), cell)
    out = march(marcher, np.array([293.15]), 0.0, 60.0, heat)
    assert out.dry[-1, 0] == pytest.approx(0.6, abs=1e-3)
    assert out.temperature[-1, 0] == pytest.approx(373.15, abs=0.02)


def test_inflow_wets_again() -> None:
    """10 W evaporate 44 % of an inflow of 10 mg/s; without them the cell fills again."""
    marcher, watts = kettle(10.0, inflow=1e-5)
    heat = Heating(watts, np.zeros(0, dtype=int), np.zeros(0), np.zeros(0, dtype=int))
    out = march(marcher, np.array([372.15]), 0.0, 1e5, heat)
    # Steady: 10 W over the heat of evaporation of 10 mg/s.
    assert out.dry[-1, 0] == pytest.approx(10.0 / (LATENT * 1e-5), rel=1e-3)
    none = replace(heat, fixed=np.zeros(1))
    off = march(marcher, out.temperature[-1], 0.0, 1e5, none, out.dry[-1])
    assert off.dry[-1, 0] < 1e-3


def test_energy_is_kept_when_the_drive_stops() -> None:
    assert warm(BENCH, 3.0, Event(1.5, "drive off")).imbalance < 1e-6


def test_events_do_what_they_say() -> None:
    plain = warm().sleeve_peak[-1]
    assert warm(BENCH, 3.0, Event(1.5, "drive off")).sleeve_peak[-1] < plain
    assert warm(BENCH, 3.0, Event(1.5, "flow lost")).sleeve_peak[-1] > plain
    assert warm(BENCH, 3.0, Event(1.5, "power", share=0.5)).sleeve_peak[-1] < plain
    pressed = warm(BENCH, 3.0, Event(1.0, "load", force=0.3))
    assert pressed.sleeve_peak[-1] > plain
    lifted = warm(BENCH, 3.0, Event(1.0, "load", force=0.3), Event(2.0, "load off"))
    assert plain < lifted.sleeve_peak[-1] < pressed.sleeve_peak[-1]
    back = warm(BENCH, 3.0, Event(1.0, "flow lost"), Event(1.5, "flow back"))
    assert plain < back.sleeve_peak[-1] < warm(BENCH, 3.0, Event(1.0, "flow lost")).sleeve_peak[-1]
    drawn = replace(BENCH, flow=Flow(20 * ML_MIN, 0.0))
    blocked = warm(drawn, 3.0, Event(1.0, "occlusion", share=1.0))
    assert blocked.metal_peak[-1] > warm(drawn).metal_peak[-1]


def test_the_order_of_events_in_the_list_does_not_count() -> None:
    events = Event(1.0, "flow lost"), Event(2.0, "flow back")
    one, two = warm(BENCH, 3.0, *events), warm(BENCH, 3.0, *reversed(events))
    assert np.array_equal(one.temperature[-1], two.temperature[-1])


CHANGES = {
    "aspiration": replace(BENCH, flow=replace(BENCH.flow, aspiration=2 * ML_MIN)),
    "leak": replace(BENCH, flow=replace(BENCH.flow, leak=2 * ML_MIN)),
    "surroundings": replace(BENCH, outside=Outside("chamber")),
    "wound": replace(BENCH, outside=Outside("wound")),
    "start": replace(BENCH, outside=Outside("air", temperature=303.15)),
    "sleeve's wall": replace(BENCH, sleeve=replace(BENCH.sleeve, wall=0.1e-3)),
    "load": replace(BENCH, press=Press()),
}


@pytest.mark.parametrize("change", CHANGES)
def test_every_setting_counts(change: str) -> None:
    assert abs(warm(CHANGES[change]).sleeve_peak[-1] - warm().sleeve_peak[-1]) > 1e-3


@pytest.mark.parametrize("change", ["force", "place", "length", "arc", "side"])
def test_every_number_of_a_load_counts(change: str) -> None:
    base = Press(place=6e-3, length=4e-3)
    other = replace(
        base, **{change: getattr(base, change) * 1.3 + (0.4 if change == "side" else 0)}
    )
    first, second = (warm(replace(BENCH, press=p)).sleeve_peak[-1] for p in (base, other))
    assert abs(first - second) > 1e-4


def test_rubbing_goes_with_force_and_coefficient() -> None:
    scenario = replace(BENCH, press=Press())
    motion, edges = run(scenario), cut(scenario).edges

    def rubbed(coefficient: float, force: float) -> float:
        pressed = scenario.with_(press=Press(force=force), **{"rubbing.coefficient": coefficient})
        return heat_sources(pressed, motion, edges).total("rubbing")

    assert rubbed(0.2, 0.3) == pytest.approx(2 * rubbed(0.1, 0.3))
    assert rubbed(0.1, 0.6) == pytest.approx(2 * rubbed(0.1, 0.3))


def test_a_press_falls_on_its_own_side() -> None:
    cells = cut(BENCH, 40, 8)
    share = pressed_sectors(cells, Press(arc=np.radians(60)))
    assert share.sum() == pytest.approx(1)
    assert share[0] > 0 and share[-1] == 0
    assert pressed_sectors(cells, Press(arc=np.pi))[1] > share[1]


def test_seconds_to_a_temperature() -> None:
    out = warm(BENCH, 5.0)
    between = (out.sleeve_peak[0] + out.peak_sleeve) / 2
    seconds = out.seconds_to(between)
    assert seconds is not None and 0 < seconds < 5
    assert np.interp(seconds, out.time, out.sleeve_peak) == pytest.approx(between, abs=0.05)
    assert out.seconds_to(out.peak_sleeve + 1) is None
    assert out.peak_wound is None
