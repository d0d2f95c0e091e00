"""From event to event: the marches through what is set in between."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from tipsim.heat.cells import Cells
from tipsim.heat.march import March, march
from tipsim.heat.moment import equations, heating_of
from tipsim.heat.state import State, states
from tipsim.heat.stepping import Marcher
from tipsim.motion.run import Motion, run
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.drive import Duty
from tipsim.setup.event import Event
from tipsim.setup.flow import Flow
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press


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
        self.marchers: dict[tuple[Flow, Press | None, bool, bool, bool], Marcher] = {}
        self.motions = {scenario.press: motion}

    def march(
        self, state: State, start: Floats, begin: float, end: float, dry: Floats | None = None
    ) -> March:
        """March between two events."""
        heat = heating_of(self.scenario, self._motion(state), self.cells, state, self.duty)
        # Without power nothing leans on temperature, and a step that leans would lose energy.
        key = (state.flow, state.press, state.stuck, state.flat, state.on)
        if key not in self.marchers:
            net, boiling = equations(self.scenario, self.cells, state)
            lean = np.maximum(-heat.slope(start), 0.0)
            self.marchers[key] = Marcher(net, self.model.tolerance, boiling=boiling, lean=lean)
        marcher = self.marchers[key]
        if dry is not None and marcher.boiling is not None and dry.any():
            # Where fluid comes it fills at once what had boiled dry.
            dry = dry.copy()
            dry[marcher.boiling.cells[marcher.boiling.through > 0]] = 0.0
        return march(marcher, start, begin, end, heat, dry)

    def _motion(self, state: State) -> Motion:
        """Return the motion under what presses at this moment: a load holds the sleeve."""
        if state.press not in self.motions:
            self.motions[state.press] = run(replace(self.scenario, press=state.press))
        return self.motions[state.press]

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
            One between each two stops.
        """
        scenario = self.scenario
        set_at = states(replace(scenario, events=tuple(events)))
        edges = pulse_edges(scenario.duty, end) if pulses else ()
        stops = {*edges, *(t for t, _ in set_at if t < end), end}
        parts: list[March] = []
        now, dry = begin, np.zeros(self.cells.size)
        for stop in sorted(t for t in stops if t > begin):
            if stop > now + 1e-9:
                state = next(s for t, s in reversed(set_at) if t <= now)
                resting = pulses and not scenario.duty.is_on((now + stop) / 2)
                moment = replace(state, on=state.on and not resting)
                parts.append(self.march(moment, temperature, now, stop, dry))
                temperature, dry, now = parts[-1].temperature[-1], parts[-1].dry[-1], stop
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
