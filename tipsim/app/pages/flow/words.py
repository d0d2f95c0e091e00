"""Runs in words, for those who cannot see the curves and for those who can."""

from __future__ import annotations

import numpy as np

from tipsim.flow.surge import Surge
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.units import ML_MIN, MMHG


def mmhg(pascal: float) -> str:
    """Write a pressure in whole mmHg, without a minus zero.

    >>> mmhg(5466.2), mmhg(-1e-9)
    ('41', '0')
    """
    return f"{round(pascal / float(MMHG.factor)) + 0:d}"


def flow_text(flow: float) -> str:
    """Write a flow in mL/min, to a tenth below 10.

    >>> flow_text(4.1666667e-07), flow_text(5e-8)
    ('25', '3.0')
    """
    value = flow / float(ML_MIN.factor)
    return f"{value:.0f}" if abs(value) >= 9.95 else f"{value + 0.0:.1f}"


def microlitres(volume: float) -> str:
    """Write a volume in whole microlitres."""
    return f"{volume * 1e9:.0f}"


def share_lost(run: Surge) -> float:
    """Give the share of the chamber's volume that a run loses."""
    return run.lost / number("flow.chamber_volume").si


def told(scenario: Scenario, run: Surge) -> str:
    """Describe a run in sentences."""
    if scenario.sleeve is None:
        return (
            "Without a sleeve the needle's end stands in an open dish: no bottle, no chamber. "
            f"The vacuum rises to {mmhg(run.vacuum.max())} mmHg while the mouth is blocked."
        )
    if run.flat_at == 0:
        return "More is drawn than the bottle gives: the chamber falls flat, and the model ends."
    out = (
        f"The chamber stands at {mmhg(run.chamber[0])} mmHg. While the mouth is blocked it rises "
        f"to {mmhg(run.chamber.max())} and the vacuum to {mmhg(run.vacuum.max())} mmHg. "
    )
    if run.flat_at is not None:
        when = "When the piece lets go" if run.flat_at >= run.released else "Before that"
        return f"{out}{when} the chamber falls flat, and the model ends."
    return (
        f"{out}When the piece lets go the chamber dips to {mmhg(run.lowest)} mmHg and loses "
        f"{microlitres(run.lost)} µL ({share_lost(run) * 100:.0f} % of it)."
    )


def key_moments(run: Surge) -> list[list[str]]:
    """Give rows of a table: moment, time, chamber, vacuum, irrigation, mouth, hole, leak."""
    rows = [_moment("mouth free", run, 0)]
    held = np.flatnonzero((run.time >= run.blocked) & (run.time <= run.released))
    if held.size:
        rows.append(_moment("before it lets go", run, int(held[-1])))
    after = np.flatnonzero(run.time > run.released)
    if after.size:
        fastest = after[np.argmax((run.mouth + run.bypass)[after])]
        lowest = after[np.argmin(run.chamber[after])]
        rows.append(_moment("fastest rush", run, int(fastest)))
        flat = run.flat_at is not None
        rows.append(_moment("chamber falls flat" if flat else "lowest pressure", run, int(lowest)))
        if not flat:
            rows.append(_moment("at the end", run, -1))
    return rows


def _moment(name: str, run: Surge, i: int) -> list[str]:
    flows = (run.irrigation, run.mouth, run.bypass, run.leak)
    return [
        name,
        f"{run.time[i]:.2f}",
        mmhg(run.chamber[i]),
        mmhg(run.vacuum[i]),
        *(flow_text(each[i]) for each in flows),
    ]
