"""What a page is set to: both needles and the page's own fields, frozen; the link holds it all.

A page's state is a frozen dataclass whose own fields are declared like those of the scenario
(`tipsim.setup.fields`, and `switch` below). Reading from a link, writing to one and changing follow
from the declarations. A field that holds several (`part`) stands in links without its own name.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, ClassVar, Self, TypeVar

from tipsim.app.framework.bench_state import APART, BenchState, changed_field
from tipsim.setup.checks import check
from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.fields import capital
from tipsim.setup.inputs import Input, changed, inputs
from tipsim.setup.link import renewed
from tipsim.setup.scenario import Scenario

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

T = TypeVar("T")
D = TypeVar("D", bound="DataclassInstance")
SIDES = ("a", "b", "both")
MOST_ITEMS = 60
"""Items of a broken link that are tried one by one: about a millisecond each."""
PASSES = 2
"""How often they are tried: an item may fit only after another."""
_FIRST_ITEMS = ("needle", "drive", "sleeve", "lens", "support", "press")
"""Items that others rest on, so they are tried before them."""


def switch(doc: str, default: bool = False, *, label: str = "") -> Any:
    """Declare a choice between on and off; in a link 1 and 0."""
    meta = {"kind": "switch", "doc": doc, "label": label or capital(doc)}
    return field(default=default, metadata=meta)


def own_inputs(cls: type) -> Mapping[str, Input]:
    """Return the inputs that a page's state has beside the bench, by path."""
    return inputs(cls)


@dataclass(frozen=True)
class PageState:
    """Everything that is set on a page; subclasses add fields.

    Attributes
    ----------
    bench : BenchState
        Both needles with all around them.
    """

    bench: BenchState

    PREFIX: ClassVar[str] = "view."
    """Before every item of the link that belongs to this page alone."""
    LOOKS: ClassVar[tuple[str, ...]] = ()
    """Own fields that say how it is looked at; changing them is no step that can be undone."""
    SHOWN: ClassVar[tuple[str, ...]] = ()
    """Beginnings of paths that the browser shows by itself: changing them fills no view."""

    def __post_init__(self) -> None:
        """Check the fields."""
        check(self)

    @classmethod
    def first(cls, bench: BenchState | None = None) -> Self:
        """Return what a fresh page shows, with the needles of a bench."""
        return cls(bench or BenchState.first())

    def usual(self) -> Self:
        """Return the state that a link is compared with: it holds only what differs."""
        return type(self).first(self.bench)

    # ---- links ----

    @classmethod
    def read(cls, items: Mapping[str, str]) -> tuple[Self, list[BadInput]]:
        """Return the state of a link's items as far as they can be used, and what cannot."""
        items = renewed(items)
        bench, bad = _bench_of(items)
        state = cls.first(bench)
        left = {k.removeprefix(cls.PREFIX): v for k, v in items.items() if cls._is_own(k)}
        for _ in range(PASSES):
            complaints = []
            for name, text in list(left.items()):
                try:
                    state = state.change("both", cls._path(name), text)
                    del left[name]
                except BadInput as wrong:
                    complaints.append(wrong.at(f"link: {cls.PREFIX}{name}"))
        return state, bad + complaints

    @classmethod
    def from_items(cls, items: Mapping[str, str]) -> Self:
        """Read the state from the items of a link.

        Raises
        ------
        BadInput
            Naming the first item that cannot be used, its value and what is allowed.
        """
        state, bad = cls.read(items)
        if bad:
            raise bad[0]
        return state

    def to_query(self, kept: Mapping[str, str] | None = None) -> str:
        """Return the state as the query of a link, with `kept` items of other pages."""
        usual, items = self.usual(), dict(kept or {})
        for name, one in self._own().items():
            if one.of(self) != one.of(usual):
                items[self.PREFIX + name] = _text(one, self)
        return self.bench.to_query({k.removeprefix("view."): v for k, v in items.items()})

    @classmethod
    def kept_of(cls, items: Mapping[str, str]) -> dict[str, str]:
        """Return the items of a link that belong to other pages: they survive a visit here."""
        views = {k: v for k, v in items.items() if k.startswith("view.") and k != APART}
        return {k: v for k, v in views.items() if not cls._is_own(k)}

    @classmethod
    def _is_own(cls, item: str) -> bool:
        # A page whose items are "view.speed" leaves "view.flow.hold_s" to the flow page.
        name = item.removeprefix(cls.PREFIX)
        return item != APART and item.startswith(cls.PREFIX) and "." not in name

    # ---- own fields ----

    @classmethod
    def _own(cls) -> dict[str, Input]:
        """Return each own field by its name in links."""
        return {one.path.rpartition(".")[2]: one for one in own_inputs(cls).values()}

    @classmethod
    def _path(cls, name: str) -> str:
        known = cls._own()
        if name not in known:
            raise BadInput(name, "not here", (", ".join(known) or "none") + nearest(name, known))
        return known[name].path

    # ---- changes ----

    def change(self, side: str, path: str, value: Any) -> Self:
        """Return the state with one thing changed.

        Parameters
        ----------
        side : str
            "a", "b" or "both".
        path : str
            An own field, or what `BenchState.change` takes.
        value : Any
            As a control or a link gives it, in the unit of the field.

        Raises
        ------
        BadInput
            For an impossible value; the state stays as it was.
        """
        one = own_inputs(type(self)).get(path)
        if one is None:
            return replace(self, bench=self.bench.change(side, path, value))
        return changed_own(self, path, value)

    def on(self, side: str, change: Callable[[Scenario], Scenario]) -> Self:
        """Return the state with the scenario of one side, or both, changed by a function.

        Raises
        ------
        BadInput
            For an unknown side, or what the function raises.
        """
        if side not in SIDES:
            raise BadInput("side", f'"{side}"', ", ".join(SIDES))
        now = self.bench
        a = change(now.a) if side in ("a", "both") else now.a
        b = change(now.b) if side in ("b", "both") else now.b
        return replace(self, bench=replace(now, a=a, b=b))


