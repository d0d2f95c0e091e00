"""A run that goes on from where another one ended: for who does not know yet what comes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from tipsim.flow.change import WHAT, Change
from tipsim.flow.circuit import circuit
from tipsim.flow.law import Floats, Stage, Way
from tipsim.flow.march import Grid, integrate, moments
from tipsim.flow.transient import Transient, pieces_told
from tipsim.setup.flow import Flow
from tipsim.setup.scenario import Scenario

Ramp = tuple[float, float, float, float]
"""From a time [s] and a share to a time and a share."""
FINE: Grid = ((0.0, 0.25, 4e-3), (0.25, 1.0, 2e-2), (1.0, 3.0, 5e-2), (3.0, 1e9, 1e-1))
"""Points where something has just changed."""
EVEN: Grid = ((0.0, 1e9, 1e-1),)
"""Points where nothing has."""
TOLERANCE = 4e-4
_AT_REST: Ramp = (0.0, 1.0, 0.0, 1.0)


@dataclass(frozen=True)
class Standing:
    """Where a run stands.

    Attributes
    ----------
    time : float
        [s].
    state : tuple of float
        As `tipsim.flow.law` has it.
    ramps : mapping
        For each of `WHAT` the last change: what it changed from and to.
    """

    time: float
    state: tuple[float, ...]
    ramps: Mapping[str, Ramp]

    def share(self, what: str, time: float) -> float:
        """Return a share at a time [s] from now on, if nothing else is done."""
        begin, first, end, last = self.ramps[what]
        if time >= end:
            return last
        return first if time <= begin else first + (last - first) * (time - begin) / (end - begin)

    def changed(self, what: str, share: float, within: float) -> "Standing":
        """Return the same with a change that begins now; one under way is taken over."""
        ramp = (self.time, self.share(what, self.time), self.time + within, share)
        return replace(self, ramps={**self.ramps, what: ramp})


def at_rest(scenario: Scenario, flow: Flow | None = None) -> Standing:
    """Return a bench's fluid at rest, with all as it is set.

    Examples
    --------
    >>> at_rest(Scenario.preset("single-bend, torsional")).time
    0.0
    """
    flow = flow or scenario.flow
    ramps = dict.fromkeys(WHAT, _AT_REST)
    free = 1 - flow.occlusion
    ramps["opening"] = (0.0, free, 0.0, free)
    return Standing(0.0, tuple(_way(scenario, flow, ()).begin().tolist()), ramps)


def onward(
    scenario: Scenario,
    standing: Standing,
    end: float,
    flow: Flow | None = None,
    grid: Grid = FINE,
    tolerance: float = TOLERANCE,
) -> tuple[Transient, Standing]:
    """Follow a bench's fluid from where it stands to a time.

    Parameters
    ----------
    end : float
        [s], after `standing.time`.
    flow : Flow, optional
        Setting; the scenario's own when absent.
    grid : tuple
        Points of each stretch in which everything changes evenly: from, to and step [s].
    tolerance : float
        Relative, of the integration.

    Returns
    -------
    tuple of Transient and Standing
        The run, whose volumes count from the very beginning, and where it stands in the end.

    Examples
    --------
    >>> bench = Scenario.preset("single-bend, torsional")
    >>> run, then = onward(bench, at_rest(bench).changed("irrigation", 0.0, 0.05), 1.0)
    >>> run.flat_at < 1, then.time
    (True, 1.0)
    """
    flow = flow or scenario.flow
    way = _way(scenario, flow, _changes(standing.ramps))
    state = begin = np.array(standing.state)
    pieces: list[tuple[Floats, Floats, Stage]] = []
    for start, stop in way.stages(end):
        if stop <= standing.time:
            continue
        stage = way.stage(start, stop)
        times = moments(max(start, standing.time), stop, grid)
        states = integrate(stage.law, times, stage.entered(state), tolerance)
        pieces.append((times, states, stage))
        state = states[-1]
    found = pieces_told(way, pieces, begin)
    return found, replace(standing, time=end, state=tuple(state.tolist()))


def _changes(ramps: Mapping[str, Ramp]) -> tuple[Change, ...]:
    out = []
    for what, (begin, first, end, last) in ramps.items():
        out.append(Change(0.0, what, first, 0.0))
        if end > begin or last != first:
            out.append(Change(begin, what, last, end - begin))
    return tuple(out)


def _way(scenario: Scenario, flow: Flow, changes: Sequence[Change]) -> Way:
    return Way(circuit(scenario, flow), flow, scenario.surge, scenario.chamber.volume, changes)
