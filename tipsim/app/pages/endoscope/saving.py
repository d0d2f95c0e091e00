"""The films of a link, to be saved: `film=a` or `film=b` says which."""

from __future__ import annotations

from collections.abc import Mapping

from tipsim import store
from tipsim.app.framework.belief import check_filmed, outside
from tipsim.app.framework.films import routes
from tipsim.app.pages.endoscope.state import EndoscopeState
from tipsim.saved import Saved
from tipsim.saved.card import Card, compared
from tipsim.tissue.endoscope.saving import methods, saved


def film(items: Mapping[str, str]) -> Saved:
    """Return the film of a link's items with its truth.

    Raises
    ------
    BadInput
        For a link that cannot be used, a film too large, or a motion outside the model's range.
    """
    side = items.get("film", "a")
    state = EndoscopeState.from_items({k: v for k, v in items.items() if k != "film"})
    k = int(side == "b")
    check_filmed(store.result(state.sides[k]), "ab"[k])
    return saved(state.studies[k])


def used(state: EndoscopeState) -> Card:
    """Return the methods card of both films."""
    return compared(*(methods(s, taken=not outside(store.result(s))) for s in state.sides))


ROUTES = routes("endoscope", film)
