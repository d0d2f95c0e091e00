"""Natural modes of a frame, without loss."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import scipy

from tipsim.motion import band
from tipsim.motion.lumped import Lumped
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput


@described(eq=False)
class Modes:
    """Natural modes, lowest first."""

    frequency: Floats = about("Natural frequencies [Hz], shape (k,).")
    shape: Floats = about(
        "Shapes, scaled to unit modal mass [1/sqrt(kg) for displacements], shape (k, n, 6)."
    )

    @property
    def pairs(self) -> tuple[Floats, Floats]:
        """Frequencies and shapes, to be zipped."""
        return self.frequency, self.shape

    def __iter__(self) -> Iterator[tuple[float, Floats]]:
        """Return (frequency [Hz], shape (n, 6)) in turn."""
        return iter(zip(self.frequency.tolist(), self.shape, strict=True))


def modes(frame: Lumped, count: int, fixed: Sequence[int] = (0,)) -> Modes:
    """Compute the lowest natural modes of a frame.

    Parameters
    ----------
    frame : Lumped
        Its loss and films are left out; fluid mass, added masses and springs count.
    count : int
        How many modes, from 1 to a third of the freedoms.
    fixed : sequence of int
        Clamped nodes; empty for a free body, whose six rigid motions then come out near 0 Hz. A
        hub on springs is held along and about its axis only.

    Raises
    ------
    BadInput
        For a count or node out of range.

    Notes
    -----
    ARPACK in shift-invert form (SciPy). The shift lies just below zero, so a free body, whose
    stiffness alone cannot be inverted, needs no other path.
    """
    held = frame.freedoms(fixed)
    free = np.setdiff1d(np.arange(6 * frame.n), held)
    most = max(1, len(free) // 3)
    if not 1 <= count <= most:
        raise BadInput("count", str(count), f"a whole number from 1 to {most}")
    k = _sparse(frame.stiffness + band.from_nodes(frame.node_springs))
    m = _sparse(frame.mass)
    ways = None if frame.hub is None or 0 not in held else frame.hub_ways_of(np.arange(6))
    if ways is None:
        k, m = k[free][:, free], m[free][:, free]
    else:
        give = len(ways.springs)
        into = scipy.sparse.block_diag(
            [ways.free, scipy.sparse.eye_array(6 * frame.n - 6)], format="csc"
        )
        into = into[:, np.r_[:give, give + free - 6]]
        own = np.zeros(into.shape[1])
        own[:give] = ways.springs
        k = into.T @ k @ into + scipy.sparse.csc_array(scipy.sparse.diags_array(own))
        m = into.T @ m @ into
    shift = _shift(frame)
    size = k.shape[0]
    guard = min(count + 6, size - 2)
    start = np.random.default_rng(0).standard_normal(size)
    squared, vectors = scipy.sparse.linalg.eigsh(
        k, guard, M=m, sigma=-shift, which="LM", v0=start, ncv=min(size - 1, 2 * guard + 20)
    )
    order = np.argsort(squared)[:count]
    shape = np.zeros((count, 6 * frame.n))
    if ways is None:
        shape[:, free] = vectors[:, order].T
    else:
        shape[:] = (into @ vectors[:, order]).T
    frequency = np.sqrt(np.maximum(squared[order], 0)) / (2 * np.pi)
    return Modes(frequency, shape.reshape(count, frame.n, 6))


def _shift(frame: Lumped) -> float:
    """Return a shift of the order of the first bending mode, squared [rad²/s²]."""
    span = frame.length.sum()
    m = frame.material
    slender = m.young * frame.section.second_moment.mean() / (m.density * frame.section.area.mean())
    return float(slender / span**4)


def _sparse(stored: Floats) -> scipy.sparse.csc_array:
    half, size = len(stored) // 2, stored.shape[1]
    offsets = half - np.arange(2 * half + 1)
    return scipy.sparse.csc_array(scipy.sparse.dia_array((stored, offsets), shape=(size, size)))
