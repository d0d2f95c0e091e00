"""What the two benches on the page are set to: frozen, and changed by pure functions.

The link holds all of it; the server keeps nothing else of a learner.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Any, TypeVar

from tipsim.motion.sleeve import mean_mobility
from tipsim.setup import catalogue
from tipsim.setup.drive import Duty
from tipsim.setup.errors import BadInput
from tipsim.setup.inputs import Input, changed, inputs
from tipsim.setup.link import pair_from_items, pair_to_query
from tipsim.setup.load import Support
from tipsim.setup.presets import scenario_of
from tipsim.setup.scenario import Scenario
from tipsim.setup.text import read_value
from tipsim.setup.thermal import Press

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

T = TypeVar("T", bound="DataclassInstance")
SHARED = tuple(f.name for f in fields(Scenario) if f.name not in ("name", "needle", "sleeve"))
"""Fields that both benches have in common while they are set together."""
_OF_DRIVE = ("kind", "frequency", "axial_stroke", "twist_stroke", "phase")
"""What a hub motion of the catalogue brings along; the rest stays as set."""
COMPUTED, SET = "computed", "set"
"""How the sleeve's coupling comes about."""
APART = "view.apart"
"""Item of the link that says that the benches are set one by one."""
BEYOND_PAIR = ("view.c", "view.d")
"""Items of the link that name further needles, which only the page that compares needles shows."""


@dataclass(frozen=True)
class BenchState:
    """Two scenarios and whether one setting serves both.

    Attributes
    ----------
    a, b : Scenario
    together : bool
        Whether all but needle and sleeve is the same for both.

    Examples
    --------
    >>> first = BenchState.first()
    >>> weaker = first.change("both", "drive.power_percent", 40)
    >>> weaker.a.drive.power, weaker.b.drive.power
    (0.4, 0.4)
    >>> weaker.to_query()
    'a.needle=single-bend&b.needle=counter-bent&drive=torsional&power=40'
    """

    a: Scenario
    b: Scenario
    together: bool = True

    @classmethod
    def first(cls) -> BenchState:
        """Return what a fresh page shows: a single-bend and a counter-bent needle, torsional."""
        return cls(
            Scenario.preset("single-bend, torsional"), Scenario.preset("counter-bent, torsional")
        )

    @classmethod
    def from_items(cls, items: Mapping[str, str]) -> BenchState:
        """Read the state from the items of a link.

        Raises
        ------
        BadInput
            Naming the item, its value and what is allowed.
        """
        a, b = pair_from_items(items)
        alike = all(getattr(a, name) == getattr(b, name) for name in SHARED)
        return cls(a, b, alike and items.get(APART) != "1")

    def to_query(self, view: Mapping[str, str] | None = None) -> str:
        """Write the state as the query of a link; `view` holds how it is looked at."""
        extra = {f"view.{k}": v for k, v in (view or {}).items()}
        alike = all(getattr(self.a, name) == getattr(self.b, name) for name in SHARED)
        if alike and not self.together:
            extra[APART] = "1"
        return pair_to_query(self.a, self.b, extra)

    def change(self, side: str, field: str, value: Any) -> BenchState:
        """Return the state with one field changed.

        Parameters
        ----------
        side : str
            "a", "b" or "both".
        field : str
            "together", "needle", "drive", "sleeve" or a dotted path with a unit such as
            "drive.power_percent".
        value : Any
            As a control gives it: text, number or bool, in the unit of the field.

        Raises
        ------
        BadInput
            For an impossible value; the state stays as it was.
        """
        if field == "together":
            return self._set_together(bool(value))
        if side not in ("a", "b", "both"):
            raise BadInput("side", f'"{side}"', "a, b, both")
        a = change_scenario(self.a, field, value) if side in ("a", "both") else self.a
        b = change_scenario(self.b, field, value) if side in ("b", "both") else self.b
        return replace(self, a=a, b=b)

    def _set_together(self, together: bool) -> BenchState:
        if not together:
            return replace(self, together=False)
        same = {name: getattr(self.a, name) for name in SHARED if name != "markers"}
        same["markers"] = _markers_on(self.a.markers, self.b.needle.length)
        return replace(self, b=_named(replace(self.b, **same)), together=True)


