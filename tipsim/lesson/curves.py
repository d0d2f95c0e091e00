"""Judging a curve that was drawn along the needle: only its shape counts."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.signal import find_peaks

from tipsim.lesson.format import Text
from tipsim.lesson.quantities import Solved
from tipsim.motion.sections import Floats
from tipsim.setup.errors import BadInput

CRITERIA = ("largest", "still", "end-over-shaft", "alike")
CURVES = {"stroke": "Stroke", "sideways": "Sideways stroke"}
"""Curves that may be asked for, and their names."""
PLACES = 161
"""Places along the needle where curves are compared."""
DEEP = 0.08
"""A dip is a lowest place at least this share of the highest one below both sides of it."""
COVERED = 0.8
"""Share of the needle's length that a sketch must cover."""
_FLAT = 1e-9


@dataclass(frozen=True)
class Criterion:
    """What a sketch is judged by; `limit` is in mm, or the least correlation."""

    kind: str
    limit: float
    feedback: Text


def read_sketch(given: Any, length: float) -> Floats:
    """Read a sketch: [distance from the end in mm, height] in any order.

    Parameters
    ----------
    given : list of [float, float]
        Heights in any unit, none below 0.
    length : float
        The needle's [mm].

    Returns
    -------
    (PLACES,) array
        Heights from the end to the hub, the highest 1 (all 0 for a line at the bottom).

    Raises
    ------
    BadInput
        For what is no curve, or covers too little of the needle.
    """
    try:
        points = np.asarray(given, dtype=np.float64)
    except (TypeError, ValueError):
        points = np.empty(0)
    if points.ndim != 2 or points.shape[1] != 2 or not 3 <= len(points) <= 2000:
        raise BadInput("sketch", "no curve", "3 to 2000 points, each with distance and height")
    if not np.isfinite(points).all() or points[:, 1].min() < 0:
        raise BadInput("sketch", "not a height", "finite heights of 0 or more")
    points = points[np.argsort(points[:, 0], kind="stable")]
    if np.ptp(points[:, 0]) < COVERED * length:
        raise BadInput("sketch", "too short", f"a line along at least {COVERED:.0%} of the needle")
    return _scaled(np.interp(np.linspace(0, length, PLACES), points[:, 0], points[:, 1]))


def model_curve(side: Solved, of: str) -> Floats:
    """Return the model's curve as sketches are given: (PLACES,) from the end, the highest 1."""
    distance = side.from_end[::-1]
    places = np.linspace(0, distance[-1], PLACES)
    return _scaled(np.interp(places, distance, side.curve(of)[::-1]))


def meets(criterion: Criterion, drawn: Floats, side: Solved, of: str) -> bool:
    """Return whether a sketch meets a criterion."""
    model = model_curve(side, of)
    length = float(side.from_end[0])
    if np.ptp(drawn) < DEEP:
        # A level line says nothing about places; it fits only a model that is level, too.
        return bool(np.ptp(model) < DEEP)
    if criterion.kind == "largest":
        apart = abs(int(drawn.argmax()) - int(model.argmax())) * length / (PLACES - 1)
        return apart <= criterion.limit
    if criterion.kind == "still":
        return _alike(_dips(drawn, length), _dips(model, length), criterion.limit)
    if criterion.kind == "end-over-shaft":
        needle = side.result.scenario.needle
        shaft = int(np.ceil((length - needle.first_bend * 1e3) / length * (PLACES - 1)))
        return bool((drawn[0] > drawn[shaft:].max()) == (model[0] > model[shaft:].max()))
    if np.ptp(model) < _FLAT:
        return False
    return float(np.corrcoef(drawn, model)[0, 1]) >= criterion.limit


def _dips(curve: Floats, length: float) -> Floats:
    lowest, _ = find_peaks(-curve, prominence=DEEP)
    return np.asarray(lowest * length / (PLACES - 1), dtype=np.float64)


def _alike(one: Floats, other: Floats, within: float) -> bool:
    """Return whether each place of both has a place of the other near by."""
    if len(one) != len(other):
        return False
    return bool(len(one) == 0 or np.abs(one - other).max() <= within)


def _scaled(curve: Floats) -> Floats:
    highest = float(curve.max())
    return curve / highest if highest > 0 else curve


def as_points(curve: Floats, length: float) -> Sequence[Sequence[float]]:
    """Return a curve as points of [distance from the end in mm, height], rounded for a file."""
    places = np.linspace(0, length, len(curve))
    return [[round(float(x), 4), round(float(y), 5)] for x, y in zip(places, curve, strict=True)]
