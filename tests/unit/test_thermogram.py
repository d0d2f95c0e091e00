"""Outputs of the thermal camera against the film and the heat run that they come from."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tipsim.heat.camera.planck import temperature
from tipsim.setup.errors import BadInput
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal_camera import ThermalCamera
from tipsim.solve import Result, solve

BENCH = Scenario.preset("single-bend, torsional, bench load")


def bench(**values: Any) -> Result:
    return solve(BENCH.with_(**{f"thermal_camera.{k}": v for k, v in values.items()}))


LOADED = bench(frame_rate=2.0, height=0.3e-3)


def seen(r: Result) -> Any:
    """Readings of all pixels by the formula of the program, (p, h, w) [K]."""
    assert r.thermogram is not None
    film, c = r.thermogram.film, r.scenario.thermal_camera
    from tipsim.heat.camera.planck import radiance

    e, room = c.set_emissivity, radiance(c.set_mirrored, c.wavelengths)
    return temperature((film.signal - (1 - e) * room) / e, c.wavelengths)


def test_readings_are_those_of_the_pixels() -> None:
    found, film = seen(LOADED), LOADED.thermogram.film  # type: ignore[union-attr]
    assert LOADED["thermogram.seen_max"] == pytest.approx(found.max(), abs=1e-4)
    column = int(np.argmin(abs(film.x - 6e-3)))
    row = int(np.argmin(abs(film.y - 0.3e-3)))
    assert LOADED["thermogram.point_seen"] == pytest.approx(found[-1, row, column], abs=1e-4)
    assert LOADED["thermogram.line_max"] == pytest.approx(found[-1, row].max(), abs=1e-4)
    half = film.skin.radius.max() / 2
    inside = found[-1][abs(film.y) <= half][:, (film.x >= 3e-3) & (film.x <= 9e-3)]
    assert LOADED["thermogram.region_mean"] == pytest.approx(inside.mean(), abs=1e-4)
    assert LOADED["thermogram.region_max"] == pytest.approx(inside.max(), abs=1e-4)


def test_truths_are_those_of_the_heat_run() -> None:
    run = LOADED.heat
    outer = run.layer("outer")
    warm = np.where(np.isfinite(outer), outer, run.layer("metal"))
    film = LOADED.thermogram.film  # type: ignore[union-attr]
    top = [np.interp(film.time[-1], run.time, warm[:, i, 0]) for i in range(warm.shape[1])]
    assert LOADED["thermogram.hidden_max"] == pytest.approx(max(top), abs=1e-4)
    # The hot side faces the camera, but its middle lies in one sector alone.
    assert LOADED["thermogram.true_max"] <= LOADED["thermogram.hidden_max"]
    assert LOADED["thermogram.true_max"] == pytest.approx(max(top), abs=0.02 * (max(top) - 298))


def test_the_causes_add_up_to_the_error() -> None:
    names = ("emissivity", "water", "angle", "reflection", "blur", "lag", "noise")
    film = LOADED.thermogram
    assert film is not None
    total = sum(LOADED[f"thermogram.{name}"] for name in names)
    then = film.whole.hottest[film.hottest] - film.whole.true[film.hottest]
    assert total == pytest.approx(then, abs=1e-9)


def test_the_hot_side_can_face_away() -> None:
    away = bench(side=np.pi)
    assert away["thermogram.hidden_max"] == pytest.approx(LOADED["thermogram.hidden_max"], abs=0.5)
    assert away["thermogram.seen_max"] < LOADED["thermogram.seen_max"] - 3


def test_under_fluid_nothing_is_filmed() -> None:
    under = solve(BENCH.with_(outside="chamber"))
    assert under.thermogram is None and under["thermogram.seen_max"] is None
    assert under.text("thermogram.error") == "–"


def test_a_film_ends_with_the_run_and_before_it_grows_too_large() -> None:
    short = solve(replace(BENCH, duration=3.0)).thermogram
    assert short is not None and list(short.film.time) == [0, 0.5, 1, 1.5, 2, 2.5, 3]
    fine = bench(pixel=0.05e-3, frame_rate=20.0, pictures=240).thermogram
    assert fine is not None and fine.film.signal.size <= 3_000_000


def test_a_camera_refuses_what_cannot_be() -> None:
    with pytest.raises(BadInput, match=r"pictures is 2\.5; allowed: a whole number"):
        ThermalCamera(pictures=2.5)
    with pytest.raises(BadInput, match=r"far_mm is 3 mm; allowed: at least 0\.1 mm beyond"):
        ThermalCamera(near=3e-3, far=3e-3)
