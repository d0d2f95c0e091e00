"""Published rows and the benches that stand for them, from `assets/bench/rows.toml`."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any
from urllib.parse import parse_qsl

from tipsim.paths import asset
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput

SLACK = {"rise": 0.4, "ratio": 0.4, "time": 2.0, "near": 4.0}
"""How far off a hit may be: share of the published rise or ratio, factor in time, kelvin."""
RULES = {
    "rise": f"a rise within {SLACK['rise']:.0%} of the published one",
    "ratio": f"a ratio within {SLACK['ratio']:.0%} of the published one",
    "time": f"a time within a factor of {SLACK['time']:g}",
    "near": f"a temperature within {SLACK['near']:g} °C",
    "below": "not above the published limit",
}
"""When a row counts as hit, in words."""
Items = Mapping[str, str]


@described(eq=False)
class Row:
    """One published row."""

    id: str = about("Short name; citation; set-up, result and assumptions in words.")
    study: str
    setup: str
    published: str
    assumed: str
    value: float = about("Published value: °C, K, s, or a ratio, as `measure` says.")
    rule: str = about("One of `RULES`.")
    measure: str = about("What is computed; see `tipsim.heat.validation.measure`.")
    fitted: bool = about("Whether a number of the model was fitted on this row.")
    bench: Items = about("Items of a link.")
    over: Items | None = about("A second bench, which `value` is compared with.")
    vary: tuple[tuple[Items, Items], ...] = about(
        "Alternatives to what is assumed, laid over the bench."
    )
    found: str = about("What trying showed, where the row is missed.")


@described()
class Order:
    """What must be hotter than what."""

    id: str
    text: str
    study: str
    hotter: str = about("Ids of rows, whose peaks are compared.")
    cooler: str
    rubbing_over_metal: tuple[str, ...] = about(
        "Or rows in which rubbing must put in more heat than the metal's own loss."
    )
    found: str = about("What trying showed, where the order is wrong.")


@dataclass(frozen=True)
class LeftOut:
    """A published row that is not computed, and why."""

    text: str
    why: str


@described()
class Rows:
    """The whole file."""

    rows: tuple[Row, ...]
    orders: tuple[Order, ...]
    left_out: tuple[LeftOut, ...]
    numbers: tuple[str, ...] = about(
        "Ids of numbers that are varied in every row over their own ranges."
    )


@cache
def rows() -> Rows:
    """Read the file; done once.

    Examples
    --------
    >>> found = rows()
    >>> [r.id for r in found.rows if r.fitted]
    ['axial-30g']
    """
    data = tomllib.loads(asset("bench/rows.toml").read_text(encoding="utf-8"))
    studies = {id: s["text"] for id, s in data["study"].items()}
    return Rows(
        tuple(_row(table, studies) for table in data["row"]),
        tuple(_order(table, studies) for table in data["order"]),
        tuple(LeftOut(**table) for table in data["left_out"]),
        tuple(data["numbers"]),
    )


def row(id: str) -> Row:
    """Return one row.

    Raises
    ------
    BadInput
        For an unknown id.
    """
    for each in rows().rows:
        if each.id == id:
            return each
    raise BadInput("row", f'"{id}"', ", ".join(r.id for r in rows().rows))


def _items(text: str) -> dict[str, str]:
    return dict(parse_qsl(text, strict_parsing=True))


def _row(table: dict[str, Any], studies: Mapping[str, str]) -> Row:
    if table["rule"] not in RULES:
        raise BadInput(f"rows.toml: {table['id']}.rule", table["rule"], ", ".join(RULES))
    shared = _items(table["both"]) if "both" in table else {}
    return Row(
        table["id"],
        studies[table["study"]],
        table["setup"],
        table["published"],
        table["assumed"],
        float(table["value"]),
        table["rule"],
        table["measure"],
        table.get("fitted", False),
        _items(table["bench"]) | shared,
        _items(table["over"]) | shared if "over" in table else None,
        tuple((_items(low), _items(high)) for low, high in table["vary"]),
        table.get("found", ""),
    )


def _order(table: dict[str, Any], studies: Mapping[str, str]) -> Order:
    return Order(
        table["id"],
        table["text"],
        studies[table["study"]],
        table.get("hotter", ""),
        table.get("cooler", ""),
        tuple(table.get("rubbing_over_metal", ())),
        table.get("found", ""),
    )
