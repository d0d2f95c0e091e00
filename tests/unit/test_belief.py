"""What each page shows of a motion beyond the model's limits: a needle at rest, and why."""

import json
from dataclasses import replace

import numpy as np
import pytest

from tests.unit.heats import QUICK
from tipsim import cli
from tipsim.app.framework.belief import believed, beyond_belief, bubble_words, bubbles, outside
from tipsim.app.framework.numbers import readout
from tipsim.app.framework.packet import decode
from tipsim.app.framework.stage.packet import stage_packet
from tipsim.app.framework.stage.plots import MARKERS, along_packet
from tipsim.app.pages.bench import glance as bench_glance
from tipsim.app.pages.bench.page import BenchPage
from tipsim.app.pages.camera import glance as camera_glance
from tipsim.app.pages.camera.outcome import expected
from tipsim.app.pages.camera.state import CameraState
from tipsim.app.pages.heat import glance as heat_glance
from tipsim.app.pages.heat import packet as heat_packet
from tipsim.app.pages.heat import table
from tipsim.app.pages.heat.state import HeatState
from tipsim.app.pages.heat.zoom import zoomed
from tipsim.app.pages.needle import glance as needle_glance
from tipsim.app.pages.needle import outcome as needle
from tipsim.app.pages.needle.state import NeedleState
from tipsim.app.pages.tissue import glance as tissue_glance
from tipsim.app.pages.tissue import iris, scene
from tipsim.app.pages.tissue.state import TissueState
from tipsim.setup.scenario import Scenario
from tipsim.solve import Result, solve

LOW = {"a.ceilings.speed_m_s": "5"}
"""A limit on A alone that its motion passes."""
SAID = "A's motion is outside the range of the linear model: tip speed "


@pytest.fixture(scope="module")
def pair() -> tuple[Result, Result]:
    a, b = (Scenario.preset(f"{s}, torsional") for s in ("single-bend", "counter-bent"))
    return solve(a.with_(**{"ceilings.speed": 5.0})), solve(b)


def test_the_stage_draws_it_at_rest_and_says_why(pair: tuple[Result, Result]) -> None:
    a, b = decode(stage_packet(pair))["sides"]
    assert not np.any(a["amp"]) and not any(np.any(m["re"]) for m in a["marks"])
    assert a["held"].startswith("Not drawn: tip speed ") and "(limit 5 m/s)" in a["held"]
    assert a["still"] == [] and a["said"] == "outside the range of the model"
    assert np.any(b["amp"]) and b["held"] == ""
    assert not np.any(a["rigid"]) and a["rigid_said"] == "" and np.any(b["rigid"])
    # Its shape at rest is the needle's own.
    assert np.allclose(np.reshape(a["rest"], (-1, 3)), pair[0].motion.frame.points * 1e3)


def test_the_heat_picture_stays_as_it_was_at_the_start_and_says_why() -> None:
    state, warm = HeatState.from_items(LOW), HeatState.from_items({})
    a, b = heat_packet.contents(state, QUICK)["sides"]
    assert a["held"].startswith("Not drawn: tip speed ") and b["held"] == ""
    for name, curve in a["curves"].items():
        assert np.ptp(curve["y"]) == 0, name
    assert np.ptp(a["sheet"]) == 0
    assert np.ptp(b["curves"]["metal"]["y"]) > 0.2
    # Where the limit is not passed, the same needle gets warm.
    assert np.ptp(heat_packet.contents(warm, QUICK)["sides"][0]["curves"]["metal"]["y"]) > 0.2


def test_pulses_are_not_followed_and_why_is_said() -> None:
    pulsed = {"duration": "2", "duty": "pulsed", "duty.off_time_ms": "20"}
    found = decode(zoomed(HeatState.from_items(LOW | pulsed), 1.0))
    assert [side["key"] for side in found["sides"]] == ["b"]
    assert len(found["held"]) == 1 and found["held"][0].startswith("A: Not drawn: tip speed ")
    both = decode(zoomed(HeatState.from_items({"ceilings.speed_m_s": "5"} | pulsed), 1.0))
    assert both["sides"] == [] and len(both["held"]) == 2
    free = decode(zoomed(HeatState.from_items(pulsed), 1.0))
    assert [side["key"] for side in free["sides"]] == ["a", "b"] and free["held"] == []


def test_the_iris_keeps_its_mean_gap_and_nothing_is_compared() -> None:
    state = TissueState.from_items(LOW)
    a, b = scene.contents(state)["sides"]
    assert a["held"].startswith("Not drawn: tip speed ") and b["held"] == ""
    # 0.2 mm: as the eye is set up.
    assert np.ptp(a["gap"]) == 0 and a["gap"][0] == pytest.approx(0.2)
    assert not a["touching"].any() and len(a["starts"]) == 0 and not a["rubbed"].any()
    assert np.ptp(b["gap"]) > 0.1 and len(b["starts"]) > 0 and b["rubbed"][-1] == 1
    said = "Not compared: A's motion is outside the range of the linear model."
    assert iris.compared(state) == [said] and iris.along_data(state)["lines"] == {}
    for row in iris.content(state)["rows"]:
        assert row.cells[0].text == "–" != row.cells[1].text, row.id


def test_still_pictures_leave_it_out(pair: tuple[Result, Result]) -> None:
    drawn = decode(along_packet(pair))["along.sideways"]
    assert not len(drawn["lines"]["a"]["x"]) and len(drawn["lines"]["b"]["x"]) > 10
    assert {d["side"] for d in drawn["dots"]} == {"b"} and drawn["words"].startswith(SAID)
    html = MARKERS(pair)
    assert SAID.replace("'", "&#39;") in html
    assert 'class="bar a' not in html and 'class="bar b' in html
    both = MARKERS((pair[0], pair[0]))
    assert 'class="bar' not in both and '="nan' not in both


