"""A film and its tracks for the browser, as plain data with arrays."""

from __future__ import annotations

from typing import Any

import numpy as np

from tipsim.app.framework.films import address
from tipsim.app.framework.packet import encode
from tipsim.app.framework.words import micro
from tipsim.app.pages.camera.outcome import microseconds
from tipsim.app.pages.camera.state import CameraState
from tipsim.motion.camera import Camera, Film, Measurement, Reading, Take, examples
from tipsim.motion.camera.table import track_table
from tipsim.motion.camera.view import AXES
from tipsim.motion.sections import Floats
from tipsim.quantities.declare import figures
from tipsim.setup.inputs import find_input

Data = dict[str, Any]
MOST_CYCLES = 130
"""More cycles of the true motion are drawn as a band."""
POINTS_A_CYCLE, FEWEST_POINTS = 28, 300
FEW = 4
"""Pictures of the shorter stretch of time."""


def expected(state: CameraState) -> bytes:
    """Return all but the pictures: what the film should show."""
    return encode(contents(state, *state.ahead))


def filmed(state: CameraState) -> bytes:
    """Return the film with its tracks."""
    film, measured = state.film
    about = _about(state)
    whole = {"pictures": film.pictures, "csv": track_table(film, measured, [about])}
    return encode(contents(state, film, measured) | whole | {"about": about})


def contents(state: CameraState, film: Take, measured: Measurement) -> Data:
    """Return what the page draws: times in µs, places in µm and pixels."""
    scenario, camera = state.scenario, film.camera
    count, interval = camera.count, 1 / camera.frame_rate
    made = examples(scenario.drive.frequency)
    rate = figures(camera.frame_rate, decimals=0 if camera.frame_rate >= 1e4 else 1)
    return {
        "shape": [count, *film.scene.shape],
        "side": state.side,
        "title": f"{scenario.needle.title}, {scenario.drive.title} drive",
        "example": state.example,
        "examples": [{"id": e.id, "title": e.title, "words": e.words} for e in made.values()],
        "settings": f"{rate} pictures a second, exposure {microseconds(camera.exposure)}",
        "rate": camera.frame_rate,
        "pixel": camera.pixel * 1e6,
        "dot": film.scene.dot_radius * 1e6,
        "times": film.times * 1e6,
        "marks": [_mark(film, r) for r in measured.readings],
        "spans": [_truth(film, measured, n * interval) for n in (count, min(count, FEW))],
        "words": picture_words(state, film),
        "bench": state.bench.to_query(),
        "zip": address("camera", state),
    }


def _mark(film: Take, reading: Reading) -> Data:
    dot, track = reading.dot, reading.track
    lost = int((~track.is_found).sum())
    travel = "nowhere" if reading.seen is None else f"over {micro(reading.seen)} µm"
    verb = "seen" if isinstance(film, Film) else "expected"
    return {
        "number": dot.number,
        "name": f"{dot.number}, at {dot.distance * 1e3:g} mm",
        "rest": film.scene.to_pixels(dot.place),
        "axis": dot.axis,
        "seen": track.places @ dot.axis * 1e6,
        "places": film.scene.to_pixels(dot.place + track.places),
        "words": f"Mark {dot.number}: {verb} {travel}, true path {micro(dot.stroke_in_view)} µm"
        + (f", not found in {lost} pictures." if lost else "."),
    }


def _truth(film: Take, measured: Measurement, end: float) -> Data:
    """Return the true motion of each mark along its path over a time [s], or how far it goes."""
    cycles = film.frequency * end
    band = cycles > MOST_CYCLES
    points = 2 if band else max(FEWEST_POINTS, int(np.ceil(cycles * POINTS_A_CYCLE)))
    time = np.linspace(0, end, points)
    turn = np.exp(1j * (film.camera.trigger + 2 * np.pi * film.frequency * time))

    def along(amplitude: Any) -> Floats:
        motion = abs(amplitude) + 0 * time if band else (amplitude * turn).real
        return np.asarray(motion * 1e6)

    out: Data = {"time": time * 1e6, "cycles": round(cycles) if band else 0}
    dots = [r.dot for r in measured.readings]
    out["true"] = [along(d.axis @ d.moves) for d in dots]
    if film.camera.marks == "surface":
        out["middle"] = [along(d.axis @ AXES[film.camera.view][:2] @ d.amplitude) for d in dots]
    return out


def picture_words(state: CameraState, film: Take) -> str:
    """Return the picture in words."""
    camera, (rows, columns) = film.camera, film.scene.shape
    wide, high = (n * camera.pixel * 1e3 for n in (columns, rows))
    where = "the tip at the right" if camera.aim == "end" else f"marker {camera.aim} in the middle"
    size = f"{wide:.1f} by {high:.1f} mm, {columns} by {rows} pixels."
    words = (
        f"Needle {state.side.upper()}, {state.scenario.needle.title}, {_view(state)}, bright on "
        f"grey with dark marks, {where}; {size}"
    )
    return f"{words} {state.held}".strip()


def _view(state: CameraState) -> str:
    return find_input(Camera, "view").text(state.camera).lower()


def _about(state: CameraState) -> str:
    scenario, surface = state.scenario, state.camera.marks == "surface"
    return (
        f"tipsim: needle {state.side.upper()}, {scenario.needle.title}, {scenario.drive.title} "
        f"drive at {scenario.drive.power * 100:g} %, {_view(state)}, marks on the "
        f"{'surface' if surface else 'middle line'}"
    )
