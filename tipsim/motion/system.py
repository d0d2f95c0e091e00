"""A frame's equations in band form, split where they fall apart.

A needle bent in one plane moves in two ways that do not mix: in its plane (two displacements,
one rotation) and out of it (one displacement, twist, one rotation). Each has half of the
freedoms and half of the band, so one solve costs a quarter or less of the whole.
"""

from typing import Any

import numpy as np
import scipy
from numpy.typing import NDArray

from tipsim.motion import band
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput

IN_PLANE, OUT_OF_PLANE = (0, 1, 5), (2, 3, 4)
"""Freedoms of a node (ux uy uz rx ry rz) that move in the x-y plane and out of it."""


@described(eq=False)
class System:
    """Equations of motion of some freedoms of a frame, as bands."""

    freedoms: NDArray[np.intp] = about("Their numbers in the frame (six a node), shape (k,).")
    stiffness: Floats = about("Bands; see `tipsim.motion.lumped`. Shape (4w-1, k).")
    springs: Floats
    mass: Floats
    film: Floats
    dampers: Floats
    loss_factor: float = about("Hysteretic loss factor of the stiffness.")

    @property
    def width(self) -> int:
        """How many freedoms of each node belong to it."""
        return (len(self.stiffness) + 1) // 4

    def parts(self, angular: complex | Floats) -> list[tuple[Floats, Any]]:
        """Return the bands, stiffness first, each with what it is times; bands of 0 are left out.

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
        """Return force per displacement as a band at one angular frequency, see `parts`."""
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
        """Solve with some freedoms imposed, for one or several loads at once.

        Parameters
        ----------
        dynamic : band
            From `dynamic`.
        load : (k,) or (k, r) array
            Forces.
        held : (h,) array
            Places among the freedoms of this system.
        imposed : (h,) or (h, r) array
            Their motion.

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
            moved = values * imposed if imposed.ndim == 1 else values[..., None] * imposed
            np.subtract.at(right, rows, moved)
            # Columns and rows of imposed freedoms go; one stands for each, at the matrix's scale.
            scale = np.abs(dynamic[half]).max()
            work[half:, held] = 0
            offset = np.arange(-half, half + 1)[:, None]
            columns = held[None, :] - offset
            inside = (columns >= 0) & (columns < size)
            work[(2 * half + offset + 0 * columns)[inside], columns[inside]] = 0
            work[2 * half, held] = scale
            right[held] = scale * imposed
        *_, x, info = scipy.linalg.lapack.zgbsv(
            half, half, work, right, overwrite_ab=True, overwrite_b=True
        )
        if info:
            raise BadInput("frequency", "at a resonance without any loss", "a loss factor above 0")
        return np.asarray(x, dtype=np.complex128)


def systems(
    split: bool,
    stiffness: Floats,
    springs: Floats,
    mass: Floats,
    film: Floats,
    dampers: Floats,
    loss_factor: float,
) -> tuple[System, ...]:
    """Return the equations of a chain: in plane and out of plane, or all in one.

    Parameters
    ----------
    split : bool
        Whether motion in the x-y plane and out of it do not mix.
    stiffness : (n-1, 12, 12) array
        Of the segments [N/m, N, N m].
    springs, mass, film, dampers : (n, 6, 6) arrays
        At the nodes; see `tipsim.motion.lumped`.
    loss_factor : float
        Hysteretic loss factor of the stiffness.
    """
    n = len(mass)

    def system(which: tuple[int, ...]) -> System:
        pair = np.array([*which, *(6 + k for k in which)])
        segment, node = np.ix_(pair, pair), np.ix_(which, which)

        def at_nodes(matrices: Floats) -> Floats:
            return band.from_nodes(np.ascontiguousarray(matrices[:, node[0], node[1]]))

        return System(
            (6 * np.arange(n)[:, None] + np.array(which)).ravel(),
            band.from_segments(np.ascontiguousarray(stiffness[:, segment[0], segment[1]]), n),
            at_nodes(springs),
            at_nodes(mass),
            at_nodes(film),
            at_nodes(dampers),
            loss_factor,
        )

    return tuple(system(w) for w in ((IN_PLANE, OUT_OF_PLANE) if split else (tuple(range(6)),)))


def mixes(matrices: Floats) -> bool:
    """Return whether node matrices (n, 6, 6) couple motion in the x-y plane with that out of it."""
    one, two = np.ix_(IN_PLANE, OUT_OF_PLANE)
    return bool(matrices[:, one, two].any() or matrices[:, two, one].any())
