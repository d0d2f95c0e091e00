"""Runs in words, for those who cannot see the curves and for those who can."""

from __future__ import annotations

import numpy as np

from tipsim.flow.surge import Surge
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.units import ML_MIN, MMHG


def mmhg(pascal: float) -> str:
    """Return a pressure in whole mmHg, without a minus zero.

    >>> mmhg(5466.2), mmhg(-1e-9)
    ('41', '0')
    """
    return f"{round(pascal / float(MMHG.factor)) + 0:d}"


def flow_text(flow: float) -> str:
    """Return a flow in mL/min, to a tenth below 10.

    >>> flow_text(4.1666667e-07), flow_text(5e-8)
    ('25', '3.0')
    """
    value = flow / float(ML_MIN.factor)
    return f"{value:.0f}" if abs(value) >= 9.95 else f"{value + 0.0:.1f}"


def microlitres(volume: float) -> str:
    """Return a volume in whole microlitres."""
    return f"{volume * 1e9:.0f}"


def share_lost(run: Surge) -> float:
    """Return the share of the chamber's volume that a run loses."""
    return run.lost / number("chamber.volume").si


def run_words(scenario: Scenario, run: Surge) -> str:
    """Return a run in sentences."""
    if scenario.sleeve is None:
        return (
            "Without a sleeve the tip stands in an open dish: no bottle, no chamber. "
            f"The vacuum rises to {mmhg(run.vacuum.max())} mmHg during occlusion."
        )
    if run.flat_at == 0:
        return "More is drawn than the bottle supplies: the chamber collapses, and the model ends."
    out = (
        f"The chamber stands at {mmhg(run.chamber[0])} mmHg. During occlusion it rises to "
        f"{mmhg(run.chamber.max())} and the vacuum to {mmhg(run.vacuum.max())} mmHg. "
    )
    if run.flat_at is not None:
        when = "At the occlusion break" if run.flat_at >= run.released else "Before that"
        return f"{out}{when} the chamber collapses, and the model ends."
    return (
        f"{out}At the occlusion break the chamber dips to {mmhg(run.lowest)} mmHg and loses "
        f"{microlitres(run.lost)} µL ({share_lost(run) * 100:.0f} % of it)."
    )


MOMENTS = (
    *("Moment", "Time, s", "Chamber, mmHg", "Vacuum, mmHg"),
    *("From the bottle", "Opening", "Bypass hole", "Leak"),
)
"""Heads of the table of key moments."""


def key_moments(run: Surge) -> list[list[str]]:
    """Return rows of a table, one for each key moment, as headed by `MOMENTS`."""
    rows = [_moment("opening free", run, 0)]
    held = np.flatnonzero((run.time >= run.blocked) & (run.time <= run.released))
    if held.size:
        rows.append(_moment("before the break", run, int(held[-1])))
    after = np.flatnonzero(run.time > run.released)
    if after.size:
        fastest = after[np.argmax((run.mouth + run.bypass)[after])]
        lowest = after[np.argmin(run.chamber[after])]
        rows.append(_moment("fastest surge flow", run, int(fastest)))
        flat = run.flat_at is not None
        rows.append(_moment("chamber collapses" if flat else "lowest pressure", run, int(lowest)))
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
