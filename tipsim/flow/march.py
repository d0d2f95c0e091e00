"""Integration in time."""

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Law = Callable[[float, Floats], Sequence[float]]
_TOLERANCE = 1e-7
_SIZES = np.array([1e-9, 1e2, 1e-8, 1e-8, 1e2, *[1e-9] * 4])
"""What is small: volumes [m³], pressures [Pa], flows [m³/s]; times the tolerance above."""
Grid = tuple[tuple[float, float, float], ...]
_GRIDS: Grid = ((0.0, 0.3, 2e-3), (0.3, 3.0, 1e-2), (3.0, 1e9, 1e-1))
"""From, to and step of the moments that are told of [s]."""


def integrate(law: Law, times: Floats, state: Floats, tolerance: float = _TOLERANCE) -> Floats:
    """Return the states at all times, from that at the first."""
    # Only now: this package takes a third of a second to load.
    from scipy.integrate import odeint

    start, end = float(times[0]), float(times[-1])
    # One call for all times: a call for each step of the solver costs more than the step. Its
    # types know no tolerance for each number.
    states, report = odeint(  # type: ignore[call-overload]
        law,
        state,
        times,
        tfirst=True,
        rtol=tolerance,
        atol=tolerance * _SIZES,
        tcrit=[end],
        h0=min(1e-5, (end - start) / 10),
        hmax=max((end - start) / 8, 1e-3),
        mxstep=100_000,
        full_output=True,
    )
    if report["message"] != "Integration successful.":
        raise RuntimeError(report["message"])
    return np.asarray(states)


def moments(start: float, end: float, grid: Grid = _GRIDS) -> Floats:
    """Return moments of a stretch to tell of: close at first, where much happens.

    Parameters
    ----------
    grid : tuple
        From, to and step, since the start [s].
    """
    span = end - start
    parts = [np.arange(low, min(span, high), step) for low, high, step in grid if low < span]
    inside = start + np.concatenate(parts)
    return np.append(inside[inside < end], end)
