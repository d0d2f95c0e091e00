"""Numbers that know where they come from."""

import tomllib
from functools import cache
from typing import Any

from tipsim.paths import asset
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.units import UNITS, Unit

STATUSES = {
    "read": "read in the source or its abstract",
    "secondary": "quoted by another source",
    "from memory": "general knowledge, not read again",
    "assumed": "assumed, no source",
    "common practice": "common practice, no source",
    "fitted": "chosen so that a result comes out (fitted, not predicted)",
    "calculated": "worked out from other numbers",
}
"""What each status means, as shown on screen."""


@described()
class Sourced:
    """A number with unit, range, source and status."""

    id: str = about("Key in the data file; words on screen.")
    label: str
    value: float = about("Value in `unit` (not SI; `si` gives that).")
    unit: Unit
    low: float = about("Range in `unit` over which the number is uncertain or varies.")
    high: float
    status: str = about("One of `STATUSES`.")
    source: str = about("Where it comes from, in words.")

    def __post_init__(self) -> None:
        """Refuse an unknown status or a value outside its own range."""
        if self.status not in STATUSES:
            raise BadInput(f"{self.id}.status", f'"{self.status}"', ", ".join(STATUSES))
        if not self.low <= self.value <= self.high:
            raise BadInput(f"{self.id}.value", f"{self.value:g}", f"{self.low:g} to {self.high:g}")

    @property
    def si(self) -> float:
        """Value in SI."""
        return self.unit.to_si(self.value)

    @property
    def text(self) -> str:
        """Value and range in words.

        >>> number("fluid.temperature").text
        '25 °C (15 to 37)'
        """
        shown = f"{self.value:g} {self.unit.symbol}".strip()
        return f"{shown} ({self.low:g} to {self.high:g})" if self.low < self.high else shown


def read_sourced(id: str, table: dict[str, Any]) -> Sourced:
    """Build a `Sourced` from a table of a data file."""
    unit = table.get("unit", "")
    if unit not in UNITS:
        raise BadInput(f"{id}.unit", f'"{unit}"', ", ".join(UNITS))
    value = float(table["value"])
    return Sourced(
        id,
        table["label"],
        value,
        UNITS[unit],
        float(table.get("low", value)),
        float(table.get("high", value)),
        table["status"],
        table["source"],
    )


@cache
def numbers() -> dict[str, Sourced]:
    """Return every single number of the data files in `assets/numbers`, by id.

    Raises
    ------
    BadInput
        When two files hold the same id.
    """
    out: dict[str, Sourced] = {}
    for path in sorted(asset("numbers").glob("*.toml")):
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        for group, entries in data.items():
            for name, table in entries.items():
                id = f"{group}.{name}"
                if id in out:
                    raise BadInput(f"{path.name}: {id}", "there twice", "one place for a number")
                out[id] = read_sourced(id, table)
    return out


def number(id: str) -> Sourced:
    """Return one number.

    Raises
    ------
    BadInput
        For an unknown id.

    Examples
    --------
    >>> number("titanium.young").si
    113800000000.0
    """
    if id not in numbers():
        raise BadInput("number", f'"{id}"', f"an id of assets/numbers{nearest(id, numbers())}")
    return numbers()[id]
