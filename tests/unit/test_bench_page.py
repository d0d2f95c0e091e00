"""The page that compares two needles, without a browser: state, link, packets, sections."""

import re
from typing import Any, cast

import numpy as np
import pytest

import tipsim
from tipsim import store
from tipsim.app.framework.packet import decode
from tipsim.app.framework.pages import PAGES
from tipsim.app.framework.stage import plots
from tipsim.app.framework.stage.packet import stage_packet
from tipsim.app.framework.template import page_template
from tipsim.app.pages.bench import power
from tipsim.app.pages.bench.page import BenchPage
from tipsim.app.pages.bench.state import BenchPageState
from tipsim.solve import Result

SECTIONS = ("sensitivity", "resonance", "strength", "build_up")


class Waiting:
    """Takes slow work and never does it."""

    def __init__(self) -> None:
        self.names: list[str] = []

    def submit(self, _owner: object, name: str, *_work: object) -> None:
        """Note a job."""
        self.names.append(name)

    def forget(self, _owner: object) -> None:
        """Do nothing."""


@pytest.fixture(scope="module")
def pair() -> tuple[Result, Result]:
    a, b = (
        tipsim.solve(tipsim.Scenario.preset(f"{s}, torsional"))
        for s in ("single-bend", "counter-bent")
    )
    return a, b


def set_(page: BenchPage, path: str, value: Any, side: str = "both") -> None:
    page.handle({"seq": 1, "changes": [{"side": side, "field": path, "value": value}]})


def link(page: BenchPage) -> str:
    return cast(str, page.controls.reply["link"])


# ---- what is set ----


def test_old_links_of_the_stage_are_read_and_written_again() -> None:
    items = {
        "view.camera": "edge", "view.yaw": "-12.5", "view.play": "0", "view.phase_deg": "90",
        "view.speed": "1.5", "view.sleeve_shown": "1", "view.heat.scale": "fit",
    }  # fmt: skip
    page = BenchPage(items)
    look = page.parts["stage"].look
    assert (look["camera"], look["yaw"], look["play"]) == ("edge", -12.5, False)
    assert (look["phase_deg"], look["speed"], look["sleeve_shown"]) == (90, 1.5, True)
    back = dict(part.split("=") for part in link(page).split("&"))
    assert {k: v for k, v in back.items() if k.startswith("view.")} == items


def test_a_broken_view_is_named_and_the_rest_of_the_link_used() -> None:
    page = BenchPage({"view.camera": "under", "view.speed": "fast", "power": "40"})
    notice = page.link_notice
    assert "view.camera" in notice and "view.speed" in notice
    assert page.state.bench.a.drive.power == 0.4


def test_a_look_reaches_the_link_fills_nothing_and_is_no_step_of_undo() -> None:
    waiting = Waiting()
    page = BenchPage(pool=waiting)
    shown, jobs = page.parts["stage"].look, len(waiting.names)
    page.handle(
        {"changes": [{"field": f"look.{n}", "value": v} for n, v in (("zoom", "end"), ("yaw", 3))]}
    )
    assert link(page).endswith("view.yaw=3&view.zoom=end")
    assert page.parts["stage"].look is shown and len(waiting.names) == jobs
    assert not page.history.past
    set_(page, "reset", True)
    assert page.parts["stage"].look == shown and "view." not in link(page)


def test_swap_and_undo() -> None:
    page = BenchPage({"a.power": "40"})
    first = page.state.bench
    set_(page, "swap", True)
    assert (page.state.bench.a, page.state.bench.b) == (first.b, first.a)
    set_(page, "undo", True)
    assert page.state.bench == first


def test_a_notebook_shows_the_scenario_that_it_is_given() -> None:
    shown = tipsim.show(tipsim.preset("straight, axial").with_(power=0.5))
    parts = shown.objects  # type: ignore[attr-defined]
    assert len(parts) == 8 and any(decode(p.packet) for p in parts if hasattr(p, "packet"))


