"""Natural frequencies of a beam with one sharp bend, from its own closed form.

Two slender legs, the first clamped, the second at an angle and free at its end. Each leg bends as
an Euler-Bernoulli beam, does not stretch, and twists without inertia; so each solution is a sum
of cosh, cos, sinh and sin, and the conditions at the bend give a 4 x 4 determinant whose zeros
are the roots. Nothing of the frame under test is used here.

Written in units of the first leg: its length, EI and rho A are 1, so beta⁴ = w². The second leg
is `second` long; `angle` [rad] is how far the line turns at the bend.
"""

from collections.abc import Callable

import numpy as np
from scipy.optimize import brentq


def _clamped(x: float) -> tuple[np.ndarray, ...]:
    """Value and three derivatives, by x, of the two solutions that vanish with slope at 0."""
    ch, c, sh, s = np.cosh(x), np.cos(x), np.sinh(x), np.sin(x)
    return (
        np.array([ch - c, sh - s]),
        np.array([sh + s, ch - c]),
        np.array([ch + c, sh + s]),
        np.array([sh - s, ch + c]),
    )


def _free(x: float) -> tuple[np.ndarray, ...]:
    """The same for the two solutions without moment and shear at the free end, x away from it.

    Derivatives are taken from the bend towards the end, hence the signs.
    """
    ch, c, sh, s = np.cosh(x), np.cos(x), np.sinh(x), np.sin(x)
    return (
        np.array([ch + c, sh + s]),
        -np.array([sh - s, ch + c]),
        np.array([ch - c, sh - s]),
        -np.array([sh + s, ch - c]),
    )


def _in_plane(beta: float, second: float, angle: float) -> float:
    cos, sin = np.cos(angle), np.sin(angle)
    w1, slope1, moment1, shear1 = _clamped(beta)
    w2, slope2, moment2, shear2 = _free(beta * second)
    rows = [
        # The first leg does not stretch, so the bend moves across it only, by w1 ...
        np.concatenate([w1 * cos, -w2]),
        np.concatenate([slope1, -slope2]),
        np.concatenate([moment1, -moment2]),
        # ... and the second leg, carried along itself by w1 sin(angle), pulls with its mass.
        np.concatenate([shear1 + beta * second * sin**2 * w1, -cos * shear2]),
    ]
    return float(np.linalg.det(rows))


def _out_of_plane(beta: float, second: float, angle: float, torsion: float) -> float:
    cos, sin = np.cos(angle), np.sin(angle)
    w1, slope1, moment1, shear1 = _clamped(beta)
    w2, slope2, moment2, shear2 = _free(beta * second)
    rows = [
        np.concatenate([w1, -w2]),
        # The second leg's moment twists the first over its length by moment sin(angle) / GJ.
        np.concatenate([cos * slope1, beta * sin**2 / torsion * moment2 - slope2]),
        np.concatenate([moment1, -cos * moment2]),
        np.concatenate([shear1, -shear2]),
    ]
    return float(np.linalg.det(rows))


def _roots(determinant: Callable[[float], float], count: int) -> list[float]:
    found: list[float] = []
    grid = np.arange(0.2, 12, 0.01)
    values = [determinant(b) for b in grid]
    for low, high, a, b in zip(grid, grid[1:], values, values[1:], strict=False):
        if a * b < 0 and len(found) < count:
            found.append(float(brentq(determinant, low, high, xtol=1e-13)))
    return found


def in_plane(second: float, angle: float, count: int = 4) -> np.ndarray:
    """First roots beta in the plane of the bend, over the first leg's length 1."""
    return np.array(_roots(lambda b: _in_plane(b, second, angle), count))


def out_of_plane(second: float, angle: float, torsion: float, count: int = 4) -> np.ndarray:
    """First roots beta out of the plane; `torsion` is GJ/EI."""
    return np.array(_roots(lambda b: _out_of_plane(b, second, angle, torsion), count))
