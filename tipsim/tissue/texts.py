"""Words that go with the tissue: signs, what to do first, what lowers risk, studies that differ."""

import tomllib
from collections.abc import Mapping
from functools import cache

from tipsim.paths import asset
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput
from tipsim.setup.sourced import STATUSES

GROUPS = ("sign", "first", "lower")
"""Signs at the wound; what to do first; what lowers rubbing at the iris."""


@described()
class Note:
    """A few sentences."""

    title: str
    text: str
    status: str = about("One of `STATUSES`.")


@described()
class Study:
    """What a study found on a question on which studies differ."""

    question: str
    finding: str
    source: str
    status: str


@cache
def notes() -> Mapping[str, tuple[Note, ...]]:
    """Return the notes of each group.

    >>> [len(notes()[group]) >= 3 for group in GROUPS]
    [True, True, True]
    """
    data = tomllib.loads(asset("tissue.toml").read_text(encoding="utf-8"))
    return {group: tuple(Note(**_known(t)) for t in data[group]) for group in GROUPS}


@cache
def studies() -> tuple[Study, ...]:
    """Return the studies, those on one question side by side."""
    data = tomllib.loads(asset("tissue.toml").read_text(encoding="utf-8"))
    return tuple(Study(**_known(t)) for t in data["study"])


def _known(table: dict[str, str]) -> dict[str, str]:
    if table["status"] not in STATUSES:
        raise BadInput("tissue.toml: status", f'"{table["status"]}"', ", ".join(STATUSES))
    return table
