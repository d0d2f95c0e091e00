"""Runs in words, for those who cannot see the curves and for those who can."""

from __future__ import annotations

import numpy as np

from tipsim.flow.surge import Surge
from tipsim.setup.flow import OCCLUSION
from tipsim.setup.scenario import Scenario
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


def seconds(time: float) -> str:
    """Return a time in seconds, to a tenth, or to a hundredth below half a second."""
    return f"{time:.2f}" if time < 0.5 else f"{time:.1f}"


def headline(scenario: Scenario, run: Surge) -> str:
    """Return what a run comes to, in a sentence."""
    if scenario.sleeve is None:
        return "In an open dish there is no chamber: only the vacuum rises and falls."
    if run.flat_after == 0:
        return "More is drawn than the bottle gives: the chamber cannot stay full."
    if run.event == OCCLUSION:
        if run.flat_after is not None:
            return "The occlusion breaks: the surge leaves the chamber flat."
        if run.lowest == 0:
            return (
                "The occlusion breaks: the chamber loses all pressure and "
                f"{run.share_lost * 100:.0f} % of its volume."
            )
        before, lowest = mmhg(run.chamber[0]), mmhg(run.lowest)
        if before == lowest:
            return f"The occlusion breaks: the chamber stays at {before} mmHg."
        return f"The occlusion breaks: the chamber dips from {before} to {lowest} mmHg."
    if run.flat_after is not None:
        return f"The irrigation stops: the chamber is flat after {seconds(run.flat_after)} s."
    return (
        f"The irrigation stops for {seconds(run.released - run.blocked)} s: the chamber keeps "
        f"{100 - run.share_lost * 100:.0f} % of its volume."
    )


def run_words(scenario: Scenario, run: Surge) -> str:
    """Return a run in sentences."""
    if scenario.sleeve is None:
        return (
            "Without a sleeve the tip stands in an open dish: no bottle, no chamber. "
            f"The vacuum rises to {mmhg(run.vacuum.max())} mmHg during occlusion."
        )
    if run.flat_after == 0:
        return "More is drawn than the bottle supplies: the chamber collapses, and the model ends."
    before = f"The chamber stands at {mmhg(run.chamber[0])} mmHg. "
    if run.event == OCCLUSION:
        return before + _occlusion_words(run)
    return before + _irrigation_words(run)


def _occlusion_words(run: Surge) -> str:
    out = (
        f"During occlusion it rises to {mmhg(run.chamber.max())} and the vacuum to "
        f"{mmhg(run.vacuum.max())} mmHg. "
    )
    if run.flat_at is not None:
        when = "At the occlusion break" if run.flat_at >= run.released else "Before that"
        return f"{out}{when} the chamber becomes flat, and the model ends."
    return (
        f"{out}At the occlusion break the chamber dips to {mmhg(run.lowest)} mmHg and loses "
        f"{microlitres(run.lost)} µL ({run.share_lost * 100:.0f} % of it)."
    )


def _irrigation_words(run: Surge) -> str:
    gone, flat = run.empties_after, run.flat_after
    out = ""
    if gone is not None:
        out = f"Without irrigation its pressure is gone after {seconds(gone)} s; "
    if flat is not None:
        return f"{out}its walls come in, and it is flat after {seconds(flat)} s: the model ends."
    lost = f"it loses {microlitres(run.lost)} µL ({run.share_lost * 100:.0f} % of it)."
    return f"{out}{lost}" if out else f"Without irrigation {lost}"


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
