"""The methods card on a page: what was used, and a paragraph that a report can take over."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from tipsim.app.framework.article import STYLE, Article, written
from tipsim.app.framework.component import script, styles
from tipsim.app.framework.state import PageState
from tipsim.app.framework.views import Later, View
from tipsim.saved.card import Card, card, compared

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


def both_needles(state: PageState) -> Card:
    """Return the card of a page that compares two needles."""
    return compared(card(state.bench.a), card(state.bench.b))


@dataclass(frozen=True)
class _Shown:
    """A function of the state that another process can take along."""

    of: Callable[[Any], Card]

    def __call__(self, state: Any) -> dict[str, Any]:
        return {"card": self.of(state)}
