"""The stretch that is drawn pulse by pulse."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from tipsim import store
from tipsim.app.framework.belief import not_drawn
from tipsim.app.framework.packet import encode
from tipsim.app.pages.heat.field import CELSIUS_ZERO
from tipsim.app.pages.heat.state import ROUGH, HeatState
from tipsim.heat.pulses import resolved_stretch
from tipsim.heat.timeline import HeatRun
from tipsim.setup.drive import Duty
from tipsim.setup.scenario import Scenario

LEAST, MOST = 0.5, 5.0
"""Length of a stretch [s]: half a second, or three pulses with rests where they take longer."""
CELLS = replace(ROUGH, sectors=8, tolerance=0.05)
"""Coarser than the picture; the tolerance is that of a step [K]."""
POINTS = 400


def length_of(*duties: Duty) -> float:
    """Return how long a stretch to draw [s].

    >>> length_of(Duty("pulsed", 0.01, 0.01)), length_of(Duty("burst", 0.5, 0.5))
    (0.5, 3.0)
    """
    longest = max(duty.on_time + duty.off_time for duty in duties)
    return min(MOST, max(LEAST, 3 * longest))


def zoomed(state: HeatState, start: float) -> bytes:
    """Return a packet: pulses followed from a time on [s], for each drive that pulses.

    `sides` holds the sleeve's outside about its mean; `on` when the drive of the first is on;
    `held` says of which side nothing is drawn, since its motion is not to be believed.
    """
    pulsing = {key: s for key, s in zip("ab", state.sides, strict=True) if s.duty.off_time}
    if not pulsing:
        return b""
    why = {key: not_drawn(r) for key, r in zip("ab", state.results, strict=True)}
    held = [f"{key.upper()}: {why[key]}" for key in pulsing if why[key]]
    drawn = {key: s for key, s in pulsing.items() if not why[key]}
    return encode({"held": held, "sides": [], **_stretch(drawn, start)})


def _stretch(pulsing: Mapping[str, Scenario], start: float) -> dict[str, Any]:
    """Return the sides over the same stretch, what it spans [s], and when the drive is on."""
    if not pulsing:
        return {}
    length = length_of(*(s.duty for s in pulsing.values()))
    sides, begin = [], start
    for key, scenario in pulsing.items():
        run: HeatRun = store.get(scenario, "heat", CELLS)
        begin = max(0.0, min(start, float(run.time[-1]) - length))
        motion = store.result(scenario).motion
        sides.append({"key": key, **_side(resolved_stretch(run, begin, length, CELLS, motion))})
    end = min(begin + length, max(float(side["time"][-1]) for side in sides))
    duty = next(iter(pulsing.values())).duty
    return {"start": begin, "end": end, "on": pulses(duty, begin, end), "sides": sides}


def _side(run: HeatRun) -> dict[str, Any]:
    peak = run.sleeve_peak - CELSIUS_ZERO
    mean = float(np.trapezoid(peak, run.time) / (run.time[-1] - run.time[0]))
    kept = _thinned(len(run.time))
    words = f"swings by {np.ptp(peak):.2g} °C about {mean:.1f} °C"
    return {"words": words, "time": run.time[kept], "swing": peak[kept] - mean}


def _thinned(count: int) -> list[int]:
    """Return which of many points are drawn: all, or every so many and the last."""
    step = -(-count // POINTS)
    return sorted({*range(0, count, step), count - 1})


def pulses(duty: Duty, start: float, end: float) -> list[list[float]]:
    """Return when the drive is on in a stretch, as pairs of times [s].

    >>> pulses(Duty("pulsed", 0.25, 0.25), 0.3, 1.1)
    [[0.5, 0.75], [1.0, 1.1]]
    """
    period = duty.on_time + duty.off_time
    first, last = int(start / period), int(end / period)
    pairs = [(k * period, k * period + duty.on_time) for k in range(first, last + 1)]
    return [[max(a, start), min(b, end)] for a, b in pairs if b > start and a < end]
