"""Inputs as text: in links, on the command line, and from the controls of a form."""

import re
from collections.abc import Mapping
from dataclasses import Field, fields
from decimal import Decimal, InvalidOperation
from functools import cache
from typing import Any

from tipsim.setup.checks import check_count, key
from tipsim.setup.errors import BadInput
from tipsim.setup.inputs import Input
from tipsim.setup.plain import from_plain, to_plain

AUTO = "auto"
"""What stands for a number that may be left out: it is worked out from the rest."""


def read_value(one: Input, value: Any, name: str = "") -> Any:
    """Return in SI what a text, or a number of a form, says in the unit of an input.

    Parameters
    ----------
    value : Any
        Several numbers with commas or blanks between; several parts with commas between and
        colons between their fields.
    name : str
        What the input is called in complaints; absent: its path.

    Raises
    ------
    BadInput
        When it is no number, or too many.

    Examples
    --------
    >>> from tipsim.setup.inputs import find_input
    >>> from tipsim.setup.scenario import Scenario
    >>> read_value(find_input(Scenario, "power"), "60")
    0.6
    """
    name = name or one.path
    if one.kind == "quantity":
        if value == AUTO and one.field.default is None:
            return None
        return one.unit.to_si(read_number(value, name))
    if one.kind == "numbers":
        values = re.split(r"\s*[,;]\s*|\s+", str(value).strip())
        check_count(one.field, name, values)
        return tuple(one.unit.to_si(read_number(v, name)) for v in values)
    if one.kind == "parts":
        values = [t for t in str(value).split(",") if t]
        check_count(one.field, name, values)
        return tuple(_read_part(one, text, i, name) for i, text in enumerate(values))
    return str(value)


def write_value(one: Input, value: Any) -> str:
    """Return the text of a value in SI; `read_value` turns it back into exactly that value."""
    if one.kind == "quantity":
        return AUTO if value is None else _text(one.unit.from_si(value))
    if one.kind == "numbers":
        return ",".join(_text(one.unit.from_si(v)) for v in value)
    if one.kind == "parts":
        return ",".join(_write_part(one, each) for each in value)
    return str(value)


def read_number(value: Any, name: str) -> Decimal:
    """Return a number from a text or a form, exactly as it is written.

    Raises
    ------
    BadInput
        When it is not a number, or not finite.
    """
    try:
        number = Decimal(str(value))
    except InvalidOperation:
        number = Decimal("nan")
    if not number.is_finite():
        raise BadInput(name, f'"{str(value)[:40]}"', "a number")
    return number


@cache
def _keys(cls: Any) -> Mapping[str, "Field[Any]"]:
    return {key(f): f for f in fields(cls)}


def _read_part(one: Input, text: str, i: int, name: str) -> Any:
    """Read one of several parts; what stands between two colons without text is left out."""
    values, known = text.split(":"), _keys(one.field.metadata["cls"])
    if len(values) > len(known):
        raise BadInput(name, text[:40], ":".join(known))
    plain = {
        key: read_number(v, name) if f.metadata["kind"] == "quantity" else v
        for (key, f), v in zip(known.items(), values, strict=False)
        if v
    }
    try:
        return from_plain(one.field.metadata["cls"], plain)
    except BadInput as bad:
        raise bad.within(f"{one.path}[{i}]") from None


def _write_part(one: Input, part: Any) -> str:
    """Write one of several parts, such as a piece: its fields in order, colons between."""
    plain = to_plain(part)
    return ":".join(_text(plain.get(key, "")) for key in _keys(one.field.metadata["cls"])).rstrip(
        ":"
    )


def _text(value: Any) -> str:
    return f"{value.normalize():f}" if isinstance(value, Decimal) else str(value)
