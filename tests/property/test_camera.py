"""The camera with random settings: linear, repeatable, and never a setting that cannot be."""

from dataclasses import fields, replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.property.benches import benches, between, drawn
from tipsim.app.framework.bench_state import BenchState
from tipsim.app.pages.camera.state import CameraState
from tipsim.motion.camera import Camera, measure, shoot
from tipsim.motion.camera.exposure import phase_weights
from tipsim.motion.camera.sampling import alias, apparent_frequency
from tipsim.motion.run import Motion
from tipsim.setup.errors import BadInput
from tipsim.setup.presets import preset
from tipsim.setup.scenario import Scenario
from tipsim.solve import solve

NAMES = ("single-bend, torsional", "counter-bent, torsional", "single-bend, axial")
RATES = st.floats(10, 2e6)


@cache
def motion(name: str) -> Motion:
    return solve(preset(name)).motion


@st.composite
def cameras(draw: st.DrawFn) -> Camera:
    """Any camera that a bench with five markers can have."""
    rate = draw(RATES)
    values = drawn(
        draw,
        Camera,
        frame_rate=rate,
        exposure=draw(between(0.0501e-6, min(0.0999, 1 / rate))),
        frames=draw(st.integers(8, 96)),
        seed=draw(st.integers(0, 9999)),
        aim=draw(st.sampled_from(["end", "1", "2", "3", "4", "5"])),
    )
    return Camera(**values)


@given(cameras(), st.sampled_from("ab"))
def test_a_link_holds_every_setting(camera: Camera, side: str) -> None:
    state = CameraState(BenchState.first(), side, camera)
    items = dict(part.split("=", 1) for part in state.to_query().split("&"))
    assert CameraState.from_items(items) == state


@given(st.floats(10.1, 1.9e6), st.floats(1.001, 1e3))
def test_an_exposure_longer_than_the_pause_is_refused(rate: float, times: float) -> None:
    with pytest.raises(BadInput) as bad:
        Camera(frame_rate=rate, exposure=times / rate)
    assert str(bad.value).startswith("exposure_us is ") and "\n" not in str(bad.value)


@given(
    st.sampled_from([f.name for f in fields(Camera) if f.metadata["kind"] == "quantity"]),
    st.floats() | st.integers() | st.none() | st.booleans() | st.text(max_size=5),
)
def test_a_field_takes_what_it_allows_or_says_so_in_one_line(name: str, value: object) -> None:
    try:
        camera = replace(Camera(), **{name: value})  # type: ignore[arg-type]
    except BadInput as bad:
        assert "\n" not in str(bad) and "allowed" in str(bad)
    else:
        assert getattr(camera, name) == value


@given(st.lists(st.floats(0, 1), min_size=1, max_size=5), st.floats(1e-3, 40), st.integers(8, 300))
def test_an_exposure_gathers_all_its_light(start: list[float], length: float, count: int) -> None:
    w = phase_weights(np.array(start), length, count)
    assert w.sum(axis=1) == pytest.approx(1, rel=1e-6)
    assert (w > -1e-9).all()


@given(st.floats(1e3, 1e5), RATES)
def test_an_alias_is_the_nearest_there_is(frequency: float, rate: float) -> None:
    seems = apparent_frequency(frequency, rate)
    assert seems <= rate / 2 * (1 + 1e-9)
    k = round((frequency - alias(frequency, rate)) / rate)
    assert abs(frequency - k * rate) == pytest.approx(seems, abs=1e-6 * frequency)
    # And samples of the one are samples of the other.
    t = np.arange(20) / rate
    a, b = (np.cos(2 * np.pi * f * t) for f in (frequency, seems))
    assert a == pytest.approx(b, abs=1e-4)


@settings(max_examples=12)
@given(st.sampled_from(NAMES), between(0.25, 1.0))
def test_a_quiet_film_is_linear_in_the_stroke(name: str, power: float) -> None:
    one = preset(name)
    weaker = replace(one, drive=replace(one.drive, power=power))
    camera = Camera(noise="off", view="flat" if "axial" in name else "edge-on")
    whole = measure(shoot(motion(name), one.needle, camera)).readings
    less = measure(shoot(solve(weaker).motion, one.needle, camera)).readings
    for a, b in zip(whole, less, strict=True):
        assert a.seen is not None and b.seen is not None
        # A step of the tracking for each of the four turning points, and 1 %.
        assert b.seen == pytest.approx(power * a.seen, rel=0.01, abs=4 * 12.5e-6 / 50)


@settings(max_examples=12)
@given(cameras())
def test_the_same_camera_gives_the_same_film(camera: Camera) -> None:
    camera = replace(camera, frames=8, pixel=max(camera.pixel, 15e-6))
    one = preset(NAMES[0])
    films = [shoot(motion(NAMES[0]), one.needle, camera) for _ in range(2)]
    assert (films[0].pictures == films[1].pictures).all()
    assert (films[0].stills == films[1].stills).all()
    if camera.noise == "on":
        other = replace(camera, seed=(camera.seed + 1) % 10_000)
        assert (shoot(motion(NAMES[0]), one.needle, other).pictures != films[0].pictures).any()


@settings(max_examples=15)
@given(benches(), cameras())
def test_any_needle_can_be_filmed_and_read(scenario: Scenario, camera: Camera) -> None:
    camera = replace(camera, frames=12, pixel=max(camera.pixel, 15e-6))
    found = measure(shoot(solve(scenario).motion, scenario.needle, camera))
    for r in found.readings:
        assert np.isfinite(r.true) and np.isfinite(r.bar)
        assert r.seen is None or 0 <= r.seen < 1.2e-3
