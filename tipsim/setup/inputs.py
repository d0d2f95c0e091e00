"""Every input of a dataclass of declared fields, by its path; and how one or more are changed.

A path is the same in files, links, forms and on the command line: ``drive.power_percent``. In
Python the unit is left out, as values are in SI: ``drive.power``. Some have a short name:
``power``.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import MISSING, Field, fields, replace
from functools import cache
from typing import TYPE_CHECKING, Any, TypeVar

from tipsim.setup.checks import allowed_range, as_float, key
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.fields import Slider, capital
from tipsim.setup.sourced import Sourced, number
from tipsim.setup.units import ONE, Unit

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

T = TypeVar("T", bound="DataclassInstance")


@described(eq=False)
class Input:
    """What is known of one input."""

    path: str = about(
        'With the unit, as in files and links: "flow.aspiration_ml_min"; without, as in Python: '
        '"flow.aspiration".'
    )
    name: str
    short: str = about('Short name in links, or "".')
    kind: str = about('"quantity", "numbers", "choice", "words" or "parts".')
    label: str = about("Words beside the control; meaning.")
    doc: str
    unit: Unit = about("Of `low`, `high` and `slider`; `ONE` where there are no numbers.")
    low: float = about("Allowed range.")
    high: float
    slider: Slider = about("Range and step of the control.")
    scale: str = about('"linear" or "log".')
    options: tuple[str, ...] = about("Words to choose from.")
    most: int = about('Largest count, for "numbers" and "parts"; else 1.')
    source: Sourced | None = about("Entry of `assets/numbers` that the first value comes from.")
    field: "Field[Any]" = about("The declaration itself.")

    @property
    def part(self) -> str:
        """Path of the part that it belongs to, or ""."""
        return self.name.rpartition(".")[0]

    @property
    def follows(self) -> "Callable[[Any], float] | None":
        """What gives the value while none is set; None for other inputs."""
        found: Callable[[Any], float] | None = self.field.metadata.get("follows")
        return found

    def said(self, option: str) -> str:
        """Return what people read for one of the words to choose from."""
        return str(self.field.metadata.get("said", {}).get(option, capital(option)))

    def of(self, obj: Any) -> Any:
        """Return the value that an object has, in SI; None where it has none or no such part."""
        for step in self.name.split("."):
            obj = getattr(obj, step, None)
        return obj

    def settled(self, obj: Any) -> Any:
        """Return the value that counts, in SI: what is set, or what it follows."""
        value = self.of(obj)
        if value is None and self.follows is not None and _there(obj, self.part):
            return self.follows(obj)
        return value

    def text(self, obj: Any) -> str:
        """Return the value that counts as people read it, with its unit; "" where nothing is set.

        >>> from tipsim.setup.scenario import Scenario
        >>> one = Scenario.preset("straight, axial")
        >>> known = inputs(Scenario)
        >>> [known[p].text(one) for p in ("drive.power_percent", "drive.kind", "markers_mm")]
        ['100 %', 'longitudinal (axial)', '0, 1, 2, 3, 4 mm']
        """
        value = self.settled(obj)
        if value is None:
            return ""
        if self.kind == "quantity":
            return self.unit.show(value)
        if self.kind == "choice":
            return self.said(value)
        if self.kind == "numbers":
            shown = [self.unit.show(v).removesuffix(f" {self.unit.symbol}") for v in value]
            return f"{', '.join(shown)} {self.unit.symbol}".strip()
        if self.kind == "parts":
            return "; ".join(_part_text(part) for part in value)
        return str(value)

    def shown(self, obj: Any) -> Any:
        """Return the value that counts, in the unit of the outside, numbers as floats."""
        value = self.settled(obj)
        if value is None or self.kind not in ("quantity", "numbers"):
            return value
        if self.kind == "numbers":
            return [float(self.unit.from_si(v)) for v in value]
        return float(self.unit.from_si(value))


def _part_text(part: Any) -> str:
    """Return what is set of one of several parts, its words first."""
    cls: type = type(part)
    every = inputs(cls).values()
    texts = [(one.kind != "choice", one.text(part)) for one in every]
    return ", ".join(text for _, text in sorted(texts, key=lambda t: t[0]) if text)


def _there(obj: Any, part: str) -> bool:
    """Return whether an object has a part that may be absent."""
    for step in part.split(".") if part else ():
        obj = getattr(obj, step, None)
    return obj is not None


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
        known = nearest(name, _names(cls)) if name else ""
        raise BadInput(name[:60] or '""', "not a known name here", f"names such as power{known}")
    return found


def has_input(cls: type, name: str) -> bool:
    """Return whether an input has this path, name or short name."""
    return name in _names(cls)


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
    tree = _Branch()
    for name, value in values.items():
        spot = tree
        for step in name.split("."):
            spot = spot.inside.setdefault(step, _Branch())
        spot.value = value
    out: T = _grown(tree, type(obj), obj, "")
    return out


class _Branch:
    """What changes at one place: its value as a whole, then what is inside it."""

    def __init__(self) -> None:
        self.value: Any = MISSING
        self.inside: dict[str, _Branch] = {}


def _grown(branch: _Branch, cls: type, now: Any, place: str) -> Any:
    """Return the new value of a part of a class; `now` is what stands there."""
    known = {f.name: f for f in fields(cls)}
    start = now if branch.value is MISSING else branch.value
    new: dict[str, Any] = {}
    for name, inner in branch.inside.items():
        if inner.inside:
            current = getattr(start, name, None)
            new[name] = _grown(inner, known[name].metadata["cls"], current, f"{place}{name}.")
        else:
            new[name] = inner.value
    if not new:
        return start
    if start is None:
        for f in fields(cls):
            if f.name not in new and f.default is MISSING and f.default_factory is MISSING:
                raise BadInput(f"{place}{key(f)}", "missing", f.metadata["doc"])
    try:
        return cls(**new) if start is None else replace(start, **new)
    except BadInput as bad:
        raise bad.within(place.rstrip(".")) if place else bad from None


def with_values(obj: T, values: Mapping[str, Any]) -> T:
    """Return a dataclass changed by names as people write them; see `Scenario.with_`."""
    cls, out = type(obj), {}
    for name, value in values.items():
        part = parts_of(cls).get(name)
        if part and (value is None or isinstance(value, part)):
            out[name] = value
            continue
        one = find_input(cls, name)
        if name == one.path != one.name:
            value = _si(one, value)
        out[one.name] = value
    return changed(obj, out)


def _si(one: Input, value: Any) -> Any:
    """Return in SI what is in the unit of the path."""
    several = one.kind == "numbers"
    numbers = [as_float(v, ONE) for v in (value if several else [value])]
    if any(v is None for v in numbers):
        raise BadInput(one.path, str(value)[:40], f"a number, {allowed_range(one.field.metadata)}")
    found = tuple(one.unit.to_si(v) for v in numbers if v is not None)
    return found if several else found[0]
