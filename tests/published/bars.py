"""Bars and tables for the published checks.

All bars here are of one metal and one round section, so thin that slender-beam theory holds.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from tipsim.motion import Frame
from tipsim.setup.material import Material

METAL = Material(name="handbook metal", young=113.8e9, poisson=0.3, density=4430.0)
"""Poisson's ratio 0.3 makes GJ/EI of a round section 1/1.3."""
RADIUS = 20e-6
"""Radius of the slender rods [m]: a thousandth of 20 mm."""

ReportTable = Callable[[str, Iterable[str]], None]
Validation = Callable[[str, str, str, str, str], None]
"""See `tests/conftest.py`."""


@dataclass(frozen=True)
class Check:
    """Numbers of ours beside theirs, and how far apart each may be (relative)."""

    what: str
    ours: ArrayLike
    theirs: ArrayLike
    within: float

    @property
    def deviation(self) -> float:
        """The worst one, NaN if any is."""
        ours, theirs = np.broadcast_arrays(
            np.asarray(self.ours, float), np.asarray(self.theirs, float)
        )
        off = (ours / theirs - 1).ravel()
        return float(off[np.argmax(np.abs(off))])

    def __str__(self) -> str:
        ours, theirs = (" ".join(f"{v:.6g}" for v in np.ravel(w)) for w in (self.ours, self.theirs))
        return (
            f"{self.what:<44} {ours:<36} {theirs:<36} {self.deviation:>+8.3%} of {self.within:.3%}"
        )


def hold(report_table: ReportTable, title: str, checks: Sequence[Check]) -> None:
    """Print the table, then fail with every line that is too far off."""
    report_table(f"{title}: ours, theirs, worst deviation of allowed", [str(c) for c in checks])
    assert checks
    off = [str(c) for c in checks if not abs(c.deviation) <= c.within]
    assert not off, "\n".join(["ours, theirs, deviation, allowed:", *off])


def polyline(corners: Sequence[Sequence[float]], steps: Sequence[int]) -> np.ndarray:
    """Nodes along straight legs between corners, each leg in a number of equal steps."""
    out = [np.asarray(corners[0], float)[None]]
    for a, b, n in zip(corners[:-1], corners[1:], steps, strict=True):
        way = np.linspace(0, 1, n + 1)[1:, None]
        out.append(np.asarray(a, float) + way * (np.asarray(b, float) - np.asarray(a, float)))
    return np.concatenate(out)


def slender(points: np.ndarray, **more: object) -> Frame:
    """A thin round rod along a line, without shear and without rotary inertia."""
    return Frame(points, RADIUS, 0.0, METAL, shear=False, rotary=False, **more)  # type: ignore[arg-type]


def beam_number(frequency: ArrayLike, length: float, radius: float = RADIUS) -> np.ndarray:
    """Return w L² sqrt(rho A / EI) of a round rod: frequency [Hz], length and radius [m].

    A tube's "radius" is hypot(outer, inner), since I / A = (outer² + inner²) / 4.
    """
    w = 2 * np.pi * np.asarray(frequency)
    return np.asarray(w * length**2 * np.sqrt(METAL.density / METAL.young) * 2 / radius)


def share(shape: np.ndarray, freedoms: Sequence[int]) -> float:
    """Share of a mode's displacement (n, 6) that lies in some of x, y, z (by square)."""
    square = (shape[:, :3] ** 2).sum(axis=0)
    return float(square[list(freedoms)].sum() / square.sum())


def frequencies(
    frame: Frame, freedoms: Sequence[int], count: int, fixed: Sequence[int] = (0,)
) -> np.ndarray:
    """Lowest frequencies [Hz] of the modes that move mostly in some of x, y, z."""
    every = frame.modes(2 * count + 6, fixed=fixed)
    found = [f for f, shape in every if share(shape, freedoms) > 0.5]
    assert len(found) >= count
    return np.array(found[:count])
