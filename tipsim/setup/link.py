"""Scenarios as the query of a link: only what differs from a preset, readable by eye.

One bench: ``needle=counter-bent&drive=torsional&power=60``; the needle is a shape, for the one
that stands for it, or an id of the catalogue. Two benches side by side share
what they have in common; the rest carries ``a.`` or ``b.``.
"""

from collections.abc import Iterator, Mapping
from dataclasses import Field, fields, replace
from decimal import Decimal, InvalidOperation
from functools import cache
from typing import Any
from urllib.parse import parse_qsl, urlencode

from tipsim.setup import catalogue
from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.fields import from_plain, plain_field, to_plain
from tipsim.setup.fields import key as in_file
from tipsim.setup.load import Support
from tipsim.setup.scenario import Scenario
from tipsim.setup.sleeve import Sleeve
from tipsim.setup.thermal import Press

ALIASES = {
    "power": "drive.power_percent",
    "holds": "drive.holds",
    "frequency": "drive.frequency_khz",
    "phase": "drive.phase_deg",
    "duty": "duty.kind",
    "mobility": "sleeve.mobility",
    "temperature": "fluid.temperature_c",
    "markers": "markers_mm",
    "aspiration": "flow.aspiration_ml_min",
    "leak": "flow.leak_ml_min",
    "occlusion": "flow.occlusion_percent",
    "bottle": "flow.bottle_height_cm",
    "vacuum": "flow.vacuum_limit_mmhg",
    "outside": "outside.kind",
    "duration": "duration_s",
}
"""Short names for what is changed most."""
_SHORT = {long: short for short, long in ALIASES.items()}
_ON: Mapping[str, type] = {"support": Support, "press": Press}
"""Parts that no preset has and that begin with usual numbers: ``press=on``."""


def to_query(scenario: Scenario) -> str:
    """Write a scenario as a query.

    Examples
    --------
    >>> from dataclasses import replace
    >>> one = Scenario.preset("single-bend, torsional")
    >>> to_query(replace(one, drive=replace(one.drive, power=0.6)))
    'needle=single-bend&drive=torsional&power=60'
    """
    return _encode(to_items(scenario))


def from_query(query: str) -> Scenario:
    """Read a scenario from a query.

    Raises
    ------
    BadInput
        Naming the key, the value and what is allowed.
    """
    return from_items(_decode(query))


def pair_to_query(a: Scenario, b: Scenario, extra: Mapping[str, str] | None = None) -> str:
    """Write two scenarios as one query; `extra` items come behind."""
    one, two = to_items(a), to_items(b)
    shared = {k: v for k, v in one.items() if two.get(k) == v}
    out = {f"a.{k}": v for k, v in one.items() if k not in shared}
    out |= {f"b.{k}": v for k, v in two.items() if k not in shared}
    return _encode(out | shared | dict(extra or {}))


def pair_from_items(items: Mapping[str, str]) -> tuple[Scenario, Scenario]:
    """Read two scenarios from the items of a query; items that begin with "view." are left out.

    Examples
    --------
    >>> a, b = pair_from_items({"a.needle": "straight-0.9", "power": "40"})
    >>> a.needle.shape, b.needle.shape, b.drive.power
    ('straight', 'counter-bent', 0.4)
    """
    sides: dict[str, dict[str, str]] = {"a": {}, "b": {}}
    shared: dict[str, str] = {}
    for key, value in items.items():
        side, _, rest = key.partition(".")
        if side in sides and rest:
            sides[side][rest] = value
        elif side != "view":
            shared[key] = value
    # What names a side counts more than what both share, whichever comes first.
    return (
        from_items({"needle": "single-bend"} | shared | sides["a"], "a."),
        from_items({"needle": "counter-bent"} | shared | sides["b"], "b."),
    )


