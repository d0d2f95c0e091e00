"""Properties of a round, hollow section: what a beam segment is made of.

Formulas: any handbook of strength of materials; shear coefficient of a hollow circle from
G. R. Cowper, "The shear coefficient in Timoshenko's beam theory", J Appl Mech 33 (1966) 335
(from memory; the values 0.886, 0.620, 0.544, 0.531 at nu = 0.3 are checked in the tests).
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipsim.setup.described import about, described

Floats = NDArray[np.float64]


@described()
class Sections:
    """Round, hollow sections, one for each beam segment."""

    outer: Floats = about("Outer and inner radius [m]; inner is 0 for a rod. Shape (m,).")
    inner: Floats

    @property
    def area(self) -> Floats:
        """Area of the wall [m²], shape (m,)."""
        return np.pi * (self.outer**2 - self.inner**2)

    @property
    def second_moment(self) -> Floats:
        """Second moment of area about a diameter [m⁴], shape (m,)."""
        return np.pi / 4 * (self.outer**4 - self.inner**4)

    @property
    def polar_moment(self) -> Floats:
        """Polar second moment of area [m⁴], shape (m,)."""
        return 2 * self.second_moment

    def shear_coefficient(self, poisson: float) -> Floats:
        """Cowper's shear coefficient, shape (m,), no unit."""
        return cowper(self.inner / self.outer, poisson)


def cowper(bore_ratio: ArrayLike, poisson: float) -> Floats:
    """Return the shear coefficient of a hollow circle.

    Parameters
    ----------
    bore_ratio : array_like
        Inner radius over outer radius, 0 to 1 [no unit].
    poisson : float
        Poisson's ratio [no unit].

    Returns
    -------
    array
        Shear coefficient, shape of `bore_ratio` [no unit].

    Notes
    -----
    kappa = 6(1+nu)(1+m²)² / [(7+6nu)(1+m²)² + (20+12nu)m²], Cowper 1966.

    Examples
    --------
    >>> [round(float(k), 3) for k in cowper([0.0, 0.5, 1.0], 0.3)]
    [0.886, 0.62, 0.531]
    """
    m2 = np.asarray(bore_ratio, dtype=np.float64) ** 2
    ring = (1 + m2) ** 2
    top = 6 * (1 + poisson) * ring
    return np.asarray(top / ((7 + 6 * poisson) * ring + (20 + 12 * poisson) * m2))
