"""The page of the camera bench, without a browser: state, form, packet, words."""

import json
import struct
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest

from tipsim.app.bench_state import BenchState
from tipsim.app.camera.bench import CameraBench, filmed
from tipsim.app.camera.reel import content, reel
from tipsim.app.camera.schema import form
from tipsim.app.camera.state import CameraState, first_camera
from tipsim.app.camera.words import reasons, verdicts
from tipsim.motion.camera import Camera, examples
from tipsim.setup.errors import BadInput
from tipsim.setup.scenario import Scenario

FIRST = CameraState.first()


def unpacked(packet: bytes) -> tuple[dict[str, Any], bytes]:
    (length,) = struct.unpack_from("<I", packet)
    return json.loads(packet[4 : 4 + length]), packet[4 + length :]


@cache
def said(example: str, view: str = "edge-on", **more: object) -> tuple[list[Any], str]:
    camera = examples(32e3)[example].on(Camera(view=view, **more))  # type: ignore[arg-type]
    film, measured = filmed(Scenario.preset("single-bend, torsional"), camera)
    return verdicts(film, measured), " ".join(reasons(film, measured))


# ---- state ----


def test_a_fresh_page_sees_the_drive_well() -> None:
    for name in ("single-bend, torsional", "straight, axial", "single-bend, elliptical"):
        scenario = Scenario.preset(name)
        _, measured = filmed(scenario, first_camera(scenario))
        first = measured.readings[0]
        assert first.seen == pytest.approx(first.true, rel=0.03)
        assert measured.frequency == pytest.approx(scenario.drive.frequency, rel=0.01)


def test_the_needles_are_those_of_the_link() -> None:
    items = {"a.needle": "straight-0.9", "power": "40", "view.film.side": "b"}
    state = CameraState.from_items(items)
    assert state.bench.a.needle.id == "straight-0.9" and state.bench.a.drive.power == 0.4
    assert state.scenario == state.bench.b
    assert state.scenario.needle.shape == "counter-bent"


@pytest.mark.parametrize(
    ("items", "sentence"),
    [
        ({"view.film.pixel_um": "0"}, "link: view.film.pixel_um is 0 µm; allowed: 4 to 40 µm."),
        ({"view.film.pixel_um": "x"}, 'link: view.film.pixel_um is "x"; allowed: a number.'),
        ({"view.film.side": "c"}, 'link: view.film.side is "c"; allowed: a, b.'),
        ({"view.film.lens": "wide"}, "link: view.film.lens is not a known field; allowed: view"),
        ({"view.film.aim": "9"}, "link: view.film.aim is marker 9; allowed: end, or a marker"),
        ({"view.film.exposure_us": "5"}, "link: view.film.exposure_us is 5 µs; allowed: at most"),
        ({"power": "140"}, "link: b.drive.power_percent is 140 %; allowed: 0 to 100 %."),
    ],
)
def test_a_link_that_cannot_be_used_says_why(items: dict[str, str], sentence: str) -> None:
    with pytest.raises(BadInput) as bad:
        CameraState.from_items(items)
    assert str(bad.value).replace("link: a.", "link: b.").startswith(sentence)


def test_every_example_is_recognised_and_reached_by_its_name() -> None:
    for id in examples(32e3):
        state = FIRST.change("example", id)
        assert state.example == id
        assert state.change("pixel_um", 20).example == id
        assert state.change("exposure_us", 0.7).example == ""
    with pytest.raises(BadInput, match="example"):
        FIRST.change("example", "none")


def test_a_faster_rate_shortens_the_exposure_and_nothing_else_does() -> None:
    slow = FIRST.change("frame_rate_per_s", 1000).change("exposure_us", 900)
    fast = slow.change("frame_rate_per_s", 3000)
    assert fast.camera.exposure == pytest.approx(1 / 3000, rel=1e-5)
    assert fast.camera.exposure <= 1 / 3000
    with pytest.raises(BadInput, match="exposure_us is 900 µs; allowed: at most 333"):
        fast.change("exposure_us", 900)


@pytest.mark.parametrize("value", ["", "x", "nan", -3, 0, 1e99, None, True])
def test_a_wrong_rate_is_refused_and_named(value: object) -> None:
    with pytest.raises(BadInput) as bad:
        FIRST.change("frame_rate_per_s", value)
    assert bad.value.field == "frame_rate_per_s"


