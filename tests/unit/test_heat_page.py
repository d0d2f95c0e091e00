"""The heat page, without a browser: sheet, packet, words, colours, messages."""

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from bokeh.palettes import Inferno256

from tests.unit.heats import FIRST, QUICK, around, drawn, heated, run_of
from tipsim import store
from tipsim.app.pages.bench.page import BenchPage
from tipsim.app.pages.heat import field, packet, page
from tipsim.app.pages.heat.page import HeatPage
from tipsim.app.pages.heat.state import FULL, ROUGH, HeatState
from tipsim.app.pages.heat.words import side_lines
from tipsim.setup.thermal import OUTSIDE

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


def test_a_run_that_boils_goes_on_and_is_said_to_be_rough() -> None:
    state = FIRST.change("both", "ready", "none")
    boiled = state.runs()[0].boiled
    assert boiled is not None
    head = drawn(packet.packet(state))
    side = head["sides"][0]
    width = sum(row["count"] for row in side["rows"])
    frames = len(side["sheet"]) // width
    assert frames == len(head["times"]) and boiled < head["times"][-1]
    assert side["boiled"] == boiled and boiled in head["times"]
    assert any("boils after" in line and "rough" in line for line in side_lines(state.results[0]))


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
    load = FIRST.change("both", "press", True)
    state = load.change("both", "outside.kind", "air").change("both", "events", events)
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
    # The load as set is 30 g and lies on the incision, 6 to 8 mm from the tip.
    assert found[0]["press"] == pytest.approx({"grams": 30, "place": 7, "length": 2})
    assert found[1]["press"] == pytest.approx({"grams": 20, "place": 4, "length": 2})
    assert found[-1]["press"] is None


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
    assert {"energy.html", "readout.content", "scene.packet"} <= set(done)
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
    assert bench.state == HeatState.drill() == HeatPage({}).state
    bench.handle({"seq": 2, "changes": [{"field": "undo", "side": "both", "value": True}]})
    assert bench.state == before


def test_only_a_page_without_a_link_opens_on_the_fault_drill() -> None:
    page = HeatPage({"view.heat.scale": "fit"})
    assert page.state.ready == "kink" and page.state.scale == "fit"
    # What the page chose itself is not carried to other pages by the address.
    assert "link" not in page.controls.reply
    for items in ({"drive": "torsional"}, {"duration": "20"}):
        assert HeatPage(items).state.bench.a.events == ()
    # One press to normal use, and back to the first step of the browser's history.
    change = {"side": "both", "field": "ready", "value": "normal"}
    page.handle({"seq": 1, "changes": [change]})
    assert page.state.ready == "normal" and "view.heat.scale=fit" in page.controls.reply["link"]
    page.handle({"seq": 2, "changes": [{"side": "both", "field": "link", "value": ""}]})
    assert page.state.ready == "kink"


def test_the_run_is_slow_where_something_happens() -> None:
    """The event is set; the times to 45 and 60 °C are those at which the curves cross."""
    state = HeatState.drill()
    data = packet.contents(state, FULL)
    when = [5.0]
    for run in state.runs():
        for limit in (45.0, 60.0):
            hot = np.nonzero(run.sleeve_peak - 273.15 >= limit)[0]
            when += [float(run.time[hot[0]])] if len(hot) else []
    assert data["drill"] and len(data["matters"]) == len(when) == 5
    step = float(np.diff(state.runs()[0].time).max())
    assert data["matters"] == pytest.approx(sorted(when), abs=step)
    assert all(run.boiled is None for run in state.runs())


def test_a_link_whose_own_part_is_wrong_keeps_its_needles() -> None:
    page = HeatPage({"a.needle": "straight", "view.heat.scale": "no such", "duration": "1"})
    assert 'view.heat.scale is "no such"' in page.link_notice
    assert page.state.bench.a.needle.shape == "straight"


def test_a_preview_is_coarse_until_both_results_are_known() -> None:
    state = FIRST.change("both", "duration_s", 0.875)
    for scenario in state.sides:
        assert state.quick() == ROUGH
        heated(scenario, FULL)
    assert state.quick() == FULL
