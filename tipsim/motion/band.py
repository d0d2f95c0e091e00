"""Band storage: a chain of nodes gives a matrix with few diagonals on each side.

With w freedoms at each node there are h = 2 w - 1 diagonals on each side. Storage is LAPACK's:
row h + i - j, column j holds entry (i, j).
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tipsim.motion.sections import Floats


def half_width(freedoms: int) -> int:
    """Return the diagonals on each side of the main one for so many freedoms at each node."""
    return 2 * freedoms - 1


def from_segments(matrices: Floats, nodes: int) -> Floats:
    """Return the sum of (m, 2w, 2w) segment matrices as a band (4w-1, w nodes)."""
    w = matrices.shape[1] // 2
    shape = (2 * half_width(w) + 1, w * nodes)
    flat = _places_of_segments(len(matrices), w, nodes)
    band = np.bincount(flat, weights=matrices.ravel(), minlength=shape[0] * shape[1])
    return np.asarray(band.reshape(shape))


@lru_cache(maxsize=64)
def _places_of_segments(count: int, w: int, nodes: int) -> NDArray[np.intp]:
    half = half_width(w)
    a, b = np.meshgrid(np.arange(2 * w), np.arange(2 * w), indexing="ij")
    first = w * np.arange(count)[:, None, None]
    return np.asarray(((half + a - b) * w * nodes + first + b).ravel())


def from_nodes(matrices: Floats) -> Floats:
    """Return (n, w, w) node matrices as a band (4w-1, w n)."""
    n, w, _ = matrices.shape
    band = np.zeros((2 * half_width(w) + 1, w * n))
    band[places_of_nodes(n, w)] = matrices
    return band


@lru_cache(maxsize=64)
def places_of_nodes(n: int, w: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return rows and columns of a band, (n, w, w) each, where the nodes' own matrices stand."""
    a, b = np.meshgrid(np.arange(w), np.arange(w), indexing="ij")
    j = w * np.arange(n)[:, None, None] + b
    return (half_width(w) + a - b)[None].repeat(n, 0), j


def blocks(band: Floats) -> tuple[Floats, Floats]:
    """Return the nodes' own blocks (n, w, w) and those beside them (n-1, w, w).

    The latter have the rows of a node and the columns of the next.
    """
    half = len(band) // 2
    w = (half + 1) // 2
    a, b = np.indices((w, w))
    j = w * np.arange(band.shape[1] // w)[:, None, None] + b
    return band[half + a - b, j], band[half + a - b - w, j[1:]]


def columns(band: np.ndarray, which: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return rows and values (2h+1, k) of the wanted columns; rows off the matrix hold 0."""
    half = len(band) // 2
    rows = which[None, :] + np.arange(-half, half + 1)[:, None]
    inside = (rows >= 0) & (rows < band.shape[1])
    return np.where(inside, rows, 0), np.where(inside, band[:, which], 0)


def times(band: np.ndarray, vector: np.ndarray) -> np.ndarray:
    """Return a band matrix times a vector."""
    half, size = len(band) // 2, band.shape[1]
    out = np.zeros(size, dtype=np.result_type(band, vector))
    for row in range(2 * half + 1):
        shift = row - half
        low, high = max(0, -shift), min(size, size - shift)
        out[low + shift : high + shift] += band[row, low:high] * vector[low:high]
    return out


def rows_of(band: np.ndarray, which: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return columns and values (2h+1, k) of the wanted rows; columns off the matrix hold 0."""
    half, size = len(band) // 2, band.shape[1]
    offset = np.arange(-half, half + 1)[:, None]
    cols = which[None, :] + offset
    inside = (cols >= 0) & (cols < size)
    cols = np.where(inside, cols, 0)
    return cols, np.where(inside, band[half - offset + 0 * cols, cols], 0)
