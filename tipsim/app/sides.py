"""From a result to what the stage draws."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tipsim.app.packet import StageMarker, StageSide, StageSleeve, encode
from tipsim.motion.character import still_points
from tipsim.motion.markers import track
from tipsim.motion.steady import Vibration
from tipsim.motion.travel import stroke
from tipsim.solve import Result

MODE_STROKE = 200e-6
"""Largest stroke that a natural mode is drawn with [m]: a mode has a shape and no size."""


def stage_packet(a: Result, b: Result) -> bytes:
    """Pack two results for the browser; see `tipsim.app.packet`."""
    return encode([stage_side("A", a), stage_side("B", b)])


def mode_packet(a: Result, b: Result, k: int) -> bytes:
    """Pack the k-th natural mode (from 1) of both needles, as far as they have so many."""
    one, two = mode_side("A", a, k), mode_side("B", b, k)
    # Each title says its own frequency; both are drawn in step, or one would drift off.
    return encode([one, replace(two, frequency_hz=one.frequency_hz)])


def mode_side(key: str, result: Result, k: int) -> StageSide:
    """Give one needle in its k-th natural mode, drawn with a stroke of our choice."""
    modes = result.modes()
    side = stage_side(key, result)
    if k > len(modes.frequency):
        return replace(
            side, title=f"{side.title}, no mode {k} below 60 kHz", amplitude=0 * side.amplitude
        )
    shape = modes.shape[k - 1].astype(np.complex128)
    shape = shape * MODE_STROKE / float(np.max(stroke(shape[:, :3])) or 1.0)
    frequency = float(modes.frequency[k - 1])
    held = Vibration(result.motion.frame, frequency, shape, 0 * shape)
    return replace(
        side,
        title=f"{side.title}, natural mode {k}, {frequency / 1e3:.1f} kHz",
        frequency_hz=frequency,
        amplitude=shape,
        markers=tuple(
            StageMarker(m.distance, m.stroke, m.phase, m.direction)
            for m in track(held, result.scenario.markers)
        ),
        nodes_m=still_points(held),
    )


def stage_side(key: str, result: Result) -> StageSide:
    """Give one needle and its motion as the stage wants it."""
    scenario, m = result.scenario, result.motion
    needle = scenario.needle
    outer, inner = needle.radii_at(m.frame.s)
    return StageSide(
        key=key,
        title=needle.title,
        shape=needle.shape,
        drive=scenario.drive.kind,
        frequency_hz=m.frequency,
        rest_m=m.frame.points,
        outer_radius_m=outer,
        inner_radius_m=inner,
        amplitude=m.displacement,
        first_bend_m=needle.first_bend,
        taper_m=needle.taper_length,
        bevel_rad=needle.bevel,
        markers=tuple(StageMarker(k.distance, k.stroke, k.phase, k.direction) for k in m.markers),
        nodes_m=m.still_points,
        sleeve=_sleeve(result),
    )


def _sleeve(result: Result) -> StageSleeve | None:
    sleeve = result.scenario.sleeve
    if sleeve is None:
        return None
    end = result.scenario.sleeve_end
    return StageSleeve(
        start_m=min(result.scenario.needle.taper_length, end / 2),
        end_m=end,
        inner_radius_m=sleeve.inner_radius,
        outer_radius_m=sleeve.outer_radius,
        ports_m=(end - sleeve.port_distance,),
        port_diameter_m=sleeve.port_diameter,
    )
