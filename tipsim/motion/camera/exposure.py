"""How an exposure gathers light: a picture is a weighted sum of pictures at fixed phases.

The motion repeats, so the scene needs to be drawn only at M phases of one cycle. Between two of
them it is taken as a blend of both. What an exposure gathers is then exactly a sum of the M
pictures, however many cycles it covers.
"""

import numpy as np

from tipsim.motion.sections import Floats


def phase_weights(start: Floats, length: float, count: int) -> Floats:
    """Return how much each of `count` equally spaced phases adds to each picture.

    Parameters
    ----------
    start : (f,) array
        Phases at which exposures begin, in cycles.
    length : float
        Length of an exposure, in cycles, above 0.
    count : int
        Number of phases in a cycle, 0, 1/count, 2/count, ...

    Returns
    -------
    (f, count) array
        Weights; each row sums to 1.

    Examples
    --------
    >>> phase_weights(np.array([0.0]), 1.0, 4)
    array([[0.25, 0.25, 0.25, 0.25]])
    >>> phase_weights(np.array([0.0]), 0.25, 4)
    array([[0.5, 0.5, 0. , 0. ]])
    """
    begin = start * count
    end = begin + length * count
    return np.asarray((_gathered(end, count) - _gathered(begin, count)) / (length * count))


def _gathered(until: Floats, count: int) -> Floats:
    """Integrate each phase's share of the blend from 0 to a place, in steps: (f, count)."""
    turns, rest = np.divmod(until, count)
    way = rest[:, None] - np.arange(count, dtype=np.float64)
    # A phase's share is a triangle from the phase before to the one after; phase 0 shows twice.
    area = _triangle(way)
    area[:, 0] += _triangle(rest - count) - 0.5
    return np.asarray(area + turns[:, None])


def _triangle(x: Floats) -> Floats:
    """Integrate the triangle 1 - |x| from -1 up to x."""
    y = np.clip(x, -1, 1)
    return np.where(y < 0, (1 + y) ** 2 / 2, 1 - (1 - y) ** 2 / 2)
