"""From a result to what the stage draws."""

from __future__ import annotations

from tipsim.app.packet import StageMarker, StageSide, StageSleeve, encode
from tipsim.solve import Result


def stage_packet(a: Result, b: Result) -> bytes:
    """Pack two results for the browser; see `tipsim.app.packet`."""
    return encode([stage_side("A", a), stage_side("B", b)])


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
        nodes_m=m.nodes,
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
