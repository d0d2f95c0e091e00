"""Steady vibration over many frequencies: the matrices once, one banded factorisation each."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg.lapack import zgbsv

from tipsim.motion import band
from tipsim.motion.frame import Complexes, Frame
from tipsim.motion.sections import Floats
from tipsim.motion.steady import base_motion
from tipsim.motion.system import System
from tipsim.setup.errors import BadInput


@dataclass(frozen=True, eq=False)
class Sweep:
    """Steady motion at each of many frequencies.

    Attributes
    ----------
    frame : Frame
    frequency : (f,) array
        Frequencies [Hz].
    displacement : (f, n, 6) complex array
        Amplitudes [m, rad]; see `tipsim.motion.steady.Vibration`.
    reaction : (f, 6) complex array
        Force [N] and moment [N m] that drive the base.
    """

    frame: Frame
    frequency: Floats
    displacement: Complexes
    reaction: Complexes

    @property
    def power_in(self) -> Floats:
        """Mean power that the base puts in at each frequency [W], shape (f,)."""
        speed = 2j * np.pi * self.frequency[:, None] * self.displacement[:, 0]
        return np.asarray(0.5 * np.real(np.sum(self.reaction * speed.conj(), axis=1)))


def sweep(
    frame: Frame, frequencies: ArrayLike, base: Mapping[str, complex], fixed: Sequence[int] = (0,)
) -> Sweep:
    """Solve the steady vibration at many frequencies, driven at the base.

    Parameters
    ----------
    frame : Frame
    frequencies : (f,) array_like
        Frequencies [Hz], above 0.
    base : mapping
        Imposed motion of the first fixed node; see `tipsim.motion.steady.base_motion`.
    fixed : sequence of int
        Nodes whose motion is imposed; the first one is driven, the others stand still.

    Returns
    -------
    Sweep

    Raises
    ------
    BadInput
        For frequencies that are not above 0, or no fixed node.

    Examples
    --------
    >>> from tipsim.motion.bench import needle_frame
    >>> from tipsim.setup.scenario import Scenario
    >>> frame = needle_frame(Scenario.preset("single-bend, torsional"))
    >>> curve = sweep(frame, [31e3, 32e3], {"twist": 0.05})
    >>> one = frame.respond(32e3, base={"twist": 0.05})
    >>> bool(np.allclose(curve.displacement[1], one.displacement, rtol=1e-9))
    True
    """
    f = np.atleast_1d(np.asarray(frequencies, dtype=np.float64))
    if not len(f) or not np.isfinite(f).all() or f.min() <= 0:
        raise BadInput("frequencies", f"lowest {f.min(initial=np.inf):g} Hz", "numbers above 0")
    if not len(fixed):
        raise BadInput("fixed", "no node", "at least one node")
    held = np.zeros(6 * frame.n, dtype=bool)
    held[frame.freedoms(fixed)] = True
    imposed = np.zeros((frame.n, 6), dtype=np.complex128)
    imposed[fixed[0]] = base_motion(frame, fixed[0], base)
    u = np.zeros((len(f), 6 * frame.n), dtype=np.complex128)
    reaction = np.zeros((len(f), 6), dtype=np.complex128)
    driver = frame.freedoms(fixed[:1])
    for system in frame.systems:
        mine = system.freedoms
        motion = imposed.ravel()[mine]
        if motion.any():
            places = np.flatnonzero(held[mine])
            inside = np.isin(mine[places], driver)
            solved, forces = _sweep_system(system, 2 * np.pi * f, places, motion[places])
            u[:, mine] = solved
            reaction[:, mine[places[inside]] - driver[0]] = forces[:, inside]
    return Sweep(frame, f, u.reshape(len(f), frame.n, 6), reaction)


def _sweep_system(
    system: System, angular: Floats, held: NDArray[np.intp], imposed: Complexes
) -> tuple[Complexes, Complexes]:
    """Solve one system at all frequencies; gives motion (f, k) and forces at the held ones (f, h).

    Every matrix is cut once so that imposed freedoms stand alone; per frequency it only takes
    three scaled sums of bands and one factorisation.
    """
    stiff = system.stiffness * (1 + 1j * system.loss_factor) + system.springs
    parts = (stiff, system.mass, system.film, system.dampers)
    bands = [np.asarray(b, dtype=np.complex128) for b in parts]
    rows = [band.rows_of(b, held) for b in bands]
    drives = [_right_side(b, held, imposed) for b in bands]
    cut = [_cut(b, held) for b in bands]
    scale = complex(np.abs(stiff[len(stiff) // 2]).max())
    half, size = len(stiff) // 2, stiff.shape[1]
    damped = bool(system.dampers.any())
    work = np.zeros((3 * half + 1, size), dtype=np.complex128, order="F")
    out = np.empty((len(angular), size), dtype=np.complex128)
    forces = np.empty((len(angular), len(held)), dtype=np.complex128)
    total = np.empty_like(stiff)
    for i, w in enumerate(angular):
        factors = (1.0, -(w**2), (1j - 1) * w**1.5, 1j * w)
        np.multiply(cut[1], factors[1], out=total)
        total += cut[0]
        total += factors[2] * cut[2]
        if damped:
            total += factors[3] * cut[3]
        total[half, held] = scale
        work[:half] = 0
        work[half:] = total
        right = sum(c * d for c, d in zip(factors, drives, strict=True))
        right[held] = scale * imposed
        *_, x, info = zgbsv(half, half, work, right, overwrite_ab=True, overwrite_b=True)
        if info:
            raise BadInput(
                "frequencies", "at a resonance without any loss", "a loss factor above 0"
            )
        out[i] = x
        forces[i] = sum(
            c * (values * x[columns]).sum(axis=0)
            for c, (columns, values) in zip(factors, rows, strict=True)
        )
    return out, forces


def _right_side(stored: Complexes, held: NDArray[np.intp], imposed: Complexes) -> Complexes:
    """Give minus the columns of the imposed freedoms times their motion."""
    rows, values = band.columns(stored, held)
    out = np.zeros(stored.shape[1], dtype=np.complex128)
    np.subtract.at(out, rows, values * imposed)
    return out


def _cut(stored: Complexes, held: NDArray[np.intp]) -> Complexes:
    """Give the band without the rows and columns of the imposed freedoms."""
    out = stored.copy()
    half, size = len(stored) // 2, stored.shape[1]
    out[:, held] = 0
    offset = np.arange(-half, half + 1)[:, None]
    columns = held[None, :] - offset
    inside = (columns >= 0) & (columns < size)
    out[(half + offset + 0 * columns)[inside], columns[inside]] = 0
    return out