def change_scenario(scenario: Scenario, field: str, value: Any) -> Scenario:
    """Return a scenario with one field changed; see `BenchState.change`."""
    if field == "needle":
        return _named(_with_needle(scenario, str(value)))
    if field == "drive":
        chosen = catalogue.drive(str(value))
        own = {name: getattr(chosen, name) for name in _OF_DRIVE}
        return _named(replace(scenario, drive=replace(scenario.drive, **own)))
    if field == "sleeve":
        return _with_sleeve(scenario, str(value))
    if field == "incision.follow":
        follow = followers(scenario)
        return changed(scenario, {o.name: None if value else o.settled(scenario) for o in follow})
    if field == "sleeve.coupling":
        return _coupled(scenario, str(value))
    if field == "lens":
        return _with_lens(scenario, str(value))
    if field == "support":
        return replace(scenario, support=Support() if value else None)
    if field == "press":
        return replace(scenario, press=Press() if value else None)
    if field == "duty.kind" and value == "continuous":
        return replace(scenario, duty=replace(scenario.duty, kind=value, off_time=0.0))
    if field == "duty.kind" and scenario.duty.kind == "continuous":
        # Coming from continuous there is no pulse yet: 10 ms on, 10 or 40 ms of rest.
        rest = 0.01 if value == "pulsed" else 0.04
        pulses = Duty(str(value), 0.01, rest)
        return replace(scenario, duty=pulses)
    return changed_field(scenario, field, value)


def followers(scenario: Scenario) -> list[Input]:
    """Return the inputs whose place follows the incision unless it is set, of parts in use."""
    every = inputs(Scenario).values()
    return [one for one in every if one.follows is not None and _has(scenario, one.part)]


def changed_field(owner: T, path: str, value: Any) -> T:
    """Return a scenario, or what else has declared fields, with one input changed by its path."""
    one = inputs(type(owner)).get(path)
    if one is None or one.kind == "parts" or not _has(owner, one.part):
        raise BadInput(path, "not here", "a field of this bench")
    return changed(owner, {one.name: read_value(one, value)})


def _has(owner: object, part: str) -> bool:
    """Return whether there is a part that may be absent, such as "press"."""
    return not part or getattr(owner, part.partition(".")[0]) is not None


def _with_needle(scenario: Scenario, id: str) -> Scenario:
    """Put another needle in, in a sleeve that fits it; what was set of the sleeve stays."""
    fresh = scenario_of(id, scenario.drive.kind)
    sleeve = fresh.sleeve
    if scenario.sleeve is None:
        sleeve = None
    elif sleeve is not None:
        keep = scenario.sleeve
        sleeve = replace(sleeve, mobility=keep.mobility, exposed=keep.exposed)
    markers = _markers_on(scenario.markers, fresh.needle.length)
    return replace(scenario, needle=fresh.needle, sleeve=sleeve, markers=markers)


def _markers_on(markers: tuple[float, ...], length: float) -> tuple[float, ...]:
    return tuple(m for m in markers if m <= length) or (0.0,)


def _with_sleeve(scenario: Scenario, id: str) -> Scenario:
    if id == "none":
        return replace(scenario, sleeve=None)
    chosen = catalogue.sleeve(id)
    if scenario.sleeve is not None:
        chosen = replace(chosen, mobility=scenario.sleeve.mobility, exposed=scenario.sleeve.exposed)
    return replace(scenario, sleeve=chosen)


def _coupled(scenario: Scenario, how: str) -> Scenario:
    """Let the sleeve's coupling be computed, or set: first to its mean along the sleeve."""
    if scenario.sleeve is None or how not in (COMPUTED, SET):
        raise BadInput("sleeve.coupling", f'"{how[:40]}"', f"{COMPUTED}, {SET}")
    if how == COMPUTED:
        return replace(scenario, sleeve=replace(scenario.sleeve, mobility=None))
    if scenario.sleeve.mobility is not None:
        return scenario
    mean = round(mean_mobility(scenario), 2)
    return replace(scenario, sleeve=replace(scenario.sleeve, mobility=mean))


def _with_lens(scenario: Scenario, id: str) -> Scenario:
    """Press lens material on the opening; only its grade and stiffness are another's."""
    if id == "none":
        return replace(scenario, lens=None)
    chosen = catalogue.lens(id)
    if scenario.lens is not None:
        stiffness = chosen.shear_modulus
        chosen = replace(scenario.lens, grade=chosen.grade, shear_modulus=stiffness)
    return replace(scenario, lens=chosen)


def _named(scenario: Scenario) -> Scenario:
    """Name a scenario after its needle and drive, as presets are."""
    id, c = scenario.needle.id, catalogue.catalogue()
    short = next((shape for shape, main in c.main.items() if main == id), id)
    return replace(scenario, name=f"{short}, {scenario.drive.kind}")
