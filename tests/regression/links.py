"""What the links of `links.json` compute, by how they are read."""

import json
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from tests.regression import values
from tests.regression.settings import items_of
from tipsim.app.pages.camera.state import CameraState
from tipsim.app.pages.flow.state import FlowState
from tipsim.motion.camera import measure, shoot
from tipsim.quantities import PARTS, plain
from tipsim.setup import link
from tipsim.solve import compare, solve

FILE = Path(__file__).with_name("links.json")
PLAIN = {part: partial(plain, part=part) for part in PARTS}
"""Each part of a result as plain data."""


def recorded() -> dict[str, Any]:
    """Return what the file holds: numbers by kind and link, packed by `values.packed`."""
    found: dict[str, Any] = json.loads(FILE.read_text(encoding="utf-8"))
    return found


def of_one(query: str, recorded: Any) -> Any:
    return values.of_result(solve(link.from_query(query)), PLAIN, list(recorded))


def of_pair(query: str, recorded: Any) -> Any:
    pair = link.pair_from_items(items_of(query))
    return {
        side: values.of_result(solve(scenario), PLAIN, list(recorded[side]))
        for side, scenario in zip("ab", pair, strict=True)
    }


def of_flow(query: str, recorded: Any) -> Any:
    runs = FlowState.from_items(items_of(query)).runs
    return {side: {"surge": values.of_surge(run)} for side, run in zip("ab", runs, strict=True)}


def of_camera(query: str, recorded: Any) -> Any:
    state = CameraState.from_items(items_of(query))
    film = shoot(solve(state.scenario).motion, state.scenario.needle, state.camera)
    return {"film": values.of_measurement(measure(film))}


def of_tissue(query: str, recorded: Any) -> Any:
    a, b = link.pair_from_items(items_of(query))
    return {"pair": values.leaves(compare(solve(a), solve(b))["tissue"])}


# Moved numbers of heat are the scenario's, so a link of that page is read as any pair is.
COMPUTE: dict[str, Callable[[str, Any], Any]] = {
    "one": of_one,
    "pair": of_pair,
    "heat": of_pair,
    "flow": of_flow,
    "camera": of_camera,
    "tissue": of_tissue,
}
