"""What the heat page is set to: both needles with all around them, and the scale of colours."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, ClassVar, Self

from tipsim import store
from tipsim.app.framework.state import PageState, one_of
from tipsim.app.pages.heat.events import events_from
from tipsim.heat.legs import Model
from tipsim.heat.timeline import HeatRun
from tipsim.setup.fields import choice
from tipsim.setup.ready import READY, ready_of
from tipsim.setup.scenario import Scenario
from tipsim.solve import Result

OPENING = "kink"
"""Ready setting that a fresh page opens on; normal use is one press away."""
OPENING_S = 10
"""How long its run lasts [s]: both sleeves are hot by then, and nothing boils yet."""
FULL = Model()
ROUGH = Model(slices=32, sectors=6, tolerance=1.0)
"""For the first picture after a change: within a kelvin or two of the full one."""


@dataclass(frozen=True)
class HeatState(PageState):
    """Everything that is set on the page.

    Attributes
    ----------
    scale : str
        Colours over a "fixed" range of temperatures, or one that is "fit" to the run.

    Examples
    --------
    >>> state = HeatState.from_items({"press": "on"})
    >>> state.change("both", "scale", "fit").to_query().split("torsional&")[1]
    'press=on&view.heat.scale=fit'
    """

    scale: str = choice(("fixed", "fit"), "range of the colours", default="fixed", label="Colours")

    PREFIX: ClassVar[str] = "view.heat."
    LOOKS: ClassVar[tuple[str, ...]] = ("scale",)

    @property
    def sides(self) -> tuple[Scenario, Scenario]:
        """Both scenarios."""
        return self.bench.a, self.bench.b

    @property
    def results(self) -> tuple[Result, Result]:
        """All that can be computed for both."""
        a, b = (store.result(s) for s in self.sides)
        return a, b

    @property
    def ready(self) -> str:
        """Which ready setting both have, or ""."""
        return ready_of(*self.sides)

    @classmethod
    def drill(cls) -> Self:
        """Return what a fresh page opens on: a fault in which both sleeves get hot."""
        state = cls.first().change("both", "ready", OPENING)
        return state.change("both", "duration_s", OPENING_S)

    def runs(self, model: Model = FULL) -> tuple[HeatRun, HeatRun]:
        """Return the temperatures of both."""
        a, b = (store.get(s, "heat", model) for s in self.sides)
        return a, b

    def quick(self) -> Model:
        """Return the model for a first picture: the full one where its runs are known."""
        return FULL if all(store.known(s, "heat", FULL) for s in self.sides) else ROUGH

    def change(self, side: str, path: str, value: Any) -> Self:
        """Return the state with one thing changed; see `PageState.change`.

        Besides what that takes, `path` is "ready" (its id), "events" (as plain data).
        """
        if path == "ready":
            return self.on("both", one_of(path, value, READY).on)
        if path == "events":
            events = events_from(value)
            return self.on(side, lambda scenario: replace(scenario, events=events))
        return super().change(side, path, value)
