"""From event to event: what is set in between, and the marches through it."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from tipsim.flow.balance import flows
from tipsim.heat.cells import Cells
from tipsim.heat.march import March, Marcher, march
from tipsim.heat.network import network
from tipsim.heat.placing import spread
from tipsim.heat.sources import heat_sources
from tipsim.heat.ways import pressed_shut
from tipsim.motion.run import Motion, run
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.drive import Duty
from tipsim.setup.event import Event
from tipsim.setup.flow import Flow, water_viscosity
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.thermal import Press

FLUID = ("annulus", "bore")


@described()
class State:
    """What is set between two events."""

    on: bool = about("Whether the drive runs.")
    power: float = about("Share of full stroke.")
    flow: Flow
    press: Press | None

    def after(self, event: Event, first: "State", usual: Press) -> "State":
        """Return the state after an event; `first` is what the bench was set to."""
        what = event.what
        if what in ("drive on", "drive off"):
            return replace(self, on=what == "drive on")
        if what == "power":
            return replace(self, power=float(event.share or 0.0))
        if what == "occlusion":
            return replace(self, flow=replace(self.flow, occlusion=float(event.share or 0.0)))
        if what == "flow lost":
            return replace(self, flow=replace(self.flow, aspiration=0.0, leak=event.flow or 0.0))
        if what == "flow back":
            return replace(self, flow=first.flow)
        if what == "load off":
            return replace(self, press=None)
        base = self.press or first.press or usual
        changes = {"force": event.force, "place": event.place}
        return replace(
            self, press=replace(base, **{k: v for k, v in changes.items() if v is not None})
        )


def states(scenario: Scenario) -> list[tuple[float, State]]:
    """Return what is set from each time on: at the start, and after each event.

    Examples
    --------
    >>> from dataclasses import replace
    >>> bench = Scenario.preset("straight, axial")
    >>> events = (Event(5.0, "power", share=0.5), Event(2.0, "flow lost"))
    >>> [(t, s.power, s.flow.aspiration > 0) for t, s in states(replace(bench, events=events))]
    [(0.0, 1.0, True), (2.0, 1.0, False), (5.0, 0.5, False)]
    """
    state = first = State(True, scenario.drive.power, scenario.flow, scenario.press)
    out = [(0.0, state)]
    for event in sorted(scenario.events, key=lambda e: e.time):
        state = state.after(event, first, Press())
        out.append((event.time, state))
    return out


def no_flow_from(scenario: Scenario) -> float | None:
    """Return from when on no fluid comes: 0, or the event that takes it away [s]; None if never.

    Examples
    --------
    >>> from dataclasses import replace
    >>> bench = Scenario.preset("straight, axial")
    >>> no_flow_from(bench) is None
    True
    >>> no_flow_from(replace(bench, events=(Event(5.0, "flow lost"),)))
    5.0
    """
    none = (t for t, state in states(scenario) if flows(scenario, state.flow).irrigation <= 0)
    first = next(none, None)
    return first if first is not None and first < scenario.duration else None


@described()
class Model:
    """How finely heat is computed."""

    slices: int = 80
    sectors: int = 8
    tolerance: float = about("Error allowed in a step [K].", default=0.02)


class Legs:
    """Marches a bench from event to event, and keeps what that needs.

    Parameters
    ----------
    scenario : Scenario
    motion : Motion
        Its solution.
    cells : Cells
    model : Model
    duty : float
        Share of time that the drive is on, by which watts are averaged; 1 to march through pulses.
    """

    def __init__(
        self, scenario: Scenario, motion: Motion, cells: Cells, model: Model, duty: float
    ) -> None:
        self.scenario, self.motion, self.cells = scenario, motion, cells
        self.model, self.duty = model, duty
        self.marchers: dict[tuple[Flow, Press | None], Marcher] = {}
        self.motions = {scenario.press: motion}
        self.fluid = np.zeros(cells.size, dtype=bool)
        for layer in FLUID:
            index = cells.index[layer]
            self.fluid[index[index >= 0]] = True
        if cells.chamber >= 0:
            self.fluid[cells.chamber] = True

    def march(self, state: State, start: Floats, begin: float, end: float) -> March:
        """March between two events."""
        key = (state.flow, state.press)
        if key not in self.marchers:
            here = replace(self.scenario, press=state.press)
            net = network(here, self.cells, state.flow, state.press)
            self.marchers[key] = Marcher(net, self.model.tolerance)
        marcher = self.marchers[key]
        power = self._power(state)
        fluid, boiling = self.fluid, number("fluid.boiling").si
        return march(marcher, start, begin, end, power, lambda t: bool((t[fluid] >= boiling).any()))

    def _motion(self, scenario: Scenario) -> Motion:
        """Return the motion under what presses at this moment: a load holds the sleeve."""
        if scenario.press not in self.motions:
            self.motions[scenario.press] = run(scenario)
        return self.motions[scenario.press]

    def _power(self, state: State) -> Callable[[Floats], Floats]:
        """Return the sources [W] as a function of temperature: films thin out as water warms."""
        if not state.on or state.power <= 0:
            nothing = np.zeros(self.cells.size)
            return lambda _: nothing
        pressed = replace(self.scenario, press=state.press)
        found = heat_sources(pressed, self._motion(pressed), self.cells.edges)
        own = self.scenario.drive.power
        scale = (state.power / own) ** 2 if own else 0.0
        # Rubbing goes with speed, everything else with speed squared.
        linear = state.power / own if own else 0.0
        closed = pressed_shut(self.scenario, self.cells, state.press)
        fixed, films = spread(found, self.cells, state.press, scale, linear, closed)
        fixed, films = self.duty * fixed, self.duty * films
        here = self.scenario.fluid.temperature
        layer = np.sqrt(water_viscosity(here))
        wet = np.flatnonzero(films)
        film = films[wet] / layer

        def power(t: Floats) -> Floats:
            out = fixed.copy()
            out[wet] += film * np.sqrt(water_viscosity(np.clip(t[wet], 273.0, 400.0)))
            return out

        return power

    def follow(
        self,
        events: Sequence[Event],
        temperature: Floats,
        begin: float,
        end: float,
        pulses: bool = False,
    ) -> list[March]:
        """March through events.

        Parameters
        ----------
        events : sequence of Event
            In any order; those up to `begin` have happened.
        temperature : (k,) array
            Of all cells at the beginning [K].
        begin, end : float
            Times [s].
        pulses : bool
            Stop at each edge of a pulse, with the drive off in between.

        Returns
        -------
        list of March
            One between each two stops; the last may end early, by boiling.
        """
        scenario = self.scenario
        state = first = State(True, scenario.drive.power, scenario.flow, scenario.press)
        ordered = sorted(events, key=lambda e: e.time)
        for event in (e for e in ordered if e.time <= begin):
            state = state.after(event, first, Press())
        edges = pulse_edges(scenario.duty, end) if pulses else ()
        stops = {*edges, *(e.time for e in ordered if e.time < end), end}
        parts: list[March] = []
        now = begin
        for stop in sorted(t for t in stops if t > begin):
            if stop > now + 1e-9:
                resting = pulses and not scenario.duty.is_on((now + stop) / 2)
                moment = replace(state, on=state.on and not resting)
                parts.append(self.march(moment, temperature, now, stop))
                temperature, now = parts[-1].temperature[-1], stop
                if parts[-1].boiled is not None:
                    break
            for event in (e for e in ordered if e.time == stop):
                state = state.after(event, first, Press())
        return parts


def pulse_edges(duty: Duty, duration: float) -> tuple[float, ...]:
    """Return when pulses begin and end before a time [s]; none for a continuous drive.

    >>> pulse_edges(Duty("pulsed", 0.25, 0.25), 1.0)
    (0.25, 0.5, 0.75)
    """
    if not duty.off_time:
        return ()
    period = duty.on_time + duty.off_time
    starts = period * np.arange(np.ceil(duration / period))
    edges = np.concatenate([starts, starts + duty.on_time])
    return tuple(float(t) for t in np.sort(edges) if 0 < t < duration)
