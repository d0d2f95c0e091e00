"""What the camera page says of a film: can it be believed, and what looks otherwise."""

from dataclasses import replace

import pytest

from tests.unit.cameras import FIRST, changed, of, said, shown
from tipsim.app.framework.packet import decode
from tipsim.app.pages.camera import outcome, packet
from tipsim.motion.camera import Camera
from tipsim.setup.scenario import Scenario


def test_a_fast_film_can_be_believed() -> None:
    found, words = said("fast")
    assert [outcome for _, outcome, _ in found] == ["good", "good", "good"]
    assert "Marker 1: this film shows 1" in words and "15.6 pictures in a cycle" in words


def test_a_slow_one_lies_about_time_alone() -> None:
    found, words = said("slow")
    assert [outcome for _, outcome, _ in found] == ["good", "bad", "good"]
    assert found[1][2] == "seems 3.20 kHz, is 32.0 kHz"
    assert "1.1 pictures in a cycle" in words and "every cycle here is like the last" in words
    # |32 000 - 35 200| Hz, by formula and from the film.
    assert "Predicted apparent frequency ? 3.20 kHz" in words
    assert "Measured apparent frequency ? 3.20 kHz" in words


def test_at_the_drives_rate_it_seems_to_stand_still() -> None:
    found, words = said("still")
    assert [outcome for _, outcome, _ in found] == ["bad", "bad", "open"]
    assert "one picture in each cycle" in words and "stand still" in words


def test_a_strobe_makes_a_slow_camera_enough_for_strokes() -> None:
    found, words = said("strobe")
    assert [outcome for _, outcome, _ in found] == ["good", "bad", "good"]
    assert "one picture in 32.05 cycles" in words and "51.2 Hz" in words


def test_a_long_exposure_shrinks_what_is_seen() -> None:
    found, words = said("smear")
    assert [outcome for _, outcome, _ in found][:2] == ["bad", "bad"]
    assert "lasts 64 % of a cycle" in words and "up to 130 µm" in words
    assert "knows nothing of rate, exposure or view" in words


def test_marks_on_the_surface_lie_even_in_a_fast_film() -> None:
    found, words = said("skin")
    assert [outcome for _, outcome, _ in found] == ["bad", "good", "bad"]
    assert "cannot tell turning from swinging" in words


def test_the_wrong_side_shows_nothing() -> None:
    found, words = said("fast", view="flat")
    assert found[0][1] == "bad" and "toward the camera" in words


def test_a_blur_of_many_cycles_is_called_one() -> None:
    state = of(FIRST.scenario, Camera(frame_rate=1000, exposure=1e-3))
    assert "lasts 32 cycles: every picture is the same blur" in shown(state)
    assert outcome.verdicts(*state.film)[0][1] == "bad"


def test_nothing_moves_at_no_power() -> None:
    scenario = FIRST.scenario
    state = of(replace(scenario, drive=replace(scenario.drive, power=0.0)), FIRST.camera)
    assert "Nothing moves: the drive is at 0 % power." in shown(state)
    still = [(about, "open", "nothing moves") for about in ("Stroke", "Frequency", "Direction")]
    assert outcome.verdicts(*state.film) == outcome.verdicts(*state.ahead) == still
    marks = decode(packet.filmed(state))["marks"]
    # All that is seen to move is noise: within two error bars of rest.
    assert all(
        abs(mark["seen"]).max() < 2e6 * reading.bar
        for mark, reading in zip(marks, state.film[1].readings, strict=True)
    )


def test_no_mark_in_the_picture_is_said() -> None:
    state = of(replace(FIRST.scenario, markers=(16e-3,)), FIRST.camera)
    assert state.film[1].readings == ()
    assert "No marker lies wholly in this picture" in shown(state)
    assert outcome.verdicts(*state.film) == [("Stroke", "open", "no marker in the picture")]
    assert decode(packet.filmed(state))["marks"] == []


def test_loops_seen_too_slowly_turn_backwards() -> None:
    scenario = Scenario.preset("single-bend, elliptical")
    for rate, backwards in ((35.2e3, True), (29e3, False), (500e3, False)):
        state = of(scenario, Camera(frame_rate=rate))
        assert ("backwards" in shown(state)) == backwards
        reading = state.film[1].readings[4]
        assert reading.direction == reading.true_direction == "across"
        assert reading.outcome == "good"


def test_a_preview_says_that_it_is_one_and_where_it_differs() -> None:
    long = changed(FIRST, "example", "smear")
    words = shown(long, outcome.expected)
    assert "Preview: what the film should show." in words and "not filmed yet" in words
    assert "With an exposure this long the film will show more" in words
    assert "this film should show" in words
    # The mean over 0.64 of a cycle: sin(0.64 pi) / (0.64 pi) of the stroke.
    ahead, film = (m.readings[0] for _, m in (long.ahead, long.film))
    assert ahead.seen == pytest.approx(0.4491 * ahead.true, rel=0.02)
    assert film.seen is not None and ahead.seen is not None and film.seen > 1.2 * ahead.seen
    short = shown(FIRST, outcome.expected)
    assert "Preview" in short and "exposure this long" not in short
    assert "Preview" not in shown(long)
