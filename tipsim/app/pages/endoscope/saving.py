"""The films of a link, to be saved: `film=a` or `film=b` says which."""

from __future__ import annotations

from collections.abc import Mapping

from tipsim.app.framework.films import routes
from tipsim.app.pages.endoscope.state import EndoscopeState
from tipsim.saved import Saved
from tipsim.tissue.endoscope.saving import saved


def film(items: Mapping[str, str]) -> Saved:
    """Return the film of a link's items with its truth.

    Raises
    ------
    BadInput
        For a link that cannot be used, or a film too large.
    """
    side = items.get("film", "a")
    state = EndoscopeState.from_items({k: v for k, v in items.items() if k != "film"})
    return saved(state.studies[side == "b"])


ROUTES = routes("endoscope", film)
