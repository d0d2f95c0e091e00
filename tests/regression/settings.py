"""What both the recording of old links' settings and its test need: flat names of plain data."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl

Settings = dict[str, Any]
"""Value by path such as ``drive.power_percent`` or ``events[0].what``, in the units of files."""
FILE = Path(__file__).with_name("settings.json")
KINDS = ("one", "pair", "heat", "flow", "camera", "tissue")
PAGES = {
    "heat": "view.heat.",
    "flow": "view.flow.",
    "camera": "view.film.",
    "tissue": "view.tissue.",
}
"""Before the items of a link that belonged to one page."""


def items_of(query: str) -> dict[str, str]:
    """Return the items of a link."""
    return dict(parse_qsl(query.lstrip("?"), keep_blank_values=True))


def flat(plain: Any, place: str = "") -> Settings:
    """Return plain data by path.

    >>> flat({"a": 1, "b": [{"c": "x"}, 2]})
    {'a': 1.0, 'b[0].c': 'x', 'b[1]': 2.0}
    """
    out: Settings = {}
    if isinstance(plain, Mapping):
        for name, value in plain.items():
            out |= flat(value, f"{place}.{name}" if place else name)
    elif isinstance(plain, list | tuple):
        for i, value in enumerate(plain):
            out |= flat(value, f"{place}[{i}]")
    else:
        out[place] = plain if isinstance(plain, str | bool) or plain is None else float(plain)
    return out
