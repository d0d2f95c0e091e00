"""Every input of a dataclass of declared fields, by its path; and how one or more are changed.

A path is the same in files, links, forms and on the command line: ``drive.power_percent``. In
Python the unit is left out, as values are in SI: ``drive.power``. Some have a short name:
``power``.
"""

from collections.abc import Iterable, Mapping
from dataclasses import MISSING, Field, dataclass, fields, replace
from functools import cache
from typing import Any, TypeVar

from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.fields import Slider, key
from tipsim.setup.sourced import Sourced, number
from tipsim.setup.units import ONE, Unit

T = TypeVar("T")


@dataclass(frozen=True, eq=False)
class Input:
    """What is known of one input.

    Attributes
    ----------
    path, name : str
        With the unit, as in files and links: "flow.aspiration_ml_min"; without, as in Python:
        "flow.aspiration".
    short : str
        Short name in links, or "".
    kind : str
        "quantity", "numbers", "choice", "words" or "parts".
    label, doc : str
        Words beside the control; meaning.
    unit : Unit
        Of `low`, `high` and `slider`; `ONE` where there are no numbers.
    low, high : float
        Allowed range.
    slider : (low, high, step)
        Range and step of the control.
    scale : str
        "linear" or "log".
    options : tuple of str
        Words to choose from.
    most : int
        Largest count, for "numbers" and "parts"; else 1.
    source : Sourced or None
        Entry of `assets/numbers` that the first value comes from.
    field : dataclasses.Field
        The declaration itself.
    """

    path: str
    name: str
    short: str
    kind: str
    label: str
    doc: str
    unit: Unit
    low: float
    high: float
    slider: Slider
    scale: str
    options: tuple[str, ...]
    most: int
    source: Sourced | None
    field: "Field[Any]"

    @property
    def part(self) -> str:
        """Path of the part that it belongs to, or ""."""
        return self.name.rpartition(".")[0]

    def of(self, obj: Any) -> Any:
        """Return the value that an object has, in SI; None where a part is absent."""
        for step in self.name.split("."):
            obj = getattr(obj, step, None)
        return obj

    def shown(self, obj: Any) -> Any:
        """Return the value in the unit of the outside, numbers as floats."""
        value = self.of(obj)
        if value is None or self.kind not in ("quantity", "numbers"):
            return value
        if self.kind == "numbers":
            return [float(self.unit.from_si(v)) for v in value]
        return float(self.unit.from_si(value))


@cache
def inputs(cls: type) -> Mapping[str, Input]:
    """Return every input of a class and of the parts in it, in order, by path.

    Examples
    --------
    >>> from tipsim.setup.scenario import Scenario
    >>> power = inputs(Scenario)["drive.power_percent"]
    >>> power.label, power.name, power.short, power.slider
    ('Power', 'drive.power', 'power', (0, 100, 5))
    """
    return {i.path: i for i in _walk(cls, "")}


def _walk(cls: type, place: str) -> Iterable[Input]:
    for f in fields(cls):
        meta = f.metadata
        kind = meta.get("kind")
        if kind == "part":
            yield from _walk(meta["cls"], f"{place}{f.name}.")
        elif kind:
            low, high = meta.get("low", 0.0), meta.get("high", 0.0)
            yield Input(
                path=place + key(f),
                name=place + f.name,
                short=meta.get("short", ""),
                kind=kind,
                label=meta["label"],
                doc=meta["doc"],
                unit=meta.get("unit", ONE),
                low=low,
                high=high,
                slider=meta.get("slider", (low, high, 0.0)),
                scale=meta.get("scale", "linear"),
                options=meta.get("options", ()),
                most=meta.get("most", 1),
                source=number(meta["source"]) if meta.get("source") else None,
                field=f,
            )


@cache
def parts_of(cls: type) -> Mapping[str, type]:
    """Return every nested part of a class by its path: its class.

    Examples
    --------
    >>> from tipsim.setup.scenario import Scenario
    >>> [p for p in parts_of(Scenario) if p.startswith("needle")]
    ['needle', 'needle.material']
    """
    out: dict[str, type] = {}
    for f in fields(cls):
        if f.metadata.get("kind") == "part":
            inner = f.metadata["cls"]
            out[f.name] = inner
            out |= {f"{f.name}.{name}": c for name, c in parts_of(inner).items()}
    return out


@cache
def _names(cls: type) -> Mapping[str, Input]:
    """Return inputs by every name that they have: path, name, short name."""
    every = inputs(cls).values()
    # A path counts before a short name that is spelled the same.
    return {i.short: i for i in every if i.short} | {n: i for i in every for n in (i.name, i.path)}


def find_input(cls: type, name: str) -> Input:
    """Return an input by path, name or short name.

    Raises
    ------
    BadInput
        For an unknown name, with the nearest known one.

    Examples
    --------
    >>> from tipsim.setup.scenario import Scenario
    >>> find_input(Scenario, "power").path, find_input(Scenario, "flow.leak").path
    ('drive.power_percent', 'flow.leak_ml_min')
    """
    found = _names(cls).get(name)
    if found is None:
        known = nearest(name, _names(cls))
        raise BadInput(name[:60] or '""', "not a known name here", f"names such as power{known}")
    return found


def changed(obj: T, values: Mapping[str, Any]) -> T:
    """Return a dataclass with some inputs or whole parts changed, and checked once.

    Parameters
    ----------
    obj : dataclass
        With fields declared by `tipsim.setup.fields`.
    values : mapping of str
        New values in SI by name ("drive.power" or "sleeve"); a part that is absent is begun from
        its first values.

    Raises
    ------
    BadInput
        Naming the path of the field, its value and what is allowed.
    """
    tree: dict[str, Any] = {}
    for name, value in values.items():
        *steps, last = name.split(".")
        spot = tree
        for step in steps:
            spot = spot.setdefault(step, {})
            if not isinstance(spot, dict):
                raise BadInput(name, "set twice", "a part or its fields")
        spot[last] = _Leaf(value)
    return _replaced(obj, tree, "")


@dataclass(frozen=True)
class _Leaf:
    value: Any


def _replaced(obj: T, tree: Mapping[str, Any], place: str) -> T:
    known = {f.name: f for f in fields(obj)}  # type: ignore[arg-type]
    new: dict[str, Any] = {}
    for name, branch in tree.items():
        if isinstance(branch, _Leaf):
            new[name] = branch.value
            continue
        inner = getattr(obj, name)
        if inner is None:
            inner = _begun(known[name].metadata["cls"], branch, f"{place}{name}")
        else:
            inner = _replaced(inner, branch, f"{place}{name}.")
        new[name] = inner
    try:
        return replace(obj, **new)  # type: ignore[type-var]
    except BadInput as bad:
        raise bad.within(place.rstrip(".")) if place else bad from None


def _begun(cls: type, tree: Mapping[str, Any], place: str) -> Any:
    """Return a part that was absent, with these values."""
    given = {k: v.value for k, v in tree.items() if isinstance(v, _Leaf)}
    for f in fields(cls):
        if f.name not in given and f.default is MISSING and f.default_factory is MISSING:
            raise BadInput(f"{place}.{key(f)}", "missing", f.metadata["doc"])
    try:
        return cls(**given)
    except BadInput as bad:
        raise bad.within(place) from None
