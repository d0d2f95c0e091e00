"""A frame with its solvers at hand."""

from collections.abc import Mapping, Sequence

from numpy.typing import ArrayLike

from tipsim.motion import eigen, spectrum, steady
from tipsim.motion.lumped import AtNodes, Lumped


class Frame(Lumped):
    """Lumped masses joined by round beam segments, which can be asked how they vibrate.

    Parameters, attributes and errors are those of `tipsim.motion.lumped.Lumped`; the methods call
    `tipsim.motion.modes`, `respond` and `sweep`.

    Examples
    --------
    A 20 mm titanium rod, clamped: the first mode in torsion is at c/4L.

    >>> import numpy as np
    >>> from tipsim.setup.material import Material
    >>> metal = Material(name="rod", young=113.8e9, poisson=0.342, density=4430.0)
    >>> points = np.outer(np.linspace(0, 20e-3, 81), [1, 0, 0])
    >>> frame = Frame(points, 0.45e-3, 0.0, metal)
    >>> turning = [f for f, s in zip(*frame.modes(12, fixed=[0]).pairs) if abs(s[-1, 3]) > 1e3]
    >>> bool(abs(turning[0] / (np.sqrt(metal.shear / metal.density) / 80e-3) - 1) < 1e-4)
    True
    """

    def modes(self, count: int, fixed: Sequence[int] = (0,)) -> eigen.Modes:
        """Compute the lowest natural modes; see `tipsim.motion.eigen.modes`."""
        return eigen.modes(self, count, fixed)

    def respond(
        self,
        frequency: float,
        base: Mapping[str, complex] | None = None,
        forces: AtNodes | None = None,
        fixed: Sequence[int] = (0,),
    ) -> steady.Vibration:
        """Solve the steady vibration at one frequency; see `tipsim.motion.steady.respond`."""
        return steady.respond(self, frequency, base=base, forces=forces, fixed=fixed)

    def sweep(
        self, frequencies: ArrayLike, base: Mapping[str, complex], fixed: Sequence[int] = (0,)
    ) -> spectrum.Sweep:
        """Solve the steady vibration at many frequencies; see `tipsim.motion.spectrum.sweep`."""
        return spectrum.sweep(self, frequencies, base, fixed)
