"""What the heat page is set to: both benches and the scale of colours; all of it in the link."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from tipsim.app.bench_state import BenchState
from tipsim.heat.legs import Model
from tipsim.setup.errors import BadInput
from tipsim.setup.event import Event
from tipsim.setup.fields import check_count, count_allowed, from_plain
from tipsim.setup.inputs import inputs
from tipsim.setup.link import renewed
from tipsim.setup.ready import READY
from tipsim.setup.scenario import Scenario

PREFIX = "view.heat."
"""Before every item of the link that belongs to this page alone."""
SCALES = ("fixed", "fit")
FULL = Model()
ROUGH = Model(slices=32, sectors=8, tolerance=0.5)
"""For the first picture after a change: within a kelvin or two of the full one."""


@dataclass(frozen=True)
class HeatState:
    """Everything that is set on the page.

    Attributes
    ----------
    bench : BenchState
        Both needles with all around them.
    scale : str
        Colours over a "fixed" range of temperatures, or one that is "fit" to the run.

    Examples
    --------
    >>> state = HeatState.from_items({"press": "on"})
    >>> state.change("both", "rubbing.coefficient", 0.2).to_query()
    'a.needle=single-bend&b.needle=counter-bent&drive=torsional&press=on&rubbing.coefficient=0.2'
    """

    bench: BenchState
    scale: str = "fixed"

    def __post_init__(self) -> None:
        """Refuse an unknown scale."""
        if self.scale not in SCALES:
            raise BadInput("scale", f'"{self.scale}"', ", ".join(SCALES))

    @classmethod
    def first(cls) -> HeatState:
        """Give what a fresh page shows."""
        return cls(BenchState.first())

    @classmethod
    def from_items(cls, items: Mapping[str, str]) -> HeatState:
        """Read the state from the items of a link.

        Raises
        ------
        BadInput
            Naming the item, its value and what is allowed.
        """
        bench = BenchState.from_items(items)
        own = {k.removeprefix(PREFIX): v for k, v in renewed(items).items() if k.startswith(PREFIX)}
        try:
            state = cls(bench, own.pop("scale", "fixed"))
            for name in own:
                raise BadInput(name, "not here", "scale")
        except BadInput as bad:
            raise bad.at(f"link: {PREFIX}{bad.field}") from None
        return state

    def to_query(self, kept: Mapping[str, str] | None = None) -> str:
        """Write the state as the query of a link, with `kept` items of how the bench is seen."""
        extra = dict(kept or {})
        if self.scale != "fixed":
            extra[f"{PREFIX}scale"] = self.scale
        return self.bench.to_query({k.removeprefix("view."): v for k, v in extra.items()})

    def change(self, side: str, field: str, value: Any) -> HeatState:
        """Give the state with one thing changed.

        Parameters
        ----------
        side : str
            "a", "b" or "both".
        field : str
            "scale", "ready", "events" or a field of the bench.
        value : Any
            As a control gives it; events as plain data, in the units of a file.

        Raises
        ------
        BadInput
            For an impossible value; the state stays as it was.
        """
        if field == "scale":
            return replace(self, scale=str(value))
        if field == "ready":
            if value not in READY:
                raise BadInput("ready", f'"{value}"', ", ".join(READY))
            on = READY[str(value)].on
            bench = replace(self.bench, a=on(self.bench.a), b=on(self.bench.b))
            return replace(self, bench=bench)
        if field == "events":
            return self._with_events(side, events_from(value))
        return replace(self, bench=self.bench.change(side, field, value))

    def _with_events(self, side: str, events: tuple[Event, ...]) -> HeatState:
        a, b = self.bench.a, self.bench.b
        a = replace(a, events=events) if side in ("a", "both") else a
        b = replace(b, events=events) if side in ("b", "both") else b
        return replace(self, bench=replace(self.bench, a=a, b=b))


def events_from(plain: Any) -> tuple[Event, ...]:
    """Read a list of events from plain data, and put them in order of time.

    Raises
    ------
    BadInput
        Naming the event, counted from 1, the field, its value and what is allowed.

    Examples
    --------
    >>> events_from([{"time_s": 5, "what": "flow lost"}])
    (Event(time=5.0, what='flow lost', share=None, force=None, place=None, flow=None),)
    """
    declared = inputs(Scenario)["events"].field
    if not isinstance(plain, list):
        raise BadInput("events", "not a list", count_allowed(declared))
    check_count(declared, "events", plain)
    out = []
    for i, one in enumerate(plain, 1):
        try:
            out.append(from_plain(Event, one))
        except BadInput as bad:
            raise bad.within(f"event {i}") from None
    return tuple(sorted(out, key=lambda e: e.time))
