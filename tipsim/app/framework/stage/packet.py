"""From results to what the stage draws: lengths in mm, displacements in µm, angles in rad."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from tipsim.app.framework.belief import KEYS, believed, not_drawn
from tipsim.app.framework.packet import encode
from tipsim.app.framework.words import marker_words, motion_words, still_words, way_words
from tipsim.motion.character import still_points
from tipsim.motion.markers import AGAINST, WITH, Marker, track
from tipsim.motion.run import Motion
from tipsim.motion.sections import Floats
from tipsim.motion.steady import Vibration
from tipsim.motion.travel import stroke
from tipsim.solve import Result

Data = dict[str, Any]
MODE_STROKE = 200e-6
"""Largest stroke that a natural mode is drawn with [m]: a mode has a shape and no size."""
MM, UM = 1e3, 1e6
SLEEVE_POINTS = 48
RIM_POINTS = 28
WAYS = {WITH: "with", AGAINST: "against"}


def stage_packet(results: Sequence[Result], mode: int = 0) -> bytes:
    """Return the needles as they are driven, or in a natural mode (from 1), for the browser."""
    each = list(zip(KEYS, results, strict=False))
    if not mode:
        return encode({"sides": [driven(key, r) for key, r in each]})
    sides = [in_mode(key, r, mode) for key, r in each]
    # Each title says its own frequency; all are drawn in step, or one would drift off.
    clock = {"frequency_hz": sides[0]["frequency_hz"]}
    return encode({"sides": [side | clock for side in sides]})


def driven(key: str, result: Result) -> Data:
    """Return one needle as it is driven."""
    m, over = believed(result), not_drawn(result)
    words = " ".join(motion_words(result))
    side = _side(key, result, m.vibration, m.markers, m.still_points) | {"words": words}
    if not over:
        return side | as_if_rigid(m)
    return side | {"said": "outside the range of the model", "held": over}


def as_if_rigid(motion: Motion) -> Data:
    """Return how the needle would move if it could not deform, and what its tip would do."""
    hub = motion.displacement[0, 3:]
    turning = np.broadcast_to(hub, (motion.frame.n, 3))
    tip = float(motion.parts.rigid_stroke[-1]) * UM
    return {
        "rigid": np.hstack([motion.parts.rigid * UM, turning]),
        "rigid_said": f"if rigid {tip:.0f} µm",
    }


def in_mode(key: str, result: Result, k: int) -> Data:
    """Return one needle in its k-th natural mode, drawn with a stroke of our choice."""
    modes, motion = result.modes(), result.motion
    if k > len(modes.frequency):
        still = Vibration(motion.frame, motion.frequency, *[0 * motion.displacement] * 2)
        name = f"no mode {k} below 60 kHz"
        said = {"said": name, "words": f"{name}."}
        return _side(key, result, still, track(still, result.scenario.markers), ()) | said
    shape = modes.shape[k - 1].astype(np.complex128)
    shape = shape * MODE_STROKE / float(np.max(stroke(shape[:, :3])) or 1.0)
    frequency = float(modes.frequency[k - 1])
    held = Vibration(motion.frame, frequency, shape, 0 * shape)
    markers, still_at = track(held, result.scenario.markers), still_points(held)
    name = f"natural mode {k}, {frequency / 1e3:.1f} kHz"
    return _side(key, result, held, markers, still_at) | {
        "said": name,
        "words": " ".join([f"{name}.", marker_words(markers), *still_words(still_at)]),
    }


def _side(
    key: str,
    result: Result,
    vibration: Vibration,
    markers: tuple[Marker, ...],
    still: tuple[float, ...],
) -> Data:
    """Return one needle and a motion of it."""
    needle, frame = result.scenario.needle, vibration.frame
    outer, inner = needle.radii_at(frame.s)
    end = frame.s[-1]

    def point(distance: float) -> Data:
        at = end - distance
        return {
            "distance": distance * MM,
            "rest": _along(frame.points, frame.s, at) * MM,
            "radius": float(np.interp(at, frame.s, outer)) * MM,
        }

    return {
        "key": key,
        "title": needle.title,
        "said": f"tip moves {motion_size(vibration):.0f} µm peak to peak",
        "n": frame.n,
        "frequency_hz": float(vibration.frequency),
        "length": float(end) * MM,
        "bevel_deg": math.degrees(needle.bevel),
        "s": frame.s * MM,
        "rest": frame.points * MM,
        "tangent": frame.node_tangent,
        "outer": outer * MM,
        "inner": inner * MM,
        "amp": vibration.displacement * ([UM] * 3 + [1.0] * 3),
        "marks": [
            point(m.distance)
            | {"way": WAYS.get(m.direction, "neither"), "words": way_words(m.direction)}
            | {"re": m.amplitude.real * UM, "im": m.amplitude.imag * UM}
            for m in markers
        ],
        "still": [point(place) for place in still],
        "held": "",
        # A natural mode has no hub that moves a rigid needle.
        "rigid": np.zeros((frame.n, 6), complex),
        "rigid_said": "",
        "tube": _sleeve(result, frame.points, frame.s, frame.node_tangent),
    }


def motion_size(vibration: Vibration) -> float:
    """Return the stroke of the tip [µm]."""
    return float(stroke(vibration.displacement[-1, :3])) * UM


def _along(points: Floats, s: Floats, at: Any) -> Floats:
    """Return places on the centreline at rest."""
    return np.stack([np.interp(at, s, axis) for axis in points.T], axis=-1)


def _sleeve(result: Result, points: Floats, s: Floats, tangent: Floats) -> Data | None:
    """Return the sleeve as a tube that follows the needle at rest and does not move."""
    sleeve, end = result.scenario.sleeve, result.scenario.sleeve_end
    if sleeve is None:
        return None
    start = min(result.scenario.needle.taper_length, end / 2)
    at = np.linspace(start, end, SLEEVE_POINTS)
    along = _along(tangent, s, at)
    full = np.ones(SLEEVE_POINTS)
    place = end - sleeve.port_distance
    return {
        "n": SLEEVE_POINTS,
        "start": start * MM,
        "length": (end - start) * MM,
        "s": (at - start) * MM,
        "rest": _along(points, s, at) * MM,
        "tangent": along / np.linalg.norm(along, axis=1, keepdims=True),
        "outer": sleeve.outer_radius * MM * full,
        "inner": sleeve.inner_radius * MM * full,
        "amp": np.zeros((SLEEVE_POINTS, 6), complex),
        "ports": [
            {"way": way, "rim": _rim(points, s, tangent, place, sleeve, way) * MM}
            for way in (1, -1)
        ],
    }


def _rim(points: Floats, s: Floats, tangent: Floats, place: float, sleeve: Any, way: int) -> Floats:
    """Return the rim of a port in the sleeve, square to the plane of the bends."""
    angle = np.linspace(0, 2 * np.pi, RIM_POINTS, endpoint=False)
    half, radius = sleeve.port_diameter / 2, sleeve.outer_radius
    turn = half * np.sin(angle) / radius
    tx, ty, _ = _along(tangent, s, place)
    across = np.stack([-ty * np.sin(turn), tx * np.sin(turn), way * np.cos(turn)], axis=-1)
    return _along(points, s, place + half * np.cos(angle)) + radius * across
