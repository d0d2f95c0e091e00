"""The camera page, without a browser: state, form, packet, words."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.unit.cameras import FIRST, changed, of
from tipsim.app.framework.bench_state import BenchState
from tipsim.app.framework.packet import decode
from tipsim.app.pages.camera import packet
from tipsim.app.pages.camera.page import CameraPage
from tipsim.app.pages.camera.state import CameraState
from tipsim.motion.camera import Camera, Measurement, examples
from tipsim.motion.camera import film as filming
from tipsim.setup.errors import BadInput
from tipsim.setup.scenario import Scenario

# ---- state ----


@pytest.mark.parametrize(
    "name", ["single-bend, torsional", "straight, axial", "single-bend, elliptical"]
)
def test_a_fresh_page_sees_the_drive_well(name: str) -> None:
    scenario = Scenario.preset(name)
    _, measured = of(scenario).film
    first = measured.readings[0]
    assert first.seen == pytest.approx(first.true, rel=0.03)
    assert measured.frequency == pytest.approx(scenario.drive.frequency, rel=0.01)


def test_the_needles_are_those_of_the_link() -> None:
    items = {"a.needle": "straight-medium", "power": "40", "view.film.side": "b"}
    state = CameraState.from_items(items)
    assert state.bench.a.needle.id == "straight-medium" and state.bench.a.drive.power == 0.4
    assert state.scenario == state.bench.b
    assert state.scenario.needle.shape == "counter-bent"


def test_a_link_with_the_other_needle_is_that_of_a_fresh_camera_before_it() -> None:
    """B has a drive, and so a first camera, of its own; items may stand in any order."""
    items = {"view.film.exposure_us": "1.2", "a.drive": "torsional", "b.drive": "axial"}
    state = CameraState.from_items(items | {"view.film.side": "b"})
    # 15.625 pictures in each cycle of 40 kHz.
    assert (state.camera.view, state.camera.frame_rate) == ("flat", 625e3)
    assert state.camera.exposure == pytest.approx(1.2e-6)


@pytest.mark.parametrize(
    ("items", "sentence"),
    [
        ({"view.film.pixel_um": "0"}, "link: view.film.pixel_um is 0 µm; allowed: 4 to 40 µm."),
        ({"view.film.pixel_um": "x"}, 'link: view.film.pixel_um is "x"; allowed: a number.'),
        ({"view.film.side": "c"}, 'link: view.film.side is "c"; allowed: a, b.'),
        ({"view.film.lens": "wide"}, "link: view.film.lens is not here; allowed: side, view, aim"),
        ({"view.film.aim": "9"}, "link: view.film.aim is marker 9; allowed: end, or a marker"),
        ({"view.film.exposure_us": "5"}, "link: view.film.exposure_us is 5 µs; allowed: at most"),
    ],
)
def test_a_link_that_cannot_be_used_says_why(items: dict[str, str], sentence: str) -> None:
    with pytest.raises(BadInput) as bad:
        CameraState.from_items(items)
    assert str(bad.value).startswith(sentence)


def test_a_slow_camera_s_exposure_is_read_in_any_order() -> None:
    items = {"view.film.exposure_us": "900", "view.film.frame_rate_per_s": "1000"}
    for link in (items, dict(reversed(items.items()))):
        camera = CameraState.from_items(link).camera
        assert (camera.frame_rate, camera.exposure) == (1000, 900e-6)


def test_every_example_is_recognised_and_reached_by_its_name() -> None:
    for id in examples(32e3):
        state = changed(FIRST, "example", id)
        assert state.example == id
        assert changed(state, "camera.pixel_um", 20).example == id
        assert changed(state, "camera.exposure_us", 0.7).example == ""
    with pytest.raises(BadInput, match="example"):
        changed(FIRST, "example", "none")


def test_a_faster_rate_shortens_the_exposure_and_nothing_else_does() -> None:
    slow = changed(FIRST, "camera.frame_rate_per_s", 1000)
    assert slow.camera.exposure == FIRST.camera.exposure == 1e-6
    slow = changed(slow, "camera.exposure_us", 900)
    fast = changed(slow, "camera.frame_rate_per_s", 3000)
    assert fast.camera.exposure == pytest.approx(1 / 3000, rel=1e-5)
    assert fast.camera.exposure <= 1 / 3000
    with pytest.raises(BadInput, match="exposure_us is 900 µs; allowed: at most 333"):
        changed(fast, "camera.exposure_us", 900)


@pytest.mark.parametrize("value", ["", "x", "nan", -3, 0, 1e99, None, True])
def test_a_wrong_rate_is_refused_and_named(value: object) -> None:
    with pytest.raises(BadInput) as bad:
        changed(FIRST, "camera.frame_rate_per_s", value)
    assert bad.value.field == "camera.frame_rate_per_s"


def test_the_other_needle_is_seen_from_where_its_own_drive_shows() -> None:
    a, b = Scenario.preset("single-bend, torsional"), Scenario.preset("straight, axial")
    state = CameraState.first(BenchState(a, b, together=False))
    assert (state.camera.view, changed(state, "side", "b").camera.view) == ("edge-on", "flat")
    own = changed(state, "camera.view", "flat")
    assert changed(own, "side", "b").camera.view == "flat"
    few = replace(b, markers=(0.0, 1e-3))
    state = changed(CameraState.first(BenchState(a, few, together=False)), "camera.aim", "5")
    assert changed(state, "side", "b").camera.aim == "end"


VALUES = {
    "side": "b",
    "camera.frame_rate_per_s": 61000,
    "camera.exposure_us": 1.7,
    "camera.frames": 33,
    "camera.view": "flat",
    "camera.aim": "2",
    "camera.pixel_um": 17,
    "camera.noise": "off",
    "camera.signal_to_noise": 5,
    "camera.read_noise": 35,
    "camera.seed": 4,
    "camera.marks": "surface",
    "camera.mark_radius_mm": 0.05,
    "camera.trigger_deg": 77,
}


def controls_of(one: CameraPage) -> dict[str, dict[str, Any]]:
    return {c["field"]: c for group in one.controls.schema for c in group["controls"]}


def test_the_form_has_a_control_for_all_that_is_set() -> None:
    one = CameraPage()
    assert sorted(controls_of(one)) == sorted(VALUES)
    labels = [option["label"] for option in controls_of(one)["camera.view"]["options"]]
    assert labels == ["Top view", "Side view"]
    one.handle(setting("camera.noise", "off"))
    assert set(VALUES) - set(controls_of(one)) == {
        "camera.signal_to_noise",
        "camera.read_noise",
        "camera.seed",
    }


@pytest.mark.parametrize(("field", "value"), VALUES.items())
def test_every_control_changes_the_film(field: str, value: object) -> None:
    before = FIRST.film[0].pictures
    after = changed(FIRST, field, value).film[0].pictures
    assert before.shape != after.shape or (before != after).any()


# ---- packet ----


def test_the_packet_holds_the_pictures_and_both_curves() -> None:
    film, measured = FIRST.film
    data = decode(packet.filmed(FIRST))
    assert data["pictures"].tobytes() == film.pictures.tobytes()
    assert data["shape"] == list(film.pictures.shape)
    assert data["times"] == pytest.approx(film.times * 1e6, abs=1e-4)
    whole, few = data["spans"]
    # 40 pictures and 4 of them, 2 µs apart.
    assert (whole["time"][-1], few["time"][-1]) == pytest.approx((80, 8))
    for mark, reading, true in zip(data["marks"], measured.readings, whole["true"], strict=True):
        assert mark["seen"] == pytest.approx(reading.track.places @ mark["axis"] * 1e6, abs=2e-3)
        truth = film.truth(reading.dot) @ mark["axis"] * 1e6
        # Between its points a line is off by at most 1 - cos(pi / 112) of 65 µm, at 112 a cycle.
        assert np.interp(data["times"], whole["time"], true) == pytest.approx(truth, abs=0.05)
        place = mark["places"].reshape(-1, 2)[:, 1]
        assert np.ptp(place) * data["pixel"] == pytest.approx(np.ptp(mark["seen"]), abs=0.5)
    assert data["csv"].startswith("# Model data")
    assert data["example"] == "fast" and data["bench"] == FIRST.bench.to_query()


def test_before_the_film_the_packet_has_tracks_and_no_pictures() -> None:
    data, full = decode(packet.expected(FIRST)), decode(packet.filmed(FIRST))
    assert set(full) - set(data) == {"pictures", "csv", "about"}
    for ahead, mark in zip(data["marks"], full["marks"], strict=True):
        assert ahead["rest"].tolist() == mark["rest"].tolist()
        # What noise and a fiftieth of a pixel of 12.5 µm let a film miss.
        assert ahead["seen"] == pytest.approx(mark["seen"], abs=1.5)


def test_many_cycles_are_a_band_as_wide_as_the_stroke() -> None:
    state = changed(FIRST, "example", "strobe")
    data = decode(packet.expected(state))
    whole, few = data["spans"]
    # 40 and 4 pictures at 998.4 a second, of 32 kHz.
    assert (whole["cycles"], few["cycles"]) == (1282, 0)
    reading = state.ahead[1].readings[0]
    assert whole["true"][0] == pytest.approx(reading.dot.stroke_in_view / 2 * 1e6, rel=1e-5)
    assert np.ptp(few["true"][0]) == pytest.approx(2 * whole["true"][0][0], rel=0.02)


def test_the_packet_is_of_a_size_for_a_classroom() -> None:
    assert len(packet.filmed(FIRST)) < 2.5e6


# ---- the page ----


def setting(field: str, value: object, **more: Any) -> dict[str, Any]:
    return {"seq": 1, "changes": [{"side": "both", "field": field, "value": value}], **more}


def test_a_message_changes_film_words_and_link() -> None:
    one = CameraPage({"power": "50", "view.speed": "1"})
    one.handle(setting("example", "slow"))
    assert decode(one.parts["film"].packet)["example"] == "slow"
    assert "seems 3.20 kHz, is 32.0 kHz" in one.parts["outcome"].html
    link = one.controls.reply["link"]
    assert "power=50" in link and "view.film.frame_rate_per_s=35200" in link
    # How the needles were looked at survives a visit here.
    assert "view.speed=1" in link


class Later:
    """Keeps jobs until the test does them."""

    def __init__(self) -> None:
        self.jobs: list[tuple[Any, Any]] = []

    def submit(self, _owner: Any, _name: str, work: Any, done: Any, /) -> None:
        self.jobs.append((work, done))

    def forget(self, _owner: Any, /) -> None:
        self.jobs.clear()

    def do(self) -> None:
        jobs, self.jobs = self.jobs, []
        for work, done in jobs:
            done(work())


def test_a_change_is_answered_without_a_film_and_the_film_comes_later(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    films: list[Camera] = []

    def counted(scene: Any, weights: Any) -> Any:
        films.append(scene)
        return filming_render(scene, weights)

    filming_render = filming.render
    monkeypatch.setattr(filming, "render", counted)
    pool = Later()
    one = CameraPage({"view.film.seed": "77"}, pool=pool)
    assert films == [] and "pictures" not in decode(one.parts["film"].packet)
    one.handle(setting("camera.seed", 78))
    assert films == [] and "Preview" in one.parts["outcome"].html
    assert one.parts["film"].waits == ["packet"]
    pool.do()
    # Film and words come from one film: that of what is set now, and of what was set before.
    assert len(films) == 2 and one.parts["film"].waits == []
    now: Measurement = changed(FIRST, "camera.seed", 78).film[1]
    seen = decode(one.parts["film"].packet)["marks"][0]["seen"]
    assert seen == pytest.approx(now.readings[0].track.places @ now.readings[0].dot.axis * 1e6)
    assert "Preview" not in one.parts["outcome"].html


def test_a_refused_value_changes_nothing() -> None:
    one = CameraPage()
    before = one.state, one.parts["film"].packet
    one.handle(setting("camera.pixel_um", 1, seq=3))
    assert one.controls.reply["errors"] == {
        "both:camera.pixel_um": "Enter a number from 4 to 40 µm. You entered 1 µm."
    }
    assert (one.state, one.parts["film"].packet) == before and one.controls.reply["seq"] == 3


def test_a_shortened_exposure_is_told() -> None:
    one = CameraPage({"view.film.frame_rate_per_s": "1000", "view.film.exposure_us": "900"})
    one.handle(setting("camera.frame_rate_per_s", 2000))
    assert "shortened" in one.controls.reply["notice"]
    assert one.controls.reply["values"]["both:camera.exposure_us"] == 500
    one.handle(setting("undo", True))
    assert one.state.camera.exposure == 900e-6


def test_a_bad_link_keeps_what_is_good() -> None:
    one = CameraPage({"power": "40", "view.film.pixel_um": "999", "view.film.frames": "20"})
    assert "view.film.pixel_um" in one.link_notice and "999 µm" in one.link_notice
    assert one.state.scenario.drive.power == 0.4 and one.state.camera.count == 20
    one = CameraPage({"power": "x", "view.film.pixel_um": "20"})
    assert one.state == changed(FIRST, "camera.pixel_um", 20)


def test_reset_keeps_the_needles() -> None:
    one = CameraPage({"power": "40", "view.film.side": "b", "view.film.pixel_um": "20"})
    one.handle(setting("reset", True))
    assert one.state == CameraState.first(one.state.bench)
    assert one.state.bench.a.drive.power == 0.4
