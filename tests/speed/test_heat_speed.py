"""What heat costs: 60 s of two needles, the first picture after a change, and how cost grows."""

import time
from collections.abc import Callable
from dataclasses import replace

import pytest

from tipsim.app.heat.bench import HeatBench
from tipsim.app.heat.state import HeatState
from tipsim.heat.legs import Model
from tipsim.heat.timeline import HeatRun, heat_run
from tipsim.motion.run import run
from tipsim.setup.scenario import Scenario

pytestmark = pytest.mark.speed

LIMIT = 0.5
"""Asked for: 60 s of two needles [s]."""
FIRST_PICTURE = 0.15
"""Asked for: from a change to the first picture, server part [s]."""
ROUNDS = 5
STATE = HeatState.first().change("both", "ready", "load-blocked")


def quickest(act: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Least processor time of some rounds [s]."""
    out = []
    for _ in range(rounds):
        start = time.process_time()
        act()
        out.append(time.process_time() - start)
    return min(out)


def of(scenario: Scenario, model: Model, duration: float = 60.0) -> tuple[float, HeatRun]:
    """Least processor time of a run, its motion at hand [s], and the run."""
    motion = run(scenario)
    done = heat_run(scenario, duration, model=model, motion=motion)
    return quickest(lambda: heat_run(scenario, duration, model=model, motion=motion), 3), done


def test_a_minute_of_two_needles(report_table: Callable[[str, list[str]], None]) -> None:
    lines = []
    for id in ("normal", "load-blocked", "kink"):
        state = HeatState.first().change("both", "ready", id)
        found = [of(s, Model()) for s in (state.bench.a, state.bench.b)]
        total = sum(seconds for seconds, _ in found)
        steps = " and ".join(str(len(done.time) - 1) for _, done in found)
        lines.append(f"{id:13} {total * 1e3:5.0f} ms, {steps} steps, {total / LIMIT:.0%} of limit")
        if id == "load-blocked":
            whole = total
    report_table(f"60 s of two needles, processor time (limit asked for: {LIMIT} s)", lines)
    assert whole < LIMIT


def test_cost_grows_about_as_cells_and_less_than_time(
    report_table: Callable[[str, list[str]], None],
) -> None:
    scenario = STATE.bench.a
    usual = Model()
    base, done = of(scenario, usual)
    lines = [f"as it is: 80 slices, 8 sectors, 60 s: {base * 1e3:.0f} ms, {done.cells.size} cells"]
    ratios = {}
    for name, model, duration in (
        ("160 slices", replace(usual, slices=160), 60.0),
        ("40 slices", replace(usual, slices=40), 60.0),
        ("16 sectors", replace(usual, sectors=16), 60.0),
        ("4 sectors", replace(usual, sectors=4), 60.0),
        ("30 s", usual, 30.0),
        ("300 s", usual, 300.0),
    ):
        cost, other = of(scenario, model, duration)
        ratios[name] = cost / base
        steps, more = len(other.time) - 1, other.cells.size / done.cells.size
        apart = other.peak_sleeve - done.peak_sleeve
        lines.append(
            f"{name:10} {cost / base:5.2f} times the cost, {more:.2f} times the cells, "
            f"{steps} steps; sleeve {apart:+.2f} K"
        )
    report_table("Cost of heat against slices, sectors and time", lines)
    # Twice the slices are twice the cells, each joined to as many others: no more than that.
    assert ratios["160 slices"] < 4
    # Steps follow the error: five times the time is a few steps more.
    assert ratios["300 s"] < 2.5


def test_the_first_picture_after_a_change(report_table: Callable[[str, list[str]], None]) -> None:
    bench = HeatBench({"press": "on", "occlusion": "100"})
    rough, full = [], []
    for i in range(ROUNDS):
        # A new value every time, so that no run is taken from the cache.
        change = {"side": "both", "field": "press.force_g", "value": 20 + i * 1.37}
        start = time.process_time()
        bench.handle({"seq": i + 1, "changes": [change]})
        middle = time.process_time()
        bench.asked({"full": True})
        rough.append(middle - start)
        full.append(time.process_time() - middle)
    state = bench.state
    pair = [(s, state.model(s, rough=True)) for s in (state.bench.a, state.bench.b)]
    runs = quickest(lambda: [heat_run(s, s.duration, model=m) for s, m in pair])
    report_table(
        f"A change on the heat page, server part (first picture asked for: {FIRST_PICTURE} s)",
        [
            f"first picture, in coarse cells {min(rough) * 1e3:5.0f} ms of processor time",
            f"of that both runs              {runs * 1e3:5.0f} ms",
            f"full picture and numbers       {min(full) * 1e3:5.0f} ms",
            f"packet                         {len(bench.scene.packet) / 1e3:5.0f} kB",
        ],
    )
    assert min(rough) < FIRST_PICTURE
    assert min(rough) < min(full)
