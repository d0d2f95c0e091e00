"""The film of a link, to be saved."""

from __future__ import annotations

from collections.abc import Mapping

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
        For a link that cannot be used, or a film too large.
    """
    state = CameraState.from_items(items)
    return saved(state.scenario, *state.film)


def used(state: CameraState) -> Card:
    """Return the methods card of what the page is set to."""
    return methods(state.scenario, state.camera)


ROUTES = routes("camera", film)
