"""How far a point travels: strokes of complex amplitudes, and values between nodes."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipsim.motion.lumped import Complexes, Lumped
from tipsim.motion.sections import Floats

_NEXT, _BEFORE = np.array([1, 2, 0]), np.array([2, 0, 1])


def stroke(amplitude: Complexes) -> Floats:
    """Return the peak-to-peak travel along the long axis of the path.

    Parameters
    ----------
    amplitude : (..., k) complex array
        Amplitudes of the k components of a displacement [m].

    Returns
    -------
    (...) array
        Stroke [m]: twice the half long axis of the ellipse that Re(u exp(i w t)) draws.

    Notes
    -----
    The half long axis squared is (|u|² + |u.u|) / 2, with u.u not conjugated.

    Examples
    --------
    >>> stroke(np.array([3e-6, 4e-6j, 0])), stroke(np.array([3e-6, 4e-6, 0]))
    (np.float64(8e-06), np.float64(1e-05))
    """
    u = np.asarray(amplitude)
    length2 = (u.real**2 + u.imag**2).sum(axis=-1)
    return np.asarray(2 * np.sqrt((length2 + np.abs((u * u).sum(axis=-1))) / 2))[()]


def path_axes(x: complex, y: complex) -> tuple[float, float, float]:
    """Return the half axes of the ellipse that Re(x e^iwt), Re(y e^iwt) draws, and its turn [rad].

    With A = (x + iy) / 2 and B = (x* + iy*) / 2 the path is A e^iwt + B e^-iwt: half axes
    |A| + |B| and ||A| - |B||, the long one turned by (arg A + arg B) / 2 from x towards y.

    Examples
    --------
    >>> path_axes(3, 4j)
    (4.0, 3.0, 1.5707963267948966)
    """
    a, b = (x + 1j * y) / 2, (np.conj(x) + 1j * np.conj(y)) / 2
    turn = (np.angle(a) + np.angle(b)) / 2
    return float(abs(a) + abs(b)), float(abs(abs(a) - abs(b))), float(turn)


def cross(a: Complexes, b: Floats) -> Complexes:
    """Return a x b of vectors (..., 3); several times as quick as NumPy's own for few vectors."""
    out = a.take(_NEXT, axis=-1) * b.take(_BEFORE, axis=-1)
    out -= a.take(_BEFORE, axis=-1) * b.take(_NEXT, axis=-1)
    return np.asarray(out)


def sideways(amplitude: Complexes, tangent: Floats) -> Complexes:
    """Return amplitudes (..., n, 3) without their part along unit tangents (n, 3)."""
    along = (amplitude * tangent).sum(axis=-1, keepdims=True)
    return np.asarray(amplitude - along * tangent)


def at(frame: Lumped, displacement: Complexes, s: ArrayLike) -> Complexes:
    """Return six amplitudes between nodes.

    Parameters
    ----------
    displacement : (n, 6) complex array
        At the nodes [m, rad].
    s : (k,) array_like
        Distances from the first node [m].

    Returns
    -------
    (k, 6) complex array
        Displacements by cubics that take the rotations as slopes, rotations linear.
    """
    s = np.asarray(s, dtype=np.float64)
    i = np.clip(np.searchsorted(frame.s, s, side="right") - 1, 0, frame.n - 2)
    x = (s - frame.s[i]) / frame.length[i]
    moved = (_cubics(x).T[..., None] * _ends(frame, displacement, i)).sum(axis=0)
    turned = (1 - x)[:, None] * displacement[i, 3:] + x[:, None] * displacement[i + 1, 3:]
    return np.concatenate([moved, turned], axis=1)


def inside(frame: Lumped, displacement: Complexes, x: Floats) -> Complexes:
    """Return displacements (q, n-1, 3) at shares x (q,) of each segment's length; see `at`."""
    ends = _ends(frame, displacement, np.arange(frame.n - 1))
    return np.asarray((_cubics(x) @ ends.reshape(4, -1)).reshape(len(x), -1, 3))


def _cubics(x: Floats) -> Floats:
    """Return what each of `_ends` counts at shares x (k,) of the length, (k, 4)."""
    y = 1 - x
    return np.stack([(1 + 2 * x) * y**2, x * y**2, x**2 * (3 - 2 * x), -(x**2) * y], axis=1)


def _ends(frame: Lumped, u: Complexes, i: NDArray[np.intp]) -> Complexes:
    """Return displacement and slope times length at both ends of some segments, (4, k, 3)."""
    left, right, begin, end = u[i], u[i + 1], frame.arcs.begin[i], frame.arcs.end[i]
    h = frame.length[i][:, None]
    # Sideways the slope is rotation x tangent; lengthwise a segment stretches evenly.
    slope0, slope1 = cross(left[:, 3:], begin), cross(right[:, 3:], end)
    stretch = ((right - left)[:, :3] / h - (slope0 + slope1) / 2) * frame.tangent[i]
    by = stretch.sum(axis=1, keepdims=True)
    slopes = h * (slope0 + by * begin), h * (slope1 + by * end)
    return np.stack([left[:, :3], slopes[0], right[:, :3], slopes[1]])
