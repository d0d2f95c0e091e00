"""How the fluid of a bench changes: rates of its state, stretch by stretch.

State: volume of the chamber, pressure in the line, flows of supply and bore, vacuum in the pump's
reservoir; then the volumes in from the bottle, out by the wound, up the bore, out by the pump.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tipsim.flow.balance import leak_conductance, solve_circuit
from tipsim.flow.change import SHUT, WHAT, Change, Course
from tipsim.flow.circuit import Circuit, bottle_pressure
from tipsim.flow.path import Path
from tipsim.flow.split import through_hole
from tipsim.setup.flow import Flow, Trial
from tipsim.setup.sourced import number

Floats = NDArray[np.float64]

_SOLID = 50.0
"""By how much a flat chamber, tissue on tissue, is stiffer than a full one."""
_TINY = 1e-9


class Way:
    """A bench's ways with what is done to them."""

    def __init__(
        self,
        ways: Circuit,
        flow: Flow,
        trial: Trial,
        volume: float,
        changes: Sequence[Change],
    ) -> None:
        self.ways, self.flow, self.trial, self.full = ways, flow, trial, volume
        self.bottle = 0.0 if ways.bath else bottle_pressure(flow, ways.density)
        self.rest = ways.line.linear * (1 - trial.place)
        self.way_up = ways.bore + Path(ways.line.linear * trial.place)
        self.inertia = ways.bore_inertia + ways.line_inertia * trial.place
        self.slit = leak_conductance(flow)
        self.reflux = number("flow.reflux_pressure").si
        # What the chamber holds at the room's pressure.
        self.slack = max(0.0, volume - trial.chamber_compliance * flow.leak_pressure)
        first = {"opening": 1 - flow.occlusion}
        self.courses = {w: Course(first.get(w, 1.0), changes, w) for w in WHAT}
        self.steady = solve_circuit(ways, flow)

    @property
    def idle(self) -> bool:
        """Whether the pump is set to nothing."""
        return not (self.flow.vacuum_limit if self.flow.by_vacuum else self.flow.aspiration)

    def begin(self) -> Floats:
        """Return the state at rest; a chamber that cannot be kept full is flat."""
        b = self.steady
        drawn = b.flows.mouth + b.flows.bypass
        volume = self.slack + self.trial.chamber_compliance * b.chamber_pressure
        in_line = self.rest * drawn - b.pump_vacuum
        held = self.flow.vacuum_limit if self.flow.by_vacuum else 0.0
        return np.array(
            [0.0 if b.collapses else volume, in_line, b.flows.irrigation, drawn, held, 0, 0, 0, 0]
        )

    def stages(self, duration: float) -> Iterator[tuple[float, float]]:
        """Yield the stretches in which everything changes evenly."""
        places = {p for c in self.courses.values() for p, _ in c.places if 0 < p < duration}
        edges = [0.0, *sorted(places), duration]
        for a, b in pairwise(edges):
            if b - a > _TINY:
                yield a, b

    def stage(self, start: float, end: float) -> "Stage":
        """Return the laws of a stretch."""
        return Stage(self, start, {n: c.stage(start, end) for n, c in self.courses.items()})


