"""Where every number of the catalogue comes from, grouped by how much its source is worth."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from decimal import Decimal
from typing import Any

from tipsim.app.about.results import SPACE
from tipsim.paths import asset
from tipsim.setup.catalogue import Origin, catalogue
from tipsim.setup.needle import Piece
from tipsim.setup.sourced import STATUSES, numbers
from tipsim.setup.units import DEG, MM, Unit

Part = Any
"""A needle, a sleeve or a drive."""


@dataclass(frozen=True)
class Entry:
    """One row: a number, or some that share a source.

    Attributes
    ----------
    what : str
        Which numbers.
    used_by : str
        Which parts have them; empty for a single number.
    values : tuple of str
        The values, one line each.
    span : str
        Range in words; empty for a number without one.
    status, source : str
        One of `STATUSES`; words.
    """

    what: str
    used_by: str
    values: tuple[str, ...]
    span: str
    status: str
    source: str


def by_status() -> dict[str, list[Entry]]:
    """Return all entries under each status, in the order of `STATUSES`; a list may be empty.

    >>> list(by_status())[:2], len(by_status()["assumed"]) > 5
    (['read', 'secondary'], True)
    """
    out: dict[str, list[Entry]] = {status: [] for status in STATUSES}
    for entry in entries():
        out[entry.status].append(entry)
    return out


def entries() -> list[Entry]:
    """Return single numbers, then what needles, sleeves, drives and loads are made of."""
    c = catalogue()
    out = [Entry(n.label, "", *_single(n.id), n.status, n.source) for n in numbers().values()]
    for parts, many in ((c.needles, "needles"), (c.sleeves, "sleeves"), (c.drives, "drives")):
        out += _grouped(parts, c.origins, many)
    return [*out, *_lens()]


def _single(id: str) -> tuple[tuple[str, ...], str]:
    n = numbers()[id]
    low, high = plain(n.low), plain(n.high)
    span = f"{low} to {high} {n.unit.symbol}".rstrip() if n.low < n.high else ""
    return (f"{plain(n.value)} {n.unit.symbol}".rstrip(),), span


def plain(value: float) -> str:
    r"""Write a number without an exponent; millions in groups of three.

    >>> plain(5e-05), plain(130.0), plain(2e9).replace("\xa0", " ")
    ('0.00005', '130', '2 000 000 000')
    """
    if value >= 1e6:
        return f"{value:,.0f}".replace(",", SPACE)
    return f"{Decimal(repr(value)).normalize():f}"


def _lens() -> Iterator[Entry]:
    """Return the hardnesses of lens material."""
    for grade in tomllib.loads(asset("lens.toml").read_text(encoding="utf-8"))["grade"]:
        value = f"{grade['shear_modulus_kpa']:g} kPa"
        span = f"{grade['low_kpa']:g} to {grade['high_kpa']:g} kPa"
        what = f"Shear modulus of lens material, {grade['title'].lower()}"
        yield Entry(what, "", (value,), span, grade["status"], grade["source"])


def _grouped(
    parts: Mapping[str, Part], origins: Mapping[str, Sequence[Origin]], many: str
) -> Iterator[Entry]:
    """Return one entry for each origin, however many parts it serves."""
    served: dict[Origin, list[str]] = {}
    for id in parts:
        for origin in origins[id]:
            served.setdefault(origin, []).append(id)
    for origin, ids in served.items():
        what = _meanings(parts[ids[0]], origin.fields)
        values = _values({_title(parts[id]): parts[id] for id in ids}, origin.fields)
        whole = f"all {len(parts)} {many}" if len(ids) == len(parts) else ""
        used_by = whole or "; ".join(_title(parts[id]) for id in ids)
        yield Entry(what, used_by, values, origin.span, origin.status, origin.source)


def _meanings(part: Part, names: Sequence[str]) -> str:
    """Return what some fields mean, as the settings' help does."""
    docs = {f.name: str(f.metadata["doc"]) for f in fields(part) if "doc" in f.metadata}
    said = "; ".join(docs[name] for name in names)
    return said[0].upper() + said[1:]


def _title(part: Part) -> str:
    return str(getattr(part, "title", None) or f"{part.kind.capitalize()} drive")


def _values(parts: Mapping[str, Part], names: Sequence[str]) -> tuple[str, ...]:
    """Write the values of some fields, one line for each that differs."""
    alike: dict[str, list[str]] = {}
    for title, part in parts.items():
        alike.setdefault(_fields_text(part, names), []).append(title)
    if len(alike) == 1:
        return tuple(alike)
    return tuple(f"{'; '.join(titles)}: {value}" for value, titles in alike.items())


def _fields_text(part: Part, names: Sequence[str]) -> str:
    known = {f.name: f for f in fields(part)}
    out = []
    for name in names:
        value = getattr(part, name)
        if name == "pieces":
            out.append(pieces_text(value))
        else:
            shown = _shown(known[name].metadata["unit"], value)
            out.append(shown if len(names) == 1 else f"{name.replace('_', ' ')} {shown}")
    return ", ".join(out)


def pieces_text(pieces: Sequence[Piece]) -> str:
    r"""Write a needle's pieces from the hub on.

    >>> from tipsim.setup.catalogue import needle
    >>> pieces_text(needle("single-bend-20-0.9").pieces).replace("\xa0", " ")
    '14.4 mm straight, 0.64 mm turning 20°, 3.36 mm straight'
    """
    return ", ".join(
        f"{_shown(MM, p.length)} {f'turning {_shown(DEG, p.turn)}' if p.turn else 'straight'}"
        for p in pieces
    )


def _shown(unit: Unit, value: float) -> str:
    """Write a value so that its unit stays beside it, and with the sign for minus."""
    return unit.show(value).replace(" ", SPACE).replace("-", "−")
