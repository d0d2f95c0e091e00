"""A short stretch of a run with each pulse of the drive marched through.

A run over a minute goes by mean power; this begins at one of its states, some pulses early so
that the ripple has settled, and follows the pulses themselves.
"""

from dataclasses import replace

import numpy as np

from tipsim.heat.legs import Legs, Model
from tipsim.heat.march import March
from tipsim.heat.timeline import HeatRun
from tipsim.motion.run import Motion
from tipsim.motion.sections import Floats

SETTLING = 5
"""Pulses that are marched through before what is asked for: the ripple is then as it stays."""


def resolved_stretch(
    averaged: HeatRun, start: float, length: float, model: Model, motion: Motion
) -> HeatRun:
    """March through the pulses of a stretch of a run.

    Parameters
    ----------
    averaged : HeatRun
        The run by mean power; cells and state at the beginning are its own.
    start, length : float
        The stretch [s]; cut at the run's end.
    model : Model
        Its tolerance and numbers; as fine in space as the run.
    motion : Motion
        The scenario's.

    Returns
    -------
    HeatRun
        Times are the bench's, from about `start` on.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from tipsim import Scenario, solve
    >>> from tipsim.setup.drive import Duty
    >>> bench = replace(Scenario.preset("straight, axial"), duty=Duty("pulsed", 0.05, 0.05))
    >>> result = solve(bench)
    >>> close = resolved_stretch(result.heat, 10.0, 0.3, Model(), result.motion)
    >>> float(round(close.time[0], 2)), float(round(close.time[-1], 2))
    (10.0, 10.3)
    """
    scenario, cells = averaged.scenario, averaged.cells
    period = scenario.duty.on_time + scenario.duty.off_time
    end = min(start + length, float(averaged.time[-1]))
    # In the middle of a pulse the ripple passes its mean, which is what the run holds.
    early = (np.floor(start / period) - SETTLING) * period + scenario.duty.on_time / 2
    begin = float(early) if early > 0 else 0.0
    legs = Legs(scenario, motion, cells, model, 1.0)
    parts = legs.follow(scenario.events, _state_at(averaged, begin), begin, end, pulses=True)
    return _joined(averaged, parts, start)


def _state_at(run: HeatRun, time: float) -> Floats:
    """Return all temperatures of a run at a time, between its steps [K]."""
    i = int(np.clip(np.searchsorted(run.time, time), 1, len(run.time) - 1))
    w = (time - run.time[i - 1]) / (run.time[i] - run.time[i - 1])
    return np.asarray((1 - w) * run.temperature[i - 1] + w * run.temperature[i])


def _joined(averaged: HeatRun, parts: list[March], start: float) -> HeatRun:
    """Join stretches, leaving out what only let the ripple settle."""
    time = np.concatenate([p.time[1:] for p in parts])
    temperature = np.concatenate([p.temperature[1:] for p in parts])
    kept = max(0, int(np.searchsorted(time, start, side="right")) - 1)
    return replace(
        averaged,
        time=time[kept:],
        temperature=temperature[kept:],
        duty=1.0,
        imbalance=max(p.imbalance for p in parts),
        boiled=next((p.boiled for p in parts if p.boiled is not None), None),
        dry=np.concatenate([p.dry[1:] for p in parts])[kept:],
        steam=np.concatenate([p.steam[1:] for p in parts])[kept:],
    )
