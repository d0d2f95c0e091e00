"""The heat page, without a browser: sheet, packet, words, colours, messages."""

import json
import re
import struct
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from bokeh.palettes import Inferno256

from tipsim.app.heat import bench as page
from tipsim.app.heat import field
from tipsim.app.heat.bench import HeatBench, heated
from tipsim.app.heat.energy import energy, shares
from tipsim.app.heat.limits import SHORT, limits
from tipsim.app.heat.lost import lost_at, lost_lines
from tipsim.app.heat.packet import BUDGET, packet
from tipsim.app.heat.state import FULL, ROUGH, HeatState
from tipsim.app.heat.table import rows
from tipsim.app.heat.words import compared, side_lines
from tipsim.app.workbench import Workbench
from tipsim.heat.legs import Model
from tipsim.heat.pulses import resolved_stretch
from tipsim.heat.timeline import HeatRun, heat_run
from tipsim.motion.run import run as motion_of
from tipsim.setup.drive import Duty
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import STATUSES
from tipsim.setup.thermal import OUTSIDE

FIRST = HeatState.first()
QUICK = Model(slices=24, sectors=4, tolerance=0.2)


def unpacked(data: bytes) -> tuple[dict[str, Any], bytes]:
    (length,) = struct.unpack_from("<I", data)
    return json.loads(data[4 : 4 + length]), data[4 + length :]


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
    sheet = np.frombuffer(field.quantised(run, rows_, times), "<u2") * field.STEP
    cells = np.concatenate([row.cells for row in rows_])
    direct = np.stack(
        [np.interp(times, fine.time, fine.temperature[:, c] - 273.15) for c in cells], axis=1
    )
    assert np.abs(sheet.reshape(direct.shape) - direct).max() < 0.5


@pytest.mark.parametrize("kind", OUTSIDE)
@pytest.mark.parametrize("sleeve", ["for-0.9", "none"])
def test_the_rows_of_a_cut_are_its_layers_from_top_to_bottom(kind: str, sleeve: str) -> None:
    run = run_of(around(FIRST, kind).change("a", "sleeve", sleeve))
    found = field.rows_of(run.cells)
    order = [f"{row.layer} {row.side}" for row in found]
    half = order[: order.index("bore middle")]
    assert half == [name.replace("other", "pressed") for name in reversed(order[len(half) + 1 :])]
    radii = field.outline(run)["radii_mm"]
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
    a, b = (heated(s, FULL) for s in (state.bench.a, state.bench.b))
    data = packet(state, a, b)
    head, body = unpacked(data)
    assert len(body) <= BUDGET and len(data) < 300_000
    assert len(head["times"]) > 40
    for run, side in zip((a, b), head["sides"], strict=True):
        width = sum(row["count"] for row in side["rows"])
        assert side["frames"] == len(head["times"])
        sheet = np.frombuffer(body, "<u2", side["frames"] * width, side["offset"])
        last = sheet.reshape(side["frames"], width)[-1] * head["step"] + 273.15
        cells = np.concatenate([row.cells for row in field.rows_of(run.cells)])
        assert np.abs(last - run.temperature[-1, cells]).max() <= 0.5 * head["step"] + 1e-9
        assert max(side["curves"]["sleeve"]) <= run.peak_sleeve - 273.15 + 1e-3
        assert (side["curves"]["wound"] is None) == (kind != "wound")
        assert (side["curves"]["chamber"] is None) == (kind not in ("chamber", "wound"))


def test_a_run_that_boils_ends_there() -> None:
    state = FIRST.change("both", "ready", "none")
    a, b = (heated(s, FULL) for s in (state.bench.a, state.bench.b))
    assert a.boiled is not None
    head, _ = unpacked(packet(state, a, b))
    side = head["sides"][0]
    assert head["times"][side["frames"] - 1] == pytest.approx(a.boiled, abs=1e-3)
    assert len(side["curves"]["metal"]) < len(head["curve_times"])
    assert any("boils after" in line for line in side_lines(a))


def test_colours_span_a_fixed_range_or_what_is_reached() -> None:
    state = FIRST.change("both", "ready", "load-blocked")
    a, b = run_of(state, "a"), run_of(state, "b")
    fixed = unpacked(packet(state, a, b))[0]["scale"]
    assert (fixed["low"], fixed["high"]) == (20, 70)
    fit = unpacked(packet(state.change("both", "scale", "fit"), a, b))[0]["scale"]
    hottest = max(run.temperature.max() for run in (a, b)) - 273.15
    assert fit["low"] == 25 and 0 <= fit["high"] - hottest <= 5
    calm = unpacked(packet(FIRST.change("both", "scale", "fit"), run_of(FIRST), run_of(FIRST)))
    assert calm[0]["scale"]["high"] - calm[0]["scale"]["low"] >= 10


