"""Limits of the linear model: what passes them, what is said, and that all doors say the same."""

import json
from dataclasses import replace

import numpy as np
import pytest

from tipsim.motion.annulus import stirred
from tipsim.motion.cavitation import cavitation
from tipsim.motion.ceilings import Ceiling, ceilings, passed, sentence
from tipsim.motion.response import response
from tipsim.motion.run import run
from tipsim.quantities import plain
from tipsim.setup.catalogue import catalogue
from tipsim.setup.link import from_query, to_query
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import MPS
from tipsim.solve import solve

SINGLE = Scenario.preset("single-bend, torsional")


def at_resonance() -> Scenario:
    """The single bend driven where its tip moves most."""
    curve = response(SINGLE)
    return SINGLE.with_(frequency=round(float(curve.frequency[curve.end.argmax()]), -1))


def test_a_limit_is_passed_above_it_only() -> None:
    at = Ceiling("speed", "tip speed", 20.0, 20.0, MPS)
    assert not at.passed and replace(at, value=20.0001).passed
    # What is no number is not within a limit.
    assert replace(at, value=float("nan")).passed
    assert replace(at, value=30.0).share == 1.5


def test_each_limit_by_hand() -> None:
    motion = run(SINGLE)
    found = {c.name: c for c in ceilings(SINGLE, motion)}
    assert list(found) == ["speed", "power", "swing"]
    assert found["speed"].value == pytest.approx(np.pi * 32e3 * motion.end_stroke)
    assert found["power"].value == motion.vibration.power_in
    # A set coupling: half of the sideways stroke against the sleeve, over the shaft's gap.
    set_ = SINGLE.with_(mobility=0.4)
    motion = run(set_)
    assert set_.sleeve is not None
    gap = set_.sleeve.inner_radius - set_.needle.outer_radius
    inside = motion.frame.s < set_.sleeve_end
    by_hand = 0.6 * (motion.sideways_stroke[inside] / 2).max() / gap
    assert ceilings(set_, motion)[2].value == pytest.approx(by_hand)
    bare = replace(SINGLE, sleeve=None)
    assert ceilings(bare, run(bare))[2].value == 0
    assert len(stirred(bare, run(bare).vibration).swing) == 0


def test_the_limits_are_settings() -> None:
    low = SINGLE.with_(**{"ceilings.power": 1.0, "ceilings.speed": 2.0, "ceilings.swing": 0.05})
    assert [c.name for c in passed(low, run(low))] == ["speed", "power", "swing"]
    assert from_query(to_query(low)) == replace(low, name=from_query(to_query(low)).name)


def test_a_resonance_is_called_outside_the_range_and_stays_finite() -> None:
    held = at_resonance()
    result = solve(held)
    over = passed(held, result.motion)
    assert "speed" in {c.name for c in over}
    said = sentence(over, "A's motion")
    assert said.startswith("A's motion is outside the range of the linear model: tip speed ")
    assert said.count("(limit ") == len(over) and said.endswith(".")
    data = plain(result, "limits")
    assert data["within"] is False
    assert [row["limit"] for row in data["passed"]] == [c.name for c in over]
    assert data["passed"][0]["most"] == 20 and data["passed"][0]["unit"] == "m/s"
    # Each number of the JSON has a value.
    json.dumps(result.to_dict() | {"heat": None}, allow_nan=False)
    again = from_query(to_query(held))
    assert replace(again, name=held.name) == held


@pytest.mark.parametrize("drive", catalogue().drives)
@pytest.mark.parametrize("shape", catalogue().main)
def test_the_needles_that_stand_for_a_shape_stay_within(shape: str, drive: str) -> None:
    scenario = Scenario.preset(f"{shape}, {drive}")
    assert passed(scenario, run(scenario)) == () and sentence(()) == ""


def test_nothing_moves_and_nothing_is_passed() -> None:
    still = SINGLE.with_(power=0.0)
    result = solve(still)
    assert result["limits.within"] is True and result["limits.passed"] == ()
    found = cavitation(still, result.motion)
    assert (found.film, found.tip, found.film_onset, found.tip_onset) == (0.0, 0.0, None, None)
    assert not (found.in_film or found.at_tip)


def test_pressure_goes_with_power_and_onset_stays() -> None:
    one, half = (cavitation(s, run(s)) for s in (SINGLE, SINGLE.with_(power=0.5)))
    assert one.film and half.film and one.film_onset and half.film_onset
    assert one.film == pytest.approx(2 * half.film) and one.tip == pytest.approx(2 * half.tip)
    assert one.film_onset == pytest.approx(half.film_onset)
    at = SINGLE.with_(power=one.film_onset)
    assert cavitation(at, run(at)).film == pytest.approx(one.threshold)
    low, high = (SINGLE.with_(power=k * one.film_onset) for k in (0.99, 1.01))
    assert not cavitation(low, run(low)).in_film and cavitation(high, run(high)).in_film
    assert cavitation(low, run(low)).film_share == 0 < cavitation(high, run(high)).film_share
    assert one.film_share > half.film_share


def test_without_a_sleeve_there_is_no_film() -> None:
    bare = solve(replace(SINGLE, sleeve=None))
    for name in ("film", "film_place", "shaft", "film_onset"):
        assert bare[f"cavitation.{name}"] is None
    assert bare["cavitation.film_share"] == 0 and bare["cavitation.tip"] > 0
