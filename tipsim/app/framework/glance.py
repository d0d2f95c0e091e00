"""A page at a glance: one sentence computed from the result, and three numbers.

It is part of the page's own markup, so that it is there with the first picture; after a change the
form's component brings the new one along (`Controls.glance`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tipsim.app.framework.article import written
from tipsim.app.framework.belief import KEYS, shown
from tipsim.app.framework.writing import Written
from tipsim.quantities import quantity
from tipsim.solve import Result

_TEMPLATE = Path(__file__).parent / "glance.html"


@dataclass(frozen=True)
class Number:
    """One of the numbers that a page is about.

    Attributes
    ----------
    id, label, unit : str
    values : mapping
        Texts by side, "a" and "b"; by what each is, such as "film", or by "" where there is one.
    """

    id: str
    label: str
    unit: str
    values: Mapping[str, str]


@dataclass(frozen=True)
class Glance:
    """What a page says at a glance."""

    headline: str
    numbers: Sequence[Number]
    warning: str = ""


def number(name: str, *results: Result, label: str = "") -> Number:
    """Return an output of each needle, from its declaration.

    >>> from tipsim import Scenario, solve
    >>> one = solve(Scenario.preset("straight, axial"))
    >>> number("motion.end_stroke", one, one).values
    {'a': '90.0', 'b': '90.0'}
    """
    q = quantity(name)
    texts = {
        side: shown(r, name, q.number(q.get(r)))
        for side, r in zip(KEYS.lower(), results, strict=False)
    }
    return Number(name.replace(".", "-"), label or q.label, q.units, texts)


def glance(of: Callable[[Any], Glance]) -> Written:
    """Return a fill for `Controls.glance`: the markup of what a function says of a state."""
    return written(_TEMPLATE, _Data(of))


@dataclass(frozen=True)
class _Data:
    """A function of the state that another process can take along."""

    of: Callable[[Any], Glance]

    def __call__(self, state: Any) -> dict[str, Any]:
        found = self.of(state)
        return {
            "headline": found.headline, "numbers": found.numbers, "warning": found.warning,
        }  # fmt: skip
