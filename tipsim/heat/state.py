"""What is set from event to event."""

from dataclasses import replace

from tipsim.flow.balance import balance, flows
from tipsim.flow.transient import collapse_time
from tipsim.heat.cells import POOLED
from tipsim.setup.described import about, described
from tipsim.setup.event import Event
from tipsim.setup.flow import Flow
from tipsim.setup.heat import VISCOELASTIC
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press


@described()
class State:
    """What is set between two events."""

    on: bool = about("Whether the drive runs.")
    power: float = about("Share of full stroke.")
    flow: Flow
    press: Press | None
    stuck: bool = about("Whether viscoelastic stands around the needle.", default=False)
    flat: bool = about("Whether the chamber has fallen flat.", default=False)

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
            return replace(self, flow=first.flow, flat=first.flat)
        if what == "viscoelastic cleared":
            return replace(self, stuck=False)
        if what == "load off":
            return replace(self, press=None)
        base = self.press or first.press or usual
        changes = {"force": event.force, "place": event.place}
        return replace(
            self, press=replace(base, **{k: v for k, v in changes.items() if v is not None})
        )

    @property
    def flowing(self) -> Flow:
        """The flow that counts: none as long as viscoelastic stands around the needle."""
        return replace(self.flow, aspiration=0.0, leak=0.0) if self.stuck else self.flow


def has_chamber(scenario: Scenario) -> bool:
    """Return whether the needle stands in a chamber that its own sleeve fills."""
    return scenario.outside.kind in POOLED and scenario.sleeve is not None


def first_state(scenario: Scenario) -> State:
    """Return what a bench is set to at the start.

    A setting by which the bottle gives less than is drawn has a flat chamber from the start.
    """
    filled = scenario.outside.kind in POOLED and scenario.chamber.filling == VISCOELASTIC
    flat = has_chamber(scenario) and not filled and balance(scenario).collapses
    return State(True, scenario.drive.power, scenario.flow, scenario.press, filled, flat)


def states(scenario: Scenario) -> list[tuple[float, State]]:
    """Return what is set from each time on: at the start, and after each event.

    Examples
    --------
    >>> from dataclasses import replace
    >>> bench = Scenario.preset("straight, axial")
    >>> events = (Event(5.0, "power", share=0.5), Event(2.0, "flow lost"))
    >>> [(round(t, 1), s.power, s.flat) for t, s in states(replace(bench, events=events))]
    [(0.0, 1.0, False), (2.0, 1.0, False), (2.7, 1.0, True), (5.0, 0.5, True)]
    """
    state = first = first_state(scenario)
    out = [(0.0, state)]
    falls: float | None = None
    for event in sorted(scenario.events, key=lambda e: e.time):
        if falls is not None and falls <= event.time:
            state = replace(state, flat=True)
            out.append((falls, state))
            falls = None
        if event.what == "flow lost" and not event.flow and falls is None and not state.flat:
            falls = _falls(scenario, state, event.time)
        if event.what == "flow back":
            falls = None
        state = state.after(event, first, Press())
        out.append((event.time, state))
    return out if falls is None else [*out, (falls, replace(state, flat=True))]


def _falls(scenario: Scenario, state: State, lost: float) -> float | None:
    """Return when the chamber is flat whose irrigation is lost at a time [s]; None if never."""
    if state.stuck or not has_chamber(scenario):
        return None
    after = collapse_time(replace(scenario, press=state.press), state.flow)
    return None if after is None else lost + after


def flat_from(scenario: Scenario) -> float | None:
    """Return from when on the chamber is flat [s]; None if never within the run.

    Examples
    --------
    >>> from dataclasses import replace
    >>> bench = Scenario.preset("single-bend, torsional").with_(**{"outside.kind": "wound"})
    >>> flat_from(bench) is None
    True
    >>> 5.4 < flat_from(replace(bench, events=(Event(5.0, "flow lost"),))) < 6
    True
    """
    first = next((t for t, state in states(scenario) if state.flat), None)
    return first if first is not None and first < scenario.duration else None


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
    none = (t for t, state in states(scenario) if flows(scenario, state.flowing).irrigation <= 0)
    first = next(none, None)
    return first if first is not None and first < scenario.duration else None
