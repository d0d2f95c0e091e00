"""The store: bounded in bytes, one computation for all, and keyed by what truly matters."""

import threading
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from tests.everything import changed, everything_on, settings
from tipsim.heat.legs import Model
from tipsim.setup.errors import BadInput
from tipsim.setup.scenario import Scenario
from tipsim.solve import PARTS, Result, rests_on, solve
from tipsim.store import Store, bytes_of

PLAIN = Scenario.preset("single-bend, torsional")


def needle_moved(scenario: Scenario) -> Scenario:
    """The same with a thicker needle: of this every part must know."""
    return changed(changed(scenario, "needle.outer_radius"), "needle.bypass_diameter")


QUICK = Model(slices=16, sectors=4, tolerance=1.0)


def differences(a: Any, b: Any, place: str = "") -> Iterator[str]:
    """Where two results differ in a number or word; scenarios aside."""
    if isinstance(a, Scenario):
        return
    if type(a) is not type(b):
        yield place
    elif isinstance(a, np.ndarray):
        if not np.array_equal(a, b, equal_nan=a.dtype.kind in "fc"):
            yield place
    elif isinstance(a, dict):
        if a.keys() != b.keys():
            yield place
        for k in a.keys() & b.keys():
            yield from differences(a[k], b[k], f"{place}[{k!r}]")
    elif isinstance(a, list | tuple):
        if len(a) != len(b):
            yield place
        for i, (x, y) in enumerate(zip(a, b, strict=False)):
            yield from differences(x, y, f"{place}[{i}]")
    elif hasattr(a, "__dict__") and not callable(a):
        yield from differences(vars(a), vars(b), place)
    elif not callable(a) and a != b and (a == a or b == b):
        yield place


@pytest.mark.parametrize("part", PARTS)
def test_a_part_rests_on_nothing_but_what_it_says(part: str) -> None:
    """Everything else is moved at once on a bench that has everything: no number may change."""
    scenario = everything_on()
    if part == "thermogram":  # Nothing is filmed under fluid.
        scenario = scenario.with_(outside="air")
    other = replace(scenario, name="another name")
    kept = tuple(PARTS[part].fields)
    moved = [
        path
        for path in settings(scenario)
        if not any(path == k or path.startswith((f"{k}.", f"{k}[")) for k in kept)
    ]
    for path in moved:
        other = changed(other, path)
    assert len(moved) > 5
    assert rests_on(other, part) == rests_on(scenario, part)
    found = solve(scenario).part(part), solve(other).part(part)
    assert list(differences(*found)) == []
    assert list(differences(found[0], solve(needle_moved(scenario)).part(part)))


@pytest.mark.parametrize("part", PARTS)
def test_what_a_part_rests_on_is_no_more_than_it_needs(part: str) -> None:
    """The eye and the tissue's numbers move no needle and warm none."""
    scenario = everything_on()
    free = {"iris": "eye.wound_width", "cutting": "eye.iris_gap", "wound": "eye.iris_gap"}
    free["endoscope"] = "eye.wound_width"
    other = changed(scenario, free.get(part, "tissue.iris.friction"))
    store = Store()
    assert store.key(other, part) == store.key(scenario, part)
    assert store.key(replace(scenario, spacing=0.1e-3), part) != store.key(scenario, part) or (
        part in ("flow", "surge")
    )


def test_all_numbers_agree_with_those_computed_without_it() -> None:
    store = Store()
    for scenario in (PLAIN, everything_on()):
        assert store.result(scenario).to_dict() == solve(scenario).to_dict()


def test_one_object_is_shared() -> None:
    store = Store()
    renamed = replace(PLAIN, name="the same bench")
    first, second = store.result(PLAIN), store.result(renamed)
    assert store.result(PLAIN) is first
    assert second.motion is first.motion and second.scenario.name == "the same bench"
    wide = replace(PLAIN, eye=replace(PLAIN.eye, wound_width=3e-3))
    assert store.result(wide).iris is first.iris
    faster = replace(PLAIN, flow=replace(PLAIN.flow, aspiration=1e-6))
    assert store.result(faster).motion is first.motion
    assert store.result(faster).iris is not first.iris


