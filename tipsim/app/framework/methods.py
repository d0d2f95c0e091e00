"""The methods card on a page: what was used, and a paragraph that a report can take over."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from tipsim.app.framework.article import STYLE, Article, written
from tipsim.app.framework.component import script, styles
from tipsim.app.framework.views import Later, View
from tipsim.saved.card import Card, card, compared
from tipsim.setup.scenario import Scenario

_HERE = Path(__file__).parent


class Methods(Article):
    """A methods card; the page's downloads and its print carry it, too."""

    _esm: ClassVar[str] = script(_HERE / "methods.js")
    _stylesheets: ClassVar[list[str]] = styles(STYLE, _HERE / "methods.css")


def methods_view(of: Callable[[Any], Card]) -> View:
    """Return the view of the methods card of a state, folded.

    Parameters
    ----------
    of : callable
        Returns the card; at the top of a module, as it may run in another process.
    """
    fill = Later(written(_HERE / "methods.html", _Shown(of)))
    return View("methods", Methods, "Methods card", {"html": fill}, fold="Methods card")


def side_by_side(
    sides: Iterable[Scenario], runs: Callable[[Scenario], str], uncontrolled: Sequence[str]
) -> Card:
    """Return the card of needles that a page runs without an instrument.

    Parameters
    ----------
    runs : callable
        Says how often a scenario was run, and what for.
    uncontrolled : sequence of str
        What the page's model leaves out, before what no computed bench controls.
    """
    return compared(*(card(s, runs=runs(s), uncontrolled=uncontrolled) for s in sides))


@dataclass(frozen=True)
class _Shown:
    """A function of the state that another process can take along."""

    of: Callable[[Any], Card]

    def __call__(self, state: Any) -> dict[str, Any]:
        return {"card": self.of(state)}
