"""Ready settings: flow, load and events of a situation, to start from."""

from collections.abc import Callable
from dataclasses import replace
from functools import cache

from tipsim.setup.described import about, described
from tipsim.setup.event import Event
from tipsim.setup.flow import Flow
from tipsim.setup.heat import SALT, VISCOELASTIC
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press
from tipsim.setup.units import GRAM

LOAD = Press(force=GRAM.to_si(30))


@cache
def usual_flow() -> Flow:
    """Return the flow of a fresh scenario."""
    return Scenario.preset("single-bend, torsional").flow


def _as_usual(flow: Flow) -> Flow:
    return flow


def _occluded(flow: Flow) -> Flow:
    return replace(flow, occlusion=1.0)


def _stopped(flow: Flow) -> Flow:
    return replace(flow, aspiration=0.0, leak=0.0)


@described()
class Ready:
    """A situation: flow, load and events; needle, drive and surroundings stay."""

    id: str = about("Name in messages, on the button, and what it is about.")
    title: str
    words: str
    drill: str = about("What goes wrong, where this is a drill and no normal use.", default="")
    changed: Callable[[Flow], Flow] = about(
        "Returns its flow from the usual one.", default=_as_usual
    )
    press: Press | None = None
    events: tuple[Event, ...] = ()
    filling: str = about(
        "What the chamber is filled with; viscoelastic needs one, so the needle is put in an eye.",
        default=SALT,
    )

    def on(self, scenario: Scenario) -> Scenario:
        """Return a scenario in this situation."""
        flow, outside = self.changed(usual_flow()), scenario.outside
        if self.filling != SALT and outside.kind not in ("chamber", "wound"):
            outside = replace(outside, kind="wound")
        chamber = replace(scenario.chamber, filling=self.filling)
        return replace(
            scenario,
            flow=flow,
            press=self.press,
            events=self.events,
            outside=outside,
            chamber=chamber,
        )

    def is_on(self, scenario: Scenario) -> bool:
        """Return whether a scenario is in this situation."""
        return self.on(scenario) == scenario


READY = {
    r.id: r
    for r in (
        Ready(
            "normal",
            "Normal flow",
            "Fluid runs down the sleeve and up the lumen. No load, no occlusion.",
        ),
        Ready(
            "load",
            "Load of 30 g",
            "A weight of 30 g presses the sleeve onto the shaft, as in published bench tests.",
            press=LOAD,
        ),
        Ready(
            "blocked",
            "Opening occluded",
            "A fragment occludes the opening: only the leak through the incision still flows.",
            changed=_occluded,
        ),
        Ready(
            "load-blocked",
            "Load and occlusion",
            "Both at once: the sleeve is pressed onto the shaft, and little fluid flows.",
            changed=_occluded,
            press=LOAD,
        ),
        Ready(
            "kink",
            "Flow lost at 5 s",
            "Normal flow and a load on the sleeve for five seconds; then the irrigation line "
            "kinks. Where there is a chamber the pump empties it within a second.",
            drill="flow lost",
            press=LOAD,
            events=(Event(5.0, "flow lost"),),
        ),
        Ready(
            "viscoelastic",
            "Viscoelastic first",
            "Ultrasound in a chamber full of viscoelastic: nothing flows until it is cleared, here "
            "after ten seconds.",
            events=(Event(10.0, "viscoelastic cleared"),),
            filling=VISCOELASTIC,
        ),
        Ready(
            "none",
            "No flow",
            "No fluid from the start: the line is closed.",
            drill="no flow",
            changed=_stopped,
        ),
    )
}
"""Ready settings by id, in the order of the buttons."""


def ready_of(a: Scenario, b: Scenario) -> str:
    """Return the id of the ready setting that both scenarios have, or "".

    >>> bench = Scenario.preset("single-bend, torsional")
    >>> ready_of(bench, bench), ready_of(READY["none"].on(bench), bench)
    ('normal', '')
    """
    return next((r.id for r in READY.values() if r.is_on(a) and r.is_on(b)), "")
