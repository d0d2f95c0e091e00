"""Tables and settings of a saved film as text."""

import csv
import io
from collections.abc import Sequence
from typing import Any, TypeVar

import numpy as np
import tomli_w

from tipsim.saved.film import MARK, Column, Saved
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import Declared
from tipsim.setup.plain import from_plain, to_plain
from tipsim.setup.toml_text import parse_toml

FORMAT = "tipsim film 1"
_WANTED = "the film.toml of a saved film"
D = TypeVar("D", bound=Declared)


def table_csv(columns: Sequence[Column]) -> str:
    """Return a table as comma-separated values: units in the heads, empty where there is no value.

    Examples
    --------
    >>> from tipsim.setup.units import UM
    >>> print(table_csv([Column("x", "place", np.array([1.5e-6, np.nan]), UM)]), end="")
    x_um
    1.5
    ""
    """
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow([c.head for c in columns])
    table.writerows(zip(*(_cells(c) for c in columns), strict=True))
    return out.getvalue()


def _cells(column: Column) -> list[str]:
    return [_cell(column, value) for value in column.values]


def _cell(column: Column, value: Any) -> str:
    if isinstance(value, str):
        return value
    if np.isnan(value):
        return ""
    unit = column.unit
    # Adding 0 turns a minus zero into a plain one.
    return f"{float(value) / float(unit.factor) - float(unit.offset) + 0.0:.10g}"


def film_toml(saved: Saved) -> str:
    """Return what belongs to the film and to its instrument as TOML, units in the keys."""
    levels, pixels = saved.levels, saved.film.pixels
    film: dict[str, Any] = {
        "pictures": int(pixels.shape[0]),
        "rows": int(pixels.shape[1]),
        "columns": int(pixels.shape[2]),
        "bits": 8 * pixels.dtype.itemsize,
    }
    if saved.pixel is not None:
        film["pixel_um"] = float(f"{saved.pixel * 1e6:.10g}")
    data = {
        "format": FORMAT,
        "about": MARK,
        "taken_by": saved.name,
        "film": film,
        "levels": {
            "meaning": levels.meaning,
            "slope": levels.slope,
            "offset": levels.offset,
            "unit": levels.unit,
        },
        "instrument": to_plain(saved.instrument),
    }
    return tomli_w.dumps(data)


def parse_instrument(text: str, cls: type[D]) -> D:
    """Return the instrument's settings of a `film.toml`.

    Parameters
    ----------
    cls : type
        What the settings are, such as `tipsim.motion.camera.Camera`.

    Raises
    ------
    BadInput
        Naming the field, its value and what is allowed.
    """
    data = parse_toml(text, _WANTED)
    if data.get("format") != FORMAT:
        raise BadInput("format", "missing or another one", f'format = "{FORMAT}"')
    out = from_plain(cls, data.get("instrument", {}))
    assert isinstance(out, cls)
    return out
