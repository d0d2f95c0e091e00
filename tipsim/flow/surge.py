"""Occlusion and its break through time.

Four things change: the chamber's pressure and that in the line to the pump (both give a little),
and the flows in both lines (the water has mass). The needle itself follows at once. While the
opening is occluded the pump empties the line to its vacuum limit; at the occlusion break the line
fills from the chamber, faster than the bottle can follow: the chamber's pressure dips (surge).
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tipsim.flow.balance import leak_conductance, solve_circuit
from tipsim.flow.circuit import Circuit, bottle_pressure, circuit
from tipsim.flow.path import Path
from tipsim.flow.split import through_hole
from tipsim.setup.described import about, described
from tipsim.setup.flow import Flow, Trial
from tipsim.setup.scenario import Scenario

Floats = NDArray[np.float64]
Share = Callable[[float], float]
"""Share of the mouth that is open, over time."""
Law = Callable[[float, Floats], Sequence[float]]
_Within = tuple[float, float, float]

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
"""What is small: pressures [Pa], flows [m³/s], volumes [m³]; times the tolerance above."""
_ROUNDS = 60


@described(eq=False)
class Surge:
    """A run: the fragment comes at `blocked`, breaks free at `released`."""

    time: Floats = about(
        "[s]; shorter than the whole when the chamber falls flat, where the model ends. Shape (n,)."
    )
    open_share: Floats = about("Share of the mouth that is open, shape (n,).")
    chamber: Floats = about("Pressure in the chamber; vacuum at the pump [Pa]. Shape (n,).")
    vacuum: Floats
    irrigation: Floats = about("Flows [m³/s]; `pumped` is what the pump takes. Shape (n,).")
    mouth: Floats
    bypass: Floats
    leak: Floats
    pumped: Floats
    volumes: Floats = about(
        "In from the bottle, out by the wound, into mouth and hole, out by the pump [m³], shape "
        "(n, 4)."
    )
    stored: Floats = about(
        "Volume that chamber and line hold more than at the start [m³], shape (n, 2)."
    )
    blocked: float = about("When the fragment comes, and when it breaks free [s].")
    released: float
    flat_at: float | None = about(
        "When the chamber's pressure falls to the room's [s]: the chamber would collapse."
    )
    bottle: float = about("Pressure of the bottle at the eye's height [Pa].")
    chamber_compliance: float = about("[m³/Pa].")
    vacuum_limit: float = about("The pump's limit [Pa].")

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
        stages: list[tuple[float, float, Share]] = [
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
            shares = np.array([share(x) for x in times.tolist()])
            pieces.append((times, states, shares))
            state = states[-1]
        if not pieces:
            pieces = [(np.zeros(1), begin[None], np.array([self.free]))]
        return self._told(pieces, begin, blocked, released, flat_at)

    def _stage(
        self, state: Floats, start: float, end: float, share: Share
    ) -> tuple[Floats, Floats, float | None]:
        state = state.copy()
        if share((start + end) / 2) < SHUT and self.ways.bypass is None:
            state[3] = 0.0  # The last thousandth shuts at once.
        law, times = self._law(share), _times(start, end)
        states = _integrate(law, times, state)
        fallen = np.flatnonzero((states[:-1, 0] >= 0) & (states[1:, 0] <= 0))
        if self.ways.bath or not fallen.size:
            return times, states, None
        n = int(fallen[0]) + 1
        at, last = _fallen(law, states[n - 1], float(times[n - 1]), float(times[n]))
        return np.append(times[:n], at), np.vstack([states[:n], last]), at

    def _within(self, chamber: float, supply: float, drawn: float, share: float) -> _Within:
        """Return the flow through the hole and the pressures before it and above it."""
        ways = self.ways
        onward, mouth, hole = ways.onward, ways.mouth, ways.bypass
        if hole is None:
            before = chamber + onward.drop(supply)
            if share < SHUT:
                return 0.0, before, chamber
            square = mouth.square + ways.narrowing * (1 / share**2 - 1)
            return 0.0, before, chamber - (mouth.linear + square * abs(drawn)) * drawn
        if share < SHUT:
            before = chamber + onward.drop(supply - drawn)
            return drawn, before, before - hole.drop(drawn)
        narrowed = ways.narrowed(share)
        through = through_hole(hole, onward, narrowed, supply, drawn)
        top = chamber - narrowed.drop(drawn - through)
        return through, chamber + onward.drop(supply - through), top

    def _pump(self, in_line: float) -> float:
        """Return what the pump takes at a pressure in the line [m³/s]."""
        room = (in_line + self.flow.vacuum_limit) / self.half.linear
        return max(0.0, min(self.flow.aspiration, room))

    def _law(self, share: Share) -> Law:
        """Return the rate of change of a state as a function of time and state."""
        ways, way_up, within, pump = self.ways, self.way_up, self._within, self._pump
        chamber_gives, line_gives = self.trial.chamber_compliance, self.trial.line_compliance
        shut_off, supply_inertia = ways.bypass is None, ways.supply_inertia or 1.0
        bottle, slit, bath = self.bottle, self.leak, ways.bath

        def law(now: float, state: Floats) -> Sequence[float]:
            chamber, in_line, supply, drawn = state.tolist()[:4]
            open_share = share(now)
            _, before, top = within(chamber, supply, drawn, open_share)
            leak, pumped = slit * chamber, pump(in_line)
            fills = pours = rises = 0.0
            if not bath:
                fills = (supply - leak - drawn) / chamber_gives
                pours = (bottle - before - ways.supply.drop(supply)) / supply_inertia
            if open_share >= SHUT or not shut_off:
                rises = (top - in_line - way_up.drop(drawn)) / ways.line_inertia
            line = (drawn - pumped) / line_gives
            return fills, line, pours, rises, supply, leak, drawn, pumped

        return law

    def _told(
        self,
        pieces: list[tuple[Floats, Floats, Floats]],
        begin: Floats,
        blocked: float,
        released: float,
        flat_at: float | None,
    ) -> Surge:
        time, states, share = (np.concatenate(each) for each in zip(*pieces, strict=True))
        through = np.zeros(len(time))
        if self.ways.bypass is not None:
            rows = np.column_stack([states[:, [0, 2, 3]], share]).tolist()
            through = np.array([self._within(p, q, up, s)[0] for p, q, up, s in rows])
        pumped = np.array([self._pump(p) for p in states[:, 1].tolist()])
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


def _integrate(law: Law, times: Floats, state: Floats) -> Floats:
    """Return the states at all times, from that at the first."""
    # Only now: this package takes a third of a second to load.
    from scipy.integrate import odeint

    start, end = float(times[0]), float(times[-1])
    # One call for all times: a call for each step of the solver costs more than the step. Its
    # types know no tolerance for each number.
    states, report = odeint(  # type: ignore[call-overload]
        law,
        state,
        times,
        tfirst=True,
        rtol=_TOLERANCE * 1e2,
        atol=_TOLERANCE * _SIZES * 1e2,
        tcrit=[end],
        h0=min(1e-5, (end - start) / 10),
        hmax=max((end - start) / 8, 1e-3),
        mxstep=100_000,
        full_output=True,
    )
    if report["message"] != "Integration successful.":
        raise RuntimeError(report["message"])
    return np.asarray(states)


def _fallen(law: Law, state: Floats, start: float, end: float) -> tuple[float, Floats]:
    """Return when the chamber's pressure falls to 0 between two times, and the state then."""
    at, low, high, now = start, start, end, state
    for _ in range(_ROUNDS):
        if abs(now[0]) <= _TOLERANCE * _SIZES[0]:
            break
        low, high = (at, high) if now[0] > 0 else (low, at)
        slope = law(at, now)[0]
        step = at - now[0] / slope if slope else low
        at = float(step) if low < step < high else (low + high) / 2
        now = _integrate(law, np.array([start, at]), state)[-1]
    return at, now


def _ramp(low: float, high: float, start: float, end: float) -> Share:
    return lambda x: low + (high - low) * min(1.0, max(0.0, (x - start) / (end - start)))


def _times(start: float, end: float) -> Floats:
    """Return moments to tell of: close at first, where much happens."""
    span = end - start
    fine = np.arange(0.0, min(span, 0.3), 2e-3)
    coarse = np.arange(0.3, span, 1e-2) if span > 0.3 else np.empty(0)
    inside = start + np.concatenate([fine, coarse])
    return np.append(inside[inside < end], end)
