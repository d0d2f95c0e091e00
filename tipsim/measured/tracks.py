"""Tracks of marks from a table: which column is what, in which unit, and what cannot be used."""

import re
from collections.abc import Mapping
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from tipsim.measured.table import Table
from tipsim.motion.camera.settings import US
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput
from tipsim.setup.units import MM, MS, SECOND, UM, Unit

FEWEST = 8
"""Pictures that a track needs at least; a convention."""
MOST_MARKS = 24
LEAST_FOUND = 0.5
"""A mark that was found in fewer of the pictures is refused; a convention."""

ROLES = {
    "time": ("time", "t"),
    "picture": ("picture", "frame", "image"),
    "marker": ("marker", "mark", "point", "track", "id"),
    "x": ("x", "x_seen"),
    "y": ("y", "y_seen"),
}
"""What a column may hold, and the names by which it is known without being told."""
M = Unit("m", "m", Decimal(1), si="m")
UNITS = {"time": (SECOND, MS, US), "x": (M, MM, UM), "y": (M, MM, UM)}
PIXEL = "px"
Wholes = NDArray[np.int64]


@described()
class Column:
    """One column of a table, as it is understood."""

    name: str = about("In the table.")
    unit: str = about('Suffix of its unit, such as "um"; "px" for pixels; "" for pure numbers.')


@described(eq=False)
class Tracks:
    """Places of marks through time."""

    source: str = about("Name of the file.")
    times: Floats = about("Of the pictures, rising [s], shape (f,).")
    numbers: tuple[int, ...] = about("Numbers of the marks, rising.")
    places: Floats = about("Right and up [m]; NaN where a mark was not found. Shape (k, f, 2).")
    columns: Mapping[str, Column] = about("What was read as what.")

    @property
    def rate(self) -> float:
        """Pictures per second, from the middle of all times between two pictures."""
        return 1 / float(np.median(np.diff(self.times)))

    def against(self, rest: int) -> "Tracks":
        """Return the tracks with a mark's motion taken away: one that stands still on the bench.

        Raises
        ------
        BadInput
            When there is no mark of that number, or no other.
        """
        if rest not in self.numbers or len(self.numbers) < 2:
            known = ", ".join(map(str, self.numbers)) if len(self.numbers) > 1 else "two marks"
            raise BadInput("mark at rest", str(rest), known)
        still = self.places[self.numbers.index(rest)]
        kept = [i for i, n in enumerate(self.numbers) if n != rest]
        places = self.places[kept] - (still - np.nanmean(still, axis=0))
        numbers = tuple(self.numbers[i] for i in kept)
        return Tracks(self.source, self.times, numbers, places, self.columns)


def understood(
    table: Table, told: Mapping[str, str], units: Mapping[str, str]
) -> dict[str, Column]:
    r"""Return which column is what.

    Parameters
    ----------
    told : mapping
        From "time", "picture", "marker", "x" or "y" to a column's name, where it is told.
    units : mapping
        From the same to a unit: s, ms, us; m, mm, um, px. Else it is read behind the name:
        ``x_um``, ``x [um]``, ``x (µm)``.

    Raises
    ------
    BadInput
        When a column is missing, or a unit is not known.

    Examples
    --------
    >>> from tipsim.measured.table import parse_table
    >>> t = parse_table("time_us,marker,x [mm],y [mm]\n0,1,2,3\n", "a.csv")
    >>> {role: c.unit for role, c in understood(t, {}, {}).items()}
    {'time': 'us', 'marker': '', 'x': 'mm', 'y': 'mm'}
    """
    for given, what in ((told, "column"), (units, "unit")):
        for role in given:
            if role not in ROLES:
                raise BadInput(what, f'"{role}"', ", ".join(ROLES))
    split = {name: _name_and_unit(name) for name in table.names}
    found: dict[str, Column] = {}
    for role, known in ROLES.items():
        name = told.get(role)
        if name is not None:
            table.column(name)
        else:
            name = next((n for n in table.names if split[n][0] in known), None)
        if name is not None:
            unit = units.get(role, split[name][1])
            found[role] = Column(name, _checked(role, unit.replace("µ", "u"), table.source))
    for role in ("x", "y"):
        if role not in found:
            raise BadInput(f"column {role}", "missing", f"one of {_list(table.names)}")
    if "time" not in found and "picture" not in found:
        raise BadInput("column time or picture", "missing", f"one of {_list(table.names)}")
    return found


