"""The check of declared fields: what a value may be, and the sentence that refuses another."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import Field, fields
from numbers import Real
from typing import Any

from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.units import Unit


def key(f: "Field[Any]") -> str:
    """Return the name of a field in files: with its unit behind it."""
    unit = f.metadata.get("unit")
    return f"{f.name}_{unit.suffix}" if unit and unit.suffix else f.name


def check(obj: Any) -> None:
    """Check every declared field of a dataclass, and hold numbers of any kind as floats.

    Raises
    ------
    BadInput
        Naming the first field that is off, its value and what is allowed.
    """
    for f in fields(obj):
        kind, value = f.metadata.get("kind"), getattr(obj, f.name)
        if kind == "quantity":
            if value is None and f.default is None:
                continue
            number = _checked(f, key(f), value)
            if number is not value:
                object.__setattr__(obj, f.name, number)
        elif kind in ("numbers", "parts"):
            object.__setattr__(obj, f.name, _checked_all(f, value))
        elif kind == "choice" and value not in f.metadata["options"]:
            options = f.metadata["options"]
            raise BadInput(f.name, f'"{value}"', ", ".join(options) + nearest(str(value), options))
        elif kind == "words" and not (
            isinstance(value, str) and 0 < len(value) <= 120 and value.isprintable()
        ):
            raise BadInput(f.name, repr(value)[:60], "one line of 1 to 120 printable characters")


def allowed_range(meta: Mapping[str, Any]) -> str:
    """Return the allowed range of a number in words.

    >>> from tipsim.setup.fields import sourced
    >>> allowed_range(sourced("iris.friction").metadata)
    '0.01 to 0.5'
    """
    return f"{meta['low']:g} to {meta['high']:g} {meta['unit'].symbol}".strip()


def _checked(f: "Field[Any]", name: str, value: Any) -> float:
    """Return a number as a float, once it is one within the range."""
    unit = f.metadata["unit"]
    number = as_float(value, unit)
    if number is None:
        raise BadInput(name, shortened(value), f"a number, {allowed_range(f.metadata)}")
    # Limits go through the same conversion as values, so a value at the limit passes.
    if not unit.to_si(f.metadata["low"]) <= number <= unit.to_si(f.metadata["high"]):
        raise out_of_range(f, name, unit.show(number, 6))
    return number


def out_of_range(f: "Field[Any]", name: str, shown: str) -> BadInput:
    """Return the complaint about a number beyond its range, shown in the unit of the input."""
    allowed = allowed_range(f.metadata)
    return BadInput(name, shown, allowed, f"Enter a number from {allowed}. You entered {shown}.")


def as_float(value: Any, unit: Unit) -> float | None:
    """Return a finite number in SI as a float; None for anything else.

    Python's and NumPy's numbers count, and quantities that bring a unit of their own (pint).
    """
    if isinstance(value, float) and math.isfinite(value):
        return float(value)
    if hasattr(value, "to") and hasattr(value, "magnitude"):
        try:
            value = value.to(unit.si).magnitude
        except Exception:  # Whatever a package of units raises for a unit of another kind.
            return None
    if getattr(value, "shape", None) == () and hasattr(value, "item"):
        value = value.item()
    if isinstance(value, bool) or not isinstance(value, Real):
        return None
    try:
        number = float(value)
    except OverflowError:  # A whole number too long.
        return None
    return number if math.isfinite(number) else None


def _checked_all(f: "Field[Any]", values: Any) -> tuple[Any, ...]:
    """Return several numbers or parts as a tuple, once there are as many as may be."""
    least, most, several = f.metadata["least"], f.metadata["most"], f.metadata["kind"] == "parts"
    what = f.name if several else "numbers"
    if isinstance(values, str | Mapping) or not hasattr(values, "__len__"):
        raise BadInput(key(f), shortened(values), f"a list of {what}")
    if not least <= len(values) <= most:
        raise BadInput(key(f), f"{len(values)} {what}", count_allowed(f))
    if not several:
        return tuple(_checked(f, f"{key(f)}[{i}]", value) for i, value in enumerate(values))
    for i, value in enumerate(values):
        if not isinstance(value, f.metadata["cls"]):
            raise BadInput(f"{f.name}[{i}]", shortened(value), f"a {f.metadata['cls'].__name__}")
    return tuple(values)


def check_count(f: "Field[Any]", name: str, values: Sequence[Any]) -> None:
    """Refuse too many before any of them is read.

    Raises
    ------
    BadInput
        Naming how many there are and may be.
    """
    if len(values) > f.metadata["most"]:
        what = f.name if f.metadata["kind"] == "parts" else "numbers"
        raise BadInput(name, f"{len(values)} {what}", count_allowed(f))


def count_allowed(f: "Field[Any]") -> str:
    """Return in words how many a field of several may have."""
    meta = f.metadata
    what = f.name if meta["kind"] == "parts" else "numbers"
    return (
        f"{meta['least']} to {meta['most']} {what}"
        if meta["least"]
        else (f"up to {meta['most']} {what}")
    )


def shortened(value: object) -> str:
    """Write any value in a few characters."""
    try:
        text = str(value)
    except ValueError:  # Python refuses to write out a whole number of thousands of digits.
        return "a number of thousands of digits"
    return text if len(text) <= 40 else f"{text[:37]}..."
