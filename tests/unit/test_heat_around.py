"""What is around the needle: a chamber that keeps its energy, dry metal, and pulses one by one."""

from dataclasses import replace

import numpy as np
import pytest

from tipsim.heat.cells import cut
from tipsim.heat.legs import Model
from tipsim.heat.march import march
from tipsim.heat.network import network
from tipsim.heat.placing import spread
from tipsim.heat.sources import heat_sources
from tipsim.heat.stepping import Marcher
from tipsim.heat.timeline import heat_run
from tipsim.heat.ways import pressed_shut
from tipsim.motion.run import run
from tipsim.setup.drive import Duty
from tipsim.setup.event import Event
from tipsim.setup.flow import Flow
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Outside, Press

ML_MIN = 1e-6 / 60
START = 298.15
IN_EYE = replace(
    Scenario.preset("single-bend, torsional"),
    flow=Flow(20 * ML_MIN, 4 * ML_MIN),
    outside=Outside("wound", temperature=START),
)
COARSE = Model(slices=40, sectors=4)


@pytest.mark.parametrize("kind", ["chamber", "wound"])
@pytest.mark.parametrize("sleeved", [True, False])
def test_all_heat_leaves_by_fluid_tissue_and_air(kind: str, sleeved: bool) -> None:
    scenario = replace(IN_EYE, outside=Outside(kind, temperature=START))
    if not sleeved:
        scenario = replace(scenario, sleeve=None)
    cells = cut(scenario, 40, 4)
    sources = heat_sources(scenario, run(scenario), cells.edges)
    power = sum(spread(sources, cells, None, 1.0, 1.0))
    net = network(scenario, cells)
    # Everything that is as warm as its surroundings stays so: no flow makes or loses heat.
    still = net.matrix @ np.full(cells.size, START) - net.boundary
    assert np.abs(still).max() < 1e-9
    out = march(Marcher(net), np.full(cells.size, START), 0.0, 200.0, lambda _: power)
    assert out.imbalance < 1e-8
    assert net.leaving(out.temperature[-1]) == pytest.approx(float(np.sum(power)), rel=1e-2)


BYPASS = {"bypass_diameter": 0.25e-3, "bypass_distance": 10e-3}


@pytest.mark.parametrize("place", [4e-3, 8e-3])
@pytest.mark.parametrize("hole", [{}, BYPASS])
@pytest.mark.parametrize("arc", [0.7, 3.1])
def test_fluid_goes_around_a_load_and_nothing_is_lost(
    place: float, hole: dict[str, float], arc: float
) -> None:
    press = Press(place=place, arc=arc, length=3e-3)
    blocked = Flow(25 * ML_MIN, 4 * ML_MIN, occlusion=0.9)
    needle = replace(IN_EYE.needle, **hole)
    scenario = replace(IN_EYE, needle=needle, flow=blocked, press=press)
    cells = cut(scenario, 40, 8)
    net = network(scenario, cells, press=press)
    assert np.abs(net.matrix @ np.full(cells.size, START) - net.boundary).max() < 1e-9
    sources = heat_sources(scenario, run(scenario), cells.edges)
    closed = pressed_shut(scenario, cells, press)
    power = sum(spread(sources, cells, press, 1.0, 1.0, closed))
    free = sum(spread(sources, cells, press, 1.0, 1.0))
    assert float(np.sum(power)) == pytest.approx(float(np.sum(free)))
    out = march(Marcher(net), np.full(cells.size, START), 0.0, 200.0, lambda _: power)
    assert out.imbalance < 1e-8
    assert net.leaving(out.temperature[-1]) == pytest.approx(float(np.sum(power)), rel=1e-2)


def test_a_load_that_shuts_the_annulus_makes_its_place_hotter() -> None:
    press = Press()
    scenario = replace(IN_EYE, press=press, outside=Outside("air", temperature=START))
    cells = cut(scenario, 40, 8)
    sources = heat_sources(scenario, run(scenario), cells.edges)
    power = sum(spread(sources, cells, press, 1.0, 1.0))
    ends = [
        march(
            Marcher(network(scenario, cells, press=p)),
            np.full(cells.size, START),
            0.0,
            5.0,
            lambda _: power,
        )
        .temperature[-1]
        .max()
        for p in (press, None)
    ]
    assert ends[0] > ends[1] + 1


def test_the_chamber_warms_as_fast_as_its_water_allows() -> None:
    """Before anything is lost: watts in the chamber over its heat capacity."""
    still = replace(IN_EYE, flow=Flow(0.0, 0.0))
    out = heat_run(still, 0.5, (), COARSE)
    chamber = out.temperature[:, out.cells.chamber]
    films = float(out.sources.watts["films_outside"][out.cells.wet & ~out.cells.sleeved].sum())
    slope = (chamber[-1] - chamber[0]) / 0.5
    assert 0.9 * films / (0.25e-6 * 1000 * 4180) < slope < 2 * films / (0.25e-6 * 1000 * 4180)


def test_dry_metal_has_no_water_outside() -> None:
    bare = replace(IN_EYE, sleeve=None)
    wet, dry = (run(replace(bare, outside=Outside(kind))) for kind in ("air", "dry"))
    edges = cut(bare).edges
    assert heat_sources(replace(bare, outside=Outside("dry")), dry, edges).total(
        "films_outside"
    ) == pytest.approx(0, abs=1e-12)
    assert (
        heat_sources(replace(bare, outside=Outside("air")), wet, edges).total("films_outside") > 0
    )
    assert dry.end_stroke != pytest.approx(wet.end_stroke, rel=0.01)


def test_pulses_one_by_one_give_the_mean_of_pulses_averaged() -> None:
    pulsed = replace(
        IN_EYE, duty=Duty("pulsed", 20e-3, 30e-3), outside=Outside("air", temperature=START)
    )
    fine = replace(COARSE, tolerance=1e-3)
    each, mean = (heat_run(pulsed, 2.0, (), fine, resolved=r) for r in (True, False))
    grid = np.linspace(1.0, 2.0, 2001)
    metal = each.cells.index["metal"][30, 0]
    over = [np.interp(grid, r.time, r.temperature[:, metal]).mean() - START for r in (each, mean)]
    assert over[0] == pytest.approx(over[1], rel=0.02)
    # And they are there: the metal warms and cools with each.
    assert (np.diff(np.sign(np.diff(each.metal_peak))) < 0).sum() > 30


def test_an_event_counts_in_a_resolved_run() -> None:
    pulsed = replace(IN_EYE, duty=Duty("pulsed", 20e-3, 30e-3))
    off = heat_run(pulsed, 1.0, (Event(0.51, "drive off"),), COARSE, resolved=True)
    peak = off.metal_peak
    assert peak[-1] < np.interp(0.51, off.time, peak)
