"""Occlusion and its break through time.

Four things change: the chamber's pressure and that in the line to the pump (both give a little),
and the flows in both lines (the water has mass). The needle itself follows at once. While the
opening is occluded the pump empties the line to its vacuum limit; at the occlusion break the line
fills from the chamber, faster than the bottle can follow: the chamber's pressure dips (surge).
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tipsim.flow.balance import leak_conductance, solve_circuit
from tipsim.flow.circuit import Circuit, bottle_pressure, circuit
from tipsim.flow.path import Path
from tipsim.flow.split import through_hole
from tipsim.setup.flow import Flow, Trial
from tipsim.setup.scenario import Scenario

Floats = NDArray[np.float64]

BEFORE = 0.2
"""Shown before the piece comes [s]."""
AFTER = 2.0
"""Shown after it has let go [s]."""
SHUT = 1e-3
"""A mouth that is open to a smaller share than this counts as blocked."""
_TOLERANCE = 1e-9
_LEAST = {"aspiration": 1e-13, "leak": 1e-13, "bottle_height": 1e-8, "vacuum_limit": 1e-3}
"""Settings below these, in SI, are taken as 0."""
_SIZES = np.array([1e2, 1e2, 1e-8, 1e-8, 1e-9, 1e-9, 1e-9, 1e-9])
"""What is small: pressures [Pa], flows [m³/s], volumes [m³]; times the tolerance below."""


@dataclass(frozen=True, eq=False)
class Surge:
    """A run: the fragment comes at `blocked`, breaks free at `released`.

    Attributes
    ----------
    time : (n,) array
        [s]; shorter than the whole when the chamber falls flat, where the model ends.
    open_share : (n,) array
        Share of the mouth that is open.
    chamber, vacuum : (n,) arrays
        Pressure in the chamber; vacuum at the pump [Pa].
    irrigation, mouth, bypass, leak, pumped : (n,) arrays
        Flows [m³/s]; `pumped` is what the pump takes.
    volumes : (n, 4) array
        In from the bottle, out by the wound, into mouth and hole, out by the pump [m³].
    stored : (n, 2) array
        Volume that chamber and line hold more than at the start [m³].
    blocked, released : float
        When the fragment comes, and when it breaks free [s].
    flat_at : float or None
        When the chamber's pressure falls to the room's [s]: the chamber would collapse.
    bottle, vacuum_limit : float
        Pressure of the bottle at the eye's height, and the pump's limit [Pa].
    chamber_compliance : float
        [m³/Pa].
    """

    time: Floats
    open_share: Floats
    chamber: Floats
    vacuum: Floats
    irrigation: Floats
    mouth: Floats
    bypass: Floats
    leak: Floats
    pumped: Floats
    volumes: Floats
    stored: Floats
    blocked: float
    released: float
    flat_at: float | None
    bottle: float
    chamber_compliance: float
    vacuum_limit: float

    @property
    def lowest(self) -> float:
        """Lowest chamber pressure after the occlusion break, or in all if flat before [Pa]."""
        after = self.chamber[self.time >= self.released]
        return float(after.min() if after.size else self.chamber.min())

    @property
    def depth(self) -> float:
        """Surge: how far the chamber's pressure falls below what it was before all [Pa]."""
        return max(0.0, float(self.chamber[0]) - self.lowest)

    @property
    def lost(self) -> float:
        """Volume that the chamber loses against before [m³]."""
        return self.chamber_compliance * self.depth

    @property
    def rise_time(self) -> float | None:
        """Time from the piece's coming to 95 % of the vacuum limit [s]; None if not reached."""
        held = (self.time >= self.blocked) & (self.time <= self.released)
        there = self.time[held & (self.vacuum >= 0.95 * self.vacuum_limit)]
        return float(there[0] - self.blocked) if there.size else None

    @property
    def fastest(self) -> float:
        """Largest flow up the bore [m³/s]."""
        return float((self.mouth + self.bypass).max())


