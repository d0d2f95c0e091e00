"""How the model was checked: the table that the tests write, see `tests/validation.py`."""

from __future__ import annotations

import re
from html import escape
from typing import NamedTuple

from tipsim.paths import asset


class Check(NamedTuple):
    """A row: what was compared, outside value, ours, allowed, source of the value; as markup."""

    what: str
    outside: str
    ours: str
    allowed: str
    source: str


def checks() -> dict[str, list[Check]]:
    """Return the rows by what they compare with.

    >>> sum(map(len, checks().values())) > 40
    True
    """
    published, programs = "Published values and closed forms", "Other programs"
    out: dict[str, list[Check]] = {published: [], programs: []}
    for row in asset("validation.md").read_text(encoding="utf-8").splitlines():
        *cells, test = row.strip("| ").split(" | ")
        which = programs if test.startswith("tests/peers") else published
        out[which].append(Check._make(map(_marked_up, cells)))
    return out


def _marked_up(text: str) -> str:
    """Turn the table's bold and code into markup.

    >>> _marked_up("a < b: **not met**")
    'a &lt; b: <b>not met</b>'
    """
    text = re.sub(r"\*\*(.+?)\*\*", r"<b>\1</b>", escape(text, quote=False))
    return re.sub(r"`(.+?)`", r"<code>\1</code>", text)
