"""What lessons say of filmed marks is what the camera's own films show."""

import pytest

from tipsim import Scenario, solve
from tipsim.lesson.filmed import mark_stroke
from tipsim.motion.camera import Camera, measure, shoot
from tipsim.setup.errors import BadInput

ONE = Scenario.preset("single-bend, torsional")
RESULT = solve(ONE)


def test_tracked_marks_travel_as_told() -> None:
    """The strokes tracked on a fast film without noise are those told of marks on the surface."""
    camera = Camera(marks="surface", noise="off", frames=64, exposure=0.2e-6, pixel=12.5e-6)
    found = measure(shoot(RESULT.motion, ONE.needle, camera))
    for reading in found.readings:
        told = mark_stroke(RESULT, reading.dot.number, "edge-on")
        assert reading.seen == pytest.approx(told * 1e-6, rel=0.02, abs=1e-6)


def test_surface_marks_make_a_pendulum_look_like_a_whip() -> None:
    """All marks seem to go with the end, while three of five points of the middle line do not."""
    found = measure(shoot(RESULT.motion, ONE.needle, Camera(marks="surface")))
    assert [r.direction for r in found.readings] == ["with"] * 5
    assert found.readings[0].bar < 1e-6, "the error bar knows nothing of it"
    assert [r.true_direction for r in found.readings] == ["with"] * 2 + ["against"] * 3


def test_a_slow_short_film_shows_the_stroke_and_not_the_frequency() -> None:
    """At 35 200 pictures a second the stroke is right within 3 % and the frequency is a tenth."""
    found = measure(shoot(RESULT.motion, ONE.needle, Camera(frame_rate=35.2e3, exposure=1e-6)))
    assert found.readings[0].seen == pytest.approx(found.readings[0].true, rel=0.03)
    assert found.frequency == pytest.approx(3200, rel=0.01)


def test_a_long_exposure_takes_away_from_the_stroke() -> None:
    """The same rate exposed for 20 µs shows less than 70 % of the stroke."""
    found = measure(shoot(RESULT.motion, ONE.needle, Camera(frame_rate=35.2e3, exposure=20e-6)))
    seen = found.readings[0].seen
    assert seen is not None
    assert seen < 0.7 * found.readings[0].true


def test_both_sides_average_to_the_middle_line() -> None:
    """The end swings further than it turns, so half of the sum of both sides is its stroke."""
    near, far = (mark_stroke(RESULT, 1, s) for s in ("edge-on", "edge-on, far side"))
    assert (near + far) / 2 == pytest.approx(RESULT.motion.end_stroke * 1e6, rel=1e-3)


@pytest.mark.parametrize(("number", "seen"), [(0, "flat"), (6, "flat"), (1.5, "flat"), (1, "up")])
def test_what_is_not_there_is_told(number: float, seen: str) -> None:
    """A marker or a view that is not there is named."""
    with pytest.raises(BadInput, match=r"marker|seen"):
        mark_stroke(RESULT, number, seen)
