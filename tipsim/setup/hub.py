"""How firmly the handpiece holds the hub, which may rock and shift sideways."""

from dataclasses import dataclass

from tipsim.setup.fields import Declared, choice, sourced

HOLDS = ("springs", "rigid")


@dataclass(frozen=True)
class Hub(Declared):
    """What holds the hub across its axis; along and about the axis the drive imposes its motion.

    "rigid" is the limit of ever stiffer springs: the hub then neither tilts nor shifts. Both
    stiffnesses are effective ones at the drive's frequency.
    """

    held: str = choice(
        HOLDS,
        "what keeps the hub from rocking and moving sideways",
        default="springs",
        label="Hub held by",
        said={"rigid": "a rigid grip", "springs": "springs"},
    )
    tilt_stiffness: float = sourced(
        "hub.tilt_stiffness",
        "moment that tilts the hub, over the angle",
        span=(10, 1e6),
        label="Rocking stiffness of the hub",
        slider=(50, 5000, 10),
        scale="log",
    )
    side_stiffness: float = sourced(
        "hub.side_stiffness",
        "sideways force on the hub, over its shift",
        span=(0.1, 1e5),
        label="Sideways stiffness of the hub",
        slider=(0.5, 500, 0.5),
        scale="log",
    )