def test_its_numbers_are_withheld_and_the_other_s_are_not(pair: tuple[Result, Result]) -> None:
    content = readout(*pair)
    rows = {r["id"]: r for s in content["sections"] for r in s["rows"]}
    for id in ("motion-end_stroke", "motion-shaft_stroke", "motion-power", "fifth", "against"):
        assert rows[id]["a"] == "–" != rows[id]["b"], id
    assert rows["ratio"]["b"] == "–"
    # What says how far it is outside stays.
    assert float(rows["limits-speed"]["a"]) == round(100 * pair[0].motion.end_speed / 5)
    one, _, compared = content["words"]
    assert one["lines"][0].startswith("This motion is outside the range")
    assert compared["lines"][0].startswith("Not compared")
    assert beyond_belief(*pair)[0].startswith(SAID)
    page = BenchPage(LOW)
    assert page.parts["readout"].warnings[0].startswith(SAID)
    assert not any("Sensitive" in w for w in page.parts["readout"].warnings)
    for section in ("sensitivity", "strength", "build_up"):
        page.handle({"changes": [{"side": "both", "field": "open", "value": [section]}]})
        data = decode(getattr(page.parts["depth"], section))
        assert data["charts"] is None and "outside the range" in data["html"]


def test_headlines_and_the_numbers_beside_them_hold_it_back_too(
    pair: tuple[Result, Result],
) -> None:
    said = "Not compared: A's motion is outside the range of the linear model."
    assert bench_glance.headline(*pair) == heat_glance.headline(*pair) == said
    assert tissue_glance.headline(*pair) == said
    for glance in (
        bench_glance.at_a_glance(BenchPage(LOW).state),
        heat_glance.at_a_glance(HeatState.read(LOW)[0]),
        tissue_glance.at_a_glance(TissueState.read(LOW)[0]),
    ):
        assert all(n.values["a"] == "–" != n.values["b"] for n in glance.numbers)
    assert "outside the range" in needle_glance.headline(pair[0])
    assert camera_glance.expected(CameraState.read(LOW)[0]).warning.startswith(SAID)


def test_believed_is_the_motion_or_rest(pair: tuple[Result, Result]) -> None:
    still, moving = believed(pair[0]), believed(pair[1])
    assert moving is pair[1].motion and outside(pair[1]) == ""
    assert still.end_stroke == 0 and still.power == 0 and not still.sideways_stroke.any()
    assert [m.distance for m in still.markers] == [m.distance for m in pair[0].motion.markers]


def test_the_camera_films_it_at_rest() -> None:
    state = CameraState.read(LOW)[0]
    assert state.held.startswith(SAID) and state.held.endswith("The needle is filmed at rest.")
    assert all(r.true == 0 for r in expected(state)["d"]["readings"])
    assert replace(state, side="b").held == ""


def test_heat_tissue_and_needle_say_so(monkeypatch: pytest.MonkeyPatch) -> None:
    warnings = table.warnings(HeatState.read(LOW)[0])
    assert warnings[0].startswith(SAID) and "not to be believed" in warnings[0]
    words = table.content(HeatState.read(LOW)[0])["words"]
    assert words[0]["lines"][0].endswith("So its heat is not known.")
    assert words[2]["lines"] == [
        "Not compared: A's motion is outside the range of the linear model."
    ]
    slow = solve(Scenario.preset("single-bend, torsional").with_(**{"ceilings.speed": 5.0}))
    assert iris.words(slow).startswith("This motion is outside the range")

    def trial(one: object) -> tuple[Scenario, str]:
        return slow.scenario, "In a sleeve."

    monkeypatch.setattr(needle, "trial", trial)
    rows = needle.outcome(NeedleState.read({})[0], thorough=True)["rows"]
    assert all(r["value"] == "–" for r in rows) and "outside the range" in rows[0]["warning"]


def test_the_command_says_so_and_its_json_lists_it(capsys: pytest.CaptureFixture[str]) -> None:
    limit = ["--set", "ceilings.speed_m_s=5"]
    assert cli.main(["solve", "single-bend, torsional", *limit]) == 0
    text = capsys.readouterr().out
    assert "outside the range of the linear model: tip speed" in text and "µm" not in text
    assert cli.main(["compare", "single-bend, torsional", "straight, axial", *limit]) == 0
    assert "Ratios" not in capsys.readouterr().out
    assert cli.main(["solve", "single-bend, torsional", "--json", *limit]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["limits"]["within"] is False
    assert [row["limit"] for row in data["limits"]["passed"]] == ["speed"]
    assert data["motion"]["end_stroke_um_pp"] > 0


def test_bubbles_are_told_where_pressure_passes_what_the_fluid_bears() -> None:
    single = Scenario.preset("single-bend, torsional")
    strong = solve(single.with_(**{"ceilings.tension": 2e6}))
    found = strong.cavitation
    assert found.film is not None and max(found.film, found.tip) < found.threshold
    assert bubbles(strong) == []
    weak = solve(single.with_(**{"ceilings.tension": 0.0}))
    assert weak.cavitation.in_film
    (said,) = bubbles(weak, "A")
    assert said.startswith("A: bubbles are likely in ") and "doubtful" in said
    assert weak.text("cavitation.film").split()[0] in said and "bears 0.10 MPa" in said
    assert bubble_words(weak, strong) == [said]
    # Beyond the limits of the model there is no pressure to speak of.
    assert bubbles(solve(single.with_(**{"ceilings.speed": 5.0}))) == []