# ---- energy, numbers, words ----


@pytest.mark.parametrize("kind", OUTSIDE)
def test_watts_by_cause_are_all_watts_and_pulses_lower_them(kind: str) -> None:
    state = around(FIRST.change("both", "ready", "load-blocked"), kind)
    found = shares(run_of(state))
    total = sum(run_of(state).sources.total(cause) for cause in run_of(state).sources.watts)
    assert sum(s.watts for s in found) == pytest.approx(total, rel=1e-12)
    pulsed = shares(run_of(state.change("both", "duty.kind", "pulsed")))
    for one, two in zip(found, pulsed, strict=True):
        assert two.watts == pytest.approx(one.watts / 2, rel=1e-12)


@pytest.mark.parametrize("id", ["normal", "load", "load-blocked"])
def test_what_is_said_to_heat_needle_and_water_is_what_the_model_puts_in(id: str) -> None:
    """In a first moment hardly anything has left: energy stored over time is the power."""
    state = FIRST.change("both", "ready", id)
    scenario = replace(state.bench.a, duration=0.5)
    run = heated(scenario, Model(tolerance=0.001))
    from tipsim.heat.network import network

    net = network(scenario, run.cells, press=scenario.press)
    gained = float(net.capacity @ (run.temperature[1] - run.temperature[0])) / float(run.time[1])
    said = energy(run, run)["totals"][0]["heats"]  # type: ignore[index]
    assert gained == pytest.approx(said, rel=0.03)


def test_limits_carry_source_and_status() -> None:
    found = limits()
    assert [one["id"] for one in found if not one["source"]] == []
    assert len(found) == len(SHORT) and all(one["status"] in STATUSES for one in found)
    assert [one["celsius"] for one in found] == sorted(float(one["celsius"]) for one in found)


def test_numbers_and_sentences_agree() -> None:
    state = FIRST.change("both", "ready", "load-blocked")
    a, b = run_of(state, "a"), run_of(state, "b")
    by_id = {row["id"]: row for section in rows(a, b) for row in section["rows"]}
    assert by_id["sleeve"]["a"] == f"{a.peak_sleeve - 273.15:.1f}"
    assert f"reaches {by_id['sleeve']['a']} °C" in side_lines(a)[0]
    assert all(len(row["why"]) > 20 for row in by_id.values())
    assert by_id["wound"]["a"] == "–"
    assert compared(a, a)[0].endswith("both are equally warm outside.")
    warmer = "A" if a.sleeve_peak[-1] > b.sleeve_peak[-1] else "B"
    assert f"{warmer} is" in compared(a, b)[0]


def test_lost_flow_is_held_against_studies() -> None:
    assert lost_lines(run_of(FIRST), run_of(FIRST)) == []
    state = FIRST.change("both", "ready", "kink")
    a, b = run_of(state, "a"), run_of(state, "b")
    assert lost_at(a) == 5.0 and a.boiled is not None
    first, *_, sleeve, burn, last = lost_lines(a, b)
    to45 = a.seconds_to(318.15)
    assert to45 is not None
    assert first.startswith(f"A without water from 5 s on: 45 °C outside after {to45 - 5:.1f} s")
    slow = max(r.boiled - 5 for r in (a, b) if r.boiled is not None)
    within = slow <= 8
    assert ("So it does here" in sleeve) is within and f"{slow:.1f} s at most" in sleeve
    assert "30 and 32 s" in burn and burn.endswith("There is no wound on this bench.")
    assert "Bench studies" in last
    wound = around(state, "wound")
    a, b = run_of(wound, "a"), run_of(wound, "b")
    burnt = (a.peak_wound or 0) >= 333.15
    assert ("A's tissue is at 60 °C after" in lost_lines(a, b)[-2]) is burnt


def test_no_flow_from_the_start_counts_from_the_start() -> None:
    run = run_of(FIRST.change("both", "ready", "none"))
    assert lost_at(run) == 0.0
    leaking = FIRST.change("both", "events", [{"time_s": 2, "what": "flow lost", "flow_ml_min": 1}])
    assert lost_at(run_of(leaking)) is None


