"""What goes wrong: kinds of faults, and what each does to the scene."""

import random
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from tipsim.drill.scene import Scene
from tipsim.setup.units import CM, GRAM, ML, ONE, PERCENT, SECOND, Unit


@dataclass(frozen=True)
class Kind:
    """One kind of fault.

    Attributes
    ----------
    says : str
        In words.
    size, unit, low, high, usual
        Its one number: name in a file without the unit, unit, and range in SI; no name: none.
    """

    says: str
    size: str = ""
    unit: Unit = ONE
    low: float = 0.0
    high: float = 0.0
    usual: float = 0.0

    @property
    def key(self) -> str:
        """Name of its number in a file."""
        return "_".join(filter(None, (self.size, self.unit.suffix)))


KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        "line kinked": Kind("The irrigation line is kinked.", "free", PERCENT, 0, 0.5, 0),
        "bottle empty": Kind("The bottle is nearly empty.", "left", ML, 5e-7, 5e-5, 2e-6),
        "bottle too low": Kind("The bottle hangs too low.", "height", CM, 0.05, 1.0, 0.35),
        "vent closed": Kind("The bottle's vent is closed."),
        "leaking wound": Kind("The incision leaks.", "times", ONE, 2, 10, 6),
        "viscoelastic plug": Kind("Viscoelastic plugs the needle.", "takes", SECOND, 0.5, 10, 2),
        "occlusion": Kind(
            "A hard fragment occludes the opening and breaks free.", "lasts", SECOND, 0.5, 20, 3
        ),
        "blocked behind the tip": Kind("The aspiration is blocked behind the tip."),
        "tilt": Kind("The needle's tilt presses the sleeve.", "load", GRAM, 0.05, 1.0, 0.3),
        "power left high": Kind("The power is set too high.", "power", PERCENT, 0.3, 1.0, 1.0),
        "iris drawn": Kind("The iris is drawn to the opening."),
    }
)


@dataclass(frozen=True)
class Fault:
    """One fault of a drill: its kind, the window in which it comes [s], its number in SI."""

    kind: str
    window: tuple[float, float]
    size: float

    def moment(self, drill: str, seed: int, place: int) -> float:
        """Return when it comes [s]: anywhere in its window, by the seed.

        >>> fault = Fault("vent closed", (2.0, 4.0), 0.0)
        >>> 2 <= fault.moment("x", 1, 0) <= 4
        True
        """
        low, high = self.window
        # Seeded by text, Python's generator gives the same on every machine.
        return round(low + (high - low) * random.Random(f"{drill}/{place}/{seed}").random(), 3)


@dataclass(frozen=True)
class Due:
    """Something that will happen at a time [s]: a fault's `kind`, or what the team does."""

    time: float
    what: str
    size: float = field(default=0.0)


def strike(scene: Scene, due: Due, height: float) -> Scene:
    """Return the scene after a fault has come; `height` is the bottle's as set [m]."""
    what, size = due.what, due.size
    if what == "line kinked":
        return scene.put(line=size)
    if what == "bottle empty":
        return scene.put(bottle=size)
    if what == "bottle too low":
        return scene.put(height=size / height)
    if what == "vent closed":
        return scene.put(sealed=True)
    if what == "leaking wound":
        return scene.put(leak=size)
    if what == "viscoelastic plug":
        return scene.put(plug=size)
    if what == "occlusion":
        return scene.put(blocked=True)
    if what == "occlusion breaks":
        return scene.put(blocked=False)
    if what == "blocked behind the tip":
        return scene.put(behind=True)
    if what == "tilt":
        return scene.put(load=size)
    if what == "power left high":
        return scene.put(power=size)
    return scene.put(iris=True)
