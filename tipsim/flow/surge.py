"""A trial: a fragment occludes the opening and breaks free, or the irrigation stops for a while.

While the opening is occluded the pump empties the line to its vacuum limit; at the occlusion break
the line fills from the chamber, faster than the bottle can follow: the chamber's pressure dips
(surge). Without irrigation the pump empties the chamber.
"""

from functools import lru_cache

import numpy as np

from tipsim.flow.change import Change
from tipsim.flow.circuit import Circuit, circuit
from tipsim.flow.transient import Transient, run_changes
from tipsim.setup.described import about, described
from tipsim.setup.flow import OCCLUSION, Flow, Trial
from tipsim.setup.scenario import Scenario

BEFORE = 0.2
"""Shown before the event begins [s]."""
AFTER = 2.0
"""Shown after it has ended [s]."""


@described(eq=False)
class Surge(Transient):
    """A run, which ends where the chamber is flat: what iris and lens do then is not modelled."""

    event: str = about("What happens, as in `Trial`.")
    blocked: float = about(
        "When the fragment comes and breaks free, or the irrigation goes and comes back [s]."
    )
    released: float

    @property
    def lowest(self) -> float:
        """Lowest chamber pressure [Pa]: after an occlusion break, else from the event on."""
        begin = self.released if self.event == OCCLUSION else self.blocked
        after = self.chamber[self.time >= begin]
        return max(0.0, float(after.min() if after.size else self.chamber.min()))

    @property
    def depth(self) -> float:
        """Surge: how far the chamber's pressure falls below what it was before all [Pa]."""
        return max(0.0, float(self.chamber[0]) - self.lowest)

    @property
    def lost(self) -> float:
        """Volume that the chamber loses against before [m³]."""
        begin = self.released if self.event == OCCLUSION else self.blocked
        after = self.volume[self.time >= begin]
        least = float(after.min() if after.size else self.volume.min())
        return max(0.0, float(self.volume[0]) - least)

    @property
    def share_lost(self) -> float:
        """Volume that the chamber loses as a share of what it held before."""
        first = float(self.volume[0])
        return min(1.0, self.lost / first) if first > 0 else 1.0

    @property
    def rise_time(self) -> float | None:
        """Time from occlusion to 95 % of the vacuum limit [s]; None if not reached."""
        held = (self.time >= self.blocked) & (self.time <= self.released)
        there = self.time[held & (self.vacuum >= 0.95 * self.vacuum_limit)]
        if self.event != OCCLUSION or not there.size:
            return None
        return float(there[0] - self.blocked)

    @property
    def empties_after(self) -> float | None:
        """Time from the event to a chamber without pressure [s]; None if it keeps some."""
        return None if self.emptied_at is None else max(0.0, self.emptied_at - self.blocked)

    @property
    def flat_after(self) -> float | None:
        """Time from the event to a flat chamber [s]; None if it keeps some volume."""
        return None if self.flat_at is None else max(0.0, self.flat_at - self.blocked)

    @property
    def fastest(self) -> float:
        """Largest flow up the bore [m³/s]."""
        return float((self.mouth + self.bypass).max())


def surge(scenario: Scenario, flow: Flow | None = None) -> Surge:
    """Run the trial of a bench: block its opening or its irrigation for a while and let go.

    Parameters
    ----------
    flow : Flow, optional
        Setting; the scenario's own when absent. Its occlusion is what is blocked all the time.

    Returns
    -------
    Surge
        Kept, so that asking again costs nothing.

    Examples
    --------
    >>> run = surge(Scenario.preset("single-bend, torsional"))
    >>> run.rise_time < 1 and run.depth > 0
    True
    """
    flow = flow or scenario.flow
    return run_circuit(circuit(scenario, flow), flow, scenario.surge, scenario.chamber.volume)


@lru_cache(maxsize=32)
def run_circuit(ways: Circuit, flow: Flow, trial: Trial, volume: float) -> Surge:
    """Run a trial through given ways, with a chamber of a volume; see `surge`."""
    released = BEFORE + trial.closing_time + trial.hold
    what, free = "irrigation", 1.0
    if trial.event == OCCLUSION:
        what, free = "opening", 1 - flow.occlusion
    changes = (
        Change(BEFORE, what, 0.0, trial.closing_time),
        Change(released, what, free, trial.opening_time),
    )
    run = run_changes(ways, flow, trial, volume, changes, released + trial.opening_time + AFTER)
    if run.flat_at is not None:
        run = run.until(run.flat_at)
    parts = {name: getattr(run, name) for name in Transient.__dataclass_fields__}
    # Between the last two points the chamber becomes flat, and is not sucked at yet.
    parts |= {name: np.maximum(parts[name], 0.0) for name in ("chamber", "volume")}
    return Surge(**parts, event=trial.event, blocked=BEFORE, released=released)
