"""Viscoelastic around the needle, and a chamber that falls flat: by hand."""

from dataclasses import replace

import numpy as np
import pytest

from tipsim.flow.transient import collapse_time
from tipsim.heat.cells import cut
from tipsim.heat.legs import Model
from tipsim.heat.sources import heat_sources
from tipsim.heat.state import flat_from, no_flow_from, states
from tipsim.heat.timeline import HeatRun, heat_run
from tipsim.heat.viscoelastic import sheared, surrounded, thickened, viscosity
from tipsim.motion.run import run
from tipsim.setup.errors import BadInput
from tipsim.setup.event import Event
from tipsim.setup.heat import Viscoelastic
from tipsim.setup.scenario import Scenario

LAW = Viscoelastic()
EYE = Scenario.preset("single-bend, torsional").with_(**{"outside.kind": "wound"})
FULL = EYE.with_(**{"chamber.filling": "viscoelastic"})
COARSE = Model(slices=40, sectors=1)
LOST = Event(1.0, "flow lost")


def warm(scenario: Scenario, seconds: float = 4.0, *events: Event) -> HeatRun:
    return heat_run(scenario, seconds, events, COARSE)


def test_it_is_as_thick_as_published() -> None:
    """229 Pa s at rest, 8 Pa s at 10 1/s, and from there on as the rate to the power of -3/4."""
    rates = np.array([0.0, 10.0, 1e3, 1e4])
    rest, ten, thousand, more = viscosity(LAW, 1e-9, rates)
    assert (rest, ten) == (pytest.approx(229), pytest.approx(8))
    assert thousand / more == pytest.approx(10**0.75, rel=1e-3)
    assert viscosity(LAW, 1e-3, np.array([1e12]))[0] == pytest.approx(1e-3, rel=0.01)


def test_a_film_and_its_layer_are_found_together() -> None:
    """With eta = K g^(n-1) and g = v sqrt(rho w / (2 eta)) the viscosity has a closed form."""
    n, speed, density, angular = 0.25, 2.0, 1000.0, 2e5
    k = 8.0 * 10 ** (1 - n)
    known = (k * (speed * np.sqrt(density * angular / 2)) ** (n - 1)) ** (2 / (1 + n))
    found = sheared(LAW, 1e-9, density, angular, np.array([speed]))[0]
    assert found == pytest.approx(known, rel=2e-3)


def test_films_grow_with_the_root_of_the_viscosity_where_it_stands() -> None:
    motion, cells = run(FULL), cut(FULL, 80, 1)
    plain = heat_sources(FULL, motion, cells.edges)
    thick = thickened(FULL, cells, plain, 1.0)
    where = surrounded(FULL, cells)
    from_tip = FULL.needle.length - cells.middle
    assert FULL.sleeve is not None
    assert from_tip[where].max() == pytest.approx(FULL.sleeve.exposed + 5e-3, abs=0.3e-3)
    for cause in ("films_outside", "films_bore"):
        one, other = plain.watts[cause], thick.watts[cause]
        assert np.array_equal(one[~where], other[~where])
        moved = where & (one > 1e-9)
        assert (other[moved] > one[moved]).all()
    i = int(np.flatnonzero(where)[-1])
    angular = 2 * np.pi * FULL.drive.frequency
    water, density = FULL.fluid.viscosity, FULL.fluid.density
    area = 2 * np.pi * cells.wall[i] * cells.step[i]
    resistance = area * np.sqrt(density * water * angular / 2)
    speed = np.sqrt(2 * plain.watts["films_outside"][i] / resistance)
    eta = sheared(LAW, water, density, angular, np.array([speed]))[0]
    by_hand = plain.watts["films_outside"][i] * np.sqrt(eta / water)
    assert thick.watts["films_outside"][i] == pytest.approx(by_hand, rel=1e-9)
    # The faster it is sheared the thinner it is: half the speed makes more than a quarter of heat.
    slow = thickened(FULL, cells, plain, 0.5).watts["films_outside"][i]
    assert slow > thick.watts["films_outside"][i]


def test_nothing_flows_until_it_is_cleared() -> None:
    assert no_flow_from(FULL) == 0 and no_flow_from(EYE) is None
    stuck, free = warm(FULL), warm(EYE)
    assert stuck.sleeve_peak[-1] > free.sleeve_peak[-1] + 5
    cleared = warm(FULL, 8.0, Event(4.0, "viscoelastic cleared"))
    assert cleared.sleeve_peak[-1] < stuck.sleeve_peak[-1] - 5
    still = warm(EYE.with_(**{"flow.aspiration": 0.0, "flow.leak": 0.0}))
    # More heat in the film, and none carried off: hotter than salt solution that does not flow.
    assert stuck.metal_peak[-1] > still.metal_peak[-1]


def test_in_air_there_is_no_chamber_to_fill() -> None:
    dry = FULL.with_(**{"outside.kind": "air"})
    assert no_flow_from(dry) is None
    lost = replace(dry, events=(LOST,))
    assert flat_from(lost) is None and len(states(lost)) == 2


def test_it_cannot_be_thicker_when_sheared() -> None:
    with pytest.raises(BadInput, match=r"at_ten_pa_s is 50 Pa s; allowed: less than at rest"):
        Viscoelastic(at_ten=50.0, zero_shear=20.0)


def test_a_chamber_without_irrigation_is_flat_when_the_flow_model_says_so() -> None:
    lost = replace(EYE, events=(LOST,))
    after = collapse_time(EYE)
    assert after is not None and after < 1.0
    assert flat_from(lost) == pytest.approx(1.0 + after)
    assert [state.flat for _, state in states(lost)] == [False, False, True]
    back = replace(EYE, events=(LOST, Event(1.2, "flow back")))
    assert flat_from(back) is None
    again = replace(EYE, events=(LOST, Event(3.0, "flow back")))
    assert [state.flat for _, state in states(again)] == [False, False, True, False]
    idle = EYE.with_(**{"flow.aspiration": 0.0, "flow.leak": 0.0})
    assert flat_from(replace(idle, events=(LOST,))) is None


def test_an_empty_bottle_has_a_flat_chamber_from_the_start() -> None:
    assert flat_from(EYE.with_(**{"flow.bottle_height": 0.0})) == 0.0


def test_what_is_left_in_a_flat_chamber_warms_faster() -> None:
    """A tenth of the fluid warms about ten times as fast by what the tip puts into it."""
    still = EYE.with_(**{"flow.aspiration": 0.0, "flow.leak": 0.0})
    lost = replace(EYE, events=(Event(0.0, "flow lost"),))
    flat = flat_from(lost)
    assert flat is not None

    def rate(out: HeatRun, begin: float) -> float:
        fluid = out.temperature[:, out.cells.chamber]
        low, high = np.interp([begin, begin + 0.2], out.time, fluid)
        return float(high - low) / 0.2

    full = rate(warm(still, 2.0), flat)
    assert rate(warm(EYE, 2.0, Event(0.0, "flow lost")), flat) == pytest.approx(10 * full, rel=0.2)
    more = EYE.with_(**{"chamber.left": 0.2})
    twice = rate(heat_run(more, 2.0, (Event(0.0, "flow lost"),), COARSE), flat)
    assert twice == pytest.approx(5 * full, rel=0.2)


def test_heat_of_the_thick_film_is_what_the_result_says() -> None:
    plain, thick = (heat_run(s, 0.5, (), COARSE).sources for s in (EYE, FULL))
    assert thick.total("films_outside") > 1.05 * plain.total("films_outside")
    assert thick.total("metal") == plain.total("metal")
