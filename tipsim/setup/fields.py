"""Fields that know their unit, range and meaning: one source for checks, files, links and help."""

import math
from collections.abc import Mapping
from dataclasses import MISSING, Field, field, fields
from decimal import Decimal
from typing import Any

from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.units import Unit


def quantity(unit: Unit, low: float, high: float, doc: str, default: Any = MISSING) -> Any:
    """Declare a number: unit of the outside, allowed range in that unit, meaning.

    The default is in SI, as inside; `None` makes the number optional.
    """
    meta = {"kind": "quantity", "unit": unit, "low": low, "high": high, "doc": doc}
    return field(default=default, metadata=meta)


def choice(options: tuple[str, ...], doc: str, default: Any = MISSING) -> Any:
    """Declare one word out of a list."""
    return field(default=default, metadata={"kind": "choice", "options": options, "doc": doc})


def words(doc: str, default: Any = MISSING) -> Any:
    """Declare a line of text, up to 120 characters."""
    return field(default=default, metadata={"kind": "words", "doc": doc})


def part(cls: type, doc: str, default: Any = MISSING, optional: bool = False) -> Any:
    """Declare a nested dataclass."""
    meta = {"kind": "part", "cls": cls, "optional": optional, "doc": doc}
    return field(default=default, metadata=meta)


def parts(cls: type, doc: str, default: Any = MISSING) -> Any:
    """Declare a tuple of nested dataclasses."""
    return field(default=default, metadata={"kind": "parts", "cls": cls, "doc": doc})


def numbers(
    unit: Unit, low: float, high: float, most: int, doc: str, default: Any = MISSING
) -> Any:
    """Declare a tuple of numbers of one unit."""
    meta = {"kind": "numbers", "unit": unit, "low": low, "high": high, "most": most, "doc": doc}
    return field(default=default, metadata=meta)


def key(f: "Field[Any]") -> str:
    """Give the name of a field in files: with its unit behind it."""
    unit = f.metadata.get("unit")
    return f"{f.name}_{unit.suffix}" if unit and unit.suffix else f.name


def check(obj: Any) -> None:
    """Check every declared field of a dataclass.

    Raises
    ------
    BadInput
        Naming the first field that is off, its value and what is allowed.
    """
    for f in fields(obj):
        kind, value = f.metadata.get("kind"), getattr(obj, f.name)
        if kind == "quantity" and not (value is None and f.default is None):
            _check_number(f, key(f), value)
        elif kind == "numbers":
            _check_numbers(f, value)
        elif kind == "choice" and value not in f.metadata["options"]:
            options = f.metadata["options"]
            raise BadInput(f.name, f'"{value}"', ", ".join(options) + nearest(str(value), options))
        elif kind == "words" and not (
            isinstance(value, str) and 0 < len(value) <= 120 and value.isprintable()
        ):
            raise BadInput(f.name, repr(value)[:60], "one line of 1 to 120 printable characters")


def _check_number(f: "Field[Any]", name: str, value: Any) -> None:
    unit, low, high = f.metadata["unit"], f.metadata["low"], f.metadata["high"]
    allowed = f"{low:g} to {high:g} {unit.symbol}".strip()
    if isinstance(value, bool) or not isinstance(value, int | float) or not _is_finite(value):
        raise BadInput(name, _short(value), f"a number, {allowed}")
    # Limits go through the same conversion as values, so a value at the limit passes.
    if not unit.to_si(low) <= value <= unit.to_si(high):
        raise BadInput(name, unit.show(value, 6), allowed)


def _check_numbers(f: "Field[Any]", values: Any) -> None:
    most = f.metadata["most"]
    if not isinstance(values, tuple) or not 1 <= len(values) <= most:
        raise BadInput(key(f), f"{len(values)} numbers", f"1 to {most} numbers")
    for i, value in enumerate(values):
        _check_number(f, f"{key(f)}[{i}]", value)