class Stage:
    """Laws of a stretch of time."""

    def __init__(self, way: Way, start: float, lines: dict[str, tuple[float, float]]) -> None:
        self.way, self.start, self.lines = way, start, lines
        self.no_supply = lines["irrigation"] == (0.0, 0.0)
        self.shut = lines["opening"] == (0.0, 0.0)
        self.off = lines["pump"] == (0.0, 0.0) or way.idle

    def entered(self, state: Floats) -> Floats:
        """Return the state as the stretch begins: what shuts, shuts at once in the end."""
        state = state.copy()
        if self.no_supply:
            state[2] = 0.0
        if self.shut and self.way.ways.bypass is None:
            state[3] = 0.0
        return state

    def shares(self, times: Floats) -> Floats:
        """Return the free shares of irrigation and opening, shape (n, 2)."""
        both = (self.lines["irrigation"], self.lines["opening"])
        return np.column_stack([a + b * (times - self.start) for a, b in both])

    def pressure(self, volume: float) -> float:
        """Return the chamber's pressure [Pa]: none while its walls come in, suction when flat."""
        way = self.way
        give = way.trial.chamber_compliance
        if way.ways.bath:
            return 0.0
        if volume >= way.slack:
            return (volume - way.slack) / give
        return min(0.0, volume * _SOLID / give)

    def within(
        self, chamber: float, supply: float, drawn: float, share: float
    ) -> tuple[float, float, float]:
        """Return the flow through the hole and the pressures before it and above it."""
        ways = self.way.ways
        onward, mouth, hole = ways.onward, ways.mouth, ways.bypass
        if hole is None:
            # A flat chamber passes no suction on to the sleeve's ports.
            before = max(chamber, 0.0) + onward.drop(supply)
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

    def pumped(self, in_line: float, held: float, command: float, limit: float = 1.0) -> float:
        """Return what the pump takes at a pressure in the line [m³/s]; reflux is below 0."""
        way = self.way
        if way.flow.by_vacuum:
            flow = (in_line + held) / way.rest
            return min(0.0, flow) if self.off else flow
        vent = min(0.0, way.trial.line_compliance * in_line / way.trial.pump_lag)
        if self.off:
            return vent
        if command < 0:
            # In reflux the pump vents its vacuum and pushes as well.
            room = (in_line - way.reflux) / way.rest
            return vent + min(0.0, max(way.flow.aspiration * command, room))
        room = (in_line + way.flow.vacuum_limit * limit) / way.rest
        return max(0.0, min(way.flow.aspiration * command, room))

    def law(self, now: float, state: Floats) -> Sequence[float]:
        """Return the rates of change of a state."""
        way, lines = self.way, self.lines
        ways, trial, passed = way.ways, way.trial, now - self.start
        volume, in_line, supply, drawn, held = state.tolist()[:5]
        share = lines["opening"][0] + lines["opening"][1] * passed
        command = lines["pump"][0] + lines["pump"][1] * passed
        chamber = self.pressure(volume)
        _, before, top = self.within(chamber, supply, drawn, share)
        limit = lines["limit"][0] + lines["limit"][1] * passed
        pumped = self.pumped(in_line, held, command, limit)
        leak = fills = pours = rises = 0.0
        if not ways.bath:
            leak = way.slit * max(chamber, 0.0) * (lines["leak"][0] + lines["leak"][1] * passed)
            fills = supply - leak - drawn
            if not self.no_supply:
                free = lines["irrigation"][0] + lines["irrigation"][1] * passed
                height = lines["bottle"][0] + lines["bottle"][1] * passed
                loss = ways.supply.drop(supply) + (ways.kink(free) * supply if free < 1 else 0.0)
                pours = (way.bottle * height - before - loss) / (ways.supply_inertia or 1.0)
        if ways.bypass is not None or not self.shut:
            rises = (top - in_line - way.way_up.drop(drawn)) / way.inertia
        swings = 0.0
        if way.flow.by_vacuum:
            most = way.flow.vacuum_limit * limit if command > 0 else way.reflux
            target = 0.0 if self.off else most * command
            swings = (target - held) / trial.pump_lag
        line = (drawn - pumped) / trial.line_compliance
        return fills, line, pours, rises, swings, supply, leak, drawn, pumped

    def flows(self, times: Floats, states: Floats) -> Floats:
        """Return chamber's pressure, leak, flow through the hole, pumped and vacuum, (n, 5)."""
        way, out = self.way, []
        lines, shares = self.lines, self.shares(times)[:, 1].tolist()
        commands = (lines["pump"][0] + lines["pump"][1] * (times - self.start)).tolist()
        limits = (lines["limit"][0] + lines["limit"][1] * (times - self.start)).tolist()
        leaks = (lines["leak"][0] + lines["leak"][1] * (times - self.start)).tolist()
        for row, share, command, limit, more in zip(
            states.tolist(), shares, commands, limits, leaks, strict=True
        ):
            volume, in_line, supply, drawn, held = row[:5]
            chamber = self.pressure(volume)
            through = 0.0
            if way.ways.bypass is not None:
                through = self.within(chamber, supply, drawn, share)[0]
            leak = 0.0 if way.ways.bath else way.slit * max(chamber, 0.0) * more
            pumped = self.pumped(in_line, held, command, limit)
            vacuum = held if way.flow.by_vacuum else way.rest * pumped - in_line
            out.append((chamber, leak, through, pumped, vacuum))
        return np.array(out)
