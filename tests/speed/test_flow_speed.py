"""What the flow costs: one balance, one balance again, one run of a blocked mouth, one change."""

import time
from collections.abc import Callable
from dataclasses import replace

import pytest

from tipsim.app.pages.flow.bench import FlowBench
from tipsim.flow.balance import balance
from tipsim.flow.circuit import circuit
from tipsim.flow.surge import Trial, run_circuit
from tipsim.setup.catalogue import preset

pytestmark = pytest.mark.speed

LIMITS = {"balance": 0.3e-3, "again": 0.03e-3, "run": 0.1}
"""Asked for [s of processor time]; a balance with a bypass hole may take three times as long."""


def each(act: Callable[[int], object], rounds: int = 5, times: int = 40) -> float:
    """Least mean processor time of one call over some rounds [s]; each gets another number."""
    out = []
    for r in range(rounds):
        start = time.process_time()
        for i in range(times):
            act(r * times + i + 1)
        out.append((time.process_time() - start) / times)
    return min(out)


def test_flow_is_cheap(report_table: Callable[[str, list[str]], None]) -> None:
    one = preset("single-bend, torsional")
    needle = replace(one.needle, bypass_diameter=0.2e-3, bypass_distance=10e-3)
    hole = replace(one, needle=needle)

    def other(i: int) -> float:
        return one.flow.leak * (1 + i * 1e-6)

    fresh = each(lambda i: balance(one, replace(one.flow, leak=other(i))))
    with_hole = each(lambda i: balance(hole, replace(hole.flow, leak=other(i))))
    again = each(lambda _: balance(one))
    runs = [
        each(lambda i, s=s: run_circuit(circuit(s), s.flow, Trial(1 + i * 1e-3)), 3, 5)  # type: ignore[misc]
        for s in (one, hole)
    ]
    page = FlowBench({})
    change = each(
        lambda i: page.handle(
            {"changes": [{"side": "both", "field": "flow.leak_ml_min", "value": 3 + i * 1e-3}]}
        ),
        3,
        5,
    )
    report_table(
        "Flow, processor time",
        [
            (
                f"a balance: {fresh * 1e3:.2f} ms, with a bypass hole {with_hole * 1e3:.2f} ms, "
                f"the same again {again * 1e6:.0f} µs"
            ),
            f"a run of a blocked mouth: {runs[0] * 1e3:.0f} ms, with a hole {runs[1] * 1e3:.0f} ms",
            f"one change on the page, two runs and all words: {change * 1e3:.0f} ms",
        ],
    )
    assert fresh < LIMITS["balance"] and with_hole < 3 * LIMITS["balance"]
    assert again < LIMITS["again"] and max(runs) < LIMITS["run"]
