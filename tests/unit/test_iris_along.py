"""Rubbing at the iris, one needle over the other, along the place of contact."""

from dataclasses import replace

import numpy as np
import pytest

from tipsim.app.framework.packet import decode
from tipsim.app.pages.tissue import iris
from tipsim.app.pages.tissue.state import TissueState
from tipsim.motion.run import run
from tipsim.setup.presets import preset
from tipsim.setup.scenario import Scenario
from tipsim.tissue.along import rubbing_along
from tipsim.tissue.equal import Side, rubbing_ratio

PAIR = ("single-bend, torsional", "counter-bent, torsional")


def sides(**changes: object) -> list[Side]:
    benches = [preset(name).with_(outside="chamber", **changes) for name in PAIR]
    return [Side(bench, run(bench)) for bench in benches]


def test_along_the_needle_it_is_the_ratio_at_each_place() -> None:
    a, b = sides()
    found = rubbing_along(a, b)
    assert found is not None
    for i in (0, 7, 24):
        there = [_at(side, float(found.place[i])) for side in (a, b)]
        one = rubbing_ratio(*there).narrow
        assert one is not None
        assert found.ratio[i].usual == pytest.approx(one.usual, rel=1e-9)
        assert found.ratio[i].inner == pytest.approx(one.inner, rel=1e-9)


def _at(side: Side, place: float) -> Side:
    eye = replace(side.scenario.eye, iris_place=place)
    return Side(replace(side.scenario, eye=eye), side.motion)


def test_it_ends_where_the_incision_begins() -> None:
    for insertion in (4.5e-3, 7e-3):
        a, b = sides(insertion=insertion)
        found = rubbing_along(a, b)
        assert found is not None and found.place[-1] == pytest.approx(insertion)
        assert all(found.place[0] <= p <= insertion for one in found.still for p in one)


def test_a_needle_over_itself_is_one_everywhere() -> None:
    a, _ = sides()
    found = rubbing_along(a, a)
    assert found is not None
    assert [band.usual for band in found.ratio] == pytest.approx([1.0] * len(found.ratio))


def test_without_any_rubbing_there_is_no_ratio() -> None:
    a, b = sides()
    still = Scenario.preset(PAIR[1]).with_(power=0.0)
    assert rubbing_along(a, Side(still, run(still))) is None
    state = TissueState.first().change("b", "drive.power_percent", 0)
    assert iris.compared(state) == ["B's iris is not rubbed at all, so there is no ratio to A."]
    assert b.motion.end_stroke > 0


def test_the_chart_names_the_still_points() -> None:
    state = TissueState.first()
    data = decode(iris.along(state))["charts"]["tissue.along"]
    found = iris.along_of(state)
    assert found is not None
    assert np.allclose(data["lines"]["usual"]["x"], found.place * 1e3)
    named = [d["label"] for d in data["dots"]]
    count = sum(len(one) for one in found.still)
    assert len(named) == count > 0 and all("still" in label for label in named)
    assert "stands still at" in data["words"]


def test_in_the_incision_there_is_no_iris() -> None:
    state = TissueState.first().change("both", "eye.iris_place_mm", 9)
    assert "lies the incision (from 6 mm on): no iris is there" in iris.compared(state)[0]


def test_the_absolute_index_is_not_on_the_screen() -> None:
    shown = iris.content(TissueState.first())
    assert {row.id for row in shown["rows"]}.isdisjoint({"iris-index", "iris-work"})
