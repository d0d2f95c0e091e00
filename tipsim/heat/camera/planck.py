"""How much a black surface radiates within a band of wavelengths, and back to its temperature."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import numpy as np
import scipy
from numpy.typing import ArrayLike

from tipsim.motion.sections import Floats

if TYPE_CHECKING:
    from scipy.interpolate import CubicSpline

COLDEST, HOTTEST = 150.0, 1000.0
"""Temperatures between which a radiance is turned back [K]."""


def fraction(product: ArrayLike) -> Floats:
    """Return the share of a black surface's radiation below a wavelength.

    F = 15/pi^4 sum_n exp(-n z) / n (z^3 + 3 z^2/n + 6 z/n^2 + 6/n^3),  z = c2 / (lambda T)

    Parameters
    ----------
    product : array_like
        Wavelength times temperature [m K]; above 3e-4.

    Returns
    -------
    array
        From 0 to 1 [no unit].

    Notes
    -----
    Terms are added until they fall below rounding. Planck's law integrated term by term [1]_.

    References
    ----------
    .. [1] Chang, S. L. and Rhee, K. T. (1984). Blackbody radiation functions. Int. Commun. Heat
       Mass Transf. 11, 451 (from memory).

    Examples
    --------
    >>> round(float(fraction(2897.77e-6)), 4)
    0.2501
    """
    of = scipy.constants
    z = of.Planck * of.speed_of_light / of.Boltzmann / np.asarray(product, dtype=np.float64)
    n = np.arange(1, 2 + int(np.ceil(40 / np.min(z))))
    zs = z[..., None]
    terms = np.exp(-n * zs) / n * (zs**3 + 3 * zs**2 / n + 6 * zs / n**2 + 6 / n**3)
    return np.asarray(15 / np.pi**4 * terms.sum(axis=-1))


def radiance(temperature: ArrayLike, band: tuple[float, float]) -> Floats:
    """Return the radiance of a black surface within a band.

    L = sigma T^4 / pi (F(high T) - F(low T))

    Parameters
    ----------
    temperature : array_like
        [K]
    band : (low, high)
        Wavelengths [m].

    Returns
    -------
    array
        [W/m²/sr]

    Examples
    --------
    >>> round(float(radiance(300.0, (8e-6, 14e-6))), 1)
    54.9
    """
    t = np.asarray(temperature, dtype=np.float64)
    share = fraction(band[1] * t) - fraction(band[0] * t)
    return np.asarray(scipy.constants.Stefan_Boltzmann * t**4 / np.pi * share)


@cache
def _curves(band: tuple[float, float]) -> tuple[CubicSpline, CubicSpline]:
    """Return log radiance by log temperature, and back; finer than any camera by far."""
    t = np.log(np.linspace(COLDEST, HOTTEST, 1701))
    log_radiance = np.log(radiance(np.exp(t), band))
    spline = scipy.interpolate.CubicSpline
    return spline(t, log_radiance), spline(log_radiance, t)


def quick_radiance(temperature: ArrayLike, band: tuple[float, float]) -> Floats:
    """Return `radiance` from a table, for whole pictures; within 1e-8 of it."""
    forth, _ = _curves(band)
    return np.asarray(np.exp(forth(np.log(np.asarray(temperature, dtype=np.float64)))))


def temperature(of: ArrayLike, band: tuple[float, float]) -> Floats:
    """Return the temperature at which a black surface has this radiance within a band.

    Parameters
    ----------
    of : array_like
        Radiance [W/m²/sr]; what lies beyond `COLDEST` and `HOTTEST` is cut there.

    Returns
    -------
    array
        [K]

    Examples
    --------
    >>> band = (3e-6, 5e-6)
    >>> round(float(temperature(radiance(310.0, band), band)), 6)
    310.0
    """
    _, back = _curves(band)
    lowest, highest = back.x[0], back.x[-1]
    with np.errstate(divide="ignore", invalid="ignore"):
        logs = np.log(np.asarray(of, dtype=np.float64))
    return np.asarray(np.exp(back(np.clip(np.nan_to_num(logs, nan=lowest), lowest, highest))))
