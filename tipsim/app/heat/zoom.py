"""The stretch that is drawn pulse by pulse."""

from __future__ import annotations

from typing import Any

import numpy as np

from tipsim.app.heat.field import CELSIUS_ZERO
from tipsim.heat.timeline import HeatRun
from tipsim.motion.sections import Floats
from tipsim.setup.drive import Duty

LEAST, MOST = 0.5, 5.0
"""Length of a stretch [s]: half a second, or three pulses with rests where they take longer."""
POINTS = 400


def length_of(*duties: Duty) -> float:
    """Give how long a stretch to draw [s].

    >>> length_of(Duty("pulsed", 0.01, 0.01)), length_of(Duty("burst", 0.5, 0.5))
    (0.5, 3.0)
    """
    longest = max(duty.on_time + duty.off_time for duty in duties)
    return min(MOST, max(LEAST, 3 * longest))


def stretch(start: float, length: float, runs: dict[str, HeatRun]) -> dict[str, Any]:
    """Give the peaks of the sleeve's outside about their means over a stretch, by side."""
    end = min(start + length, max(float(run.time[-1]) for run in runs.values()))
    duty = next(iter(runs.values())).scenario.duty
    return {
        "start": start,
        "end": end,
        "on": pulses(duty, start, end),
        "sides": [{"key": key, **_side(run)} for key, run in runs.items()],
    }


def _side(run: HeatRun) -> dict[str, Any]:
    peak = run.sleeve_peak - CELSIUS_ZERO
    mean = float(np.trapezoid(peak, run.time) / (run.time[-1] - run.time[0]))
    kept = _thinned(run.time)
    return {
        "mean": mean,
        "time": [round(float(t), 5) for t in run.time[kept]],
        "swing": [round(float(v) - mean, 5) for v in peak[kept]],
    }


def _thinned(time: Floats) -> list[int]:
    """Give which of many points are drawn: all, or every so many and the last."""
    step = -(-len(time) // POINTS)
    return sorted({*range(0, len(time), step), len(time) - 1})


def pulses(duty: Duty, start: float, end: float) -> list[list[float]]:
    """Give when the drive is on in a stretch, as pairs of times [s].

    >>> pulses(Duty("pulsed", 0.25, 0.25), 0.3, 1.1)
    [[0.5, 0.75], [1.0, 1.1]]
    """
    period = duty.on_time + duty.off_time
    first, last = int(start / period), int(end / period)
    pairs = [(k * period, k * period + duty.on_time) for k in range(first, last + 1)]
    return [[max(a, start), min(b, end)] for a, b in pairs if b > start and a < end]
