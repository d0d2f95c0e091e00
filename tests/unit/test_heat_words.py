"""What the heat page says beside its picture: power by cause, limits, studies, pulses."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.unit.heats import FIRST, QUICK, around, drawn, heated
from tipsim.app.pages.heat import zoom
from tipsim.app.pages.heat.energy import HEATING, OTHER, energy
from tipsim.app.pages.heat.limits import SHORT, limits
from tipsim.app.pages.heat.lost import lost_lines
from tipsim.app.pages.heat.page import HeatPage
from tipsim.app.pages.heat.state import HeatState
from tipsim.app.pages.heat.table import content
from tipsim.app.pages.heat.words import compared, side_lines
from tipsim.heat.legs import Model
from tipsim.heat.network import network
from tipsim.heat.pulses import resolved_stretch
from tipsim.heat.timeline import heat_run
from tipsim.motion.run import run as motion_of
from tipsim.setup.drive import Duty
from tipsim.setup.sourced import STATUSES
from tipsim.setup.thermal import OUTSIDE

# ---- energy, numbers, words ----


@pytest.mark.parametrize("kind", OUTSIDE)
def test_power_by_cause_is_all_power_and_pulses_lower_it(kind: str) -> None:
    state = around(FIRST.change("both", "ready", "load-blocked"), kind)
    found = energy(state)
    sources = state.runs()[0].sources
    total = sum(sources.total(cause) for cause in sources.watts)
    assert sum(row["watts"][0] for row in found["rows"]) == pytest.approx(total, rel=1e-12)
    pulsed = energy(state.change("both", "duty.kind", "pulsed"))
    for one, two in zip(found["rows"], pulsed["rows"], strict=True):
        assert two["watts"][0] == pytest.approx(one["watts"][0] / 2, rel=1e-12)
    heats = [row["id"] for row in found["rows"] if row["heats"]]
    assert heats == list(HEATING) and len(found["rows"]) == len(HEATING) + len(OTHER)


@pytest.mark.parametrize("id", ["normal", "load", "load-blocked"])
def test_what_is_said_to_heat_needle_and_fluid_is_what_the_model_puts_in(id: str) -> None:
    """In a first moment hardly anything has left: energy stored over time is the power.

    What the bare tip's film warms is the chamber's fluid, and is said apart.
    """
    state = FIRST.change("both", "ready", id)
    scenario = replace(state.bench.a, duration=0.5)
    run = heated(scenario, Model(tolerance=1e-4))
    net = network(scenario, run.cells, press=scenario.press)
    gained = net.capacity * (run.temperature[1] - run.temperature[0]) / run.time[1]
    said = state.results[0]
    chamber = gained[run.cells.chamber]
    assert chamber == pytest.approx(said["heat.beyond_sleeve"], rel=0.03)
    assert gained.sum() - chamber == pytest.approx(said["heat.warming"], rel=0.01)


def test_limits_carry_source_and_status() -> None:
    found = limits()
    assert [one["id"] for one in found if not one["source"]] == []
    assert len(found) == len(SHORT) and all(one["status"] in STATUSES for one in found)
    assert [one["celsius"] for one in found] == sorted(float(one["celsius"]) for one in found)


def test_numbers_and_sentences_agree() -> None:
    state = FIRST.change("both", "ready", "load-blocked")
    a, b = state.results
    found = content(state)
    by_id = {row["id"]: row for section in found["sections"] for row in section["rows"]}
    assert by_id["heat-peak_sleeve"]["a"] == f"{a.heat.peak_sleeve - 273.15:.1f}"
    assert f"reaches {by_id['heat-peak_sleeve']['a']} °C" in found["words"][0]["lines"][0]
    assert all(len(row["why"]) > 20 for row in by_id.values())
    assert by_id["heat-peak_wound"]["a"] == "–"
    assert compared(a, a)[0].endswith("both are equally warm outside.")
    warmer = "A" if a.heat.sleeve_peak[-1] > b.heat.sleeve_peak[-1] else "B"
    assert f"{warmer} is" in compared(a, b)[0]


def lost(state: HeatState) -> list[str]:
    return lost_lines(*state.runs())


def test_lost_flow_is_compared_with_studies() -> None:
    assert lost(FIRST) == []
    state = FIRST.change("both", "ready", "kink")
    runs = state.runs()
    first, *_, sleeve, burn, last = lost(state)
    to45 = runs[0].seconds_to(318.15)
    assert to45 is not None and runs[0].boiled is not None
    assert first.startswith(f"A without fluid from 5 s on: 45 °C outside after {to45 - 5:.2f} s")
    slow = max(r.boiled - 5 for r in runs if r.boiled is not None)
    assert ("The model agrees" in sleeve) is (slow <= 8) and f"{slow:.2g} s at most" in sleeve
    assert "30 and 32 s" in burn and burn.endswith("There is no incision in this setting.")
    assert "the page Evidence" in last
    wound = around(state, "wound")
    burnt = (wound.runs()[0].peak_wound or 0) >= 333.15
    assert ("A's tissue is at 60 °C after" in lost(wound)[-2]) is burnt


def test_no_flow_from_the_start_counts_from_the_start() -> None:
    assert lost(FIRST.change("both", "ready", "none"))[0].startswith("A without fluid from 0 s on")
    leaking = FIRST.change("both", "events", [{"time_s": 2, "what": "flow lost", "flow_ml_min": 1}])
    assert lost(leaking) == []


def test_a_needle_that_stands_still_stays_at_its_temperature() -> None:
    state = FIRST.change("both", "drive.power_percent", 0)
    assert side_lines(state.results[0])[0] == "The sleeve's outside stays at its temperature."
    assert sum(row["watts"][0] for row in energy(state)["rows"]) == 0


# ---- pulse by pulse ----


@pytest.mark.parametrize(("on", "off", "tolerance"), [(0.05, 0.05, 0.02), (0.01, 0.04, 0.02)])
def test_pulses_swing_about_what_the_mean_power_gives(
    on: float, off: float, tolerance: float
) -> None:
    """The mean over whole pulses, and both against a run that follows all pulses from the start."""
    state = FIRST.change("both", "ready", "load-blocked")
    scenario = replace(state.bench.a, duty=Duty("pulsed", on, off), duration=4.0)
    model = replace(QUICK, tolerance=tolerance)
    mean, motion = heated(scenario, model), motion_of(scenario)
    close = resolved_stretch(mean, 3.0, 0.5, model, motion)
    assert close.time[0] == pytest.approx(3.0, abs=1e-3) and close.time[-1] == pytest.approx(3.5)
    whole = heat_run(scenario, 3.5, model=model, motion=motion, resolved=True)
    later = close.time > 3.0
    direct = np.interp(close.time[later], whole.time, whole.sleeve_peak)
    assert np.abs(direct - close.sleeve_peak[later]).max() < 0.1
    swing = np.ptp(close.sleeve_peak)
    average = np.trapezoid(close.sleeve_peak, close.time) / (close.time[-1] - close.time[0])
    assert swing > 0.02 and abs(average - mean.sleeve_peak[-1]) < 0.5 * swing + 0.05


def test_only_a_drive_that_pulses_is_zoomed_into() -> None:
    bench = HeatPage({"duration": "4"})
    bench.handle({"zoom": 1.0}, bench.parts["scene"])
    assert bench.parts["scene"].zoom == b""
    bench.handle({"seq": 1, "changes": [{"side": "both", "field": "duty.kind", "value": "pulsed"}]})
    bench.handle({"zoom": 3.9}, bench.parts["scene"])
    found = drawn(bench.parts["scene"].zoom)
    assert (found["start"], found["end"]) == pytest.approx((3.5, 4.0))
    assert [side["key"] for side in found["sides"]] == ["a", "b"]
    assert len(found["on"]) == 25
    for side in found["sides"]:
        assert len(side["time"]) == len(side["swing"]) <= zoom.POINTS + 1
        assert side["swing"].min() < 0 < side["swing"].max()


@pytest.mark.parametrize("start", [None, "soon", True, {}])
def test_a_wrong_time_for_the_zoom_gets_a_sentence(start: Any) -> None:
    bench = HeatPage({"duration": "1"})
    bench.handle({"zoom": start}, bench.parts["scene"])
    assert "does not know this request" in bench.controls.reply["notice"]