def test_the_other_needle_is_seen_from_where_its_own_drive_shows() -> None:
    a, b = Scenario.preset("single-bend, torsional"), Scenario.preset("straight, axial")
    state = CameraState.first(BenchState(a, b, together=False))
    assert (state.camera.view, state.change("side", "b").camera.view) == ("edge-on", "flat")
    own = state.change("view", "flat")
    assert own.change("side", "b").camera.view == "flat"
    few = replace(b, markers=(0.0, 1e-3))
    state = CameraState.first(BenchState(a, few, together=False)).change("aim", "5")
    assert state.change("side", "b").camera.aim == "end"


def test_every_control_of_the_form_changes_the_film_or_says_why_not() -> None:
    state = FIRST.change("marks", "middle")
    values = {
        "side": "b",
        "frame_rate_per_s": 61000,
        "exposure_us": 1.7,
        "frames": 33,
        "view": "flat",
        "aim": "2",
        "pixel_um": 17,
        "noise": "off",
        "signal_to_noise": 5,
        "seed": 4,
        "marks": "surface",
        "trigger_deg": 77,
    }
    fields = [c["field"] for g in form(state) for c in g["controls"]]
    assert sorted(fields) == sorted(values)
    before = unpacked(_packet(state))[1]
    for field, value in values.items():
        changed = state.change(field, value)
        assert unpacked(_packet(changed))[1] != before, field
        shown = {c["field"]: c["value"] for g in form(changed) for c in g["controls"]}
        if field in shown:
            assert shown[field] == value


def _packet(state: CameraState) -> bytes:
    film, measured = filmed(state.scenario, state.camera)
    return reel(state, film, measured)


# ---- packet ----


def test_the_packet_holds_the_pictures_and_both_curves() -> None:
    film, measured = filmed(FIRST.scenario, FIRST.camera)
    head, pictures = unpacked(_packet(FIRST))
    count, rows, columns = head["shape"]
    assert pictures == film.pictures.tobytes() and len(pictures) == count * rows * columns
    for mark, reading in zip(head["marks"], measured.readings, strict=True):
        axis = np.array(mark["axis"])
        seen = np.array(mark["seen_um"])
        assert seen == pytest.approx(reading.track.places @ axis * 1e6, abs=2e-3)
        # What the browser draws as truth: Re((re + i im) e^{i angle}).
        angle = head["trigger_rad"] + 2e-6 * np.pi * head["frequency_hz"] * np.array(
            head["times_us"]
        )
        re, im = mark["true_um"]
        truth = re * np.cos(angle) - im * np.sin(angle)
        assert truth == pytest.approx(film.truth(reading.dot) @ axis * 1e6, abs=0.02)
        assert truth == pytest.approx(seen, abs=1.5)
        place = np.array(mark["seen_px"])[:, 1]
        assert np.ptp(place) * head["pixel_um"] == pytest.approx(np.ptp(seen), abs=0.5)
    assert head["csv"].startswith("# Model data")
    assert head["example"] == "fast" and head["bench"] == FIRST.bench.to_query()


def test_the_packet_is_of_a_size_for_a_classroom() -> None:
    assert len(_packet(FIRST)) < 2.5e6


# ---- words ----


def test_a_fast_film_can_be_believed() -> None:
    found, words = said("fast")
    assert [v.outcome for v in found] == ["good", "good", "good"]
    assert "Marker 1: this film shows 1" in words and "15.6 pictures in a cycle" in words


def test_a_slow_one_lies_about_time_alone() -> None:
    found, words = said("slow")
    assert [v.outcome for v in found] == ["good", "bad", "good"]
    assert found[1].short == "seems 3.20 kHz, is 32.0 kHz"
    assert "1.1 pictures in a cycle" in words and "every cycle here is like the last" in words


def test_at_the_drives_rate_it_seems_to_stand_still() -> None:
    found, words = said("still")
    assert [v.outcome for v in found] == ["bad", "bad", "open"]
    assert "one picture in each cycle" in words and "stand still" in words


def test_a_strobe_makes_a_slow_camera_enough_for_strokes() -> None:
    found, words = said("strobe")
    assert [v.outcome for v in found] == ["good", "bad", "good"]
    assert "one picture in 32.05 cycles" in words and "51.2 Hz" in words


def test_a_long_exposure_shrinks_what_is_seen() -> None:
    found, words = said("smear")
    assert [v.outcome for v in found][:2] == ["bad", "bad"]
    assert "lasts 64 % of a cycle" in words and "up to 130 µm" in words
    assert "knows nothing of rate, exposure or view" in words