def test_a_needle_that_stands_still_is_said_to_stay_as_it_is() -> None:
    run = run_of(FIRST.change("both", "drive.power_percent", 0))
    assert side_lines(run)[0] == "The sleeve's outside stays as it is."
    assert sum(share.watts for share in shares(run)) == 0


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
    bench = HeatBench({"duration": "4"})
    bench.asked({"zoom": 1.0})
    assert bench.scene.zoom == {}
    bench.handle({"seq": 1, "changes": [{"side": "both", "field": "duty.kind", "value": "pulsed"}]})
    bench.asked({"zoom": 3.9})
    found = bench.scene.zoom
    assert (found["start"], found["end"]) == pytest.approx((3.5, 4.0))
    assert [side["key"] for side in found["sides"]] == ["a", "b"]
    assert len(found["on"]) == 25
    for side in found["sides"]:
        assert len(side["time"]) == len(side["swing"]) <= 401
        assert min(side["swing"]) < 0 < max(side["swing"])


# ---- colours ----


def anchors() -> list[str]:
    source = (page._FOLDER / "colours.js").read_text(encoding="utf-8")
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


def test_a_change_gives_a_rough_picture_first_and_the_full_one_when_asked() -> None:
    bench = HeatBench({"duration": "8"})
    assert unpacked(bench.scene.packet)[0]["rough"] is False
    before = bench.readout.content
    change = {"side": "both", "field": "press", "value": True}
    bench.handle({"seq": 1, "changes": [change]})
    head, _ = unpacked(bench.scene.packet)
    assert head["rough"] is True and head["sides"][0]["press"]
    assert bench.readout.content is before
    assert "press=on" in bench.controls.reply["link"]
    assert "both:press.force_g" in bench.controls.reply["values"]
    bench.asked({"full": True})
    assert unpacked(bench.scene.packet)[0]["rough"] is False
    assert bench.readout.content is not before
    bench.asked({"n": 1, "changes": [{"side": "both", "field": "scale", "value": "fit"}]})
    head, _ = unpacked(bench.scene.packet)
    assert (head["rough"], head["scale"]["name"]) == (False, "fit")


def test_the_rough_picture_is_near_the_full_one() -> None:
    state = FIRST.change("both", "ready", "load-blocked")
    rough, full = (heated(state.bench.a, m) for m in (ROUGH, FULL))
    assert rough.cells.size < full.cells.size / 2
    assert abs(rough.peak_sleeve - full.peak_sleeve) < 0.05 * (full.peak_sleeve - 298.15)


def test_a_wrong_event_is_answered_with_a_sentence_and_changes_nothing() -> None:
    bench = HeatBench({"duration": "8"})
    before, data = bench.state, bench.scene.packet
    bench.asked(
        {
            "n": 3,
            "changes": [{"side": "both", "field": "events", "value": [{"time_s": 700}]}],
        }
    )
    assert bench.scene.reply["n"] == 3
    assert bench.scene.reply["error"].startswith("event 1.")
    assert bench.state == before and bench.scene.packet is data


def test_a_link_that_cannot_be_used_is_said_and_the_first_setting_shown() -> None:
    bench = HeatBench({"view.heat.scale": "wide", "view.speed": "2"})
    assert bench.state == FIRST
    assert bench.controls.reply["notice"].startswith("This link could not be used: link: view.heat")
    assert bench.controls.reply["link"].endswith("view.speed=2")


def test_what_is_assumed_here_survives_a_visit_to_the_bench() -> None:
    link = Workbench({"view.heat.scale": "fit", "view.speed": "2"}).controls.reply["link"]
    assert link.endswith("&view.speed=2&view.heat.scale=fit")


def test_reset_is_a_fresh_page() -> None:
    bench = HeatBench({"press": "on", "duration": "8"})
    bench.handle({"seq": 1, "changes": [{"field": "reset", "side": "both", "value": True}]})
    assert bench.state == FIRST


def test_scenarios_are_shared_between_learners() -> None:
    scenario = Scenario.preset("straight, axial")
    assert heated(scenario, QUICK) is heated(scenario, QUICK)


def test_a_link_whose_own_part_is_wrong_keeps_its_needles() -> None:
    page = HeatBench({"a.needle": "straight", "view.heat.scale": "no such"})
    assert "could not be used" in page.controls.reply["notice"]
    assert page.state.bench.a.needle.shape == "straight"
