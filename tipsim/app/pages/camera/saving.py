"""The film of a link, to be saved."""

from __future__ import annotations

from collections.abc import Mapping

from tipsim import store
from tipsim.app.framework.belief import check_filmed, outside
from tipsim.app.framework.films import routes
from tipsim.app.pages.camera.state import CameraState
from tipsim.motion.camera.saving import methods, saved
from tipsim.saved import Saved
from tipsim.saved.card import Card


def film(items: Mapping[str, str]) -> Saved:
    """Return the film of a link's items with its truth.

    Raises
    ------
    BadInput
        For a link that cannot be used, a film too large, or a motion outside the model's range.
    """
    state = CameraState.from_items(items)
    check_filmed(store.result(state.scenario), state.side)
    return saved(state.scenario, *state.film)


def used(state: CameraState) -> Card:
    """Return the methods card of what the page is set to."""
    taken = not outside(store.result(state.scenario))
    return methods(state.scenario, state.camera, taken=taken)


ROUTES = routes("camera", film)
