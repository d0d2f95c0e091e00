"""An item as the browser gets it: the question without its answer, and later what was right."""

from __future__ import annotations

from typing import Any

import numpy as np

from tipsim.lesson import goals, show
from tipsim.lesson.ask import Asked
from tipsim.lesson.format import GoalItem, PlaceItem, SketchItem
from tipsim.lesson.quantities import solved

Data = dict[str, Any]
CONFIDENCE = {"1": "Guessing", "2": "Fairly sure", "3": "Sure"}
"""How sure a learner is before seeing, by what is stored."""


def question(asked: Asked) -> Data:
    """Describe what is asked, with what is needed to draw it; nothing in it tells the answer."""
    item = asked.item
    out = show.shown(asked)
    if isinstance(item, PlaceItem):
        return out | {"needle": needle(asked, item.on)}
    if isinstance(item, SketchItem):
        length = out["length_mm"]
        places = np.round(np.linspace(length, 0, round(length) + 1), 3)
        of = "Stroke" if item.of == "stroke" else "Sideways stroke"
        title = solved(asked.values.sides[item.on]).result.scenario.needle.title
        return out | {"title": f"{of} along the needle: {title}", "places": places.tolist()}
    return out


def needle(asked: Asked, side: str) -> Data:
    """Draw the needle of a side at rest: middle line, radii, distances from the end [mm]."""
    found = solved(asked.values.sides[side])
    frame, body = found.result.motion.frame, found.result.scenario.needle
    outer, _ = body.radii_at(frame.s)
    return {
        "title": body.title,
        "points": np.round(frame.points[:, :2] * 1e3, 4).tolist(),
        "radii": np.round(outer * 1e3, 4).tolist(),
        "from_end": np.round(found.from_end, 4).tolist(),
    }


def revealed(asked: Asked, given: Any) -> Data:
    """Describe what was right, once an answer is stored."""
    out = show.revealed(asked)
    if isinstance(asked.item, GoalItem):
        set_up = goals.set_by(asked, asked.item, given)
        out["holds"] = [set_up.holds(c.that) for c in asked.item.conditions]
    return out
