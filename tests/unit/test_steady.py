"""Steady heat solved at once: where the march ends, and textbook cases."""

import sys
from dataclasses import replace

import numpy as np
import pytest

from tests.published.bars import Validation
from tipsim.heat import stepping
from tipsim.heat.legs import Model
from tipsim.heat.steady import steady_heat
from tipsim.heat.timeline import heat_run
from tipsim.motion.run import run
from tipsim.setup.flow import Flow
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Outside, Press
from tipsim.solve import solve
from tipsim.sweeps import sweep

ML_MIN = 1e-6 / 60
SINGLE = Scenario.preset("single-bend, torsional")
LITTLE = replace(SINGLE, flow=Flow(0.0, 1 * ML_MIN))
STILL = replace(SINGLE, flow=Flow(0.0, 0.0))
BENCHES = {
    "single-bend": SINGLE,
    "counter-bent": Scenario.preset("counter-bent, torsional"),
    "1 mL/min": LITTLE,
    "under a load": replace(LITTLE, press=Press()),
    "in a wound": replace(LITTLE, outside=Outside("wound")),
    "no flow: boils": STILL,
    "no flow, in a wound, under a load": replace(
        STILL, outside=Outside("wound"), press=Press(force=0.1)
    ),
}
LONG = 3000.0


@pytest.mark.parametrize("name", BENCHES)
def test_it_is_where_the_march_ends(name: str) -> None:
    bench = BENCHES[name]
    motion, model = run(bench), Model(slices=40, sectors=6, tolerance=0.004)
    still = steady_heat(bench, model, motion)
    ended = heat_run(bench, LONG, (), model, motion)
    # What has dried out on the way stays dry without flow: then a place may end a little cooler.
    most = 0.5 if still.boils else 0.05
    assert np.abs(still.temperature - ended.temperature[-1]).max() < most
    assert still.boils is (ended.boiled is not None) is name.startswith("no flow")
    assert still.imbalance < 1e-6 and ended.imbalance < 1e-6


def test_the_steady_rows_of_readers(validation: Validation) -> None:
    apart = []
    for bench in (SINGLE, LITTLE, replace(LITTLE, press=Press())):
        motion = run(bench)
        ended = heat_run(bench, LONG, (), None, motion).temperature[-1]
        apart.append(float(np.abs(steady_heat(bench, None, motion).temperature - ended).max()))
    assert max(apart) < 0.05
    validation(
        "steady heat solved at once against 3000 s of the march, hottest difference of any cell",
        "0",
        "below 0.001 °C" if max(apart) < 1e-3 else f"{max(apart):.3f} °C",
        "0.05 °C",
        "the march in time",
    )


def test_pulses_count_by_their_mean_and_events_not_at_all() -> None:
    from tipsim.setup.drive import Duty
    from tipsim.setup.event import Event

    half = replace(LITTLE, duty=Duty("pulsed", 0.05, 0.05))
    full, mean = (steady_heat(b).sleeve - 298.15 for b in (LITTLE, half))
    assert 0.5 * full < mean < 0.6 * full
    stopped = replace(LITTLE, events=(Event(1.0, "drive off"),))
    assert steady_heat(stopped).sleeve == steady_heat(LITTLE).sleeve


def test_one_matrix_or_two_do(monkeypatch: pytest.MonkeyPatch) -> None:
    made = [0]
    of = stepping.Marcher.factor

    def counted(*args: object) -> object:
        made[0] += 1
        return of(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(stepping.Marcher, "factor", counted)
    found = steady_heat(SINGLE)
    # The march to the same place takes about 14 matrices and 120 solves.
    assert made[0] <= 2 and found.rounds <= 5
    made[0] = 0
    assert steady_heat(replace(LITTLE, press=Press())).rounds <= 12 and made[0] <= 4


def test_a_sweep_takes_it_without_a_march(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys.modules["tipsim.solve"], "heat_run", None)
    moved = sweep(LITTLE, "flow.leak_ml_min", [1.0, 2.0, 4.0])
    warm = moved["heat.steady_sleeve"]
    assert (np.diff(warm) < 0).all() and warm[-1] > LITTLE.fluid.temperature
    result = solve(LITTLE)
    assert result["heat.steady_sleeve"] == pytest.approx(float(warm[0]))
    assert result["heat.steady_wound"] is None and result["heat.steady_boils"] is False
