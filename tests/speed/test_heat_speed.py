"""Work and time of heat for the default pair: counts are asserted, processor times printed."""

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import partial
from time import process_time
from typing import Any

import pytest
import scipy.sparse.linalg
from scipy.sparse.linalg import splu

from tipsim.app.pages.heat.state import ROUGH
from tipsim.heat.legs import Model
from tipsim.heat.steady import steady_heat
from tipsim.heat.timeline import heat_run
from tipsim.motion.run import Motion, run
from tipsim.setup.presets import preset
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press

PAIR = tuple(preset(f"{shape}, torsional") for shape in ("single-bend", "counter-bent"))
LOADED = tuple(replace(s, press=Press()) for s in PAIR)
Act = Callable[[Scenario, Motion], object]
ACTS: dict[str, Act] = {
    "steady": lambda s, m: steady_heat(s, None, m),
    "first picture": lambda s, m: heat_run(s, s.duration, model=ROUGH, motion=m),
    "full run": lambda s, m: heat_run(s, s.duration, model=Model(), motion=m),
}
MOST = {
    # act: factorisations and solves of both needles together, at most
    "steady": (6, 20),
    "first picture": (24, 200),
    "full run": (28, 480),
}


class Counted:
    """A factorised matrix that counts how often it is solved."""

    def __init__(self, lu: Any, counts: list[int]) -> None:
        self.lu, self.counts = lu, counts

    def solve(self, right: Any) -> Any:
        self.counts[1] += 1
        return self.lu.solve(right)


@pytest.mark.parametrize("act", ACTS)
def test_work_of_the_default_pair(
    act: str,
    monkeypatch: pytest.MonkeyPatch,
    report_table: Callable[[str, Iterable[str]], None],
) -> None:
    motions = {s.name: run(s) for s in PAIR}
    both = partial(_both, ACTS[act], PAIR, motions)
    both()
    shortest = min(_time(both) for _ in range(5))
    loaded = {s.name: run(s) for s in LOADED}
    under = min(_time(partial(_both, ACTS[act], LOADED, loaded)) for _ in range(3))
    counts = [0, 0]

    def counted(matrix: Any, **options: Any) -> Counted:
        counts[0] += 1
        return Counted(splu(matrix, **options), counts)

    monkeypatch.setattr(scipy.sparse.linalg, "splu", counted)
    both()
    factorised, solved = counts
    work = f"{factorised} factorisations, {solved} solves"
    times = f"processor time for both {shortest:.0f} ms, under a load {under:.0f} ms"
    report_table(f"Heat of the default pair, {act}", [f"{work}; {times}"])
    most = MOST[act]
    assert 0 < factorised <= most[0] and 0 < solved <= most[1]


def _both(act: Act, pair: tuple[Scenario, ...], motions: dict[str, Motion]) -> None:
    for scenario in pair:
        act(scenario, motions[scenario.name])


def _time(act: Callable[[], object]) -> float:
    begun = process_time()
    act()
    return 1e3 * (process_time() - begun)
