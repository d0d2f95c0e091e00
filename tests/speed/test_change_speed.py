"""What a control's move costs the server, both needles: solve, packet, numbers, link."""

import time
from collections.abc import Callable

import pytest

from tipsim.app.workbench import Workbench
from tipsim.solve import solve

pytestmark = pytest.mark.speed

ROUNDS = 30


def best(act: Callable[[int], object]) -> float:
    """Shortest of many rounds [s]: what the work needs when nothing else runs."""
    out = []
    for i in range(ROUNDS):
        start = time.perf_counter()
        act(i)
        out.append(time.perf_counter() - start)
    return min(out)


def test_a_change_costs_little_more_than_its_two_solves(
    report_table: Callable[[str, list[str]], None],
) -> None:
    bench = Workbench({})

    def change(i: int) -> None:
        # A new value every time, so that no result is taken from the cache.
        value = 40 + i * 1.37
        change = {"side": "both", "field": "drive.power_percent", "value": value}
        bench.handle({"seq": i + 1, "changes": [change]})

    whole = best(change)
    solves = best(lambda _: (solve(bench.state.a), solve(bench.state.b)))
    size = len(bench.stage.packet)
    report_table(
        "A control's move, server part, both needles (limit asked for: 20 ms)",
        [
            f"whole change       {whole * 1e3:6.2f} ms",
            f"of that two solves {solves * 1e3:6.2f} ms, {solves / whole:.0%}",
            f"share of the limit {whole / 20e-3:6.0%}",
            f"packet             {size / 1e3:6.1f} kB",
        ],
    )
    # A ratio of one run: everything around the solves must not cost ten times the solves.
    assert whole < 10 * solves
