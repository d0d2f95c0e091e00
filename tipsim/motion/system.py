"""A frame's equations in band form, split where they fall apart.

A needle bent in one plane moves in two ways that do not mix: in its plane (two displacements,
one rotation) and out of it (one displacement, twist, one rotation). Each has half of the
freedoms and half of the band, so one solve costs a quarter or less of the whole.
"""

from collections.abc import Callable
from functools import cached_property
from typing import Any

import numpy as np
import scipy
from numpy.typing import NDArray

from tipsim.motion import band
from tipsim.motion.sections import Floats
from tipsim.setup.errors import BadInput

IN_PLANE, OUT_OF_PLANE = (0, 1, 5), (2, 3, 4)
"""Freedoms of a node (ux uy uz rx ry rz) that move in the x-y plane and out of it."""


class System:
    """Equations of motion of some freedoms of a frame, as bands made when they are needed.

    Parameters
    ----------
    which : tuple of int
        Freedoms of a node (0 to 5) that belong to it.
    stiffness : callable
        Returns the band of the segments' stiffness; see `tipsim.motion.band`.
    springs, mass, film, dampers : (n, 6, 6) arrays
        At the nodes; see `tipsim.motion.lumped`.
    loss_factor : float
        Hysteretic loss factor of the stiffness.
    """

    def __init__(
        self,
        which: tuple[int, ...],
        stiffness: Callable[[], Floats],
        springs: Floats,
        mass: Floats,
        film: Floats,
        dampers: Floats,
        loss_factor: float,
    ) -> None:
        self.width = len(which)
        self.freedoms = (6 * np.arange(len(mass))[:, None] + np.array(which)).ravel()
        """Their numbers in the frame, six a node, shape (k,)."""
        self.loss_factor = loss_factor
        self._stiffness = stiffness
        self._which = np.ix_(which, which)
        self._at_nodes = {"springs": springs, "mass": mass, "film": film, "dampers": dampers}

    @cached_property
    def stiffness(self) -> Floats:
        """Band of the segments' stiffness, shape (4w-1, k)."""
        return self._stiffness()

    def of_nodes(self, name: str) -> Floats:
        """Return "springs", "mass", "film" or "dampers" of these freedoms, (n, w, w)."""
        return self._at_nodes[name][:, self._which[0], self._which[1]]

    @cached_property
    def springs(self) -> Floats:
        """Bands of what is at the nodes, shape (4w-1, k)."""
        return band.from_nodes(self.of_nodes("springs"))

    @cached_property
    def mass(self) -> Floats:
        """See `springs`."""
        return band.from_nodes(self.of_nodes("mass"))

    @cached_property
    def film(self) -> Floats:
        """See `springs`."""
        return band.from_nodes(self.of_nodes("film"))

    @cached_property
    def dampers(self) -> Floats:
        """See `springs`."""
        return band.from_nodes(self.of_nodes("dampers"))

    def parts(self, angular: complex | Floats) -> list[tuple[Floats, Any]]:
        """Return the bands, stiffness first, each with what it is times; bands of 0 are left out.

        Parameters
        ----------
        angular : complex or (f,) array
            Angular frequency w [rad/s], for motion as exp(i w t); with an imaginary part the
            motion grows or dies.
        """
        pairs = [(self.stiffness, 1 + 1j * self.loss_factor)]
        pairs += [(getattr(self, name), c) for name, c in self._factors(angular).items()]
        return [(stored, factor) for stored, factor in pairs if stored.any()]

    def _factors(self, w: Any) -> dict[str, Any]:
        """Return what is at the nodes, by name, with what it is times."""
        return {
            "springs": 1.0,
            "mass": -(w**2),
            "film": (1j - 1) * w * np.sqrt(w + 0j),
            "dampers": 1j * w,
        }

    def dynamic(self, angular: complex) -> NDArray[np.complex128]:
        """Return force per displacement as a band at one angular frequency, see `parts`."""
        out = np.asarray((1 + 1j * self.loss_factor) * self.stiffness, dtype=np.complex128)
        own = np.zeros((len(self.freedoms) // self.width, self.width, self.width), complex)
        for name, factor in self._factors(angular).items():
            if self._at_nodes[name].any():
                own += factor * self.of_nodes(name)
        out[band.places_of_nodes(len(own), self.width)] += own
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


def mixes(matrices: Floats) -> bool:
    """Return whether node matrices (n, 6, 6) couple motion in the x-y plane with that out of it."""
    if not matrices.any():  # Most often there is nothing at the nodes.
        return False
    one, two = np.ix_(IN_PLANE, OUT_OF_PLANE)
    return bool(matrices[:, one, two].any() or matrices[:, two, one].any())
