"""The way between two nodes: straight, or an arc of a circle."""

from dataclasses import fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described


@described(eq=False)
class Arcs:
    """Arcs from node to node of a line (m of them); a straight way is an arc that does not turn."""

    chord: Floats = about("From first to second node [m], shape (m, 3).")
    begin: Floats = about("Unit tangents at the first and the second node, shape (m, 3).")
    end: Floats
    length: Floats = about("Along the arc [m], and the angle it turns by [rad], shape (m,).")
    turn: Floats
    inward: Floats = about(
        "Unit vectors from the first node towards the centre; 0 where straight. Shape (m, 3)."
    )

    def of(self, which: NDArray[np.intp]) -> "Arcs":
        """Return some of the arcs."""
        return Arcs(*(getattr(self, f.name)[which] for f in fields(self)))

    def tangent(self, x: Floats) -> Floats:
        """Return unit tangents at shares x (q,) of the length, (q, m, 3)."""
        angle = (x[:, None] * self.turn)[..., None]
        return np.asarray(np.cos(angle) * self.begin + np.sin(angle) * self.inward)

    def normal(self, x: Floats) -> Floats:
        """Return unit vectors to the centre at shares x (q,) of the length, (q, m, 3)."""
        angle = (x[:, None] * self.turn)[..., None]
        return np.asarray(np.cos(angle) * self.inward - np.sin(angle) * self.begin)

    def place(self, x: Floats) -> Floats:
        """Return places at shares x (q,) of the length, from the first node [m], (q, m, 3)."""
        x = x[:, None]
        half = x * self.turn / 2
        ahead = x * np.sinc(2 * half / np.pi)
        aside = x * half * np.sinc(half / np.pi) ** 2
        way = ahead[..., None] * self.begin + aside[..., None] * self.inward
        return np.asarray(self.length[:, None] * way)


def arcs(points: Floats, directions: ArrayLike | None) -> Arcs:
    """Return the arcs that join points (m+1, 3) [m].

    Parameters
    ----------
    directions : (m+1, 3) array_like, optional
        Unit tangents at the points, of arcs that pass through them; straight ways when absent.

    Examples
    --------
    A quarter of a circle of 1 m:

    >>> quarter = arcs(np.array([[0.0, 0, 0], [1, 1, 0]]), [[1, 0, 0], [0, 1, 0]])
    >>> quarter.length.round(4).tolist(), quarter.place(np.array([1.0])).round(4).tolist()
    ([1.5708], [[[1.0, 1.0, 0.0]]])
    """
    chord = np.diff(points, axis=0)
    straight = np.sqrt((chord**2).sum(axis=1))
    if directions is None:
        t = chord / straight[:, None]
        return Arcs(chord, t, t, straight, np.zeros_like(straight), np.zeros_like(chord))
    d = np.asarray(directions, dtype=np.float64)
    begin, end = d[:-1], d[1:]
    aside = end - (begin * end).sum(axis=1)[:, None] * begin
    sine = np.sqrt((aside**2).sum(axis=1))
    turn = np.arctan2(sine, (begin * end).sum(axis=1))
    inward = aside / np.where(sine > 0, sine, 1.0)[:, None]
    return Arcs(chord, begin, end, straight / np.sinc(turn / (2 * np.pi)), turn, inward)
