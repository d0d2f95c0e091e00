"""Where every number comes from, grouped by how much its source is worth; and all inputs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tipsim.app.pages.about.results import SPACE
from tipsim.quantities import figures
from tipsim.setup.catalogue import Origin, catalogue, lens_grades
from tipsim.setup.checks import allowed_range
from tipsim.setup.drive import Drive
from tipsim.setup.fields import capital
from tipsim.setup.inputs import Input, inputs
from tipsim.setup.needle import Piece
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import STATUSES, Sourced, numbers
from tipsim.setup.units import DEG, KPA, MM, Unit

Part = Any
"""A needle, a sleeve or a drive."""


@dataclass(frozen=True)
class Entry:
    """One row: a number, or some that share a source.

    Attributes
    ----------
    what, used_by : str
        Which numbers; which parts have them, or which input is set to it at first.
    values : tuple of str
        The values, one line each.
    span, status, source : str
        Range in words; one of `STATUSES`; words.
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
    """Return single numbers, then what needles, sleeves, drives and lenses are made of."""
    c = catalogue()
    moved: dict[str, list[str]] = {}
    for path, one in inputs(Scenario).items():
        if one.source:
            moved.setdefault(one.source.id, []).append(path)
    out = [_single(n, ", ".join(moved.get(n.id, ()))) for n in numbers().values()]
    for parts, many in ((c.needles, "needles"), (c.sleeves, "sleeves"), (c.drives, "drives")):
        out += _grouped(parts, c.origins, many)
    for g in lens_grades().values():
        value, low, high = (figures(float(KPA.from_si(m))) for m in (g.modulus, g.low, g.high))
        what, span = f"Lens stiffness, {g.title.lower()}", f"{low} to {high} kPa"
        out.append(Entry(what, "", (f"{value} kPa",), span, g.status, g.source))
    return out


def free() -> list[tuple[str, str, str]]:
    """Return every number that can be set and rests on no source: label, path, allowed range."""
    return [
        (one.label, path, allowed_range(one.field.metadata))
        for path, one in inputs(Scenario).items()
        if one.kind in ("quantity", "numbers") and one.source is None
    ]


def _single(n: Sourced, path: str) -> Entry:
    unit = n.unit.symbol
    span = f"{figures(n.low)} to {figures(n.high)} {unit}".rstrip() if n.low < n.high else ""
    value = f"{figures(n.value, 6)} {unit}".rstrip()
    return Entry(n.label, path, (value,), span, n.status, n.source)


def _grouped(
    parts: Mapping[str, Part], origins: Mapping[str, Sequence[Origin]], many: str
) -> Iterator[Entry]:
    """Return one entry for each origin, however many parts it serves."""
    served: dict[Origin, list[Part]] = {}
    for id, part in parts.items():
        for origin in origins[id]:
            served.setdefault(origin, []).append(part)
    for origin, some in served.items():
        known = _inputs(some[0])
        what = "; ".join(known[name].doc for name in origin.fields)
        alike: dict[str, list[str]] = {}
        for part in some:
            alike.setdefault(_fields_text(part, origin.fields), []).append(_title(part))
        values = tuple(f"{'; '.join(t)}: {v}" if len(alike) > 1 else v for v, t in alike.items())
        whole = f"all {len(parts)} {many}" if len(some) == len(parts) else ""
        used_by = whole or "; ".join(map(_title, some))
        yield Entry(capital(what), used_by, values, origin.span, origin.status, origin.source)


def _inputs(part: Part) -> dict[str, Input]:
    cls: type = type(part)
    return {one.name: one for one in inputs(cls).values()}


def _title(part: Part) -> str:
    return f"{capital(part.title)} drive" if isinstance(part, Drive) else part.title


def _fields_text(part: Part, names: Sequence[str]) -> str:
    known = _inputs(part)
    out = []
    for name in names:
        value = getattr(part, name)
        shown = pieces_text(value) if name == "pieces" else _shown(known[name].unit, value)
        out.append(shown if len(names) == 1 else f"{name.replace('_', ' ')} {shown}")
    return ", ".join(out)


def pieces_text(pieces: Sequence[Piece]) -> str:
    r"""Write a needle's pieces from the hub on.

    >>> from tipsim.setup.catalogue import needle
    >>> pieces_text(needle("single-bend-20-medium").pieces).replace("\xa0", " ")
    '14.6 mm straight, 0.6 mm turning 20°, 2.5 mm straight'
    """
    return ", ".join(
        f"{_shown(MM, p.length)} {f'turning {_shown(DEG, p.turn)}' if p.turn else 'straight'}"
        for p in pieces
    )


def _shown(unit: Unit, value: float) -> str:
    """Write a value so that its unit stays beside it, and with the sign for minus."""
    return unit.show(value).replace(" ", SPACE).replace("-", "−")
