"""How well surfaces radiate, by angle: smooth ones, and metal under a film of water."""

import numpy as np
import scipy
from numpy.typing import ArrayLike

from tipsim.motion.sections import Floats
from tipsim.setup.thermal_camera import ThermalCamera

PAINT = complex(1 + 1e-9, 0)
"""Index of black paint: so near that of air that it mirrors nothing."""


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

    n = k = sqrt(wavelength Z0 / (4 pi resistivity)), with Z0 the impedance of free space

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
    of = scipy.constants
    impedance = 1 / (of.epsilon_0 * of.speed_of_light)
    n = float(np.sqrt(wavelength * impedance / (4 * np.pi * resistivity)))
    return complex(n, n)


def under_film(top: ArrayLike, below: ArrayLike, passed: ArrayLike) -> Floats:
    """Return the emissivity of a film and of what lies below it, as warm as each other.

    r = R + (1 - R)^2 B q^2 / (1 - R B q^2): mirrored at the film's surface (R), or let in, mirrored
    below (B) and weakened twice by the film (q), over and over; e = 1 - r

    Parameters
    ----------
    top, below : array_like
        Emissivity of the film's surface, were it thick, and of the surface below, 0 to 1.
    passed : array_like
        Share of light that passes the film once, 0 to 1.

    Examples
    --------
    A thick film hides what is below; below none there is what was there:

    >>> [round(float(under_film(*each)), 6) for each in ((0.98, 0.13, 0.0), (1.0, 0.13, 1.0))]
    [0.98, 0.13]
    """
    r, b, q2 = 1 - np.asarray(top), 1 - np.asarray(below), np.asarray(passed) ** 2
    return np.asarray(1 - r - (1 - r) ** 2 * b * q2 / (1 - r * b * q2))


def of_sleeve(camera: ThermalCamera, cosine: ArrayLike) -> Floats:
    """Return the emissivity of the sleeve's outside by the cosine of the angle of view."""
    index = {
        "dry silicone": complex(camera.silicone_index, 0),
        "wet silicone": _water(camera),
        "black paint": PAINT,
    }[camera.surface]
    return emissivity(cosine, index)


def of_bare(camera: ThermalCamera, cosine: ArrayLike, film: float) -> Floats:
    """Return the emissivity of the bare needle under a film of fluid [m]; 0 where it is dry."""
    if camera.surface == "black paint":
        return emissivity(cosine, PAINT)
    wave = sum(camera.wavelengths) / 2
    metal = emissivity(cosine, metal_index(camera.metal_resistivity, wave))
    if film <= 0:
        return metal
    water, c = _water(camera), np.clip(np.asarray(cosine, dtype=np.float64), 0.0, 1.0)
    inside = np.sqrt(1 - (1 - c**2) / water.real**2)
    passed = np.exp(-4 * np.pi * water.imag * film / (wave * inside))
    return under_film(emissivity(cosine, water), metal, passed)


def _water(camera: ThermalCamera) -> complex:
    return complex(camera.water_index, camera.water_absorption)
