"""Links of old compute what they did when their numbers were last recorded, and write themselves.

Renewed by `renew_links.py` when numbers move on purpose; that links keep what they *set* is held by
`test_settings.py`, which is never renewed.
"""

import json
import math
from collections.abc import Iterator
from typing import Any

import pytest

from tests.regression import values
from tests.regression.links import COMPUTE, recorded
from tests.regression.settings import items_of
from tipsim.app.framework.bench_state import BenchState
from tipsim.app.pages.camera.state import CameraState
from tipsim.app.pages.flow.state import FlowState
from tipsim.app.pages.heat.state import HeatState
from tipsim.app.pages.tissue.state import TissueState
from tipsim.setup import link

RECORDED = recorded()
STATES: dict[str, Any] = {
    "pair": BenchState,
    "heat": HeatState,
    "flow": FlowState,
    "camera": CameraState,
    "tissue": TissueState,
}
"""Who reads the links of a page."""
SMALL = 1e-9
"""Below this, in the unit of the path, numbers are rounding."""


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
        for queries in [list(RECORDED[kind])]
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
def test_a_link_gives_the_numbers_that_were_recorded(kind: str, queries: list[str]) -> None:
    wrong = compared(kind, queries)
    assert not wrong, f"{wrong}\nIf that is meant: python tests/regression/renew_links.py"


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
