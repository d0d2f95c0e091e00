"""The saved film of each bench: read by other libraries than wrote it, and made again from it."""

import csv
import io
import tomllib
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest
import tifffile

from tipsim import Scenario, solve
from tipsim.app.framework.state import PageState
from tipsim.app.pages.camera.saving import film as camera_film
from tipsim.app.pages.camera.saving import used as of_camera
from tipsim.app.pages.camera.state import CameraState
from tipsim.app.pages.endoscope.saving import film as endoscope_film
from tipsim.app.pages.endoscope.saving import used as of_endoscope
from tipsim.app.pages.endoscope.state import EndoscopeState
from tipsim.app.pages.flow.page import used as of_flow
from tipsim.app.pages.flow.state import FlowState
from tipsim.app.pages.heat.page import used as of_heat
from tipsim.app.pages.heat.state import HeatState
from tipsim.app.pages.thermal.saving import film as thermal_film
from tipsim.app.pages.thermal.saving import used as of_thermal
from tipsim.app.pages.thermal.state import ThermalState
from tipsim.app.pages.tissue.page import used as of_tissue
from tipsim.app.pages.tissue.state import TissueState
from tipsim.heat.camera import saving as thermal
from tipsim.heat.timeline import HeatRun
from tipsim.motion.camera import Camera, measure, shoot
from tipsim.motion.camera import saving as camera
from tipsim.saved import Saved, pack
from tipsim.saved.card import Card
from tipsim.saved.text import parse_instrument
from tipsim.setup.endoscope import Endoscope
from tipsim.setup.errors import BadInput
from tipsim.setup.thermal_camera import ThermalCamera
from tipsim.tissue.endoscope import saving as endoscope

ZERO = 273.15
Table = dict[str, np.ndarray]


@dataclass(frozen=True)
class Taken:
    """A film that was saved, with the arrays that it came from."""

    saved: Saved
    pictures: Any
    truth: Table


def high_speed(scenario: Scenario, setting: Any) -> Taken:
    motion = solve(scenario).motion
    film = shoot(motion, scenario.needle, setting)
    measured = measure(film)
    # Edge-on, the picture's height is -z: the real part of the marker's amplitude, turned on.
    turn = np.exp(2j * np.pi * motion.frequency * film.times)
    up = [-(motion.markers[r.dot.number - 1].amplitude[2] * turn).real for r in measured.readings]
    truth = {"y_true_um": np.stack(up, axis=1).ravel() * 1e6}
    return Taken(camera.saved(scenario, film, measured), film.pictures, truth)


def warm(scenario: Scenario, setting: Any) -> Taken:
    scenario = replace(scenario, thermal_camera=setting)
    result = solve(scenario)
    found = result.thermogram
    assert found is not None
    film, heat = found.film, result.heat
    # Drawn with the tip at the right, row 0 at the top; a level is a hundredth of a kelvin.
    kelvin = thermal.shown(film.camera, film.signal)[:, ::-1, ::-1]
    truth = {"true_hottest_c": hottest(heat, film.x, film.time).ravel() - ZERO}
    return Taken(thermal.saved(scenario, found), np.rint(kelvin * 100).astype(int), truth)


def hottest(heat: HeatRun, x: np.ndarray, times: np.ndarray) -> np.ndarray:
    """Return the hottest of the surface all around, from the cells of the heat run, (p, w) [K]."""
    outer = heat.layer("outer")
    surface = np.where(np.isfinite(outer), outer, heat.layer("metal"))
    edges = heat.cells.edges  # From the hub on; the picture's places are from the tip on.
    out = np.full((len(times), len(x)), np.nan)
    for column, place in enumerate(edges[-1] - x):
        if edges[0] <= place <= edges[-1]:
            around = surface[:, np.searchsorted(edges, place) - 1].T
            out[:, column] = np.max([np.interp(times, heat.time, one) for one in around], axis=0)
    return out


def within(scenario: Scenario, setting: Any) -> Taken:
    study = solve(replace(scenario, endoscope=setting)).endoscope
    truth = {"gap_mm": study.film.gap * 1e3, "specks_true": np.asarray(study.count.true)}
    return Taken(endoscope.saved(study), study.film.pictures, truth)


BENCHES: dict[str, tuple[Callable[[Scenario, Any], Taken], str, Any, Any]] = {
    # How it is filmed, with what; when each picture is taken, by hand [s].
    "high-speed camera": (
        high_speed,
        "single-bend, torsional",
        Camera(frames=8, frame_rate=250e3, exposure=2e-6),
        1e-6 + 4e-6 * np.arange(8),
    ),
    "thermal camera": (
        warm,
        "single-bend, torsional, bench load",
        ThermalCamera(frame_rate=4, pictures=5, start=0.5),
        0.5 + 0.25 * np.arange(5),
    ),
    "endoscope": (
        within,
        "single-bend, torsional",
        Endoscope(pictures=24, columns=96, frame_rate=10, exposure=4e-3),
        2e-3 + 0.1 * np.arange(24),
    ),
}