def test_marks_on_the_surface_lie_even_in_a_fast_film() -> None:
    found, words = said("skin")
    assert [v.outcome for v in found] == ["bad", "good", "bad"]
    assert "cannot tell turning from swinging" in words


def test_the_wrong_side_shows_nothing() -> None:
    found, words = said("fast", view="flat")
    assert found[0].outcome == "bad" and "toward the camera" in words


def test_a_blur_of_many_cycles_is_called_one() -> None:
    scenario = FIRST.scenario
    film, measured = filmed(scenario, Camera(frame_rate=1000, exposure=1e-3))
    words = " ".join(reasons(film, measured))
    assert "lasts 32 cycles: every picture is the same blur" in words
    assert verdicts(film, measured)[0].outcome == "bad"


def test_nothing_moves_at_no_power() -> None:
    scenario = FIRST.scenario
    off = replace(scenario, drive=replace(scenario.drive, power=0.0))
    film, measured = filmed(off, FIRST.camera)
    assert reasons(film, measured) == ["Nothing moves: the drive is at 0 % power."]
    assert {v.outcome for v in verdicts(film, measured)} <= {"open", "good"}
    reel(FIRST, film, measured)


def test_no_mark_in_the_picture_is_said() -> None:
    scenario = replace(FIRST.scenario, markers=(16e-3,))
    film, measured = filmed(scenario, FIRST.camera)
    assert measured.readings == ()
    assert "No marker lies wholly in this picture" in reasons(film, measured)[0]
    assert content(film, measured)["rows"] == []
    state = CameraState(BenchState(scenario, scenario), "a", FIRST.camera)
    assert unpacked(reel(state, film, measured))[0]["marks"] == []


def test_loops_seen_too_slowly_turn_backwards() -> None:
    scenario = Scenario.preset("single-bend, elliptical")
    for rate, backwards in ((35.2e3, True), (29e3, False), (500e3, False)):
        film, measured = filmed(scenario, Camera(frame_rate=rate))
        assert ("backwards" in " ".join(reasons(film, measured))) == backwards
        assert measured.readings[4].direction == measured.readings[4].true_direction == "across"
        assert measured.readings[4].outcome == "good"


# ---- the page ----


def test_a_message_changes_film_words_and_link() -> None:
    page = CameraBench({"power": "50", "view.speed": "1"})
    page.handle({"changes": [{"field": "example", "value": "slow"}]})
    assert unpacked(page.reel.packet)[0]["example"] == "slow"
    assert page.outcome.content["verdicts"][1]["outcome"] == "bad"
    link = page.controls.reply["link"]
    assert "power=50" in link and "view.film.frame_rate_per_s=35200" in link
    # How the bench was looked at survives a visit here.
    assert "view.speed=1" in link


def test_a_refused_value_changes_nothing() -> None:
    page = CameraBench()
    before = page.state, page.reel.packet
    page.handle({"seq": 3, "changes": [{"field": "pixel_um", "value": 1}]})
    assert page.controls.reply["errors"] == {
        "both:pixel_um": "Pixel at the needle is 1 µm; allowed: 4 to 40 µm."
    }
    assert (page.state, page.reel.packet) == before and page.controls.reply["seq"] == 3


def test_a_shortened_exposure_is_told() -> None:
    page = CameraBench({"view.film.frame_rate_per_s": "1000", "view.film.exposure_us": "900"})
    page.handle({"seq": 1, "changes": [{"field": "frame_rate_per_s", "value": 2000}]})
    assert "shortened" in page.controls.reply["notice"]
    assert page.controls.reply["values"]["both:exposure_us"] == 500


def test_a_bad_link_keeps_the_needles_if_it_can() -> None:
    page = CameraBench({"power": "40", "view.film.pixel_um": "999"})
    assert "This link could not be used: link: view.film.pixel_um" in page.controls.reply["notice"]
    assert page.state.scenario.drive.power == 0.4
    page = CameraBench({"power": "x", "view.film.pixel_um": "20"})
    assert page.state == CameraState.first()


def test_reset_keeps_the_needles() -> None:
    page = CameraBench({"power": "40", "view.film.side": "b", "view.film.pixel_um": "20"})
    page.handle({"seq": 1, "changes": [{"field": "reset", "value": True}]})
    assert page.state == CameraState.first(page.state.bench)
    assert page.state.bench.a.drive.power == 0.4
