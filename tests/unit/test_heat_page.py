"""The heat page, without a browser: sheet, packet, words, colours, messages."""

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from bokeh.palettes import Inferno256

from tipsim import store
from tipsim.app.framework.packet import decode
from tipsim.app.pages.bench.page import BenchPage
from tipsim.app.pages.heat import field, packet, page, zoom
from tipsim.app.pages.heat.energy import HEATING, OTHER, energy
from tipsim.app.pages.heat.limits import SHORT, limits
from tipsim.app.pages.heat.lost import lost_lines
from tipsim.app.pages.heat.page import HeatPage
from tipsim.app.pages.heat.state import FULL, ROUGH, HeatState
from tipsim.app.pages.heat.table import content
from tipsim.app.pages.heat.words import compared, side_lines
from tipsim.heat.legs import Model
from tipsim.heat.network import network
from tipsim.heat.pulses import resolved_stretch
from tipsim.heat.timeline import HeatRun, heat_run
from tipsim.motion.run import run as motion_of
from tipsim.setup.drive import Duty
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import STATUSES
from tipsim.setup.thermal import OUTSIDE

FIRST = HeatState.first()
QUICK = Model(slices=24, sectors=4, tolerance=0.2)


def heated(scenario: Scenario, model: Model) -> HeatRun:
    run: HeatRun = store.get(scenario, "heat", model)
    return run


def drawn(data: bytes) -> dict[str, Any]:
    """Return what the scene gets."""
    found: dict[str, Any] = decode(data)
    return found


def around(state: HeatState, kind: str) -> HeatState:
    return state.change("both", "outside.kind", kind)


@cache
def run_of(state: HeatState, side: str = "a", model: Model = QUICK) -> HeatRun:
    return heated(getattr(state.bench, side), model)


# ---- the sheet ----


def test_times_for_drawing_rise_and_hit_every_event_and_the_end() -> None:
    times = field.display_times(60.0, (5.0, 20.0, 99.0), 60)
    assert (np.diff(times) > 0).all()
    assert {0.0, 5.0, 20.0, 60.0} <= set(times.tolist())
    assert 55 <= len(times) <= 75
    after = times[times > 5.0][0] - 5.0
    before = 5.0 - times[times < 5.0][-1]
    assert after < before


def test_at_its_own_times_a_run_is_given_back_as_it_is() -> None:
    run = run_of(FIRST.change("both", "ready", "kink"))
    given = field.at_times(run, run.temperature, run.time)
    assert np.abs(given - run.temperature).max() < 1e-9


def test_what_is_sent_is_what_was_computed() -> None:
    """Against the run itself, marched with far smaller steps, at the times of drawing."""
    state = FIRST.change("both", "ready", "kink")
    scenario = replace(state.bench.a, duration=9.0)
    run = heated(scenario, replace(QUICK, tolerance=0.02))
    fine = heated(scenario, replace(QUICK, tolerance=0.0002))
    rows_ = field.rows_of(run.cells)
    times = field.display_times(9.0, (5.0,), 40)
    sheet = field.sheet(run, rows_, times) * field.STEP
    cells = np.concatenate([row.cells for row in rows_])
    direct = np.stack(
        [np.interp(times, fine.time, fine.temperature[:, c] - 273.15) for c in cells], axis=1
    )
    assert np.abs(sheet - direct).max() < 0.5


@pytest.mark.parametrize("kind", OUTSIDE)
@pytest.mark.parametrize("sleeve", ["for-0.9", "none"])
def test_the_rows_of_a_cut_are_its_layers_from_top_to_bottom(kind: str, sleeve: str) -> None:
    run = run_of(around(FIRST, kind).change("a", "sleeve", sleeve))
    found = field.rows_of(run.cells)
    order = [f"{row.layer} {row.side}" for row in found]
    half = order[: order.index("bore middle")]
    assert half == [name.replace("other", "pressed") for name in reversed(order[len(half) + 1 :])]
    radii = field.outline(run)["radii"]
    assert (np.diff(np.array(radii), axis=0) >= -1e-9).all()
    for row in found:
        column = 0 if row.side != "other" else run.cells.sectors - 1
        expected = run.cells.index[row.layer][row.start : row.start + len(row.cells), column]
        assert (row.cells == expected).all() and (row.cells >= 0).all()


def test_the_pressed_side_is_up_in_the_picture() -> None:
    """The sheet's first rows are the sector that is pressed: the warmer one under a load."""
    run = run_of(FIRST.change("both", "ready", "load-blocked"))
    found = {(r.layer, r.side): r.cells for r in field.rows_of(run.cells)}
    end = run.temperature[-1]
    assert end[found["outer", "pressed"]].max() > end[found["outer", "other"]].max() + 1