def test_details_tell_runs_apart() -> None:
    store = Store()
    short = replace(PLAIN, duration=1.0)
    assert store.get(short, "heat", QUICK) is store.get(short, "heat", QUICK)
    finer = store.get(short, "heat", replace(QUICK, slices=20))
    assert finer is not store.get(short, "heat", QUICK)


def test_the_budget_of_bytes_holds_after_many_runs_of_heat() -> None:
    """Sixteen runs of which four fit beside the motion; what was used last stays."""
    bench = replace(PLAIN, duration=2.0)
    one = bytes_of(Store().get(bench, "heat", QUICK))
    budget = bytes_of(solve(bench).motion) + 4 * one + one // 2
    store = Store(budget)
    benches = [replace(PLAIN, duration=2.0 + i / 100) for i in range(16)]
    for bench in benches:
        store.get(bench, "heat", QUICK)
        assert store.size <= budget
    counted = sum(bytes_of(entry.value) for entry in store._kept.values())
    assert budget / 2 < counted <= budget
    assert store.computed == 17  # One motion for all.
    store.get(benches[-1], "heat", QUICK)
    assert store.computed == 17
    store.get(benches[0], "heat", QUICK)
    assert store.computed == 18
    store.resize(0)
    assert len(store) == 0 and store.size == 0


def test_least_recently_used_goes_first() -> None:
    store = Store(budget=3 * bytes_of(np.zeros(1000)) + 100)
    for name in "abc":
        store.keep(name, lambda: np.zeros(1000))
    store.keep("a", lambda: pytest.fail("a was kept"))
    store.keep("d", lambda: np.zeros(1000))
    assert set(store._kept) == {"c", "a", "d"}


def test_what_grows_after_it_was_kept_is_measured_again() -> None:
    class Lazy:
        pass

    store, value = Store(), Lazy()
    store.keep("lazy", lambda: value)
    before = store.size
    value.rows = np.zeros(10_000)  # type: ignore[attr-defined]
    store.keep("other", lambda: 1)
    assert store.size - before > 80_000


def test_a_value_beyond_the_budget_is_handed_out_and_not_kept() -> None:
    store = Store(budget=1000)
    store.keep("small", lambda: 1)
    assert len(store.keep("large", lambda: np.zeros(1000))) == 1000
    assert set(store._kept) == {"small"}


def test_views_count_what_they_hold() -> None:
    assert bytes_of(np.zeros((1000, 100))[:1]) > 800_000
    rows = np.zeros(1000)
    assert bytes_of([rows, rows]) < 1.1 * bytes_of([rows])


def test_two_threads_that_ask_for_the_same_compute_it_once() -> None:
    store, started, go = Store(), threading.Event(), threading.Event()
    calls: list[int] = []
    found: list[object] = []

    def slow() -> object:
        calls.append(1)
        started.set()
        assert go.wait(30)
        return object()

    def ask() -> None:
        found.append(store.keep("same", slow))

    threads = [threading.Thread(target=ask) for _ in range(3)]
    threads[0].start()
    assert started.wait(30)
    for thread in threads[1:]:
        thread.start()
    # Another key is answered meanwhile, by this thread.
    assert store.keep("other", lambda: 7) == 7
    go.set()
    for thread in threads:
        thread.join(30)
    assert len(calls) == 1 and len(found) == 3 and len(set(map(id, found))) == 1


def test_a_failure_reaches_everybody_who_waits_and_is_not_kept() -> None:
    store = Store()

    def refuse() -> int:
        raise BadInput("power", "140 %", "0 to 100 %")

    with pytest.raises(BadInput, match="power"):
        store.keep("key", refuse)
    assert store.keep("key", lambda: 5) == 5


def test_a_result_without_a_store_keeps_its_own_parts() -> None:
    result = Result(PLAIN)
    assert result.motion is result.motion
    assert result.stress is result.stress