def to_plain(obj: Any) -> dict[str, Any]:
    """Turn a dataclass into plain data for a file: units in the keys, decimals as numbers."""
    out: dict[str, Any] = {}
    for f in fields(obj):
        kind, value = f.metadata.get("kind"), getattr(obj, f.name)
        if value is None or kind is None:
            continue
        out[key(f)] = _plain(f, kind, value)
    return out


def plain_field(f: "Field[Any]", value: Any) -> dict[str, Any]:
    """Give one field as plain data, with its unit in the key."""
    return {key(f): _plain(f, f.metadata["kind"], value)}


def _plain(f: "Field[Any]", kind: str, value: Any) -> Any:
    if kind == "quantity":
        return f.metadata["unit"].from_si(value)
    if kind == "numbers":
        return [f.metadata["unit"].from_si(v) for v in value]
    if kind == "part":
        return to_plain(value)
    if kind == "parts":
        return [to_plain(v) for v in value]
    return value


def from_plain(cls: type, data: Any) -> Any:
    """Build a dataclass from plain data; the reverse of `to_plain`.

    Raises
    ------
    BadInput
        For an unknown, missing or impossible field, with the nearest known name.
    """
    if not isinstance(data, Mapping):
        raise BadInput("", repr(data)[:40], f"a table with {_known(cls)}")
    known = {key(f): f for f in fields(cls) if f.metadata.get("kind")}
    for name in data:
        if name not in known:
            allowed = _known(cls) + nearest(str(name), known)
            raise BadInput(str(name) or '""', "not a known field", allowed)
    values: dict[str, Any] = {}
    for name, f in known.items():
        if name in data:
            values[f.name] = _value(f, name, data[name])
        elif f.default is MISSING and f.default_factory is MISSING:
            raise BadInput(name, "missing", f.metadata["doc"])
    return cls(**values)


def _known(cls: type) -> str:
    return ", ".join(key(f) for f in fields(cls) if f.metadata.get("kind"))


def _value(f: "Field[Any]", name: str, raw: Any) -> Any:
    kind = f.metadata["kind"]
    if kind == "quantity":
        return _number(f, name, raw)
    if kind == "numbers":
        if not isinstance(raw, list):
            raise BadInput(name, repr(raw)[:40], "a list of numbers")
        return tuple(_number(f, f"{name}[{i}]", v) for i, v in enumerate(raw))
    if kind == "part":
        return _inside(name, f.metadata["cls"], raw)
    if kind == "parts":
        if not isinstance(raw, list):
            raise BadInput(name, repr(raw)[:40], "a list of tables")
        return tuple(_inside(f"{name}[{i}]", f.metadata["cls"], v) for i, v in enumerate(raw))
    return raw


def _inside(name: str, cls: type, raw: Any) -> Any:
    try:
        return from_plain(cls, raw)
    except BadInput as bad:
        raise bad.within(name) from None


def _number(f: "Field[Any]", name: str, raw: Any) -> float:
    unit: Unit = f.metadata["unit"]
    if isinstance(raw, bool) or not isinstance(raw, int | float | Decimal):
        allowed = f"a number, {f.metadata['low']:g} to {f.metadata['high']:g} {unit.symbol}".strip()
        raise BadInput(name, repr(raw)[:40], allowed)
    if not _is_finite(raw):
        raise BadInput(name, _short(raw), "a finite number")
    return unit.to_si(raw)


def _is_finite(value: int | float | Decimal) -> bool:
    """Tell whether a number is one, and within a float's reach."""
    try:
        return math.isfinite(float(value))
    except (OverflowError, ValueError):  # A whole number too long; a signalling NaN.
        return False


def _short(value: object) -> str:
    """Write any value in a few characters."""
    try:
        text = str(value)
    except ValueError:  # Python refuses to write out a whole number of thousands of digits.
        return "a number of thousands of digits"
    return text if len(text) <= 40 else f"{text[:37]}..."