def surge(scenario: Scenario, flow: Flow | None = None) -> Surge:
    """Block the mouth of a bench for a while and let go.

    Parameters
    ----------
    scenario : Scenario
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
    return run_circuit(circuit(scenario), flow or scenario.flow, scenario.surge)


@lru_cache(maxsize=32)
def run_circuit(ways: Circuit, flow: Flow, trial: Trial) -> Surge:
    """Run a trial through given ways; see `surge`."""
    # The solver loses its way among numbers near the smallest there are.
    felt = {n: v if (v := getattr(flow, n)) >= least else 0.0 for n, least in _LEAST.items()}
    return _Run(ways, replace(flow, **felt), trial).whole()


class _Run:
    """One run, stage by stage. State: p chamber, p line, q supply, q bore, four volumes."""

    def __init__(self, ways: Circuit, flow: Flow, trial: Trial) -> None:
        self.ways, self.flow, self.trial = ways, flow, trial
        self.bottle = 0.0 if ways.bath else bottle_pressure(flow, ways.density)
        self.leak = leak_conductance(flow)
        self.half = Path(ways.line.linear / 2)
        self.way_up = ways.bore + self.half
        self.free = 1 - flow.occlusion
        self.start = solve_circuit(ways, flow)

    def whole(self) -> Surge:
        flows, t = self.start.flows, self.trial
        drawn = flows.mouth + flows.bypass
        in_line = -self.start.vacuum + self.half.drop(drawn)
        state = np.array(
            [self.start.chamber_pressure, in_line, flows.irrigation, drawn, 0, 0, 0, 0]
        )
        begin = state.copy()
        blocked, released = BEFORE, BEFORE + t.closing_time + t.hold
        shut, opened = BEFORE + t.closing_time, released + t.opening_time
        closing = _ramp(self.free, SHUT, BEFORE, shut)
        opening = _ramp(SHUT, self.free, released, opened)
        stays = self.free < SHUT
        stages: list[tuple[float, float, Callable[[float], float]]] = [
            (0.0, blocked, lambda _: self.free),
            (blocked, shut, (lambda _: 0.0) if stays else closing),
            (shut, released, lambda _: 0.0),
            (released, opened, (lambda _: 0.0) if stays else opening),
            (opened, opened + AFTER, lambda _: self.free),
        ]
        pieces: list[tuple[Floats, Floats, Floats]] = []
        flat_at = 0.0 if self.start.collapses else None
        for start, end, share in stages:
            if flat_at is not None:
                break
            times, states, flat_at = self._stage(state, start, end, share)
            shares = np.array([share(x) for x in times])
            pieces.append((times, states, shares))
            state = states[-1]
        if not pieces:
            pieces = [(np.zeros(1), begin[None], np.array([self.free]))]
        return self._told(pieces, begin, blocked, released, flat_at)

    def _stage(
        self, state: Floats, start: float, end: float, share: Callable[[float], float]
    ) -> tuple[Floats, Floats, float | None]:
        # Only now: this package takes a third of a second to load.
        from scipy.integrate import solve_ivp

        state = state.copy()
        if share((start + end) / 2) < SHUT and self.ways.bypass is None:
            state[3] = 0.0  # The last thousandth shuts at once.

        def flat(_: float, y: Floats) -> float:
            return float(y[0])

        flat.terminal = True  # type: ignore[attr-defined]
        flat.direction = -1  # type: ignore[attr-defined]
        done = solve_ivp(
            lambda x, y: self._rate(y, share(x)),
            (start, end),
            state,
            method="LSODA",
            t_eval=_times(start, end),
            events=None if self.ways.bath else flat,
            rtol=_TOLERANCE * 1e2,
            atol=_TOLERANCE * _SIZES * 1e2,
            first_step=min(1e-5, (end - start) / 10),
            max_step=max((end - start) / 8, 1e-3),
        )
        if not done.success:
            raise RuntimeError(done.message)
        if done.status == 1:
            assert done.t_events is not None and done.y_events is not None
            at = float(done.t_events[0][0])
            return np.append(done.t, at), np.vstack([done.y.T, done.y_events[0][0]]), at
        return done.t, done.y.T, None

    def _inside(self, y: Floats, share: float) -> tuple[float, float, float]:
        """Return the flow through the hole and the pressures before it and above it."""
        chamber, supply, drawn = y[0], y[2], y[3]
        ways = self.ways
        if ways.bypass is None:
            inward = ways.narrowed(share).drop(drawn) if share >= SHUT else 0.0
            return 0.0, chamber + ways.onward.drop(supply), chamber - inward
        if share < SHUT:
            before = chamber + ways.onward.drop(supply - drawn)
            return drawn, before, before - ways.bypass.drop(drawn)
        mouth = ways.narrowed(share)
        through = through_hole(ways.bypass, ways.onward, mouth, supply, drawn)
        top = chamber - mouth.drop(drawn - through)
        return through, chamber + ways.onward.drop(supply - through), top

    def _pump(self, in_line: float) -> float:
        """Return what the pump takes at a pressure in the line [m³/s]."""
        room = (in_line + self.flow.vacuum_limit) / self.half.linear
        return max(0.0, min(self.flow.aspiration, room))

    def _rate(self, y: Floats, share: float) -> list[float]:
        chamber, in_line, supply, drawn = y[:4].tolist()
        ways, trial = self.ways, self.trial
        _, before, top = self._inside(y, share)
        leak, pumped = self.leak * chamber, self._pump(in_line)
        fills = (supply - leak - drawn) / trial.chamber_compliance
        pours = (self.bottle - before - ways.supply.drop(supply)) / (ways.supply_inertia or 1.0)
        rises = (top - in_line - self.way_up.drop(drawn)) / ways.line_inertia
        if ways.bath:
            fills = pours = 0.0
        if share < SHUT and ways.bypass is None:
            rises = 0.0
        line = (drawn - pumped) / trial.line_compliance
        return [fills, line, pours, rises, supply, leak, drawn, pumped]

    def _told(
        self,
        pieces: list[tuple[Floats, Floats, Floats]],
        begin: Floats,
        blocked: float,
        released: float,
        flat_at: float | None,
    ) -> Surge:
        time, states, share = (np.concatenate(each) for each in zip(*pieces, strict=True))
        through = np.array([self._inside(y, s)[0] for y, s in zip(states, share, strict=True)])
        pumped = np.array([self._pump(p) for p in states[:, 1]])
        gain = (states[:, :2] - begin[:2]) * [
            self.trial.chamber_compliance,
            self.trial.line_compliance,
        ]
        return Surge(
            time=time,
            open_share=share,
            chamber=states[:, 0],
            vacuum=self.half.linear * pumped - states[:, 1],
            irrigation=states[:, 2],
            mouth=states[:, 3] - through,
            bypass=through,
            leak=self.leak * states[:, 0],
            pumped=pumped,
            volumes=states[:, 4:],
            stored=gain,
            blocked=blocked,
            released=released,
            flat_at=flat_at,
            bottle=self.bottle,
            chamber_compliance=self.trial.chamber_compliance,
            vacuum_limit=self.flow.vacuum_limit,
        )


def _ramp(low: float, high: float, start: float, end: float) -> Callable[[float], float]:
    return lambda x: low + (high - low) * min(1.0, max(0.0, (x - start) / (end - start)))


def _times(start: float, end: float) -> Floats:
    """Return moments to tell of: close at first, where much happens."""
    span = end - start
    fine = np.arange(0.0, min(span, 0.3), 2e-3)
    coarse = np.arange(0.3, span, 1e-2) if span > 0.3 else np.empty(0)
    inside = start + np.concatenate([fine, coarse])
    return np.append(inside[inside < end], end)