# ---- the packet ----


@pytest.mark.parametrize("kind", OUTSIDE)
def test_a_packet_holds_both_needles_and_stays_small(kind: str) -> None:
    state = around(FIRST.change("both", "ready", "load-blocked"), kind)
    data = packet.packet(state)
    head = drawn(data)
    sheets = [side["sheet"] for side in head["sides"]]
    assert sum(s.nbytes for s in sheets) <= packet.BUDGET and len(data) < 300_000
    assert len(head["times"]) > 40
    for run, side in zip(state.runs(), head["sides"], strict=True):
        last = side["sheet"].reshape(len(head["times"]), -1)[-1] * head["step"] + 273.15
        cells = np.concatenate([row.cells for row in field.rows_of(run.cells)])
        assert np.abs(last - run.temperature[-1, cells]).max() <= 0.5 * head["step"] + 1e-9
        assert side["curves"]["sleeve"]["y"].max() <= run.peak_sleeve - 273.15 + 1e-3
        assert ("wound" in side["curves"]) == (kind == "wound")
        assert ("chamber" in side["curves"]) == (kind in ("chamber", "wound"))


def test_a_run_that_boils_ends_there() -> None:
    state = FIRST.change("both", "ready", "none")
    boiled = state.runs()[0].boiled
    assert boiled is not None
    head = drawn(packet.packet(state))
    side = head["sides"][0]
    width = sum(row["count"] for row in side["rows"])
    frames = len(side["sheet"]) // width
    assert head["times"][frames - 1] == pytest.approx(boiled, abs=1e-3)
    assert side["curves"]["metal"]["x"][-1] == pytest.approx(boiled, abs=1e-3)
    assert any("boils after" in line for line in side_lines(state.results[0]))


def test_colours_span_a_fixed_range_or_what_is_reached() -> None:
    state = FIRST.change("both", "ready", "load-blocked")
    runs = [run_of(state, side) for side in "ab"]
    fixed = packet.scale_of(state, *runs)
    assert (fixed["low"], fixed["high"]) == (20, 70)
    fit = packet.scale_of(state.change("both", "scale", "fit"), *runs)
    hottest = max(run.temperature.max() for run in runs) - 273.15
    assert fit["low"] == 25 and 0 <= fit["high"] - hottest <= 5
    calm = packet.scale_of(FIRST.change("both", "scale", "fit"), run_of(FIRST))
    assert calm["high"] - calm["low"] >= 10


def test_what_events_change_is_told_from_then_on() -> None:
    events = [
        {"time_s": 2, "what": "load", "force_g": 20, "place_mm": 4},
        {"time_s": 4, "what": "power", "share_percent": 50},
        {"time_s": 6, "what": "flow lost"},
        {"time_s": 8, "what": "flow back"},
        {"time_s": 9, "what": "drive off"},
        {"time_s": 9.5, "what": "load off"},
    ]
    state = FIRST.change("both", "press", True).change("both", "events", events)
    found = packet.moments(state.bench.a)
    assert [(m["time"], m["words"]) for m in found] == [
        (0.0, ""),
        (2.0, ""),
        (4.0, "power 50 %"),
        (6.0, "power 50 %, flow lost"),
        (8.0, "power 50 %"),
        (9.0, "drive off"),
        (9.5, "drive off"),
    ]
    # The load as set is 30 g, 6 mm from the tip, 4 mm long.
    assert found[0]["press"] == pytest.approx({"grams": 30, "place": 6, "length": 4})
    assert found[1]["press"] == pytest.approx({"grams": 20, "place": 4, "length": 4})
    assert found[-1]["press"] is None


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
    """In a first moment hardly anything has left: energy stored over time is the power."""
    state = FIRST.change("both", "ready", id)
    scenario = replace(state.bench.a, duration=0.5)
    run = heated(scenario, Model(tolerance=0.001))
    net = network(scenario, run.cells, press=scenario.press)
    gained = float(net.capacity @ (run.temperature[1] - run.temperature[0])) / float(run.time[1])
    assert gained == pytest.approx(state.results[0]["heat.warming"], rel=0.03)


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
    assert ("The model agrees" in sleeve) is (slow <= 8) and f"{slow:.1f} s at most" in sleeve
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


# ---- colours ----


def anchors() -> list[str]:
    source = (page._HERE / "colours.js").read_text(encoding="utf-8")
    return re.findall(r"\b[0-9a-f]{6}\b", source.split("const INFERNO")[1].split("];")[0])


