"""Links that were written down before: the same numbers as then, and the same link again."""

import json
import math
import re
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl

import pytest

from tests.regression import values
from tipsim.app.framework.bench_state import BenchState
from tipsim.app.pages.camera.state import CameraState
from tipsim.app.pages.flow.state import FlowState
from tipsim.app.pages.heat.state import HeatState
from tipsim.app.pages.tissue.state import TissueState
from tipsim.motion.camera import measure, shoot
from tipsim.quantities import PARTS, plain
from tipsim.setup import link
from tipsim.solve import compare, solve

RECORDED = json.loads(Path(__file__).with_name("links.json").read_text(encoding="utf-8"))
"""What the code of an older commit said of each link; see `record_links.py`."""
PLAIN = {part: partial(plain, part=part) for part in PARTS}
"""Each part of a result as plain data."""
STATES: dict[str, Any] = {
    "pair": BenchState,
    "heat": HeatState,
    "flow": FlowState,
    "camera": CameraState,
    "tissue": TissueState,
}
"""Who reads the links of a page."""
MOVED = re.compile(r"view\.heat\.\w+\.")
"""Links with an assumed number of heat that was moved."""
SMALL = 1e-9
"""Below this, in the unit of the path, numbers are rounding."""


def items_of(query: str) -> dict[str, str]:
    return dict(parse_qsl(query.lstrip("?"), keep_blank_values=True))


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


def differences(now: Any, then: Any, place: str = "") -> Iterator[str]:
    """Return what is not the same, path by path."""
    if isinstance(then, dict):
        for name, value in then.items():
            here = f"{place} {name}".strip()
            if value is None and name not in now:
                continue
            yield from differences(now[name], value, here) if name in now else [f"{here} is gone"]
    elif isinstance(then, list):
        if len(now or []) != len(then):
            yield f"{place}: {now} and not {then}"
        else:
            for i, (one, other) in enumerate(zip(now, then, strict=True)):
                yield from differences(one, other, f"{place}[{i}]")
    elif not same(now, then, place):
        yield f"{place}: {now} and not {then}"


def same(now: float | None, then: float | None, path: str) -> bool:
    """Return whether two numbers are the same to five digits; phases may differ by whole turns."""
    if now is None or then is None:
        return now is then
    if "phase" in path:
        return abs(math.remainder(now - then, 360)) < 1e-3
    return math.isclose(now, then, rel_tol=1e-5, abs_tol=SMALL)


def groups() -> list[Any]:
    """Return links some at a time, so that workers can share them and a failure names few."""
    return [
        pytest.param(kind, queries[start : start + 40], id=f"{kind}-{start}")
        for kind in COMPUTE
        for queries in [[q for q in RECORDED[kind] if not MOVED.search(q)]]
        for start in range(0, len(queries), 40)
    ]


def compared(kind: str, queries: list[str]) -> str:
    """Return what is not as recorded, by link; empty when all is."""
    wrong = {}
    for query in queries:
        then = values.unpacked(RECORDED[kind][query], RECORDED["paths"])
        found = list(differences(COMPUTE[kind](query, then), then))
        if found:
            wrong[query] = found[:6]
    return json.dumps(wrong, indent=1) if wrong else ""


@pytest.mark.parametrize(("kind", "queries"), groups())
def test_a_link_of_before_gives_the_numbers_of_before(kind: str, queries: list[str]) -> None:
    wrong = compared(kind, queries)
    assert not wrong, wrong


def test_a_moved_number_of_heat_moves_every_result_as_it_moved_its_page() -> None:
    # Only the page of heat followed these; what it said then is what is expected of all now.
    wrong = compared("heat", [q for q in RECORDED["heat"] if MOVED.search(q)])
    assert not wrong, wrong


@pytest.mark.parametrize("kind", STATES)
def test_a_page_writes_a_link_that_it_reads_the_same(kind: str) -> None:
    for query in RECORDED[kind]:
        state = STATES[kind].from_items(items_of(query))
        written = state.to_query()
        again = STATES[kind].from_items(items_of(written))
        assert again == state, query
        assert again.to_query() == written, query


def test_one_bench_writes_a_link_that_it_reads_the_same() -> None:
    for query in RECORDED["one"]:
        scenario = link.from_query(query)
        assert link.from_query(link.to_query(scenario)) == scenario, query


def test_links_of_all_kinds_were_recorded() -> None:
    least = {"one": 250, "pair": 40, "heat": 12, "flow": 12, "camera": 5, "tissue": 3}
    assert {k: len(RECORDED[k]) >= n for k, n in least.items()} == dict.fromkeys(least, True)
