"""The iris beside both sleeves as one packet of bytes for the browser's own clock."""

from __future__ import annotations

from typing import Any

import numpy as np

from tipsim.app.camera.reel import encode
from tipsim.motion.sections import Floats
from tipsim.motion.travel import at
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.solve import Result
from tipsim.tissue.iris import Beside, beside, film

Data = dict[str, Any]
SECONDS = 12.0
STEP = 1 / 160
"""Length of the drawn stretch and time between its samples [s]."""
REACH = 14e-3
"""How much of the needle the side view shows, from the end [m]."""
CLOSE = 1e-6
"""Points nearer to each other than this count as one [m]."""


def packet(a: Result, b: Result, seed: int) -> bytes:
    """Pack both sides.

    Returns
    -------
    bytes
        `encode` of a head and, for A and then B, as float32: gaps [mm], then work so far [mJ].
    """
    heads, curves = [], []
    for key, result in (("a", a), ("b", b)):
        found = beside(result.scenario, result.motion, {})
        drawn = film(found, result.scenario.eye.iris_gap, SECONDS, STEP, seed)
        heads.append(side(key, result, found))
        curves += [drawn.flutter.gap * 1e3, drawn.work * 1e3]
    head = {
        "seconds": SECONDS,
        "step": STEP,
        "count": len(curves[0]),
        "seed": seed,
        "thickness_mm": number("tissue_picture.iris").si * 1e3,
        "wound_mm": [a.scenario.incision.near_end * 1e3, a.scenario.incision.far_end * 1e3],
        "sides": heads,
    }
    return encode(head, b"".join(c.astype("<f4").tobytes() for c in curves))


def side(key: str, result: Result, found: Beside) -> Data:
    """Give what does not flutter: outlines, sizes and motion at the place; lengths in mm."""
    scenario = result.scenario
    eye, sleeve = scenario.eye, scenario.sleeve
    s = scenario.needle.length - min(eye.iris_place, scenario.needle.length)
    sleeved = sleeve is not None and s < scenario.sleeve_end
    outer, inner = (float(r[0]) * 1e3 for r in scenario.needle.radii_at([s]))
    return {
        "key": key,
        "title": scenario.needle.title,
        "drive": scenario.drive.kind,
        "power": round(scenario.drive.power * 100, 1),
        "place": eye.iris_place * 1e3,
        "gap": eye.iris_gap * 1e3,
        "reach": float(found.sliding.reach[0]) * 1e3,
        "rub_mw": float(found.rub[0]) * 1e3,
        "side_deg": float(np.degrees(eye.iris_side)),
        "arc_deg": float(np.degrees(scenario.tissue.iris.arc)),
        "needle": [outer, inner],
        "sleeve": [sleeve.outer_radius * 1e3, sleeve.inner_radius * 1e3]
        if sleeve is not None and sleeved
        else None,
        "mobility": sleeve.mobility if sleeve is not None and sleeved else 1.0,
        "moves": _moves(result, s),
        "outlines": _outlines(scenario, result),
        "middle": _middle(result, s),
        "frequency": result.motion.frequency,
    }


def _moves(result: Result, s: float) -> list[list[float]]:
    """Give the needle's amplitude at a place towards the iris and across, re and im [mm]."""
    frame = result.motion.frame
    u = at(frame, result.motion.displacement, [s])[0, :3]
    towards, across = _axes(result.scenario)
    return [[float(v.real) * 1e3, float(v.imag) * 1e3] for v in (u @ towards, u @ across)]


def _middle(result: Result, s: float) -> float:
    """Give how far the needle's middle lies towards the iris at a place [mm]."""
    frame = result.motion.frame
    towards, _ = _axes(result.scenario)
    return float(np.interp(s, frame.s, frame.points @ towards)) * 1e3


def _axes(scenario: Scenario) -> tuple[Floats, Floats]:
    """Give unit vectors across the shaft: towards the iris, and at right angles to that."""
    turn = scenario.eye.iris_side
    towards = np.array([0.0, np.cos(turn), np.sin(turn)])
    return towards, np.array([0.0, -np.sin(turn), np.cos(turn)])


def _outlines(scenario: Scenario, result: Result) -> Data:
    """Give outlines as seen with the iris below: from the end back [mm], towards the iris [mm]."""
    frame = result.motion.frame
    towards, _ = _axes(scenario)
    end = frame.points[-1]
    shown = frame.s >= frame.s[-1] - REACH
    x = (end[0] - frame.points[shown, 0]) * 1e3
    y = frame.points[shown] @ towards * 1e3
    outer = scenario.needle.radii_at(frame.s[shown])[0] * 1e3
    out: Data = {"needle": _around(x, y, outer)}
    sleeve, s = scenario.sleeve, frame.s[shown]
    # A node on the sleeve's very end is left to the end itself.
    inside = s < scenario.sleeve_end - CLOSE
    if sleeve is not None and inside.any():
        places = np.append(s[inside], scenario.sleeve_end)
        mid = (np.interp(places, s, x), np.interp(places, s, y))
        for name, radius in (("sleeve", sleeve.outer_radius), ("water", sleeve.inner_radius)):
            out[name] = _around(*mid, np.full(len(places), radius * 1e3))
    return out


def _around(x: Floats, y: Floats, radius: Floats) -> list[list[float]]:
    """Give a closed outline around a line, radius on both sides."""
    dx, dy = np.gradient(x), np.gradient(y)
    size = np.hypot(dx, dy)
    nx, ny = -dy / size * radius, dx / size * radius
    there = np.stack([x + nx, y + ny], axis=1)
    back = np.stack([x - nx, y - ny], axis=1)[::-1]
    return [[round(float(v), 3) for v in p] for p in np.concatenate([there, back])]