def to_items(scenario: Scenario) -> dict[str, str]:
    """Give the items of a query: base needle and drive first, then every difference."""
    needle, drive = _base_ids(scenario)
    base = _base(needle, drive)
    out = {"needle": needle, "drive": drive}
    sleeve = scenario.sleeve
    if sleeve is None:
        out["sleeve"] = "none"
        base = replace(base, sleeve=None)
    elif sleeve.id in catalogue.catalogue().sleeves and sleeve.id != _id(base.sleeve):
        out["sleeve"] = sleeve.id
        base = replace(base, sleeve=catalogue.sleeve(sleeve.id))
    base = _pressed(base, scenario, out)
    for path, value in _differences(base, scenario):
        out[_SHORT.get(path, path)] = value
    return out


def _pressed(base: Scenario, scenario: Scenario, out: dict[str, str]) -> Scenario:
    """Give the base what presses on needle or sleeve where the scenario has it, and name it."""
    if scenario.lens is not None:
        grades = catalogue.lens_grades()
        grade = scenario.lens.grade if scenario.lens.grade in grades else next(iter(grades))
        out["lens"] = grade
        base = replace(base, lens=catalogue.lens(grade))
    for name, cls in _ON.items():
        if getattr(scenario, name) is not None:
            out[name] = "on"
            base = replace(base, **{name: cls()})
    return base


def _id(sleeve: Sleeve | None) -> str:
    return sleeve.id if sleeve else "none"


def _differences(base: Scenario, scenario: Scenario) -> Iterator[tuple[str, str]]:
    """Give path and text of everything that is not as in the base."""
    for f in fields(Scenario):
        one, other = getattr(base, f.name), getattr(scenario, f.name)
        # Most parts are alike; only the others are written out and compared in depth.
        if one == other:
            continue
        if f.metadata["kind"] != "part":
            yield from _flat(plain_field(f, other)).items()
            continue
        # What the base has not is a difference as a whole.
        before = {} if one is None else _flat(to_plain(one), f"{f.name}.")
        for path, text in _flat(to_plain(other), f"{f.name}.").items():
            if before.get(path) != text:
                yield path, text


def from_items(items: Mapping[str, str], place: str = "") -> Scenario:
    """Read a scenario from the items of a query; `place` stands before names in complaints."""
    try:
        return _from_items(items)
    except BadInput as bad:
        raise BadInput(f"link: {place}{bad.field}", bad.value, bad.allowed) from None


def _from_items(items: Mapping[str, str]) -> Scenario:
    rest = dict(items)
    needle = rest.pop("needle", "single-bend")
    drive = rest.pop("drive", "torsional")
    plain = to_plain(_base(needle, drive))
    sleeve = rest.pop("sleeve", None)
    if sleeve == "none":
        plain.pop("sleeve")
    elif sleeve is not None:
        plain["sleeve"] = to_plain(catalogue.sleeve(sleeve))
    lens = rest.pop("lens", "none")
    if lens != "none":
        plain["lens"] = to_plain(catalogue.lens(lens))
    for name, cls in _ON.items():
        word = rest.pop(name, "none")
        if word not in ("none", "on"):
            raise BadInput(name, f'"{word}"', "on, none")
        if word == "on":
            plain[name] = to_plain(cls())
    for key, text in rest.items():
        _put(plain, ALIASES.get(key, key), text, key)
    out = from_plain(Scenario, plain)
    assert isinstance(out, Scenario)
    return out


def _base_ids(scenario: Scenario) -> tuple[str, str]:
    """Give the preset to start from: by the scenario's own name if it has a preset's."""
    c = catalogue.catalogue()
    id, kind = scenario.needle.id, scenario.drive.kind
    named, _, named_kind = scenario.name.rpartition(", ")
    if named_kind == kind and c.main.get(named, named) == id and id in c.needles:
        return named, kind
    return id if id in c.needles else next(iter(c.main.values())), kind


def _base(needle: str, drive: str) -> Scenario:
    c = catalogue.catalogue()
    if needle in c.main:
        return catalogue.bench(c.main[needle], drive, f"{needle}, {drive}")
    return catalogue.bench(needle, drive)