def lightness(colour: str) -> float:
    """CIE L*, from W3C's relative luminance."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    return 116 * y ** (1 / 3) - 16 if y > 0.008856 else 903.3 * y


def test_the_scale_is_the_published_one() -> None:
    """Every sixteenth colour of the 256 that Bokeh carries, and the last."""
    places = [*range(0, 256, 16), 255]
    assert anchors() == [Inferno256[i][1:].lower() for i in places]


def test_the_scale_rises_evenly_in_lightness_so_that_it_reads_in_grey() -> None:
    steps = np.diff([lightness(c) for c in anchors()])
    assert (steps > 0).all()
    # The darkest two steps are not used; the last is one of fifteen places instead of sixteen.
    assert steps[2:-1].max() / steps[2:-1].min() < 1.5


# ---- messages ----


class Later:
    """A pool whose jobs are done one by one, when a test says so."""

    def __init__(self) -> None:
        self.jobs: list[tuple[str, Any, Any]] = []

    def submit(self, _owner: Any, name: str, work: Any, done: Any, /) -> None:
        self.jobs.append((name, work, done))

    def forget(self, _owner: Any, /) -> None:
        self.jobs.clear()

    def names(self) -> Iterator[str]:
        """Do the jobs in order, and return the name of each when it is done."""
        while self.jobs:
            name, work, done = self.jobs.pop(0)
            done(work())
            yield name


def test_a_change_gives_a_preview_first_and_then_the_result() -> None:
    pool = Later()
    bench = HeatPage({"duration": "8.25"}, pool)
    list(pool.names())
    scene, readout = bench.parts["scene"], bench.parts["readout"]
    before = readout.content
    bench.handle({"seq": 1, "changes": [{"side": "both", "field": "press", "value": True}]})
    assert "press=on" in bench.controls.reply["link"]
    assert "both:press.force_g" in bench.controls.reply["values"]
    done = pool.names()
    assert next(done) == "scene.preview"
    head = drawn(scene.preview)
    assert head["rough"] is True and head["sides"][0]["moments"][0]["press"]
    assert readout.content is before
    assert sorted(done) == ["energy.html", "readout.content", "scene.packet"]
    assert drawn(scene.packet)["rough"] is False and readout.content is not before


def test_what_was_computed_before_is_shown_at_once_as_it_is() -> None:
    bench = HeatPage({"duration": "8.5"})
    computed = store.shared().computed
    scale = [{"side": "both", "field": "scale", "value": "fit"}]
    bench.handle({"n": 1, "changes": scale}, bench.parts["scene"])
    head = drawn(bench.parts["scene"].preview)
    assert (head["rough"], head["scale"]["name"]) == (False, "fit")
    assert store.shared().computed == computed


def test_the_preview_is_near_the_result() -> None:
    state = FIRST.change("both", "ready", "load-blocked")
    rough, full = (heated(state.bench.a, m) for m in (ROUGH, FULL))
    assert rough.cells.size < full.cells.size / 2
    assert abs(rough.peak_sleeve - full.peak_sleeve) < 0.1 * (full.peak_sleeve - 298.15)


def test_a_wrong_event_is_answered_with_a_sentence_and_changes_nothing() -> None:
    bench = HeatPage({"duration": "8"})
    scene = bench.parts["scene"]
    before, data = bench.state, scene.packet
    events = {"side": "both", "field": "events", "value": [{"time_s": 700}]}
    bench.handle({"n": 3, "changes": [events]}, scene)
    assert scene.reply["n"] == 3 and scene.reply["error"].startswith("event 1.")
    assert bench.state == before and scene.packet is data


def test_what_is_set_here_survives_a_visit_to_the_bench() -> None:
    link = BenchPage({"view.heat.scale": "fit", "view.speed": "2"}).controls.reply["link"]
    assert link.endswith("&view.heat.scale=fit&view.speed=2")


def test_reset_is_a_fresh_page_and_can_be_taken_back() -> None:
    bench = HeatPage({"press": "on", "duration": "1"})
    before = bench.state
    bench.handle({"seq": 1, "changes": [{"field": "reset", "side": "both", "value": True}]})
    assert bench.state == FIRST
    bench.handle({"seq": 2, "changes": [{"field": "undo", "side": "both", "value": True}]})
    assert bench.state == before


def test_a_link_whose_own_part_is_wrong_keeps_its_needles() -> None:
    page = HeatPage({"a.needle": "straight", "view.heat.scale": "no such", "duration": "1"})
    assert 'view.heat.scale is "no such"' in page.controls.reply["notice"]
    assert page.state.bench.a.needle.shape == "straight"


def test_a_preview_is_coarse_until_both_results_are_known() -> None:
    state = FIRST.change("both", "duration_s", 0.875)
    for scenario in state.sides:
        assert state.quick() == ROUGH
        heated(scenario, FULL)
    assert state.quick() == FULL
