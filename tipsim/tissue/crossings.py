"""A gap that flutters at random: how often it closes, and for how much of the time.

The gap is a stationary Gaussian process. Its crossings follow Rice (1944-45): up-crossings of a
level u standard deviations from the mean come at the rate nu0 exp(-u²/2), nu0 being the rate of
crossing the mean; the time beyond the level is the tail of the normal distribution.
"""

import numpy as np
import scipy
from numpy.typing import ArrayLike, NDArray

from tipsim.setup.described import about, described
from tipsim.tissue.bands import Floats

FLAT = 1e-9
"""Flutter below this standard deviation [m] counts as none, so that no ratio runs away."""


def crossing_rate(level: ArrayLike, rate: ArrayLike) -> Floats:
    """Return how often a level is crossed upwards.

    Parameters
    ----------
    level : array_like
        Distance of the level from the mean, in standard deviations [no unit].
    rate : array_like
        Up-crossings of the mean per second [Hz].

    Returns
    -------
    array
        Up-crossings per second [Hz].

    Examples
    --------
    >>> [round(float(crossing_rate(u, 1.0)), 4) for u in (1, 2, 3)]
    [0.6065, 0.1353, 0.0111]
    """
    return np.asarray(np.asarray(rate) * np.exp(-(np.asarray(level) ** 2) / 2))


def share_beyond(level: ArrayLike) -> Floats:
    """Return the share of time beyond a level.

    Parameters
    ----------
    level : array_like
        Distance of the level from the mean, in standard deviations [no unit].

    Examples
    --------
    >>> round(float(share_beyond(0.0)), 3), round(float(share_beyond(2.0)), 4)
    (0.5, 0.0228)
    """
    return np.asarray(scipy.special.ndtr(-np.asarray(level, dtype=np.float64)))


def level_of(gap: ArrayLike, spread: ArrayLike) -> Floats:
    """Return the level at which a mean gap [m] closes, in standard deviations of it [m]."""
    return np.asarray(np.asarray(gap) / np.maximum(np.asarray(spread), FLAT))


@described()
class Flutter:
    """A sampled gap."""

    step: float = about("Time between samples [s].")
    gap: Floats = about("Gap [m]; it begins anew where it ends, without a jump. Shape (n,).")
    touching: NDArray[np.bool_] = about("Where the gap is closed, shape (n,).")

    @property
    def contacts(self) -> int:
        """How many times the gap closes."""
        return int(np.count_nonzero(self.touching & ~np.roll(self.touching, 1)))

    @property
    def share(self) -> float:
        """Share of time that it is closed."""
        return float(self.touching.mean())


def flutter(
    gap: float, spread: float, rate: float, closed: float, duration: float, step: float, seed: int
) -> Flutter:
    """Draw a gap by the spectral method.

    Parameters
    ----------
    gap, spread : float
        Mean and standard deviation [m].
    rate : float
        Up-crossings of the mean per second [Hz].
    closed : float
        Gap at which the two touch [m].
    duration, step : float
        Length and time between samples [s].

    Notes
    -----
    Sine waves with random amplitudes and phases under a bell-shaped spectrum exp(-f²/2F²): its
    second moment is F², so by Rice the mean is crossed upwards F times a second.

    Examples
    --------
    >>> drawn = flutter(0.2e-3, 0.1e-3, 8.0, 0.0, 20.0, 1 / 60, seed=1)
    >>> len(drawn.gap), bool((drawn.gap[drawn.touching] < 0).all())
    (1200, True)
    """
    n = max(round(duration / step), 2)
    f = np.arange(n // 2 + 1) / (n * step)
    power = np.exp(-(f**2) / (2 * rate**2)) if rate > 0 else np.zeros(len(f))
    power[0] = 0.0
    random = np.random.default_rng(seed)
    wave = np.sqrt(power) * (random.normal(size=len(f)) + 1j * random.normal(size=len(f)))
    # Each wave adds four times its power to the mean square of the sum below.
    total = np.sqrt(4 * power.sum()) or 1.0
    series = gap + spread * np.fft.irfft(wave, n) * n / total
    return Flutter(step, series, series < closed)