def _flat(plain: Mapping[str, Any], place: str = "") -> dict[str, str]:
    """Flatten nested tables to dotted keys and text."""
    out: dict[str, str] = {}
    for key, value in plain.items():
        if isinstance(value, Mapping):
            out |= _flat(value, f"{place}{key}.")
        elif isinstance(value, list):
            cls = _lists().get(key)
            out[place + key] = ",".join(_item(v, cls) if cls else _text(v) for v in value)
        else:
            out[place + key] = _text(value)
    return out


def _item(value: Mapping[str, Any], cls: type) -> str:
    """Write one of several parts, such as a piece: its fields in order, colons between."""
    return ":".join(_text(value.get(k, "")) for k in _named(cls)).rstrip(":")


def _text(value: Any) -> str:
    return f"{value.normalize():f}" if isinstance(value, Decimal) else str(value)


def _put(plain: dict[str, Any], path: str, text: str, key: str) -> None:
    """Put the text of one item where its path leads; a part that may be absent is begun."""
    *tables, last = path.split(".")
    spot, cls = plain, Scenario
    for name in tables:
        f = _named(cls).get(name)
        if f is None or f.metadata["kind"] != "part":
            raise _unknown(key)
        spot, cls = spot.setdefault(name, {}), f.metadata["cls"]
    f = _named(cls).get(last)
    kind = f.metadata["kind"] if f else "part"
    if kind == "part":
        raise _unknown(key)
    if kind == "parts":
        assert f is not None
        spot[last] = [_several(t, f.metadata["cls"], key) for t in text.split(",") if t]
    elif kind == "numbers":
        spot[last] = [_number(t, key) for t in text.split(",")]
    else:
        spot[last] = _number(text, key) if kind == "quantity" else text


@cache
def _named(cls: type) -> Mapping[str, "Field[Any]"]:
    """Give the fields of a part by their names in files."""
    return {in_file(f): f for f in fields(cls)}


@cache
def _lists(cls: type = Scenario) -> Mapping[str, type]:
    """Give the class behind each field that holds several parts, by the field's name."""
    out: dict[str, type] = {}
    for name, f in _named(cls).items():
        if f.metadata["kind"] == "part":
            out |= _lists(f.metadata["cls"])
        elif f.metadata["kind"] == "parts":
            out[name] = f.metadata["cls"]
    return out


@cache
def path_names(cls: type = Scenario, place: str = "") -> tuple[str, ...]:
    """Give every path that a link may carry."""
    out: list[str] = []
    for name, f in _named(cls).items():
        deeper = f.metadata["kind"] == "part"
        out += path_names(f.metadata["cls"], f"{place}{name}.") if deeper else [place + name]
    return tuple(out)


def _unknown(key: str) -> BadInput:
    allowed = "names such as power" + nearest(key, [*ALIASES, *path_names()])
    return BadInput(key or '""', "not a known name here", allowed)


def _several(text: str, cls: type, key: str) -> dict[str, Any]:
    """Read one of several parts; what stands between two colons without text is left out."""
    values, known = text.split(":"), _named(cls)
    if len(values) > len(known):
        raise BadInput(key, text[:40], ":".join(known))
    return {
        name: _number(v, key) if f.metadata["kind"] == "quantity" else v
        for (name, f), v in zip(known.items(), values, strict=False)
        if v
    }


def _number(text: str, key: str) -> Decimal:
    try:
        number = Decimal(text)
    except InvalidOperation:
        number = Decimal("nan")
    if not number.is_finite():
        raise BadInput(key, f'"{text[:40]}"', "a number")
    return number


def _encode(items: Mapping[str, str]) -> str:
    return urlencode(items, safe=":,")


def _decode(query: str) -> dict[str, str]:
    return dict(parse_qsl(query.lstrip("?"), keep_blank_values=True))
