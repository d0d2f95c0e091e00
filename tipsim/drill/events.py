"""What the model itself brings about: a bottle runs empty, the iris falls off, a plug is drawn."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tipsim.drill.scene import Scene
from tipsim.flow.transient import Transient
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Event:
    """What happens first within a stretch, and when [s]."""

    time: float
    what: str


def first_event(scenario: Scenario, scene: Scene, flat: bool, fluid: Transient) -> Event | None:
    """Return what happens first within a stretch; None for nothing.

    Events fall on the run's own points, 2 to 100 ms apart.
    """
    found = []
    for what, there in _conditions(scenario, scene, flat, fluid).items():
        places = np.flatnonzero(there[1:])
        if places.size:
            found.append(Event(float(fluid.time[places[0] + 1]), what))
    return min(found, key=lambda e: e.time) if found else None


def _conditions(
    scenario: Scenario, scene: Scene, flat: bool, fluid: Transient
) -> dict[str, NDArray[np.bool_]]:
    out: dict[str, NDArray[np.bool_]] = {}
    least = scenario.chamber.left * fluid.full
    # Full again only well above, so that a chamber on the edge does not flutter.
    out["full" if flat else "flat"] = fluid.volume > 2 * least if flat else fluid.volume < least
    if scene.bottle > 0 and scene.connected:
        out["empty"] = fluid.volumes[:, 0] - fluid.volumes[0, 0] >= scene.bottle
    if (scene.blocked or scene.iris) and not scene.pumps:
        out["falls off"] = -fluid.line < number("drill.release").si
    if scene.plug > 0 and scene.pumps:
        out["cleared"] = drawn_out(scenario, fluid) >= scene.plug
    return out


def drawn_out(scenario: Scenario, fluid: Transient) -> Floats:
    """Return the time at full vacuum that a plug has felt in a stretch so far (n,) [s]."""
    pull = np.maximum(-fluid.line, 0.0) / scenario.flow.vacuum_limit
    steps = np.diff(fluid.time) * (pull[1:] + pull[:-1]) / 2
    return np.concatenate([[0.0], np.cumsum(steps)])


def after_event(scenario: Scenario, scene: Scene, event: Event | None, fluid: Transient) -> Scene:
    """Return the scene at a stretch's end, after what happened there."""
    what = event.what if event else ""
    if what == "empty":
        return scene.put(bottle=0.0)
    if what == "falls off":
        return scene.put(blocked=False, iris=False)
    if what == "cleared":
        return scene.put(plug=0.0)
    if scene.plug > 0 and scene.pumps:
        return scene.put(plug=max(scene.plug - float(drawn_out(scenario, fluid)[-1]), 1e-6))
    return scene
