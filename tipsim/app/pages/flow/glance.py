"""The flow page at a glance: what the event comes to, in a sentence, and three numbers."""

from __future__ import annotations

from dataclasses import replace

from tipsim.app.framework.glance import Glance, number
from tipsim.app.pages.flow.packet import alike
from tipsim.app.pages.flow.state import FlowState
from tipsim.app.pages.flow.words import headline
from tipsim.flow.surge import Surge
from tipsim.setup.flow import OCCLUSION
from tipsim.solve import Result
from tipsim.store import result

NUMBERS = {
    OCCLUSION: ("flow.vacuum_rise", "flow.lowest_chamber", "flow.lost_share"),
    "no irrigation": ("flow.pressure_gone", "flow.flat_after", "flow.aspiration"),
}
"""The three outputs that count in each event."""


def at_a_glance(state: FlowState) -> Glance:
    """Return the headline, and three numbers of both benches or of both together."""
    a, b = (result(s) for s in (state.bench.a, state.bench.b))
    same = alike(a.scenario, b.scenario, a.surge, b.surge)
    numbers = [number(name, a, b) for name in NUMBERS[a.scenario.surge.event]]
    if same:
        numbers = [replace(n, values={"": n.values["a"]}) for n in numbers]
    return Glance(_headline(a, b, same), numbers)


def _headline(a: Result, b: Result, same: bool) -> str:
    one, two = (headline(r.scenario, _run(r)) for r in (a, b))
    if same or one == two:
        return one
    if a.scenario.flow.pump != b.scenario.flow.pump and _front(one) == _front(two):
        names = [f"{r.scenario.flow.pump}-controlled pump" for r in (a, b)]
        return f"{_front(one)}: {_rest(one)} (A, {names[0]}); {_rest(two)} (B, {names[1]})."
    if _front(one) == _front(two):
        return f"{_front(one)}: {_rest(one)} (A); {_rest(two)} (B)."
    return f"A: {one} B: {two}"


def _run(r: Result) -> Surge:
    return r.surge


def _front(sentence: str) -> str:
    return sentence.partition(":")[0]


def _rest(sentence: str) -> str:
    return sentence.partition(":")[2].strip().rstrip(".")
