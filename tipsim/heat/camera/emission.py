"""How well a smooth surface radiates, by angle."""

import numpy as np
from numpy.typing import ArrayLike

from tipsim.motion.sections import Floats


def emissivity(cosine: ArrayLike, index: complex) -> Floats:
    """Return the emissivity of a smooth opaque surface, both polarisations alike.

    e = 1 - (|r_s|^2 + |r_p|^2) / 2 with Fresnel's r_s and r_p for light from air

    Parameters
    ----------
    cosine : array_like
        Cosine of the angle between view and the surface's normal, 0 to 1.
    index : complex
        Refractive index n + i k of the surface in the band.

    Returns
    -------
    array
        From 0 to 1 [no unit].

    References
    ----------
    .. [1] Modest, M. F. (2013). Radiative Heat Transfer, 3rd ed., chapter 2 (from memory).

    Examples
    --------
    Looked at squarely, a dielectric has 4 n / (n + 1)²; along the surface nothing is left:

    >>> emissivity([1.0, 0.0], 1.5).round(6).tolist()
    [0.96, 0.0]
    """
    c = np.clip(np.asarray(cosine, dtype=np.float64), 0.0, 1.0)
    m = complex(index)
    root = np.sqrt(m**2 - (1 - c**2))
    across = (c - root) / (c + root)
    along = (m**2 * c - root) / (m**2 * c + root)
    return np.asarray(1 - (np.abs(across) ** 2 + np.abs(along) ** 2) / 2)


def metal_index(resistivity: float, wavelength: float) -> complex:
    """Return the refractive index of a metal at long wavelengths (Hagen and Rubens).

    n = k = sqrt(wavelength Z0 / (4 pi resistivity)), with Z0 = 376.73 ohm

    Parameters
    ----------
    resistivity : float
        [ohm m]
    wavelength : float
        [m]

    Examples
    --------
    >>> round(float(emissivity(1.0, metal_index(1.7e-6, 11e-6))), 3)
    0.134
    """
    n = float(np.sqrt(wavelength * 376.730313668 / (4 * np.pi * resistivity)))
    return complex(n, n)
