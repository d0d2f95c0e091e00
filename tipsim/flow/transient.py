"""The fluid through time: what a bench does when irrigation, opening or pump change.

Five things change by themselves: the chamber's volume, the pressure in the line to the pump, the
flows in both lines (the water has mass) and the vacuum in the reservoir of a vacuum-controlled
pump. The needle itself follows at once.
"""

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np

from tipsim.flow.balance import Flows
from tipsim.flow.change import Change
from tipsim.flow.circuit import Circuit, circuit
from tipsim.flow.law import Floats, Stage, Way
from tipsim.flow.march import integrate, moments
from tipsim.setup.described import about, described
from tipsim.setup.flow import Flow, Trial
from tipsim.setup.scenario import Scenario

_LEAST = {"aspiration": 1e-13, "leak": 1e-13, "bottle_height": 1e-8, "vacuum_limit": 1e-3}
"""Settings below these, in SI, are taken as 0."""
_FLOWS = ("mouth", "bypass", "irrigation", "leak")
_CURVES = (
    *("time", "irrigation_open", "open_share", "chamber", "volume", "line", "vacuum"),
    *(*_FLOWS, "pumped", "volumes", "stored"),
)


@described(eq=False)
class Transient:
    """A run: pressures above the room's [Pa], flows [m³/s], volumes [m³]; each of shape (n,)."""

    time: Floats = about("[s].")
    irrigation_open: Floats = about("Share of the irrigation line's bore that is free.")
    open_share: Floats = about("Share of the opening that is free.")
    chamber: Floats = about(
        "Pressure in the chamber: 0 while it has too little to be round; less in a flat one."
    )
    volume: Floats = about(
        "Volume of the chamber; 0 when it is flat, and some µL less while the pump sucks at it."
    )
    line: Floats = about("Pressure in the line to the pump, where it complies.")
    vacuum: Floats = about("At the pump; 0 where the chamber pushes fluid through it.")
    irrigation: Floats = about("From the bottle.")
    mouth: Floats = about("Into the opening.")
    bypass: Floats = about("From the sleeve through the bypass hole.")
    leak: Floats = about("Out of the wound.")
    pumped: Floats = about("What the pump takes; less than 0 while a vent lets fluid back.")
    volumes: Floats = about(
        "In from the bottle, out by the wound, into mouth and hole, out by the pump, shape (n, 4)."
    )
    stored: Floats = about("What chamber and line hold more than at the start, shape (n, 2).")
    emptied_at: float | None = about(
        "When the chamber's pressure first falls to the room's [s]: its walls come in."
    )
    flat_at: float | None = about("When the chamber first has no volume left [s].")
    bottle: float = about("Pressure of the bottle at the eye's height, as set [Pa].")
    full: float = about("Volume of the chamber at its usual pressure [m³].")
    chamber_compliance: float = about("[m³/Pa].")
    vacuum_limit: float = about("As set on the pump [Pa].")

    def flows(self, time: float) -> Flows:
        """Return the flows at a time [s], between the run's points."""
        return Flows(*(float(np.interp(time, self.time, getattr(self, n))) for n in _FLOWS))

    def until(self, end: float) -> "Transient":
        """Return the run up to a time [s], which becomes its last point."""
        curves: dict[str, Any] = {n: _cut(self.time, getattr(self, n), end) for n in _CURVES}
        return replace(self, **curves)


def transient(
    scenario: Scenario,
    changes: Sequence[Change] = (),
    duration: float = 2.0,
    flow: Flow | None = None,
) -> Transient:
    """Follow a bench's fluid from rest through changes.

    Parameters
    ----------
    changes : sequence of Change, optional
    duration : float
        [s].
    flow : Flow, optional
        Setting; the scenario's own when absent.

    Returns
    -------
    Transient
        Kept, so that asking again costs nothing. A chamber that is flat fills again when more
        comes in than is drawn; until then only what comes in is drawn.

    Examples
    --------
    >>> bench = Scenario.preset("single-bend, torsional")
    >>> run = transient(bench, [Change(0.1, "irrigation", 0.0)])
    >>> run.emptied_at < run.flat_at < 1
    True
    """
    flow = flow or scenario.flow
    ways, volume = circuit(scenario, flow), scenario.chamber.volume
    return run_changes(ways, flow, scenario.surge, volume, tuple(changes), duration)


