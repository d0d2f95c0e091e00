"""States of the camera page for its tests."""

import re
from functools import cache
from typing import Any

from tipsim.app.framework.article import written
from tipsim.app.framework.bench_state import BenchState
from tipsim.app.pages.camera import outcome, page
from tipsim.app.pages.camera.state import CameraState, first_camera
from tipsim.motion.camera import Camera, examples
from tipsim.setup.scenario import Scenario

FIRST = CameraState.first()


def of(scenario: Scenario, camera: Camera | None = None) -> CameraState:
    """Return the state that films a needle."""
    return CameraState(BenchState(scenario, scenario), "a", camera or first_camera(scenario))


def changed(state: CameraState, path: str, value: object) -> CameraState:
    return state.change("both", path, value)


def shown(state: CameraState, fill: Any = outcome.filmed) -> str:
    """Return what stands beside the film, as plain text."""
    html = written(page._OUTCOME, fill)(state)
    return " ".join(re.sub("<[^>]+>", " ", html).split())


@cache
def said(example: str, view: str = "edge-on") -> tuple[list[Any], str]:
    scenario = Scenario.preset("single-bend, torsional")
    state = of(scenario, examples(32e3)[example].on(Camera(view=view)))
    return outcome.verdicts(*state.film), shown(state)
