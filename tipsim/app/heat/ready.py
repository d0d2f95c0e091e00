"""Ready scenarios of the heat page, chosen by words."""

from __future__ import annotations

from dataclasses import dataclass, replace

from tipsim.setup.event import Event
from tipsim.setup.flow import Flow
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press
from tipsim.setup.units import GRAM

USUAL = Scenario.preset("single-bend, torsional").flow
"""Flow of a fresh bench."""
LOAD = Press(force=GRAM.to_si(30))


@dataclass(frozen=True)
class Ready:
    """A bench to start from: flow, load and events; needle, drive and surroundings stay.

    Attributes
    ----------
    id, title, words : str
        Name in the link's language, on the button, and what it is about.
    flow : Flow
    press : Press or None
    events : tuple of Event
    """

    id: str
    title: str
    words: str
    flow: Flow
    press: Press | None = None
    events: tuple[Event, ...] = ()

    def on(self, scenario: Scenario) -> Scenario:
        """Give a scenario with this flow, load and these events."""
        return replace(scenario, flow=self.flow, press=self.press, events=self.events)

    def is_on(self, scenario: Scenario) -> bool:
        """Tell whether a scenario has this flow, load and these events."""
        mine = (self.flow, self.press, self.events)
        return mine == (scenario.flow, scenario.press, scenario.events)


def _with(**changes: float) -> Flow:
    return replace(USUAL, **changes)


READY = {
    r.id: r
    for r in (
        Ready(
            "normal",
            "Normal flow",
            "Water runs down the sleeve and up the bore. Nothing presses, nothing is blocked.",
            USUAL,
        ),
        Ready(
            "load",
            "Load of 30 g",
            "A weight of 30 g presses the sleeve onto the shaft, as bench studies hang it.",
            USUAL,
            LOAD,
        ),
        Ready(
            "blocked",
            "Mouth blocked",
            "A fragment blocks the mouth: only what leaks from the wound still runs.",
            _with(occlusion=1.0),
        ),
        Ready(
            "load-blocked",
            "Load and mouth blocked",
            "Both at once: the sleeve is pressed on, and little water runs.",
            _with(occlusion=1.0),
            LOAD,
        ),
        Ready(
            "kink",
            "Line kinks at 5 s",
            "All is well for five seconds, with a load of 30 g; then the line kinks and no water "
            "comes.",
            USUAL,
            LOAD,
            (Event(5.0, "flow lost"),),
        ),
        Ready(
            "none",
            "No flow",
            "No water from the start: the line is closed.",
            _with(aspiration=0.0, leak=0.0),
        ),
    )
}
"""Ready scenarios by id, in the order of the buttons."""


def ready_of(a: Scenario, b: Scenario) -> str:
    """Give the id of the ready scenario that both benches are set to, or "".

    >>> bench = Scenario.preset("single-bend, torsional")
    >>> ready_of(bench, bench), ready_of(READY["none"].on(bench), bench)
    ('normal', '')
    """
    return next((r.id for r in READY.values() if r.is_on(a) and r.is_on(b)), "")