def changed_own(owner: D, path: str, value: Any) -> D:
    """Return what has declared fields with one of them changed by its path."""
    one = inputs(type(owner)).get(path)
    if one is not None and one.kind == "switch":
        return changed(owner, {one.name: _on(path, value)})
    return changed_field(owner, path, value)


def one_of(path: str, value: Any, known: Mapping[str, T]) -> T:
    """Return what is known by a name, such as a ready example.

    Raises
    ------
    BadInput
        For an unknown name.
    """
    found = known.get(str(value))
    if found is None:
        raise BadInput(path, f'"{str(value)[:40]}"', ", ".join(known))
    return found


def _on(path: str, value: Any) -> bool:
    if value in (True, "1"):
        return True
    if value in (False, "0"):
        return False
    raise BadInput(path, f'"{str(value)[:40]}"', "0, 1")


def _text(one: Input, state: PageState) -> str:
    value = one.of(state)
    if one.kind == "switch":
        return str(int(value))
    if one.kind == "quantity":
        return f"{one.unit.from_si(value).normalize():f}"
    return str(value)


def _bench_of(items: Mapping[str, str]) -> tuple[BenchState, list[BadInput]]:
    """Return the bench of a link's items as far as they can be used, and what cannot."""
    try:
        return BenchState.from_items(items), []
    except BadInput:
        pass
    views = {k: v for k, v in items.items() if k.startswith("view.")}
    rest = {k: v for k, v in items.items() if k not in views}
    order = sorted(rest, key=lambda k: k.split(".")[-1] not in _FIRST_ITEMS)
    good, left = views, order[:MOST_ITEMS]
    bad: list[BadInput] = []
    for _ in range(PASSES):
        bad, tried, left = [], left, []
        for name in tried:
            try:
                BenchState.from_items(good | {name: rest[name]})
                good = good | {name: rest[name]}
            except BadInput as wrong:
                left.append(name)
                bad.append(wrong.at(f"link: {name}"))
    if len(order) > MOST_ITEMS:
        bad.append(BadInput("link", f"{len(order)} items long", f"up to {MOST_ITEMS} items"))
    return BenchState.from_items(good), bad
