"""A frame's equations in band form, split where they fall apart.

A needle bent in one plane moves in two ways that do not mix: in its plane (two displacements,
one rotation) and out of it (one displacement, twist, one rotation). Each has half of the
freedoms and half of the band, so one solve costs a quarter or less of the whole.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import zgbsv

from tipsim.motion import band
from tipsim.motion.sections import Floats
from tipsim.setup.errors import BadInput

if TYPE_CHECKING:
    from tipsim.motion.frame import Frame

IN_PLANE, OUT_OF_PLANE = (0, 1, 5), (2, 3, 4)
"""Freedoms of a node (ux uy uz rx ry rz) that move in the x-y plane and out of it."""


@dataclass(frozen=True, eq=False)
class System:
    """Equations of motion of some freedoms of a frame, as bands.

    Attributes
    ----------
    freedoms : (k,) array of int
        Their numbers in the frame (six a node).
    stiffness, springs, mass, film, dampers : (4w-1, k) arrays
        Bands; see `tipsim.motion.frame`.
    loss_factor : float
        Hysteretic loss factor of the stiffness.
    """

    freedoms: NDArray[np.intp]
    stiffness: Floats
    springs: Floats
    mass: Floats
    film: Floats
    dampers: Floats
    loss_factor: float

    def parts(self, angular: complex | Floats) -> list[tuple[Floats, Any]]:
        """Give the bands, stiffness first, each with what it is times; bands of 0 are left out.

        Parameters
        ----------
        angular : complex or (f,) array
            Angular frequency w [rad/s], for motion as exp(i w t); with an imaginary part the
            motion grows or dies.
        """
        w = angular
        pairs = (
            (self.stiffness, 1 + 1j * self.loss_factor),
            (self.springs, 1.0),
            (self.mass, -(w**2)),
            (self.film, (1j - 1) * w * np.sqrt(w + 0j)),
            (self.dampers, 1j * w),
        )
        return [(stored, factor) for stored, factor in pairs if stored.any()]

    def dynamic(self, angular: complex) -> NDArray[np.complex128]:
        """Give force per displacement as a band at one angular frequency, see `parts`."""
        out = np.zeros(self.stiffness.shape, dtype=np.complex128)
        for stored, factor in self.parts(angular):
            out += factor * stored
        return out

    def solve(
        self,
        dynamic: NDArray[np.complex128],
        load: NDArray[np.complex128],
        held: NDArray[np.intp],
        imposed: NDArray[np.complex128],
    ) -> NDArray[np.complex128]:
        """Solve with some freedoms imposed.

        Parameters
        ----------
        dynamic : band
            From `dynamic`.
        load : (k,) array
            Forces.
        held, imposed : (h,) arrays
            Places among the freedoms of this system, and their motion.

        Raises
        ------
        BadInput
            When the matrix cannot be inverted.
        """
        half, size = len(dynamic) // 2, dynamic.shape[1]
        # LAPACK wants room for fill-in above the band.
        work = np.zeros((3 * half + 1, size), dtype=np.complex128, order="F")
        work[half:] = dynamic
        right = load.copy()
        if len(held):
            rows, values = band.columns(dynamic, held)
            np.subtract.at(right, rows, values * imposed)
            # Columns and rows of imposed freedoms go; one stands for each, at the matrix's scale.
            scale = np.abs(dynamic[half]).max()
            work[half:, held] = 0
            offset = np.arange(-half, half + 1)[:, None]
            columns = held[None, :] - offset
            inside = (columns >= 0) & (columns < size)
            work[(2 * half + offset + 0 * columns)[inside], columns[inside]] = 0
            work[2 * half, held] = scale
            right[held] = scale * imposed
        *_, x, info = zgbsv(half, half, work, right, overwrite_ab=True, overwrite_b=True)
        if info:
            raise BadInput("frequency", "at a resonance without any loss", "a loss factor above 0")
        return np.asarray(x, dtype=np.complex128)


def systems(frame: "Frame") -> tuple[System, ...]:
    """Give the equations of a frame: two systems when it is planar, else one."""
    if _splits(frame):
        return tuple(_system(frame, which) for which in (IN_PLANE, OUT_OF_PLANE))
    return (_system(frame, tuple(range(6))),)


def _splits(frame: "Frame") -> bool:
    """Tell whether motion in and out of the x-y plane do not mix."""
    flat = np.ptp(frame.points[:, 2]) <= 1e-12 * frame.length.sum()
    cross = np.ix_(IN_PLANE, OUT_OF_PLANE)
    extras = (frame.node_masses, frame.node_springs, frame.node_dampers)
    return bool(flat) and not any(
        (m[:, cross[0], cross[1]] != 0).any() or (m[:, cross[1], cross[0]] != 0).any()
        for m in extras
    )


def _system(frame: "Frame", which: tuple[int, ...]) -> System:
    node = np.ix_(which, which)
    pair = np.array([*which, *(6 + k for k in which)])
    segment = np.ix_(pair, pair)

    def nodes(matrices: Floats) -> Floats:
        return band.from_nodes(np.ascontiguousarray(matrices[:, node[0], node[1]]))

    return System(
        (6 * np.arange(frame.n)[:, None] + np.array(which)).ravel(),
        band.from_segments(
            np.ascontiguousarray(frame.segment_stiffness[:, segment[0], segment[1]]), frame.n
        ),
        nodes(frame.node_springs),
        nodes(frame.node_mass),
        nodes(frame.node_film),
        nodes(frame.node_dampers),
        frame.loss_factor,
    )
