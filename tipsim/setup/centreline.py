"""The line that a needle follows: straight and curved pieces in one plane.

The hub stands at the origin, the needle leaves along +x, bends lie in the x-y plane.
"""

from collections.abc import Iterable, Sequence
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


class Bent(Protocol):
    """What a piece must tell: length [m] and turn [rad]."""

    @property
    def length(self) -> float: ...  # noqa: D102
    @property
    def turn(self) -> float: ...  # noqa: D102


def joints(pieces: Sequence[Bent]) -> Floats:
    """Return the distance from the hub where each piece begins, and the end [m], shape (p+1,)."""
    return np.concatenate([[0.0], np.cumsum([p.length for p in pieces])])


def _advance(distance: Floats, turn: Floats) -> tuple[Floats, Floats]:
    """Return the way (ahead, aside) [m] along an arc of a length [m] that turns by `turn` [rad]."""
    half = turn / 2
    chord = distance * np.sinc(half / np.pi)
    return chord * np.cos(half), chord * np.sin(half)


def points_at(pieces: Sequence[Bent], s: ArrayLike) -> Floats:
    """Return points of the centreline.

    Parameters
    ----------
    pieces : sequence
        Pieces from the hub on.
    s : (n,) array_like
        Distances from the hub along the centreline [m].

    Returns
    -------
    (n, 3) array
        Points [m].

    Examples
    --------
    A quarter circle of 1 mm length, then nothing: both ways are 2/pi mm.

    >>> from types import SimpleNamespace
    >>> arc = SimpleNamespace(length=1e-3, turn=np.pi / 2)
    >>> (points_at([arc], [1e-3]) * 1e3).round(4).tolist()
    [[0.6366, 0.6366, 0.0]]
    """
    s = np.asarray(s, dtype=np.float64)
    start = joints(pieces)
    length = np.array([p.length for p in pieces])
    turn = np.array([p.turn for p in pieces])
    heading = np.concatenate([[0.0], np.cumsum(turn)])[:-1]
    ahead, aside = _advance(length, turn)
    dx = ahead * np.cos(heading) - aside * np.sin(heading)
    dy = ahead * np.sin(heading) + aside * np.cos(heading)
    x0 = np.concatenate([[0.0], np.cumsum(dx)])[:-1]
    y0 = np.concatenate([[0.0], np.cumsum(dy)])[:-1]
    i = np.clip(np.searchsorted(start, s, side="right") - 1, 0, len(pieces) - 1)
    along = s - start[i]
    ahead, aside = _advance(along, turn[i] * along / length[i])
    cos, sin = np.cos(heading[i]), np.sin(heading[i])
    out = np.zeros((len(s), 3))
    out[:, 0] = x0[i] + ahead * cos - aside * sin
    out[:, 1] = y0[i] + ahead * sin + aside * cos
    return out


def tangents_at(pieces: Sequence[Bent], s: ArrayLike) -> Floats:
    """Return unit tangents of the centreline at distances from the hub (n,) [m], shape (n, 3).

    >>> from types import SimpleNamespace
    >>> arc = SimpleNamespace(length=1e-3, turn=np.pi / 2)
    >>> tangents_at([arc], [1e-3]).round(4).tolist()
    [[0.0, 1.0, 0.0]]
    """
    heading = np.concatenate([[0.0], np.cumsum([p.turn for p in pieces])])
    angle = np.interp(np.asarray(s, dtype=np.float64), joints(pieces), heading)
    return np.stack([np.cos(angle), np.sin(angle), np.zeros_like(angle)], axis=1)


def stations(breaks: Iterable[float], spacing: float) -> Floats:
    """Return distances that hit every break and are nowhere further apart than `spacing` [m].

    Examples
    --------
    >>> (stations([0, 1e-3, 1.5e-3], 0.4e-3) * 1e3).round(3).tolist()
    [0.0, 0.333, 0.667, 1.0, 1.25, 1.5]
    """
    marks = np.unique(np.round(np.array(sorted(breaks)), 12))
    # Breaks closer than a hundredth of a step are one and the same place.
    keep = np.concatenate([[True], np.diff(marks) > spacing / 100])
    last = marks[-1]
    marks = marks[keep]
    marks[-1] = last
    spans = np.diff(marks)
    steps = np.maximum(1, np.ceil(spans / spacing - 1e-9)).astype(int)
    done = np.arange(steps.sum()) - np.repeat(np.cumsum(steps) - steps, steps)
    inside = done * np.repeat(spans / steps, steps) + np.repeat(marks[:-1], steps)
    return np.append(inside, last)


def closest_approach(points: Floats, radius: Floats) -> float:
    """Return the smallest gap between parts of a bent tube that are not neighbours [m].

    Parts count as neighbours within three outer radii along the line. Negative: the tube
    crosses itself. Infinite when it is too short to do so.
    """
    s = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    apart = np.abs(s[:, None] - s[None, :])
    gap = np.linalg.norm(points[:, None] - points[None, :], axis=2)
    gap = gap - radius[:, None] - radius[None, :]
    far = apart > 3 * np.maximum(radius[:, None], radius[None, :])
    return float(gap[far].min()) if far.any() else float("inf")
