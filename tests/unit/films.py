"""Films of the camera for its tests."""

from functools import cache

from tipsim.motion.camera import Camera, Film, shoot
from tipsim.motion.run import Motion
from tipsim.setup.presets import preset
from tipsim.solve import solve

SINGLE, COUNTER, STRAIGHT = "single-bend, torsional", "counter-bent, torsional", "straight, axial"


@cache
def motion(name: str) -> Motion:
    return solve(preset(name)).motion


def filmed(name: str = SINGLE, **settings: object) -> Film:
    camera = Camera(**({"noise": "off"} | settings))  # type: ignore[arg-type]
    return shoot(motion(name), preset(name).needle, camera)
