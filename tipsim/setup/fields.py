"""Fields that know their unit, range, label and source: one place for checks, files and forms."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import MISSING, Field, field, fields
from decimal import Decimal
from numbers import Real
from typing import Any

from tipsim.setup.described import document
from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.sourced import number
from tipsim.setup.units import ONE, Unit

Slider = tuple[float, float, float]
"""Lowest and highest value and step of a control, in the unit of the outside."""


REQUIRED = object()
"""For a number that has a source but no first value: each object brings its own."""


def quantity(
    unit: Unit,
    low: float,
    high: float,
    doc: str,
    default: Any = MISSING,
    *,
    label: str = "",
    slider: Slider | None = None,
    scale: str = "linear",
    source: str = "",
    short: str = "",
) -> Any:
    """Declare a number.

    Parameters
    ----------
    unit : Unit
        Unit of the outside; `low`, `high` and `slider` are in it.
    low, high : float
        Allowed range.
    doc : str
        Meaning, as the help says it.
    default : optional
        First value in SI; `None` makes the number optional, `REQUIRED` asks for one. Absent: the
        value of `source`.
    label : str
        Words beside the control; absent: the meaning.
    slider : (low, high, step), optional
        Range and step of the control; absent: the whole range in a hundred steps.
    scale : str
        "linear" or "log": how the control goes through its range.
    source : str
        Id of the entry of `assets/numbers` that the first value comes from.
    short : str
        Short name for links and `Scenario.with_`, such as "power".
    """
    if default is REQUIRED:
        default = MISSING
    elif source and default is MISSING:
        default = number(source).si
    meta = {
        "kind": "quantity",
        "unit": unit,
        "low": low,
        "high": high,
        "doc": doc,
        "label": label or capital(doc),
        "slider": slider or (low, high, _step(low, high)),
        "scale": scale,
        "source": source,
        "short": short,
    }
    return field(default=default, metadata=meta)


def sourced(
    id: str,
    doc: str = "",
    *,
    span: tuple[float, float] | None = None,
    label: str = "",
    slider: Slider | None = None,
    scale: str = "",
    short: str = "",
) -> Any:
    """Declare a number by its entry in `assets/numbers`: value, unit, range and meaning are there.

    Parameters
    ----------
    id : str
    doc, label : str
        Other words than the entry's, for the help and beside the control.
    span : (low, high), optional
        Allowed range, where it is wider than that over which the number is uncertain.
    slider, scale, short
        As in `quantity`; absent, the control of a range of many decades goes by the logarithm.

    Examples
    --------
    >>> sourced("iris.friction").metadata["slider"]
    (0.01, 0.5, 0.005)
    """
    n = number(id)
    low, high = span or (n.low, n.high)
    decades = span is None and low > 0 and high / low >= DECADES
    return quantity(
        n.unit,
        low,
        high,
        doc or n.label[0].lower() + n.label[1:],
        label=label or capital(doc) or n.label,
        slider=slider,
        scale=scale or ("log" if decades else "linear"),
        source=id,
        short=short,
    )


DECADES = 30.0
"""From this ratio of its ends on, the control of an assumed number goes by the logarithm."""


def capital(text: str) -> str:
    """Return a text that begins with a capital letter."""
    return text[:1].upper() + text[1:]


def _step(low: float, high: float) -> float:
    return float(f"{(high - low) / 100:.1g}")


def choice(
    options: tuple[str, ...], doc: str, default: Any = MISSING, *, label: str = "", short: str = ""
) -> Any:
    """Declare one word out of a list."""
    meta = {"kind": "choice", "options": options, "doc": doc}
    meta |= {"label": label or capital(doc), "short": short}
    return field(default=default, metadata=meta)


def words(doc: str, default: Any = MISSING, *, label: str = "") -> Any:
    """Declare a line of text, up to 120 characters."""
    meta = {"kind": "words", "doc": doc, "label": label or capital(doc)}
    return field(default=default, metadata=meta)


def part(cls: type, doc: str, default: Any = MISSING, optional: bool = False) -> Any:
    """Declare a nested dataclass."""
    meta = {"kind": "part", "cls": cls, "optional": optional, "doc": doc}
    return field(default=default, metadata=meta)


def parts(
    cls: type, doc: str, default: Any = MISSING, *, most: int, least: int = 0, label: str = ""
) -> Any:
    """Declare a tuple of nested dataclasses, at least `least` and at most `most` of them."""
    meta = {"kind": "parts", "cls": cls, "most": most, "least": least, "doc": doc}
    return field(default=default, metadata=meta | {"label": label or capital(doc)})


def numbers(
    unit: Unit,
    low: float,
    high: float,
    most: int,
    doc: str,
    default: Any = MISSING,
    *,
    label: str = "",
    short: str = "",
) -> Any:
    """Declare a tuple of one to `most` numbers of one unit."""
    meta = {"kind": "numbers", "unit": unit, "low": low, "high": high, "least": 1, "most": most}
    meta |= {"doc": doc, "label": label or capital(doc), "short": short}
    return field(default=default, metadata=meta)


def key(f: "Field[Any]") -> str:
    """Return the name of a field in files: with its unit behind it."""
    unit = f.metadata.get("unit")
    return f"{f.name}_{unit.suffix}" if unit and unit.suffix else f.name


class Declared:
    """What dataclasses of declared fields share: the check, and a docstring made of declarations.

    >>> class Iris(Declared):
    ...     arc: float = sourced("iris.arc")
    >>> print(Iris.__doc__.partition("----------")[2])
    <BLANKLINE>
    arc : float
        Arc of the sleeve that the iris touches [rad].
    <BLANKLINE>
    """

    def __init_subclass__(cls) -> None:
        """Add to the class's docstring what its fields mean."""
        document(cls, _meaning)

    def __post_init__(self) -> None:
        """Check every field."""
        check(self)


def _meaning(f: "Field[Any]") -> str:
    """Return the meaning of a field with its SI unit, or the words to choose from."""
    words = ", ".join(f'"{o}"' for o in f.metadata.get("options", ()))
    unit = f.metadata.get("unit", ONE).si
    more = f": {words}" if words else f" [{unit}]" if unit != ONE.si else ""
    return f"{capital(f.metadata['doc'])}{more}."


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

    >>> allowed_range(sourced("iris.friction").metadata)
    '0.01 to 0.5'
    """
    return f"{meta['low']:g} to {meta['high']:g} {meta['unit'].symbol}".strip()


def _checked(f: "Field[Any]", name: str, value: Any) -> float:
    """Return a number as a float, once it is one within the range."""
    unit = f.metadata["unit"]
    number = as_float(value, unit)
    if number is None:
        raise BadInput(name, _short(value), f"a number, {allowed_range(f.metadata)}")
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
        raise BadInput(key(f), _short(values), f"a list of {what}")
    if not least <= len(values) <= most:
        raise BadInput(key(f), f"{len(values)} {what}", count_allowed(f))
    if not several:
        return tuple(_checked(f, f"{key(f)}[{i}]", value) for i, value in enumerate(values))
    for i, value in enumerate(values):
        if not isinstance(value, f.metadata["cls"]):
            raise BadInput(f"{f.name}[{i}]", _short(value), f"a {f.metadata['cls'].__name__}")
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
        raise BadInput(name, _short(raw), "a finite number")
    return unit.to_si(raw)


def _is_finite(value: int | float | Decimal) -> bool:
    """Return whether a number is one, and within a float's reach."""
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