def test_every_page_of_the_table_is_laid_out_with_its_title() -> None:
    """Whatever kind a page is of: the template takes its words from it."""
    laid = []
    for entry in PAGES:
        build = entry.load() if entry.build else None
        if isinstance(build, type):
            page: Any = build({})
            sections = page_template(page)._render_variables["ts_page"]
            assert sections["title"] == page.title and sections["path"] == entry.path
            laid.append(entry.path)
    assert {"compare", "flow", "lesson"} <= set(laid)


# ---- what is computed when ----


def test_a_change_computes_two_motions_and_leaves_the_rest_to_the_pool(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    waiting = Waiting()
    page = BenchPage({"power": "93"}, pool=waiting)
    own = store.Store()
    monkeypatch.setattr("tipsim.store.result", own.result)
    set_(page, "drive.power_percent", 37)
    assert own.computed == 6  # Motion, limits and pressure of A and B.
    assert set(waiting.names) == {
        "readout.warnings",
        "power.html",
        "methods.html",
        "sources.html",
        *(f"depth.{s}" for s in SECTIONS),
    }


def test_only_open_sections_are_computed() -> None:
    page = BenchPage()
    assert not any(getattr(page.parts["depth"], s) for s in SECTIONS)
    set_(page, "open", ["strength"])
    filled = [s for s in SECTIONS if getattr(page.parts["depth"], s)]
    assert filled == ["strength"]
    assert "highest stress" in decode(page.parts["depth"].strength)["html"]
    set_(page, "open", [])
    assert page.parts["depth"].strength == b""


@pytest.mark.parametrize(
    ("path", "value"),
    [("open", ["nothing"]), ("open", 3), ("open", [["a"]]), ("mode", "first"), ("mode", 1.5)],
)
def test_what_makes_no_sense_is_answered_with_a_sentence(path: str, value: Any) -> None:
    page = BenchPage()
    before = page.state
    set_(page, path, value)
    assert "allowed" in page.controls.reply["errors"][f"both:{path}"]
    assert page.state == before


def test_resonance_says_where_the_drive_lies_between_the_peaks(pair: tuple[Result, Result]) -> None:
    page = BenchPage()
    set_(page, "open", ["resonance"])
    data = decode(page.parts["depth"].resonance)
    peaks = [p / 1e3 for p in pair[1].response.peaks]
    gap = min((abs(32 - p), p) for p in peaks)
    assert (
        f"lies {gap[0]:.1f} kHz {'above' if gap[1] < 32 else 'below'} the nearest" in data["html"]
    )
    modes = pair[0].modes().frequency / 1e3
    ticks = [t["x"] for t in data["charts"]["resonance.end"]["ticks"] if t["side"] == "a"]
    assert ticks == pytest.approx(list(modes))


# ---- the stage ----


def test_the_stage_gets_what_the_model_says(pair: tuple[Result, Result]) -> None:
    for result, side in zip(pair, decode(stage_packet(pair))["sides"], strict=True):
        motion, needle = result.motion, result.scenario.needle
        n = motion.frame.n
        # Six complex amplitudes a node: micrometres, then radian.
        amp = side["amp"].reshape(n, 6, 2)
        assert amp[-1, 2] == pytest.approx(
            [motion.displacement[-1, 2].real * 1e6, motion.displacement[-1, 2].imag * 1e6]
        )
        assert amp[3, 3, 0] == pytest.approx(motion.displacement[3, 3].real)
        assert side["rest"].reshape(n, 3)[-1] == pytest.approx(motion.frame.points[-1] * 1e3)
        assert side["length"] == pytest.approx(motion.frame.s[-1] * 1e3)
        assert side["outer"][-1] == pytest.approx(needle.outer_radius * 1e3)
        for mark, marker in zip(side["marks"], motion.markers, strict=True):
            assert mark["re"] == pytest.approx(marker.amplitude.real * 1e6, rel=1e-5, abs=1e-6)
        assert [p["distance"] for p in side["still"]] == pytest.approx(
            [p * 1e3 for p in motion.still_points]
        )


def test_the_sleeve_and_its_ports_follow_the_needle_at_rest() -> None:
    r = tipsim.solve(tipsim.Scenario.preset("straight, axial"))
    sleeve = r.scenario.sleeve
    assert sleeve is not None
    tube = decode(stage_packet((r, r)))["sides"][0]["tube"]
    middle = tube["rest"].reshape(-1, 3)
    assert middle[-1] == pytest.approx([r.scenario.sleeve_end * 1e3, 0, 0], abs=1e-5)
    for port, way in zip(tube["ports"], (1, -1), strict=True):
        rim = port["rim"].reshape(-1, 3)
        # On the sleeve's surface, as wide as the port, its middle where the port is.
        radius = sleeve.outer_radius * 1e3
        assert np.hypot(rim[:, 1], rim[:, 2]) == pytest.approx(radius, rel=1e-5)
        assert np.ptp(rim[:, 0]) == pytest.approx(sleeve.port_diameter * 1e3, rel=1e-5)
        across = 2 * radius * np.sin(sleeve.port_diameter / 2 / sleeve.outer_radius)
        assert np.ptp(rim[:, 1]) == pytest.approx(across, rel=1e-5)
        place = (r.scenario.sleeve_end - sleeve.port_distance) * 1e3
        assert rim[:, 0].mean() == pytest.approx(place, rel=1e-5)
        assert way * rim[0, 2] == pytest.approx(radius, rel=1e-5)


def test_a_bare_needle_has_no_tube() -> None:
    bare = tipsim.solve(BenchPageState.first().change("a", "sleeve", "none").bench.a)
    assert decode(stage_packet((bare, bare)))["sides"][0]["tube"] is None


def test_a_natural_mode_goes_to_the_stage_until_something_changes() -> None:
    page = BenchPage()
    set_(page, "mode", "3")
    said = [s["said"] for s in decode(page.parts["stage"].packet)["sides"]]
    assert all("natural mode 3" in t for t in said)
    set_(page, "drive.power_percent", 50)
    assert page.state.mode == 0
    set_(page, "mode", 40)
    side = decode(page.parts["stage"].packet)["sides"][0]
    assert side["said"] == "no mode 40 below 60 kHz" and not side["amp"].any()


# ---- still pictures ----


def test_curves_along_the_shaft_end_in_what_the_tip_does(pair: tuple[Result, Result]) -> None:
    data = decode(plots.along_packet(pair))
    for side, r in zip("ab", pair, strict=True):
        x, y = (data["along.sideways"]["lines"][side][k] for k in "xy")
        assert x[0] == pytest.approx(r.motion.frame.s[-1] * 1e3) and x[-1] == 0
        signed = data["along.signed"]["lines"][side]["y"]
        assert abs(signed) == pytest.approx(y, rel=1e-5) and signed[-1] > 0 > signed.min()
        dots = [d for d in data["along.signed"]["dots"] if d["side"] == side]
        for marker, dot in zip(r.motion.markers, dots, strict=False):
            assert (dot["y"] < 0) == (marker.direction == "against the end")


def test_a_path_is_drawn_as_long_as_its_stroke(pair: tuple[Result, Result]) -> None:
    data = plots.markers(pair)
    end = next(p for p in data["planes"] if p["name"] == "end")
    first = pair[0].motion.markers[0]
    # The largest stroke of all fills 86 % of a cell; the others are to its scale.
    largest = max(m.stroke for r in pair for m in r.motion.markers)
    size = min(data["cell"], data["tall"])
    a = first.amplitude[1:]
    half = np.sqrt((np.vdot(a, a).real + abs(a @ a)) / 2)
    assert end["cells"][0]["rx"] == pytest.approx(0.86 * size * half / largest)


def test_bars_and_table_say_the_direction_of_each_marker(pair: tuple[Result, Result]) -> None:
    data = plots.markers(pair)
    out = [bar["out"] for bar in data["bars"]]
    ways = [m.direction == "against the end" for r in pair for m in r.motion.markers]
    assert out == ways and any(ways)
    assert [row[3].startswith("out of step with the tip") for row in data["rows"]] == ways[:5]


def test_the_needle_as_if_rigid_turns_with_the_hub() -> None:
    """Displacement of the rigid body: half of the hub's twist times the distance from its axis."""
    state = BenchPageState.first().change("both", "hub.held", "rigid")
    twist = state.bench.b.drive.twist_stroke / 2
    sides = decode(stage_packet(state.results))["sides"]
    for side, result in zip(sides, state.results, strict=True):
        n = side["n"]
        amp = side["rigid"].reshape(n, 6, 2)
        points = result.motion.frame.points
        from_axis = np.hypot(points[:, 1], points[:, 2])
        size = np.hypot(amp[:, :3, 0], amp[:, :3, 1]).max(axis=1)
        assert size == pytest.approx(twist * from_axis * 1e6, rel=1e-4, abs=1e-3)
        tip = 2 * twist * from_axis[-1] * 1e6
        assert side["rigid_said"] == f"if rigid {tip:.0f} µm"


def test_power_along_the_needle_falls_from_the_hubs_to_what_the_tip_takes() -> None:
    pair = BenchPageState.first().results
    lines = decode(plots.along_packet(pair))["along.power"]["lines"]
    for side, result in zip("ab", pair, strict=True):
        y = lines[side]["y"]
        assert y[0] == pytest.approx(result.motion.power, rel=1e-5)
        assert np.all(np.diff(y) <= 1e-6 * y[0])
        assert abs(y[-1]) < 1e-6


def test_the_band_is_as_wide_as_the_power_and_all_of_it_leaves(pair: tuple[Result, Result]) -> None:
    data = power.content(BenchPageState.first())
    greatest = max(r.motion.power for r in pair)
    for drawn, result in zip(data["drawings"], pair, strict=True):
        corners = [tuple(map(float, c.split())) for c in drawn["band"].strip("MZ ").split(" L")]
        (x, top), (last, bottom) = corners[0], corners[-1]
        assert x == last == power.LEFT
        # Corners are written to a hundredth, of a band 76 wide.
        width = (bottom - top) / (2 * power.HALF) * greatest
        assert width == pytest.approx(result.motion.power, abs=5e-4 * greatest)
    for k in (0, 1):
        left = sum(float(way["text"][k]) for way in data["ways"])
        assert left == pytest.approx(float(data["rows"][0][1 + k]), abs=0.03)


def test_whether_the_power_is_lost_along_the_shaft_follows_from_the_settings() -> None:
    """In fluid, films take most; dry, with little loss, most of it goes to a hard lens."""
    wet = BenchPageState.first()
    bare = {"a.sleeve": "none", "b.sleeve": "none", "outside": "dry"}
    dry = BenchPageState.from_items(bare | {"loss_factor": "0.0001", "lens": "hard"})
    for state, word in ((wet, "Yes, most of it"), (dry, "In part")):
        said = power.content(state)["answers"][0]
        assert said.startswith(f"{word}: ")
        for result, share in zip(state.results, re.findall(r"(\d+) % of", said), strict=True):
            flow, bend = result.motion.power_flow, result.scenario.needle.first_bend
            ends = 100 * (
                1 - np.array([flow.passing(bend - 2e-4), flow.passing(bend)]) / flow.at_hub
            )
            assert ends[0] - 1 <= float(share) <= ends[1] + 1
    assert "lumen" in said and "in the lumen" not in power.content(wet)["answers"][0]


def test_parts_of_the_motion_are_drawn_so_that_they_add_up(pair: tuple[Result, Result]) -> None:
    data = decode(plots.along_packet(pair))
    for side, result in zip("ab", pair, strict=True):
        lines = data[f"along.parts_{side}"]["lines"]
        whole = lines.pop("whole")["y"]
        assert whole == pytest.approx(result.motion.stroke * 1e6, rel=1e-5, abs=1e-4)
        assert sum(line["y"] for line in lines.values()) == pytest.approx(whole, abs=1e-3)
