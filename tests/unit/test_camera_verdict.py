"""Whether a film can be believed, at the limits of what counts as right."""

from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from tipsim.motion.camera import Camera, Film, Measurement, measure, shoot, take
from tipsim.motion.camera.measure import AGAINST, UNCLEAR, WITH
from tipsim.motion.camera.verdict import (
    direction_outcome,
    facts,
    frequency_outcome,
    stroke_outcome,
)
from tipsim.setup.presets import preset
from tipsim.solve import solve

ONE = preset("single-bend, torsional")


@cache
def film() -> Film:
    return shoot(solve(ONE).motion, ONE.needle, Camera(frames=8))


def measured(frequency: float | None, *pairs: tuple[float | None, float]) -> Measurement:
    """Return a measurement of strokes (seen, true)."""
    one = measure(film()).readings[0]
    return Measurement(
        tuple(replace(one, seen=seen, true=true, direction=WITH) for seen, true in pairs), frequency
    )


@pytest.mark.parametrize(
    ("pairs", "outcome"),
    [
        # 5 % of the largest true stroke, whatever the others do.
        ([(104.9, 100.0), (10.0, 50.0)], "good"),
        ([(95.1, 100.0)], "good"),
        ([(94.9, 100.0), (50.0, 50.0)], "bad"),
        ([(105.1, 100.0)], "bad"),
        ([(None, 100.0), (50.0, 50.0)], "bad"),
        ([(1.0, 0.0)], "open"),
        ([], "open"),
    ],
)
def test_a_stroke_is_right_within_five_percent(pairs: list[Any], outcome: str) -> None:
    assert stroke_outcome(measured(32e3, *pairs)) == outcome


@pytest.mark.parametrize(
    ("frequency", "true", "outcome"),
    [
        # 2 % of 32 kHz are 640 Hz.
        (32_630.0, 100.0, "good"),
        (32_650.0, 100.0, "bad"),
        (31_370.0, 100.0, "good"),
        (31_350.0, 100.0, "bad"),
        (None, 100.0, "bad"),
        (None, 0.0, "open"),
    ],
)
def test_a_frequency_is_right_within_two_percent(
    frequency: float | None, true: float, outcome: str
) -> None:
    assert film().frequency == 32e3
    assert frequency_outcome(film(), measured(frequency, (true, true))) == outcome


def test_one_wrong_direction_makes_all_wrong_and_of_nothing_none_is_right() -> None:
    base = measured(32e3, (9.0, 9.0), (9.0, 9.0), (9.0, 9.0))
    first, second, third = (replace(r, true_direction=WITH) for r in base.readings)

    def outcome(*directions: str) -> str:
        pair = zip((second, third), directions, strict=True)
        readings = (first, *(replace(r, direction=d) for r, d in pair))
        return direction_outcome(replace(base, readings=readings))

    assert outcome(WITH, WITH) == "good"
    assert outcome(UNCLEAR, AGAINST) == "bad"
    assert outcome(WITH, UNCLEAR) == "open"
    assert direction_outcome(replace(base, readings=(first,))) == "open"
    still = tuple(replace(r, true=0.0) for r in (first, second, third))
    assert direction_outcome(replace(base, readings=still)) == "open"


def test_what_settings_come_to() -> None:
    """By hand, at 32 kHz, 35 200 pictures a second, 20 µs, pixels of 12.5 µm."""
    camera = Camera(frame_rate=35.2e3, exposure=20e-6, noise="off")
    seen = take(solve(ONE).motion, ONE.needle, camera)
    f = facts(seen)
    assert (f.per_cycle, f.exposed_cycles, f.apparent, f.light) == pytest.approx(
        (1.1, 0.64, 3200, 50)
    )
    most = max(dot.stroke_in_view for dot in seen.scene.dots)
    assert f.smear == most  # From half a cycle on.
    assert f.pixels == pytest.approx(most / 12.5e-6)
    # cos(pi f / rate) = 0.98: pi / 0.20033 pictures in a cycle.
    assert f.wanted_rate == pytest.approx(32e3 * 15.682, rel=1e-4)
