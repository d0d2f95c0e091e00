"""Heat into layers of tissue: one dimension, any layers, many variants at once.

Finite volumes in depth; in time the cells' equations are solved exactly, by their modes, for a
near-side temperature that is linear between samples. So there is no step to choose, and a slab
with other numbers is only another row.
"""

import numpy as np
from numpy.typing import ArrayLike

from tipsim.setup.described import about, described
from tipsim.tissue.bands import Floats

SMALL = 1e-6
"""Below this, exponentials are replaced by the first terms of their series."""


@described(eq=False)
class Slab:
    """Layers of tissue from the near face to the far one."""

    width: Floats = about("Thickness of each cell [m], for k variants, shape (k, n).")
    conductivity: Floats = about("[W/m K] and [J/m³ K], shape (k, n).")
    capacity: Floats
    near: Floats = about(
        "Heat passed at the faces [W/m² K]; 0 insulates, inf holds the face at what is outside. "
        "Shape (k,)."
    )
    far: Floats

    @property
    def depth(self) -> Floats:
        """Middles of the cells from the near face [m], shape (k, n)."""
        return np.asarray(np.cumsum(self.width, axis=1) - self.width / 2)


def slab(
    width: ArrayLike,
    conductivity: ArrayLike,
    capacity: ArrayLike,
    near: ArrayLike = 0.0,
    far: ArrayLike = 0.0,
) -> Slab:
    """Build a slab; single numbers stand for all cells, single rows for all variants."""
    wide = np.atleast_2d(np.asarray(width, dtype=np.float64))
    k, c = (
        np.asarray(v, dtype=np.float64)[..., None] if np.ndim(v) == 1 else np.asarray(v, float)
        for v in (conductivity, capacity)
    )
    edge = [np.atleast_1d(np.asarray(v, dtype=np.float64)) for v in (near, far)]
    rows = np.broadcast_shapes(wide.shape[:1], edge[0].shape, edge[1].shape, *_rows(k, c))
    shape = (*rows, wide.shape[1])
    return Slab(
        *(np.broadcast_to(v, shape) for v in (wide, k, c)),
        *(np.broadcast_to(v, rows) for v in edge),
    )


def _rows(*arrays: Floats) -> list[tuple[int, ...]]:
    return [a.shape[:1] for a in arrays if a.ndim == 2]


def graded(depth: ArrayLike, cells: int, growth: float) -> Floats:
    """Return cell widths that grow away from the near face, (k, cells) [m].

    Parameters
    ----------
    depth : (k,) array_like
        Whole thickness [m].
    growth : float
        Width of a cell over that of the one before.

    Examples
    --------
    >>> graded(7e-4, 3, 2.0).round(7).tolist()
    [[0.0001, 0.0002, 0.0004]]
    """
    share = growth ** np.arange(cells)
    return np.asarray(np.atleast_1d(np.asarray(depth, float))[:, None] * (share / share.sum()))


@described(eq=False)
class Warming:
    """Temperatures in a slab over time."""

    time: Floats = about("[s], shape (q,).")
    temperature: Floats = about("In the cells [K], shape (q, k, n).")
    face: Floats = about("At the near face [K], shape (q, k).")


def warm(
    layers: Slab, time: Floats, near: Floats, far: float, start: ArrayLike, heat: ArrayLike = 0.0
) -> Warming:
    """Follow the temperatures in a slab.

    Parameters
    ----------
    time : (q,) array
        Times, rising [s].
    near : (q,) array
        Temperature outside the near face at these times, linear between them [K].
    far : float
        Temperature outside the far face [K].
    start : array_like
        Temperatures at the first time: one number, (n,) or (k, n) [K].
    heat : array_like
        Heat put into each cell, constant: one number, (n,) or (k, n) [W/m²].

    Examples
    --------
    A slab in between two temperatures ends on the straight line between them:

    >>> plate = slab(np.full(10, 1e-4), 0.5, 4e6, np.inf, np.inf)
    >>> end = warm(plate, np.array([0.0, 100.0]), np.full(2, 330.0), 310.0, 300.0)
    >>> end.temperature[-1, 0, [0, -1]].round(6).tolist()
    [329.0, 311.0]
    """
    g_near, g_far, size, modes, rate = _modes(layers)
    k, n = layers.width.shape
    half = size**0.5
    inflow = np.zeros((k, n))
    inflow[:, 0] = g_near
    steady = np.broadcast_to(np.asarray(heat, float), (k, n)).copy()
    steady[:, -1] += g_far * far
    push, held = (np.einsum("kni,kn->ki", modes, v / half) for v in (inflow, steady))
    first = np.broadcast_to(np.asarray(start, float), (k, n))
    y = np.einsum("kni,kn->ki", modes, half * first)
    course = [y]
    for step, a, b in zip(np.diff(time), near[:-1], near[1:], strict=True):
        z = rate * step
        fade = np.exp(-z)
        flat = np.where(z > SMALL, -np.expm1(-z) / np.where(z > SMALL, z, 1), 1 - z / 2)
        ramp = np.where(z > SMALL, (1 - flat) / np.where(z > SMALL, z, 1), 0.5 - z / 6)
        y = fade * y + step * (flat * (push * a + held) + ramp * push * (b - a))
        course.append(y)
    cells = np.einsum("kni,qki->qkn", modes, np.stack(course)) / half
    inside = 2 * layers.conductivity[:, 0] / layers.width[:, 0]
    face = cells[:, :, 0] + g_near / inside * (near[:, None] - cells[:, :, 0])
    return Warming(time, cells, face)


def _modes(layers: Slab) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Return conductances of the faces, capacities, modes (k, n, n) and rates (k, n)."""
    half = layers.width / (2 * layers.conductivity)
    between = 1 / (half[:, 1:] + half[:, :-1])
    g_near = _face(layers.near, half[:, 0])
    g_far = _face(layers.far, half[:, -1])
    k, n = layers.width.shape
    diagonal = np.zeros((k, n))
    diagonal[:, :-1] += between
    diagonal[:, 1:] += between
    diagonal[:, 0] += g_near
    diagonal[:, -1] += g_far
    size = layers.width * layers.capacity
    matrix = np.zeros((k, n, n))
    i = np.arange(n)
    matrix[:, i, i] = diagonal / size
    off = -between / np.sqrt(size[:, 1:] * size[:, :-1])
    matrix[:, i[1:], i[:-1]] = off
    matrix[:, i[:-1], i[1:]] = off
    rate, modes = np.linalg.eigh(matrix)
    return g_near, g_far, size, modes, np.maximum(rate, 0.0)


def _face(film: Floats, half: Floats) -> Floats:
    """Return the conductance from outside to the middle of the outermost cell [W/m² K]."""
    with np.errstate(divide="ignore"):
        return np.asarray(1 / (1 / film + half))
