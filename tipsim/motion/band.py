"""Band storage: a chain of nodes gives a matrix with eleven diagonals on each side.

Storage is LAPACK's: row 11 + i - j, column j holds entry (i, j).
"""

import numpy as np

from tipsim.motion.sections import Floats

HALF = 11
"""Diagonals on each side of the main one: two nodes of six freedoms, less one."""


def _segment_index(count: int) -> tuple[np.ndarray, np.ndarray]:
    base = 6 * np.arange(count)[:, None, None]
    i, j = np.meshgrid(np.arange(12), np.arange(12), indexing="ij")
    return base + i, base + j


def from_segments(matrices: Floats, nodes: int) -> Floats:
    """Add up (m, 12, 12) segment matrices to a band (23, 6 nodes)."""
    band = np.zeros((2 * HALF + 1, 6 * nodes))
    i, j = _segment_index(len(matrices))
    flat = ((HALF + i - j) * band.shape[1] + j).ravel()
    band += np.bincount(flat, weights=matrices.ravel(), minlength=band.size).reshape(band.shape)
    return band


def from_nodes(matrices: Floats) -> Floats:
    """Put (n, 6, 6) node matrices into a band (23, 6 n)."""
    n = len(matrices)
    band = np.zeros((2 * HALF + 1, 6 * n))
    a, b = np.meshgrid(np.arange(6), np.arange(6), indexing="ij")
    j = 6 * np.arange(n)[:, None, None] + b
    band[(HALF + a - b)[None].repeat(n, 0), j] = matrices
    return band


def columns(band: np.ndarray, which: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Give rows (23, k) and values (23, k) of the wanted columns; rows off the matrix hold 0."""
    rows = which[None, :] + np.arange(-HALF, HALF + 1)[:, None]
    inside = (rows >= 0) & (rows < band.shape[1])
    return np.where(inside, rows, 0), np.where(inside, band[:, which], 0)


def times(band: np.ndarray, vector: np.ndarray) -> np.ndarray:
    """Multiply a band matrix by a vector (6 n,)."""
    size = band.shape[1]
    out = np.zeros(size, dtype=np.result_type(band, vector))
    for row in range(2 * HALF + 1):
        shift = row - HALF
        low, high = max(0, -shift), min(size, size - shift)
        out[low + shift : high + shift] += band[row, low:high] * vector[low:high]
    return out
