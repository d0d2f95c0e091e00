"""Dataclasses of declared fields as plain data, as files and links hold them, and back."""

import math
from collections.abc import Mapping
from dataclasses import MISSING, Field, fields
from decimal import Decimal
from typing import Any

from tipsim.setup.checks import allowed_range, check_count, key, shortened
from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.units import Unit


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
    """Return one field as plain data, with its unit in the key."""
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
        check_count(f, name, raw)
        return tuple(_number(f, f"{name}[{i}]", v) for i, v in enumerate(raw))
    if kind == "part":
        return _inside(name, f.metadata["cls"], raw)
    if kind == "parts":
        if not isinstance(raw, list):
            raise BadInput(name, repr(raw)[:40], "a list of tables")
        check_count(f, name, raw)
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
        raise BadInput(name, repr(raw)[:40], f"a number, {allowed_range(f.metadata)}")
    if not _is_finite(raw):
        raise BadInput(name, shortened(raw), "a finite number")
    return unit.to_si(raw)


def _is_finite(value: int | float | Decimal) -> bool:
    """Return whether a number is one, and within a float's reach."""
    try:
        return math.isfinite(float(value))
    except (OverflowError, ValueError):  # A whole number too long; a signalling NaN.
        return False
