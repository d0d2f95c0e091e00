"""For teachers: the links of what to show, and the numbers that the sentences beside them quote."""

from __future__ import annotations

from typing import Any

import numpy as np

from tipsim.app.framework.bench_state import BenchState
from tipsim.app.framework.stage.stage import Look
from tipsim.app.framework.words import character_word, listed
from tipsim.app.pages.about.results import defaults, microns, percent, ratio
from tipsim.motion.markers import AGAINST
from tipsim.motion.sensitivity import CHANGES, STEP
from tipsim.quantities import figures
from tipsim.solve import Result, solve


def against(result: Result) -> list[str]:
    """Return the distances from the tip [mm] of the markers that move against it, as text."""
    return [f"{k.distance * 1e3:g}" for k in result.motion.markers if k.direction == AGAINST]


def turned(result: Result) -> float:
    """Return the sum of a needle's turns, whichever way they go [rad]."""
    return sum(abs(p.turn) for p in result.scenario.needle.pieces)


def turning_at_still_point(result: Result) -> tuple[float, float]:
    """Return the still point furthest from the tip [m from it] and the surface's turning there."""
    m = result.motion
    place = m.still_points[-1]
    middle = m.frame.s[-1] - (m.frame.s[1:] + m.frame.s[:-1]) / 2
    return place, float(m.surface_stroke[np.argmin(np.abs(middle - place))])


def facts() -> dict[str, Any]:
    """Return links and numbers for the template.

    A link opens the page where needles are compared with its picture at rest, so that learners
    guess first.
    """
    d = defaults()
    a, b, straight = d.single.motion, d.counter.motion, d.straight.motion
    faster = solve(CHANGES["frequency"](d.single.scenario, 1 + STEP))
    grown = faster.motion.end_stroke / a.end_stroke - 1
    place, turning = turning_at_still_point(d.single)
    pairs = {
        "bend": (d.straight, d.single),
        "characters": (d.single, d.counter),
        "one_percent": (d.single, faster),
    }
    width = 2 * d.counter.scenario.needle.outer_radius
    return {
        "links": {
            name: BenchState(x.scenario, y.scenario).to_query({"play": "0"})
            for name, (x, y) in pairs.items()
        },
        "straight": microns(straight.end_stroke),
        "straight_rim": microns(straight.edge_stroke),
        "single": microns(a.end_stroke),
        "counter": microns(b.end_stroke),
        "half": microns(a.end_stroke / 2),
        "further": ratio(b.end_stroke / a.end_stroke),
        "shaft": ratio(b.character.shaft_rms / a.character.shaft_rms),
        "shaft_single": microns(a.character.shaft_rms),
        "shaft_counter": microns(b.character.shaft_rms),
        "character_single": character_word(a),
        "character_counter": character_word(b),
        "against_single": listed(against(d.single)) or "none",
        "against_counter": listed(against(d.counter)) or "none",
        "khz": [f"{m.frequency / 1e3:g}" for m in (a, faster.motion)],
        "grown": f"{percent(abs(grown))} {'further' if grown > 0 else 'less far'}",
        "power": [f"{m.power:.1f}" for m in (a, b)],
        "less": "less" if b.power < a.power else "more",
        "tip_further": "further" if b.end_stroke > a.end_stroke else "less far",
        "turns": [f"{np.degrees(turned(r)):.0f}°" for r in (d.single, d.counter)],
        "still_point": f"{place * 1e3:.1f}",
        "still_turning": microns(turning),
        "times_large": f"{Look().exaggeration:g}",
        "times_slow": figures(a.frequency / Look().speed, 2),
        "of_width": percent(b.end_stroke / width),
    }
