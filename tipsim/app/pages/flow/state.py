"""What the flow page is set to: both benches, and how the mouth is blocked; the link holds it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

from tipsim.app.bench_state import BenchState, changed_field
from tipsim.app.pages.flow.ready import READY, Ready
from tipsim.flow.surge import Surge, Trial, surge
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import from_plain, key, to_plain
from tipsim.setup.flow import Flow
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number

PREFIX = "view.flow."
"""Before every item of the link that belongs to this page."""
_FIRST = to_plain(Trial())
_FIELDS = {key(f): f for f in Trial.__dataclass_fields__.values()}


@dataclass(frozen=True)
class FlowState:
    """Everything that is set on the page.

    Attributes
    ----------
    bench : BenchState
        Both needles, as on the bench.
    trial : Trial
        How the mouth is blocked, and what gives.

    Examples
    --------
    >>> state = FlowState.first().change("both", "flow.bottle_height_cm", 110)
    >>> state.change("both", "trial.hold_s", 1.5).to_query().split("torsional&")[1]
    'bottle=110&view.flow.hold_s=1.5'
    """

    bench: BenchState
    trial: Trial

    @property
    def runs(self) -> tuple[Surge, Surge]:
        """What happens on bench A and B."""
        return surge(self.bench.a, self.trial), surge(self.bench.b, self.trial)

    @property
    def ready(self) -> str:
        """Which ready-made example is set, or ""."""
        return next((e.id for e in READY if self._with(e) == self), "")

    @classmethod
    def first(cls, bench: BenchState | None = None) -> FlowState:
        """Give what a fresh page shows."""
        return cls(bench or BenchState.first(), Trial())

    @classmethod
    def from_items(cls, items: Mapping[str, str]) -> FlowState:
        """Read the state from the items of a link.

        Raises
        ------
        BadInput
            Naming the item, its value and what is allowed.
        """
        bench = BenchState.from_items(items)
        own = {k.removeprefix(PREFIX): v for k, v in items.items() if k.startswith(PREFIX)}
        try:
            plain = _FIRST | {k: _raw(k, v) for k, v in own.items()}
            return cls(bench, from_plain(Trial, plain))
        except BadInput as bad:
            raise BadInput(f"link: {PREFIX}{bad.field}", bad.value, bad.allowed) from None

    def to_query(self, kept: Mapping[str, str] | None = None) -> str:
        """Write the state as the query of a link, with `kept` items of other pages."""
        extra = dict(kept or {})
        for name, value in to_plain(self.trial).items():
            if value != _FIRST[name]:
                extra[PREFIX + name] = f"{value:f}"
        return self.bench.to_query({k.removeprefix("view."): v for k, v in extra.items()})

    def change(self, side: str, field: str, value: Any) -> FlowState:
        """Give the state with one thing changed.

        Parameters
        ----------
        side : str
            "a", "b" or "both".
        field : str
            "ready" (an example's id), "bypass" (diameter of the hole in mm), "trial.…" or what
            `BenchState.change` takes.
        value : Any
            As a control gives it, in the unit of the field.

        Raises
        ------
        BadInput
            For an impossible value; the state stays as it was.
        """
        if field == "ready":
            known = {e.id: e for e in READY}
            if value not in known:
                raise BadInput("ready", f'"{value}"', ", ".join(known))
            return self._with(known[str(value)])
        table, _, name = field.partition(".")
        if table == "trial":
            plain = to_plain(self.trial) | {name: _raw(name, value)}
            return replace(self, trial=from_plain(Trial, plain))
        if field == "bypass":
            a, b = self.bench.a, self.bench.b
            a = _with_hole(a, value) if side in ("a", "both") else a
            b = _with_hole(b, value) if side in ("b", "both") else b
            return replace(self, bench=replace(self.bench, a=a, b=b))
        return replace(self, bench=self.bench.change(side, field, value))

    def _with(self, ready: Ready) -> FlowState:
        """Set everything as usual but for what the example changes; the needles stay."""
        flow = replace(_usual(), **dict(ready.flow))
        a, b = (
            _with_hole(replace(each, flow=flow), ready.bypass_mm)
            for each in (self.bench.a, self.bench.b)
        )
        bench = replace(self.bench, a=a, b=b)
        return FlowState(bench, replace(Trial(), **dict(ready.trial)))


def _usual() -> Flow:
    return Scenario.preset("straight, axial").flow


def _with_hole(scenario: Scenario, value: Any) -> Scenario:
    """Drill a bypass hole, where there is none at the usual place; 0 closes it."""
    needle = scenario.needle
    if not needle.bypass_diameter:
        place = min(number("flow.bypass_place").si, 0.8 * needle.length)
        scenario = replace(scenario, needle=replace(needle, bypass_distance=place))
    scenario = changed_field(scenario, "needle.bypass_diameter_mm", value)
    if scenario.needle.bypass_diameter:
        return scenario
    return replace(scenario, needle=replace(scenario.needle, bypass_distance=0.0))


def _raw(name: str, value: Any) -> Decimal:
    if name not in _FIELDS:
        raise BadInput(name, "not here", ", ".join(_FIELDS))
    try:
        number = Decimal(str(value))
    except ArithmeticError:
        number = Decimal("nan")
    if not number.is_finite():
        raise BadInput(name, f'"{str(value)[:40]}"', "a number")
    return number
