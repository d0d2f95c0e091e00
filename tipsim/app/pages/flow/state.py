"""What the flow page is set to: both needles, and how the opening is occluded."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Any, ClassVar, Self

from tipsim import store
from tipsim.app.framework.state import PageState, one_of
from tipsim.app.pages.flow.ready import READY, Ready
from tipsim.flow.surge import Surge
from tipsim.setup.flow import Flow, Trial
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.units import MM

HOLE = "needle.bypass_diameter_mm"
_KNOWN = {e.id: e for e in READY}


@dataclass(frozen=True)
class FlowState(PageState):
    """Everything that is set on the page; the trial of occlusion is the scenarios' own.

    Examples
    --------
    >>> state = FlowState.first().change("both", "flow.bottle_height_cm", 110)
    >>> state.change("both", "surge.hold_s", 1.5).to_query().split("torsional&")[1]
    'bottle=110&surge.hold_s=1.5'
    """

    PREFIX: ClassVar[str] = "view.flow."

    @property
    def runs(self) -> tuple[Surge, Surge]:
        """What happens on bench A and B."""
        a, b = (store.get(s, "surge") for s in (self.bench.a, self.bench.b))
        return a, b

    @property
    def ready(self) -> str:
        """Which example is set, or ""."""
        a, b = self.bench.a, self.bench.b
        return next((e.id for e in READY if _is_set(e, a, "a") and _is_set(e, b, "b")), "")

    def change(self, side: str, path: str, value: Any) -> Self:
        """Return the state with one thing changed; see `PageState.change`.

        Besides what that takes, `path` is "ready" (an example's id).
        """
        if path == "ready":
            return self._with(one_of(path, value, _KNOWN))
        if path != HOLE:
            return super().change(side, path, value)
        placed = self.on(side, _with_place)
        return super(FlowState, placed).change(side, path, value).on(side, _without_place)

    def _with(self, ready: Ready) -> Self:
        """Set everything as usual but for what the example changes; the needles stay.

        Where an example compares two pumps, B gets A's needle: only the pump differs.
        """
        flow, trial = _settings(ready)
        state = self
        if ready.flow_b:
            a = state.bench.a
            state = state.on("b", lambda b: replace(b, needle=a.needle, sleeve=a.sleeve))
        state = state.on("both", lambda scenario: replace(scenario, flow=flow, surge=trial))
        state = state.change("both", HOLE, ready.bypass_mm)
        if not ready.flow_b:
            return state
        state = super(FlowState, state).change("both", "together", False)
        return state.on("b", lambda b: replace(b, flow=replace(flow, **dict(ready.flow_b))))


@cache
def _settings(ready: Ready) -> tuple[Flow, Trial]:
    """Return all settings of an example, those as usual too."""
    usual = Scenario.preset("straight, axial").flow
    return replace(usual, **dict(ready.flow)), replace(Trial(), **dict(ready.trial))


def _is_set(ready: Ready, scenario: Scenario, side: str) -> bool:
    """Return whether a scenario is set as an example is; cheaper than to set it and compare."""
    hole = float(MM.to_si(ready.bypass_mm))
    flow, trial = _settings(ready)
    if side == "b" and ready.flow_b:
        flow = replace(flow, **dict(ready.flow_b))
    return (scenario.flow, scenario.surge) == (flow, trial) and (
        scenario.needle.bypass_diameter == hole
    )


def _with_place(scenario: Scenario) -> Scenario:
    """Return where a bypass hole goes when the needle lacks one: the usual place."""
    needle = scenario.needle
    place = needle.bypass_distance or min(number("flow.bypass_place").si, 0.8 * needle.length)
    return replace(scenario, needle=replace(needle, bypass_distance=place))


def _without_place(scenario: Scenario) -> Scenario:
    """Drop the place of a hole of no size."""
    if scenario.needle.bypass_diameter:
        return scenario
    return replace(scenario, needle=replace(scenario.needle, bypass_distance=0.0))
