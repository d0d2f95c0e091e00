"""How much work a result takes, counted: steps, factorisations, cells, pictures. No clock."""

from dataclasses import replace
from typing import Any

import numpy as np
import param
import pytest
import scipy
from scipy.sparse.linalg import splu

from tipsim.app.framework.views import put
from tipsim.flow import law
from tipsim.flow.surge import surge
from tipsim.heat.legs import Model
from tipsim.heat.timeline import HeatRun, heat_run
from tipsim.motion.camera import Camera, preview, render, shoot, take, track, tracking
from tipsim.motion.run import run
from tipsim.setup.event import Event
from tipsim.setup.flow import Trial
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press

BENCH = replace(Scenario.preset("single-bend, torsional"), press=Press())
USUAL = Model()


@pytest.fixture
def factorised(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Count factorisations: sizes of all matrices that the march through time factorises."""
    sizes: list[int] = []

    def counted(matrix: Any, **options: Any) -> Any:
        sizes.append(matrix.shape[0])
        return splu(matrix, **options)

    monkeypatch.setattr(scipy.sparse.linalg, "splu", counted)
    return sizes


def warm(duration: float = 60.0, **model: float) -> HeatRun:
    return heat_run(BENCH, duration, model=replace(USUAL, **model))


def test_a_minute_of_heat_is_some_dozen_steps_and_fewer_matrices(factorised: list[int]) -> None:
    done = warm()
    steps = len(done.time) - 1
    # A step doubles while the error allows it, and its matrix is kept: 2^20 smallest ones at most.
    assert 20 < steps < 200
    assert set(factorised) == {done.cells.size}
    assert len(factorised) <= 20


def test_five_times_the_time_is_a_few_steps_more() -> None:
    assert len(warm(300.0).time) < 1.5 * len(warm(60.0).time)


def test_cells_grow_with_slices_and_sectors_and_no_faster() -> None:
    one = warm(1.0).cells.size
    assert warm(1.0, slices=160).cells.size == pytest.approx(2 * one, rel=0.05)
    # Of the sectors half are computed, and what lies on the axis is not cut into any.
    assert one < warm(1.0, sectors=16).cells.size < 2 * one


def test_the_same_network_is_factorised_once_through_events(factorised: list[int]) -> None:
    warm(20.0)
    once = len(factorised)
    events = tuple(Event(float(t), "power", share=0.5 + 0.05 * t) for t in range(2, 10))
    heat_run(replace(BENCH, events=events), 20.0)
    # Power changes the heat and no conductance: of each leg only the last steps, which end at the
    # event, are of a size that has no matrix yet.
    assert len(factorised) - once <= 3 * (len(events) + 1)


def test_an_axially_symmetric_bench_is_marched_through_one_sector(factorised: list[int]) -> None:
    bench = replace(BENCH, press=None)
    done = heat_run(bench, 20.0)
    one = heat_run(bench, 20.0, model=replace(USUAL, sectors=1))
    assert set(factorised) == {one.cells.size}
    assert done.cells.size > 3 * one.cells.size
    there = {name: i for name, i in done.cells.index.items() if (i >= 0).any()}
    assert len(there) >= 5
    for layer, index in there.items():
        sectors = done.layer(layer)[:, index[:, 0] >= 0]
        assert np.ptp(sectors, axis=2).max() == 0
        assert sectors[..., :1] == pytest.approx(one.layer(layer)[:, index[:, 0] >= 0], abs=1e-9)
    assert done.temperature.max() > bench.outside.temperature + 0.5


def test_a_load_that_comes_later_needs_all_sectors(factorised: list[int]) -> None:
    events = (Event(1.0, "load"),)
    done = heat_run(replace(BENCH, press=None, events=events), 3.0)
    assert set(factorised) == {done.cells.size}
    assert np.nanmax(np.ptp(done.layer("inner")[-1], axis=1)) > 0.1


def test_a_surge_asks_for_its_rates_some_hundred_times_a_stage(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked, of = [0], law.Stage.law

    def counted(stage: Any, now: float, state: Any) -> Any:
        asked[0] += 1
        return of(stage, now, state)

    monkeypatch.setattr(law.Stage, "law", counted)
    # A setting that no other test has: results are kept.
    done = surge(replace(BENCH, surge=Trial(hold=1.234)))
    assert done.flat_at is None and done.depth > 100
    # 1,301 on the machine that it was written on, in five stages.
    assert 500 < asked[0] < 2000


def test_a_film_maps_the_needle_once_and_a_preview_draws_and_tracks_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Finding the needle's nearest point for each pixel, and registering marks, cost most."""
    mapped, registered = [], []
    map_of, shifts = render._map, tracking.shifts

    def counted(template: Any, patches: Any) -> Any:
        registered.append(len(patches))
        return shifts(template, patches)

    monkeypatch.setattr(render, "_map", lambda scene: mapped.append(1) or map_of(scene))
    monkeypatch.setattr(tracking, "shifts", counted)
    motion, camera = run(BENCH), Camera(frames=8)
    assert preview(take(motion, BENCH.needle, camera)).readings
    assert not mapped and not registered
    marks = len(track(shoot(motion, BENCH.needle, camera)))
    assert len(mapped) == 1
    # Film and half of the pictures at rest, all of a mark together; twice, for what remains.
    assert registered == [8 + 8] * 2 * marks


def test_a_part_compares_plain_data_once_and_tells_only_of_what_differs() -> None:
    heard: list[tuple[str, Any]] = []

    class Panel(param.Parameterized):
        content = param.Dict(default={})
        waits = param.List(default=[])

    panel = Panel(content={"rows": [{"a": 1.0}]}, waits=["x"])
    panel.param.watch(lambda *events: heard.extend((e.name, e.new) for e in events), ["content"])
    panel.param.watch(lambda *events: heard.extend((e.name, e.new) for e in events), ["waits"])
    put(panel, {"content": {"rows": [{"a": 1.0}]}, "waits": ["x"]})
    assert heard == []
    put(panel, {"content": {"rows": [{"a": 2.0}]}, "waits": []})
    assert heard == [("content", {"rows": [{"a": 2.0}]}), ("waits", [])]
    assert panel.content == {"rows": [{"a": 2.0}]} and panel.waits == []
