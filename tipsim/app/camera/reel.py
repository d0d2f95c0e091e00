"""A film and its tracks as one packet for the browser, and the numbers beside it."""

from __future__ import annotations

import json
import struct
from typing import Any

from tipsim.app.camera.state import CameraState
from tipsim.app.camera.words import (
    bar_text,
    hertz,
    percent,
    reasons,
    thousands,
    verdicts,
)
from tipsim.app.words import micro
from tipsim.motion.camera import Film, Measurement, Reading, Take, examples
from tipsim.motion.camera.sampling import (
    apparent_frequency,
    exposed_cycles,
    frames_per_cycle,
    rate_for,
    smear,
)
from tipsim.motion.camera.table import track_table
from tipsim.motion.camera.view import AXES

Data = dict[str, Any]
DAYLIGHT_EXPOSURE = 1e-3
"""What the lamp is held against: an ordinary exposure [s]."""


def encode(head: Data, pictures: bytes) -> bytes:
    """Join a head and pictures: length of the head (uint32, little), head as JSON, pictures.

    >>> encode({"a": 1}, b"xy")[4:]
    b'{"a":1}xy'
    """
    text = json.dumps(head, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
    data = text.encode("utf-8")
    return struct.pack("<I", len(data)) + data + pictures


def reel(state: CameraState, film: Film, measured: Measurement) -> bytes:
    """Pack a film with its tracks for the browser.

    Parameters
    ----------
    state : CameraState
    film : Film
    measured : Measurement

    Returns
    -------
    bytes
        See `encode`; lengths in micrometres, places in pixels, times in microseconds.
    """
    scenario, camera = state.scenario, film.camera
    rows, columns = film.scene.shape
    pixel = camera.pixel
    made = examples(scenario.drive.frequency)
    head = {
        "shape": [camera.count, rows, columns],
        "side": state.side,
        "needle": scenario.needle.title,
        "drive": scenario.drive.kind,
        "example": state.example,
        "examples": [{"id": e.id, "title": e.title, "words": e.words} for e in made.values()],
        "frequency_hz": film.frequency,
        "trigger_rad": camera.trigger,
        "pixel_um": pixel * 1e6,
        "dot_um": film.scene.dot_radius * 1e6,
        "times_us": [round(t * 1e6, 4) for t in film.times],
        "interval_us": 1e6 / camera.frame_rate,
        "exposure_us": camera.exposure * 1e6,
        "surface": camera.marks == "surface",
        "marks": [_mark(film, r) for r in measured.readings],
        "told": told(state, film),
        "about": _about(state, film),
        "csv": track_table(film, measured, [_about(state, film)]),
        "bench": state.bench.to_query(),
    }
    return encode(head, film.pictures.tobytes())


def _mark(film: Film, reading: Reading) -> Data:
    dot, scene = reading.dot, film.scene
    axis = dot.axis
    middle = complex(axis @ AXES[film.camera.view][:2] @ dot.amplitude)
    seen = reading.track.places @ axis * 1e6
    found = reading.track.is_found
    places = scene.to_pixels(dot.place + reading.track.places)
    return {
        "number": dot.number,
        "distance_mm": round(dot.distance * 1e3, 4),
        "rest_px": _rounded(scene.to_pixels(dot.place)),
        "axis": _rounded(axis),
        "true_um": _pair(complex(axis @ dot.moves)),
        "middle_um": _pair(middle),
        "seen_um": [round(float(v), 3) if ok else None for v, ok in zip(seen, found, strict=True)],
        "seen_px": [
            [round(float(x), 3), round(float(y), 3)] if ok else None
            for (x, y), ok in zip(places, found, strict=True)
        ],
        "bar_um": round(float(reading.bar) * 1e6, 3),
    }


def _pair(value: complex) -> list[float]:
    return [float(f"{value.real * 1e6:.6g}"), float(f"{value.imag * 1e6:.6g}")]


def _rounded(values: Any) -> list[float]:
    return [round(float(v), 4) for v in values]


def told(state: CameraState, film: Film) -> str:
    """Describe the picture in words."""
    scenario, camera = state.scenario, film.camera
    rows, columns = film.scene.shape
    wide, high = (n * camera.pixel * 1e3 for n in (columns, rows))
    where = (
        "the needle's end at the right"
        if camera.aim == "end"
        else f"marker {camera.aim} in the middle"
    )
    return (
        f"Needle {state.side.upper()}, {scenario.needle.title}, seen {camera.view}, bright on "
        f"grey with dark marks, {where}; {wide:.1f} by {high:.1f} mm, {columns} by {rows} pixels."
    )


def _about(state: CameraState, film: Film) -> str:
    scenario, camera = state.scenario, film.camera
    return (
        f"tipsim: needle {state.side.upper()}, {scenario.needle.title}, {scenario.drive.kind} "
        f"drive at {scenario.drive.power * 100:g} %, seen {camera.view}, marks on the "
        f"{'surface' if camera.marks == 'surface' else 'middle line'}"
    )


_WHY = {
    "Pictures in a cycle": "Frame rate over the drive's frequency. More than 2 are needed to tell "
    "a frequency from a slower one (Nyquist).",
    "Should seem to run at": "|f − k fs|, with the whole number k that makes it least (Shannon "
    "1949).",
    "Seems to run at": "The sine that fits all tracks best.",
    "Cycles in an exposure": "Frequency times exposure.",
    "Farthest smear": "Travel of the fastest mark in one exposure, at worst: stroke × sin(π f t), "
    "the whole stroke from half a cycle on.",
    "Largest stroke in pixels": "Marks are followed to a fiftieth of a pixel.",
    "Rate to miss at most 2 %": "π f / arccos(1 − 0.02): so many pictures that a single cycle "
    "loses at most 2 % of its stroke between them.",
    "Light, against 1 ms": "For as clear a picture as in an exposure of a millisecond, the lamp "
    "must be so much brighter.",
}


def facts(film: Take, measured: Measurement) -> list[Data]:
    """Give what follows from the settings by formula: label, value, what it means."""
    camera, f = film.camera, film.frequency
    reach = max((d.stroke_in_view for d in film.scene.dots), default=0.0)
    seems = measured.frequency
    values = {
        "Pictures in a cycle": f"{frames_per_cycle(f, camera.frame_rate):.3g}",
        "Should seem to run at": hertz(apparent_frequency(f, camera.frame_rate)),
        "Seems to run at": "–" if seems is None else hertz(seems),
        "Cycles in an exposure": f"{exposed_cycles(f, camera.exposure):.2g}",
        "Farthest smear": f"{micro(smear(reach, f, camera.exposure))} µm",
        "Largest stroke in pixels": f"{reach / camera.pixel:.3g}",
        "Rate to miss at most 2 %": f"{thousands(round(rate_for(f, 0.02), -3))} /s",
        "Light, against 1 ms": f"× {_times(DAYLIGHT_EXPOSURE / camera.exposure)}",
    }
    return [{"label": label, "value": value, "why": _WHY[label]} for label, value in values.items()]


def _times(factor: float) -> str:
    return thousands(float(f"{factor:.2g}")) if factor >= 100 else f"{factor:.2g}"


def content(film: Take, measured: Measurement) -> Data:
    """Give the numbers and words beside the film."""
    first = measured.readings[0].dot.number if measured.readings else 0
    return {
        "verdicts": [
            {"about": v.about, "outcome": v.outcome, "short": v.short}
            for v in verdicts(film, measured)
        ],
        "reasons": reasons(film, measured),
        "first": first,
        "rows": [_row(r) for r in measured.readings],
        "facts": facts(film, measured),
    }


def _row(reading: Reading) -> Data:
    error = reading.error
    lost = reading.seen is None
    return {
        "number": reading.dot.number,
        "true": micro(reading.true),
        "seen": "lost" if reading.seen is None else micro(reading.seen),
        "bar": "" if lost else bar_text(reading),
        "fitted": "–" if reading.fitted is None else micro(reading.fitted),
        "error": "–" if error is None else percent(error),
        "off": error is not None and abs(error) >= 0.05,
        "direction": reading.direction,
        "true_direction": reading.true_direction,
        "outcome": reading.outcome,
    }
