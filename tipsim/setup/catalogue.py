"""Needles, sleeves, drives and lens grades from the data files in `assets/`."""

import tomllib
from collections.abc import Mapping
from decimal import Decimal
from functools import cache
from typing import Any

from tipsim.paths import asset
from tipsim.setup.described import about, described
from tipsim.setup.drive import Drive
from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.flow import Fluid
from tipsim.setup.load import LensLoad
from tipsim.setup.material import titanium
from tipsim.setup.needle import Needle
from tipsim.setup.plain import from_plain, to_plain
from tipsim.setup.sleeve import Sleeve
from tipsim.setup.sourced import STATUSES, number
from tipsim.setup.units import KPA


@described()
class Origin:
    """Where the numbers of a group of fields come from."""

    fields: tuple[str, ...] = about("Names of fields.")
    status: str = about("One of `STATUSES`; words; range in words.")
    source: str
    span: str


@described()
class Catalogue:
    """Everything in the data files, ready-made."""

    needles: Mapping[str, Needle] = about("By id.")
    sleeves: Mapping[str, Sleeve]
    drives: Mapping[str, Drive]
    origins: Mapping[str, tuple[Origin, ...]] = about("By id of each needle, sleeve and drive.")
    sleeve_for: Mapping[str, str] = about("Sleeve id by needle id.")
    main: Mapping[str, str] = about("Id of the needle that stands for a shape in presets.")
    former: Mapping[str, str] = about("Id of the needle that now stands for a former one, by id.")


def fluid() -> Fluid:
    """Return the irrigating fluid as it comes from the bottle."""
    return Fluid(number("fluid.temperature").si, number("fluid.density").si)


def _load(name: str) -> dict[str, Any]:
    return tomllib.loads(asset(name).read_text(encoding="utf-8"), parse_float=Decimal)


def _origins(data: dict[str, Any], used: list[str], place: str) -> tuple[Origin, ...]:
    out = []
    for key in used:
        table = data[key]
        if table["status"] not in STATUSES:
            raise BadInput(f"{place}.{key}.status", f'"{table["status"]}"', ", ".join(STATUSES))
        out.append(Origin(tuple(table["fields"]), table["status"], table["source"], table["span"]))
    return tuple(out)


@cache
def catalogue() -> Catalogue:
    """Read the data files; done once."""
    # The metal is the same for all and stands with its sources in assets/numbers.
    metal = to_plain(titanium())
    needles, sleeves, drives = {}, {}, {}
    origins: dict[str, tuple[Origin, ...]] = {}
    sleeve_for, main = {}, {}
    data = _load("needles.toml")
    for table in data["needle"]:
        fitting, stands = table.pop("sleeve"), table.pop("stands_for_shape", False)
        used = table.pop("origins")
        needle: Needle = from_plain(Needle, {**table, "material": metal})
        needles[needle.id] = needle
        origins[needle.id] = _origins(data["origin"], used, "needles.toml")
        sleeve_for[needle.id] = fitting
        if stands:
            main[needle.shape] = needle.id
    former = dict(data["former"])
    data = _load("sleeves.toml")
    for table in data["sleeve"]:
        used = table.pop("origins")
        entry = from_plain(Sleeve, table)
        sleeves[entry.id] = entry
        origins[entry.id] = _origins(data["origin"], used, "sleeves.toml")
    data = _load("drives.toml")
    for table in data["drive"]:
        used = table.pop("origins")
        drive = from_plain(Drive, table)
        drives[drive.kind] = drive
        origins[drive.kind] = _origins(data["origin"], used, "drives.toml")
    return Catalogue(needles, sleeves, drives, origins, sleeve_for, main, former)


def _pick(table: Mapping[str, Any], id: str, what: str) -> Any:
    if id not in table:
        raise BadInput(what, f'"{id}"', ", ".join(table) + nearest(id, table))
    return table[id]


@described()
class LensGrade:
    """Lens material of one hardness."""

    id: str
    title: str
    modulus: float = about("Shear modulus and its range [Pa].")
    low: float
    high: float
    status: str
    source: str


@cache
def lens_grades() -> Mapping[str, LensGrade]:
    """Return lens material by hardness; every modulus is assumed.

    >>> list(lens_grades())
    ['soft', 'medium', 'hard']
    """
    return {
        t["id"]: LensGrade(
            t["id"],
            t["title"],
            KPA.to_si(t["shear_modulus_kpa"]),
            KPA.to_si(t["low_kpa"]),
            KPA.to_si(t["high_kpa"]),
            t["status"],
            t["source"],
        )
        for t in _load("lens.toml")["grade"]
    }


def lens(id: str) -> LensLoad:
    """Return lens material of a hardness, half of the rim in contact.

    >>> lens("hard").shear_modulus
    1000000.0
    """
    grade: LensGrade = _pick(lens_grades(), id, "lens")
    return LensLoad(grade.id, grade.modulus)


def present_id(id: str) -> str:
    """Return the id of the needle that stands for one that links of old may name.

    >>> present_id("straight-0.9"), present_id("counter-bent-slim")
    ('straight-medium', 'counter-bent-slim')
    """
    return catalogue().former.get(id, id)


def needle(id: str) -> Needle:
    """Return a needle of the catalogue.

    >>> needle("straight-medium").shape
    'straight'
    """
    out: Needle = _pick(catalogue().needles, present_id(id), "needle")
    return out


def sleeve(id: str) -> Sleeve:
    """Return a sleeve of the catalogue."""
    out: Sleeve = _pick(catalogue().sleeves, id, "sleeve")
    return out


def drive(kind: str) -> Drive:
    """Return the catalogue's drive of a kind: "axial", "torsional" or "elliptical"."""
    out: Drive = _pick(catalogue().drives, kind, "drive")
    return out
