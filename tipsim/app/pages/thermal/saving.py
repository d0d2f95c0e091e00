"""The film of a link, to be saved."""

from __future__ import annotations

from collections.abc import Mapping

from tipsim.app.framework.belief import not_drawn
from tipsim.app.framework.films import routes
from tipsim.app.pages.thermal.packet import SIDE
from tipsim.app.pages.thermal.state import ThermalState
from tipsim.heat.camera.saving import saved
from tipsim.saved import Saved
from tipsim.setup.errors import BadInput


def film(items: Mapping[str, str]) -> Saved:
    """Return the film of a link's items with its truth; the item "side" says whose, "a" or "b".

    Raises
    ------
    BadInput
        For a link that cannot be used, or a motion outside the range of the model.
    """
    side = items.get(SIDE, "a")
    if side not in ("a", "b"):
        raise BadInput(SIDE, f'"{side[:40]}"', "a, b")
    state = ThermalState.from_items({k: v for k, v in items.items() if k != SIDE})
    k = "ab".index(side)
    found = state.films[k]
    if found is None:
        words = not_drawn(state.results[k])
        raise BadInput(f"{side.upper()}'s film", words, "a motion within the range of the model")
    return saved(state.sides[k], found)


ROUTES = routes("thermal-camera", film)
