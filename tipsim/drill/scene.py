"""What is as it is at a moment of a drill: pedal, settings, bottle, lines, what is at the tip."""

from dataclasses import dataclass, replace
from typing import Any

from tipsim.drill.actions import ASPIRATION, PEDAL, REFLUX, REST, ULTRASOUND, Action
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number


@dataclass(frozen=True)
class Scene:
    """A moment of a drill; shares are of what the scenario sets, unless said.

    Attributes
    ----------
    pedal, travel : str, float
        Position, and travel in "ultrasound".
    power : float
        Power that full travel gives, share of full stroke.
    limit, height, leak : float
        Vacuum limit, bottle's height, leak of the incision.
    line : float
        Free share of the irrigation line's bore.
    bottle : float
        Fluid in the bottle [m³].
    connected, sealed : bool
        Whether a bottle hangs on the line; whether its vent is closed.
    blocked, iris, behind : bool
        Whether the fragment shuts the opening, the iris does, or something behind the tip.
    plug : float
        Time at full vacuum that would draw out the viscoelastic plug [s]; 0 without one.
    fragment : float
        What is left of the fragment [m³].
    load : float
        Force that presses the sleeve [N].
    air : float
        By how much the air in a sealed bottle has expanded [m³].
    """

    pedal: str = ASPIRATION
    travel: float = 1.0
    power: float = 1.0
    limit: float = 1.0
    height: float = 1.0
    leak: float = 1.0
    line: float = 1.0
    bottle: float = 0.0
    connected: bool = True
    sealed: bool = False
    blocked: bool = False
    iris: bool = False
    behind: bool = False
    plug: float = 0.0
    fragment: float = 0.0
    load: float = 0.0
    air: float = 0.0

    def put(self, **changes: Any) -> "Scene":
        """Return the scene with some changes."""
        return replace(self, **changes)

    @property
    def pumps(self) -> bool:
        """Whether the pump draws."""
        return self.pedal in (ASPIRATION, ULTRASOUND)

    @property
    def ultrasound(self) -> float:
        """Power at this moment, share of full stroke."""
        return self.travel * self.power if self.pedal == ULTRASOUND else 0.0

    @property
    def shut(self) -> bool:
        """Whether nothing passes the needle."""
        return self.blocked or self.iris or self.behind or self.plug > 0

    @property
    def at_tip(self) -> bool:
        """Whether the fragment is at the opening and held there."""
        held = self.pumps and not (self.iris or self.behind or self.plug > 0)
        return self.fragment > 0 and (held or self.blocked)


def first_scene(scenario: Scenario) -> Scene:
    """Return the scene that a drill begins with: foot in aspiration, a fragment at the tip."""
    return Scene(
        power=scenario.drive.power,
        bottle=number("drill.bottle").si,
        fragment=number("drill.fragment").si,
    )


def shares(scenario: Scenario, scene: Scene, bottle: float) -> dict[str, float]:
    """Return what each share of `tipsim.flow.change.WHAT` goes to in a scene.

    Parameters
    ----------
    bottle : float
        Share of the bottle's pressure, as `pressed` gives it.
    """
    comes = scene.pedal != REST and scene.connected and scene.bottle > 0
    free = 1 - scenario.flow.occlusion if scene.fragment > 0 else 1.0
    pump = 1.0 if scene.pumps else -1.0 if scene.pedal == REFLUX else 0.0
    return {
        "irrigation": scene.line if comes else 0.0,
        "opening": 0.0 if scene.shut else free,
        "pump": pump,
        "limit": scene.limit,
        "bottle": bottle,
        "leak": scene.leak,
    }


def pressed(scene: Scene, full: float, more: float = 0.0) -> float:
    """Return the bottle's pressure as a share of the scenario's.

    Parameters
    ----------
    full : float
        That as set [Pa].
    more : float
        Fluid that leaves until then [m³].
    """
    if not scene.sealed:
        return scene.height
    gone = scene.air + more
    fallen = number("drill.air_pressure").si * gone / (number("drill.air").si + gone)
    return max(0.0, scene.height - fallen / full)


def step_on(scene: Scene, action: Action) -> Scene:
    """Return the scene after the learner moved the pedal."""
    pedal = action.do if action.do in PEDAL else "irrigation"
    return scene.put(pedal=pedal, travel=action.travel)


def team(scene: Scene, what: str, scenario: Scenario) -> Scene:
    """Return the scene after the team has done something."""
    flow = scenario.flow
    by = number("drill.raised").si / flow.bottle_height
    highest = 1.5 / flow.bottle_height
    top = number("flow.vacuum_limit")
    strongest = top.unit.to_si(top.high) / flow.vacuum_limit
    done: dict[str, dict[str, Any]] = {
        "raise the bottle": {
            "height": min(max(scene.height + by, 0.0), max(highest, scene.height))
        },
        "lower the bottle": {"height": max(scene.height - by, 0.0)},
        "change the bottle": {
            "bottle": number("drill.bottle").si,
            "connected": True,
            "sealed": False,
            "air": 0.0,
        },
        "free the line": {"line": 1.0},
        "open the vent": {"sealed": False, "air": 0.0},
        "close the wound": {"leak": 1.0},
        "flush": {"behind": False, "plug": 0.0},
        "lower the vacuum": {"limit": scene.limit / 2},
        "raise the vacuum": {"limit": min(scene.limit * 1.5, max(strongest, scene.limit), 3.0)},
        "lower the power": {"power": scene.power / 2},
        "raise the power": {"power": 1.0},
        "straighten": {"load": 0.0},
    }
    return scene.put(**done.get(what, {}))