def collapse_time(scenario: Scenario, flow: Flow | None = None) -> float | None:
    """Return how long after the irrigation has stopped the chamber is flat [s].

    Parameters
    ----------
    flow : Flow, optional
        Setting; the scenario's own when absent.

    Returns
    -------
    float or None
        From the moment the line begins to kink or the bottle is empty; None when the chamber keeps
        some volume for `LONGEST` seconds, or the needle has none (an open bath).

    Examples
    --------
    >>> 0.4 < collapse_time(Scenario.preset("single-bend, torsional")) < 1
    True
    """
    stop = Change(0.0, "irrigation", 0.0, scenario.surge.closing_time)
    return transient(scenario, [stop], LONGEST, flow).flat_at


LONGEST = 20.0
"""How long a chamber without irrigation is watched [s]."""


@lru_cache(maxsize=64)
def run_changes(
    ways: Circuit,
    flow: Flow,
    trial: Trial,
    volume: float,
    changes: tuple[Change, ...],
    duration: float,
) -> Transient:
    """Follow given ways; see `transient`."""
    # The solver loses its way among numbers near the smallest there are.
    felt: dict[str, Any] = {
        n: v if (v := getattr(flow, n)) >= least else 0.0 for n, least in _LEAST.items()
    }
    way = Way(ways, replace(flow, **felt), trial, volume, changes)
    state, begin = way.begin(), way.begin()
    pieces: list[tuple[Floats, Floats, Stage]] = []
    for start, end in way.stages(duration):
        stage = way.stage(start, end)
        times = moments(start, end)
        states = integrate(stage.law, times, stage.entered(state))
        pieces.append((times, states, stage))
        state = states[-1]
    return pieces_told(way, pieces, begin)


def pieces_told(way: Way, pieces: list[tuple[Floats, Floats, Stage]], begin: Floats) -> Transient:
    """Return a run from its pieces: times, states and laws; `begin` is its first state."""
    time, states = (np.concatenate([piece[i] for piece in pieces]) for i in (0, 1))
    flows = np.vstack([stage.flows(times, s) for times, s, stage in pieces])
    shares = np.vstack([stage.shares(times) for times, _, stage in pieces])
    chamber, leak, bypass, pumped, vacuum = flows.T
    trial, bath = way.trial, way.ways.bath
    return Transient(
        time=time,
        irrigation_open=shares[:, 0],
        open_share=shares[:, 1],
        chamber=chamber,
        volume=states[:, 0],
        line=states[:, 1],
        vacuum=np.maximum(vacuum, 0.0),
        irrigation=states[:, 2],
        mouth=states[:, 3] - bypass,
        bypass=bypass,
        leak=leak,
        pumped=pumped,
        volumes=states[:, 5:],
        stored=(states[:, :2] - begin[:2]) * [1.0, trial.line_compliance],
        emptied_at=None if bath else _crossing(time, states[:, 0] - way.slack),
        flat_at=None if bath else _crossing(time, states[:, 0]),
        bottle=way.bottle,
        full=way.full,
        chamber_compliance=trial.chamber_compliance,
        vacuum_limit=way.flow.vacuum_limit,
    )


def _crossing(time: Floats, values: Floats) -> float | None:
    """Return when values first fall to 0 or below, between points."""
    below = np.flatnonzero(values <= 0)
    if not below.size:
        return None
    n = int(below[0])
    if n == 0:
        return 0.0
    a, b = float(values[n - 1]), float(values[n])
    return float(time[n - 1] + (time[n] - time[n - 1]) * a / (a - b))


def _cut(time: Floats, values: Floats, end: float) -> Floats:
    last = int(np.searchsorted(time, end))
    if last >= len(time):
        return values
    if time[last] == end or last == 0:
        return values[: last + 1]
    share = (end - time[last - 1]) / (time[last] - time[last - 1])
    between = values[last - 1] + share * (values[last] - values[last - 1])
    return np.concatenate([values[:last], between[None]])