def contents(archive: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(archive)) as opened:
        return {name.rpartition("/")[2]: opened.read(name) for name in opened.namelist()}


def columns(content: bytes) -> Table:
    head, *rows = csv.reader(io.StringIO(content.decode()))
    cells = np.array([[float(cell or "nan") for cell in row] for row in rows])
    return dict(zip(head, cells.T, strict=True))


@pytest.mark.parametrize("bench", BENCHES)
def test_a_film_comes_back_exactly_and_is_made_again_from_its_settings(bench: str) -> None:
    take, name, setting, times = BENCHES[bench]
    scenario = Scenario.preset(name).with_(duration=2.0)
    taken = take(scenario, setting)
    archive = pack(taken.saved)
    found = contents(archive)
    # Pictures, times and truth, by libraries that share no code with what wrote them.
    pixels = tifffile.imread(io.BytesIO(found["simulated-film.tif"]))
    np.testing.assert_array_equal(pixels, taken.pictures)
    assert pixels.std() > 0
    frames = columns(found["simulated-frames.csv"])
    assert frames["time_s"] == pytest.approx(times, rel=1e-9)
    truth = columns(found["simulated-truth.csv"])
    for head, values in taken.truth.items():
        assert np.nanstd(values) > 0
        assert truth[head] == pytest.approx(values, rel=1e-6, abs=1e-6, nan_ok=True)
    described = tomllib.loads(found["film.toml"].decode())
    size = [described["film"][name] for name in ("pictures", "rows", "columns")]
    assert size == list(pixels.shape)
    # The same again, from the files alone.
    again = Scenario.parse(found["scenario.toml"].decode())
    parsed = parse_instrument(found["film.toml"].decode(), type(setting))
    assert parsed == setting
    assert pack(take(again, parsed).saved) == archive


def test_readings_follow_from_the_saved_pixels() -> None:
    """By hand from levels: the hottest pixel of each picture is what the table says."""
    take, name, setting, _ = BENCHES["thermal camera"]
    found = contents(pack(take(Scenario.preset(name).with_(duration=2.0), setting).saved))
    levels = tomllib.loads(found["film.toml"].decode())["levels"]
    pixels = tifffile.imread(io.BytesIO(found["simulated-film.tif"]))
    peaks = levels["offset"] + levels["slope"] * pixels.max(axis=(1, 2)) - ZERO
    read = columns(found["simulated-readings.csv"])["whole_read_c"]
    assert read == pytest.approx(peaks, abs=levels["slope"] / 2 + 1e-9)


# ---- the methods card of each page ----


def said(found: Card) -> dict[str, str]:
    return {row.heading: row.text for row in found.rows}


@pytest.mark.parametrize(
    ("used", "state", "changes", "wanted"),
    [
        (of_heat, HeatState, {"power": "60", "duration": "7"},
         {"Power": "60 %", "Number of runs": "1 of each needle, 7 s long"}),
        (of_flow, FlowState, {"surge.hold_s": "1.5"},
         {"Number of runs": "1 of each needle, with one event (occlusion) of 1.5 s"}),
        (of_tissue, TissueState, {"view.tissue.seed": "7"},
         {"Number of runs": "1 of each needle; the iris flutters by chance of seed 7, "
          "the same for both"}),
        (of_camera, CameraState, {"view.film.pixel_um": "20"},
         {"Scale": "one pixel is 20 µm at the needle"}),
        (of_thermal, ThermalState,
         {"thermal_camera.pixel_mm": "0.4", "view.thermal.scale_b": "20 to 60"},
         {"Pixel at the needle": "0.4 mm",
          "Scale B": "one pixel is 0.4 mm at the needle; colours inferno, whose range is "
          "20 to 60 °C"}),
        (of_endoscope, EndoscopeState, {"endoscope.exposure_ms": "9"},
         {"Exposure": "9 ms", "Distance in focus": "3.5 mm"}),
    ],
)  # fmt: skip
def test_each_page_says_what_was_used(
    used: Callable[[Any], Card], state: type[PageState], changes: dict[str, str], wanted: Any
) -> None:
    found = used(state.from_items(changes))
    rows = said(found)
    assert {head: rows.get(head) for head in wanted} == wanted
    assert "bubbles and air in the lines" in rows["Not controlled"]
    for text in wanted.values():
        assert text[1:] in found.paragraph


@pytest.mark.parametrize(
    ("film", "used", "state"),
    [
        (camera_film, of_camera, CameraState),
        (thermal_film, of_thermal, ThermalState),
        (endoscope_film, of_endoscope, EndoscopeState),
    ],
)
def test_a_motion_that_is_not_to_be_believed_is_not_saved(
    film: Callable[[dict[str, str]], Saved], used: Callable[[Any], Card], state: type[PageState]
) -> None:
    """It would be filmed at rest, beside settings that say otherwise."""
    low = {"ceilings.speed_m_s": "5"}
    with pytest.raises(BadInput, match=r"A's film is Not drawn: tip speed"):
        film(low)
    assert "none: the motion is outside the range" in used(state.from_items(low)).paragraph