def read_tracks(
    table: Table,
    told: Mapping[str, str] | None = None,
    units: Mapping[str, str] | None = None,
    *,
    rate: float | None = None,
    pixel: float | None = None,
) -> Tracks:
    r"""Return the tracks that a table holds: a row for each picture and mark.

    Parameters
    ----------
    told, units : mapping, optional
        See `understood`.
    rate : float, optional
        Pictures per second [1/s]; needed where the table counts pictures and has no time. It takes
        the place of the times where both are there: a container's clock is often another.
    pixel : float, optional
        Width of a pixel at the needle [m]; needed for places in pixels.

    Raises
    ------
    BadInput
        Naming what is missing or wrong, and the line.

    Examples
    --------
    >>> from tipsim.measured.table import parse_table
    >>> text = "picture,x_um,y_um\n" + "".join(f"{i},{i % 2},0\n" for i in range(8))
    >>> found = read_tracks(parse_table(text, "a.csv"), rate=1000)
    >>> found.times[:3].tolist(), found.places.shape
    ([0.0, 0.001, 0.002], (1, 8, 2))
    """
    columns = understood(table, told or {}, units or {})
    if rate is not None and "picture" in columns:
        columns.pop("time", None)
    clock = _clock(table, columns, rate)
    marks = _marks(table, columns)
    places = np.stack([_lengths(table, columns[role], role, pixel) for role in ("x", "y")], axis=1)
    numbers = tuple(sorted(set(marks.tolist())))
    if len(numbers) > MOST_MARKS:
        raise BadInput(f"marks in {table.source}", str(len(numbers)), f"1 to {MOST_MARKS}")
    times, picture = np.unique(clock, return_inverse=True)
    if len(times) < FEWEST:
        raise BadInput(f"pictures in {table.source}", str(len(times)), f"at least {FEWEST}")
    order = np.searchsorted(numbers, marks)
    _refuse_twice(table, order * len(times) + picture)
    filled = np.full((len(numbers), len(times), 2), np.nan)
    # A mark is found where both of its places are.
    places[np.isnan(places).any(axis=1)] = np.nan
    filled[order, picture] = places
    _refuse_gaps(table, numbers, filled)
    return Tracks(table.source, times, numbers, filled, columns)


def _name_and_unit(name: str) -> tuple[str, str]:
    """Split "x_seen_um", "x [um]" or "x (µm)" in what it is and its unit."""
    low = name.strip().lower().replace("µ", "u").replace("μ", "u")
    bracket = re.fullmatch(r"(.*?)\s*[\[(]\s*(\w+)\s*[\])]", low)
    if bracket:
        return bracket[1].replace(" ", "_"), bracket[2]
    front, line, last = low.rpartition("_")
    known = {u.suffix for units in UNITS.values() for u in units} | {PIXEL}
    return (front, last) if line and last in known else (low.replace(" ", "_"), "")


def _checked(role: str, unit: str, source: str) -> str:
    if role not in UNITS:
        return ""
    allowed = [u.suffix for u in UNITS[role]] + ([PIXEL] if role != "time" else [])
    if unit not in allowed:
        said = f'"{unit}"' if unit else "not said"
        raise BadInput(f"unit of {role} in {source}", said, ", ".join(allowed))
    return unit


def _clock(table: Table, columns: Mapping[str, Column], rate: float | None) -> Floats:
    if rate is not None and not (np.isfinite(rate) and rate > 0):
        raise BadInput("frame rate", f"{rate:g}", "above 0 pictures per second")
    if "time" in columns:
        column = columns["time"]
        values = _whole(table, column.name)
        unit = next(u for u in UNITS["time"] if u.suffix == column.unit)
        times = values * float(unit.factor)
        if rate is None:
            return times
        # The order of the pictures is kept, their distance is told.
        return np.unique(times, return_inverse=True)[1] / rate
    if rate is None:
        raise BadInput(
            "frame rate",
            "not said",
            "pictures per second, as set on the camera; a film's file often says another",
        )
    return _whole(table, columns["picture"].name) / rate


def _whole(table: Table, name: str) -> Floats:
    """Return a column without gaps."""
    values = np.array(table.numbers(name))
    if np.isnan(values).any():
        line = table.lines[int(np.argmax(np.isnan(values)))]
        raise BadInput(f'line {line} of {table.source}, column "{name}"', "empty", "a number")
    return values


def _marks(
    table: Table, columns: Mapping[str, Column]
) -> "np.ndarray[tuple[int], np.dtype[np.int64]]":
    if "marker" not in columns:
        return np.ones(len(table.rows), dtype=np.int64)
    values = _whole(table, columns["marker"].name)
    wrong = (values != np.round(values)) | (values < 0) | (values > 10**6)
    if wrong.any():
        line = table.lines[int(np.argmax(wrong))]
        said = f"{values[int(np.argmax(wrong))]:g}"
        raise BadInput(f"line {line} of {table.source}, marker", said, "a whole number from 0")
    return values.astype(np.int64)


def _lengths(table: Table, column: Column, role: str, pixel: float | None) -> Floats:
    values = np.array(table.numbers(column.name))
    if column.unit != PIXEL:
        unit = next(u for u in UNITS[role] if u.suffix == column.unit)
        return values * float(unit.factor)
    if pixel is None:
        raise BadInput(
            "width of a pixel",
            "not said",
            "a length at the needle, from a known length or diameter in the picture",
        )
    if not (np.isfinite(pixel) and pixel > 0):
        raise BadInput("width of a pixel", f"{pixel:g} m", "above 0")
    # Rows are counted downward in pictures; places are right and up.
    return values * (pixel if role == "x" else -pixel)


def _refuse_twice(table: Table, cells: Wholes) -> None:
    first = np.zeros(len(cells), dtype=bool)
    first[np.unique(cells, return_index=True)[1]] = True
    if not first.all():
        line = table.lines[int(np.argmin(first))]
        raise BadInput(
            f"line {line} of {table.source}", "a second place of one mark in one picture", "one"
        )


def _refuse_gaps(table: Table, numbers: tuple[int, ...], places: Floats) -> None:
    found = np.isfinite(places[:, :, 0])
    for number, share, count in zip(numbers, found.mean(axis=1), found.sum(axis=1), strict=True):
        if share < LEAST_FOUND or count < FEWEST:
            raise BadInput(
                f"mark {number} in {table.source}",
                f"found in {count} of {found.shape[1]} pictures",
                f"at least half of them, and {FEWEST}",
            )


def _list(names: tuple[str, ...]) -> str:
    return ", ".join(f'"{n}"' for n in names)
