"""States and runs of the heat page for its tests."""

from functools import cache
from typing import Any

from tipsim import store
from tipsim.app.framework.packet import decode
from tipsim.app.pages.heat.state import HeatState
from tipsim.heat.legs import Model
from tipsim.heat.timeline import HeatRun
from tipsim.setup.scenario import Scenario

FIRST = HeatState.first()
QUICK = Model(slices=24, sectors=4, tolerance=0.2)


def heated(scenario: Scenario, model: Model) -> HeatRun:
    run: HeatRun = store.get(scenario, "heat", model)
    return run


def drawn(data: bytes) -> dict[str, Any]:
    """Return what the scene gets."""
    found: dict[str, Any] = decode(data)
    return found


def around(state: HeatState, kind: str) -> HeatState:
    return state.change("both", "outside.kind", kind)


@cache
def run_of(state: HeatState, side: str = "a", model: Model = QUICK) -> HeatRun:
    return heated(getattr(state.bench, side), model)
