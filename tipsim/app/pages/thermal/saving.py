"""The film of a link, to be saved."""

from __future__ import annotations

from collections.abc import Mapping

from tipsim.app.framework.belief import check_filmed
from tipsim.app.framework.films import routes
from tipsim.app.pages.thermal.packet import SIDE
from tipsim.app.pages.thermal.state import ThermalState
from tipsim.heat.camera.saving import methods, saved
from tipsim.saved import Saved
from tipsim.saved.card import Card, compared
from tipsim.setup.errors import BadInput
from tipsim.setup.inputs import inputs


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
    check_filmed(state.results[k], side)
    found = state.films[k]
    assert found is not None  # In air a film can be taken of all that can be believed.
    return saved(state.sides[k], found)


def used(state: ThermalState) -> Card:
    """Return the methods card of both films, as they are coloured on screen."""
    return compared(
        *(
            methods(scenario, found, _colours(state, key))
            for key, scenario, found in zip("ab", state.sides, state.films, strict=True)
        )
    )


def _colours(state: ThermalState, key: str) -> str:
    palette, scale = (inputs(ThermalState)[f"{kind}_{key}"] for kind in ("palette", "scale"))
    return f"colours {palette.text(state).lower()}, whose range {_range(scale.text(state))}"


def _range(said: str) -> str:
    """Return a scale's words within a sentence."""
    return said[:1].lower() + said[1:] if said.startswith("Fits") else f"is {said}"


ROUTES = routes("thermal-camera", film)
