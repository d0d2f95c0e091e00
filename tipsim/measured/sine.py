"""Sinusoids through measured places by least squares, with what is left and how sure that is.

At a known frequency: the three-parameter fit of IEEE Std 1057 (a sine is linear in its cosine and
sine part); with a frequency to be found: the four-parameter fit, whose frequency is shared by all
marks here. A constant and, where asked, a slow drift (a polynomial of time) are fitted along.
"""

import numpy as np
from scipy.optimize import minimize_scalar

from tipsim.motion.lumped import Complexes
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput

LEAST_SPREAD = 0.05
"""Smallest over largest stretch of the fit's basis: below, the pictures leave the sine open."""
MOST_DRIFT = 5


@described(eq=False)
class Sine:
    """A sinusoid of one mark in the plane of the picture."""

    amplitude: Complexes = about("Right and up, as of Re(u exp(i w t)) [m], shape (2,).")
    covariance: Floats = about(
        "Of real and imaginary parts: Re x, Im x, Re y, Im y [m²], shape (4, 4)."
    )
    freedom: int = about("Places found less numbers fitted, along one direction.")
    scatter: float = about("Root mean square of what is left, along one direction [m].")
    explained: float = about("Share of the motion (drift apart) that the sine explains, 0 to 1.")
    drift: float = about("How far the mark drifted over the film [m].")


def fit_sine(times: Floats, places: Floats, frequency: float, drift: int = 0) -> Sine:
    """Fit a sinusoid of known frequency to the places of one mark.

    Parameters
    ----------
    times : (f,) array
        [s]; any distances, so that an undersampled film is fitted as it is.
    places : (f, 2) array
        [m]; NaN where the mark was not found.
    frequency : float
        [Hz].
    drift : int
        Degree of the polynomial that takes away a slow drift; 0 for a constant.

    Raises
    ------
    BadInput
        When pictures and frequency leave the sine open: too few, too little of a cycle, or two
        pictures a cycle exactly.

    Examples
    --------
    >>> t = np.arange(20) / 100
    >>> wave = 3 * np.cos(2 * np.pi * 7 * t)
    >>> found = fit_sine(t, np.stack([wave, 0 * t], axis=1), 7.0)
    >>> np.abs(found.amplitude).round(6).tolist(), found.freedom
    ([3.0, 0.0], 17)
    """
    if not 0 <= drift <= MOST_DRIFT:
        raise BadInput("drift", str(drift), f"a degree from 0 to {MOST_DRIFT}")
    found = np.isfinite(places[:, 0])
    t, values = times[found], places[found]
    basis = _basis(t, frequency, drift)
    freedom = len(t) - basis.shape[1]
    if freedom < 2 or _spread(basis) < LEAST_SPREAD:
        raise BadInput(
            "pictures",
            _counted(t, frequency),
            "enough to tell a sine: more of a cycle, and not two pictures a cycle exactly",
        )
    factors = np.linalg.lstsq(basis, values, rcond=None)[0]
    rest = values - basis @ factors
    noise = rest.T @ rest / freedom
    inverse = np.linalg.inv(basis.T @ basis)[:2, :2]
    # The sine's factors are the real part and minus the imaginary one.
    sign = np.array([1.0, -1.0])
    parts = inverse * np.outer(sign, sign)
    slow = basis[:, 2:] @ factors[2:]
    moving = values - slow
    whole = float((moving**2).sum())
    return Sine(
        factors[0] - 1j * factors[1],
        np.kron(noise, parts),
        freedom,
        float(np.sqrt(np.trace(noise) / 2)),
        1 - float((rest**2).sum()) / whole if whole > 0 else 0.0,
        float(np.linalg.norm(np.ptp(slow, axis=0))),
    )


def shared_frequency(
    times: Floats, places: Floats, low: float, high: float, drift: int = 0
) -> tuple[float, float]:
    """Return the frequency whose sinusoids leave least of all marks together, and its error [Hz].

    Parameters
    ----------
    places : (k, f, 2) array
        [m]; NaN where a mark was not found.
    low, high : float
        Where it is looked for [Hz].

    Returns
    -------
    frequency, error : float
        The error is one standard error, from the slope of the fit beside what the other numbers
        of the fit can take up.

    Examples
    --------
    >>> t = np.arange(60) / 500e3
    >>> wave = np.cos(2 * np.pi * 32123.0 * t + 0.4)
    >>> round(shared_frequency(t, np.stack([wave, 0 * t], axis=1)[None], 31e3, 33e3)[0], 3)
    32123.0
    """
    groups = _marks(times, places)

    def left(frequency: float) -> float:
        return sum(_left(t, v, frequency, drift) for t, v in groups)

    step = 1 / (8 * np.ptp(times))
    grid = np.linspace(low, high, max(3, int(np.ceil((high - low) / step)) + 1))
    if len(grid) > 20_000:
        raise BadInput("band of frequency", f"{high - low:g} Hz", f"up to {20_000 * step:.3g} Hz")
    best = int(np.argmin([left(f) for f in grid]))
    ends = grid[max(best - 1, 0)], grid[min(best + 1, len(grid) - 1)]
    fine = float(
        minimize_scalar(left, bounds=ends, method="bounded", options={"xatol": 1e-9 * high}).x
    )
    frequency = min(fine, float(grid[best]), key=left)
    return frequency, _frequency_error(groups, frequency, drift)


def _marks(times: Floats, places: Floats) -> list[tuple[Floats, Floats]]:
    found = np.isfinite(places[:, :, 0])
    return [(times[f], p[f]) for f, p in zip(found, places, strict=True)]


def _basis(times: Floats, frequency: float, drift: int) -> Floats:
    """Return cosine, sine and the drift's powers, shape (f, 3 + drift)."""
    angle = 2 * np.pi * frequency * times
    whole = np.ptp(times) or 1.0
    slow = np.polynomial.legendre.legvander(2 * (times - times.min()) / whole - 1, drift)
    return np.concatenate([np.cos(angle)[:, None], np.sin(angle)[:, None], slow], axis=1)


def _spread(basis: Floats) -> float:
    sizes = np.linalg.svd(basis, compute_uv=False)
    return float(sizes[-1] / sizes[0])


def _counted(times: Floats, frequency: float) -> str:
    cycles = float(np.ptp(times)) * frequency
    per_cycle = 1 / (float(np.median(np.diff(times))) * frequency) if len(times) > 1 else 0.0
    return f"{len(times)} over {cycles:.3g} cycles, {per_cycle:.4g} a cycle"


def _left(times: Floats, values: Floats, frequency: float, drift: int) -> float:
    basis = _basis(times, frequency, drift)
    axes = np.linalg.qr(basis)[0]
    return float(((values - axes @ (axes.T @ values)) ** 2).sum())


def _frequency_error(groups: list[tuple[Floats, Floats]], frequency: float, drift: int) -> float:
    left, freedom, slope = 0.0, -1, 0.0
    for times, values in groups:
        basis = _basis(times, frequency, drift)
        factors = np.linalg.lstsq(basis, values, rcond=None)[0]
        rest = values - basis @ factors
        by_frequency = 2 * np.pi * times[:, None] * (basis[:, :2][:, ::-1] * [-1, 1]) @ factors[:2]
        by_frequency -= basis @ np.linalg.lstsq(basis, by_frequency, rcond=None)[0]
        left += float((rest**2).sum())
        freedom += values.size - 2 * basis.shape[1]
        slope += float((by_frequency**2).sum())
    return float(np.sqrt(left / max(freedom, 1) / slope)) if slope > 0 else float("inf")
