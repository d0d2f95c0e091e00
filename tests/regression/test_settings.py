"""Links of old still open, and still set what they set: as the code of an older commit read them.

What those links compute has moved with the model; what a reader chose in them has not. The values
in `settings.json` were read by the code of the commit that it names (see `record_settings.py`), so
today's reader is compared with another.
"""

import json
import math
from collections.abc import Iterator
from typing import Any

import pytest

from tests.regression.settings import FILE, KINDS, Settings, flat, items_of
from tipsim.app.pages.camera.state import CameraState
from tipsim.app.pages.flow.state import FlowState
from tipsim.app.pages.heat.state import HeatState
from tipsim.app.pages.tissue.state import TissueState
from tipsim.setup import link
from tipsim.setup.inputs import find_input
from tipsim.setup.plain import to_plain
from tipsim.setup.scenario import Scenario

READ = json.loads(FILE.read_text(encoding="utf-8"))
PAGES: dict[str, Any] = {
    "heat": HeatState,
    "flow": FlowState,
    "camera": CameraState,
    "tissue": TissueState,
}
CLASSES = {"1.1": "wide", "0.9": "medium", "0.75": "slim"}
"""Needles of old were named by their width in millimetres; now by a class of it."""
BENDS = {"12": "10", "20": "20", "22": "20"}
"""Bends of old, and the round one nearest to each [degrees]."""
WHOLE = ("sleeve", "lens", "support", "press")


def needle_now(id: str) -> str:
    """Return which needle stands for one of old: the same shape, its class, the nearest bend.

    >>> needle_now("single-bend-22-0.75"), needle_now("counter-bent-0.9")
    ('single-bend-20-slim', 'counter-bent-medium')
    """
    shape, width = id.rsplit("-", 1)
    head, _, bend = shape.rpartition("-")
    shape = f"{head}-{BENDS[bend]}" if bend in BENDS else shape
    return f"{shape}-{CLASSES[width]}"


def now_of(scenario: Scenario) -> Settings:
    """Return what a scenario is set to today, by the paths that were recorded."""
    return {
        **flat(to_plain(scenario)),
        "needle.id": scenario.needle.id,
        "needle.shape": scenario.needle.shape,
        **{name: getattr(scenario, name) is not None for name in WHOLE},
    }


def differences(now: Settings, then: Settings) -> Iterator[str]:
    """Return which settings of then are not the same now."""
    for path, value in then.items():
        expected = needle_now(value) if path == "needle.id" else value
        if path not in now:
            yield f"{path} = {expected} is gone"
        elif not same(now[path], expected):
            yield f"{path}: {now[path]} and not {expected}"


def same(now: Any, then: Any) -> bool:
    if isinstance(then, float) and isinstance(now, float):
        return math.isclose(now, then, rel_tol=1e-9, abs_tol=1e-12)
    return bool(now == then)


def page_now(kind: str, items: dict[str, str], then: Settings) -> list[Settings]:
    """Return what a page is set to today, or each side where the scenario now holds it."""
    state = PAGES[kind].from_items(items)
    if kind == "camera":
        return [{**flat(to_plain(state.camera)), "side": state.side}]
    own = flat({name: getattr(state, name) for name in then if hasattr(state, name)})
    given = {
        name: find_input(Scenario, f"surge.{name}" if kind == "flow" else name)
        for name in then
        if name not in own
    }
    return [
        own | {name: float(one.unit.from_si(one.of(side))) for name, one in given.items()}
        for side in (state.bench.a, state.bench.b)
    ]


@pytest.mark.parametrize("kind", KINDS)
def test_a_link_of_old_opens_and_sets_what_it_set(kind: str) -> None:
    wrong = {}
    for query, then in READ[kind].items():
        items = items_of(query)
        if kind == "one":
            sides = {"one": link.from_query(query)}
        else:
            sides = dict(zip("ab", link.pair_from_items(items), strict=True))
        found = [
            f"{side}: {each}"
            for side, scenario in sides.items()
            for each in differences(now_of(scenario), then[side])
        ]
        if "page" in then:
            for now in page_now(kind, items, then["page"]):
                found += differences(now, then["page"])
        if found:
            wrong[query] = found
    assert not wrong, json.dumps(wrong, indent=1)


@pytest.mark.parametrize(
    ("now", "wrong"),
    [
        ({"needle.id": "straight-medium", "drive.power_percent": 40.0}, []),
        (
            {"needle.id": "straight-medium", "drive.power_percent": 40.001},
            ["drive.power_percent: 40.001 and not 40.0"],
        ),
        ({"needle.id": "straight-medium"}, ["drive.power_percent = 40.0 is gone"]),
        (
            {"needle.id": "straight-slim", "drive.power_percent": 40.0},
            ["needle.id: straight-slim and not straight-medium"],
        ),
    ],
)
def test_a_setting_that_is_lost_is_seen(now: Settings, wrong: list[str]) -> None:
    then = {"needle.id": "straight-0.9", "drive.power_percent": 40.0}
    assert list(differences(now, then)) == wrong
