"""Both runs for the browser, as plain data with arrays."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from tipsim.app.framework.packet import encode
from tipsim.app.pages.flow.ready import READY
from tipsim.app.pages.flow.state import FlowState
from tipsim.app.pages.flow.words import run_words
from tipsim.flow.surge import BEFORE, Surge
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import CM, ML_MIN, MMHG

Data = dict[str, Any]
_MMHG, _ML_MIN = float(MMHG.factor), float(ML_MIN.factor)


SHOWN = 0.5
"""Shown of an event at least, also where a chamber is flat from the beginning [s]."""


def packet(state: FlowState) -> bytes:
    """Return both runs as a packet; see `contents`."""
    return encode(contents(state))


def contents(state: FlowState) -> Data:
    """Return what the scene draws: times in s, pressures in mmHg, flows in mL/min, volumes in µL.

    `flat` is the time at which the chamber has no volume left, or None. `alike`: both runs are the
    same, so that one drawing shows both.
    """
    a, b = state.bench.a, state.bench.b
    runs = state.runs
    return {
        "event": a.surge.event,
        "block": BEFORE,
        "shut": BEFORE + state.bench.a.surge.closing_time,
        "release": runs[0].released,
        "hold": state.bench.a.surge.hold,
        "end": max(BEFORE + SHOWN, *(float(run.time[-1]) for run in runs)),
        "alike": alike(a, b, *runs),
        "ready": state.ready,
        "choices": [{"id": e.id, "title": e.title, "words": e.words} for e in READY],
        "sides": [_side("a", a, runs[0]), _side("b", b, runs[1])],
    }


def alike(a: Scenario, b: Scenario, one: Surge, two: Surge) -> bool:
    """Return whether two benches are set alike and flow alike, as far as can be seen."""
    if (a.flow, a.surge, a.sleeve is None) != (b.flow, b.surge, b.sleeve is None):
        return False
    flats = [math.inf if run.flat_at is None else run.flat_at for run in (one, two)]
    if a.needle.has_bypass != b.needle.has_bypass or not math.isclose(*flats, abs_tol=ALIKE_S):
        return False
    return all(_same(one, two, name) for name in ("chamber", "line"))


ALIKE_S, ALIKE_MMHG = 0.02, 0.5
"""Times and pressures that are shown as the same where they differ by no more: needles of one bore
differ by some hundredths of a millimetre in length."""


def _same(one: Surge, two: Surge, name: str) -> bool:
    time = one.time[one.time <= two.time[-1]]
    other = np.interp(time, two.time, getattr(two, name))
    mine = getattr(one, name)[: len(time)]
    return bool(np.allclose(mine, other, rtol=0.01, atol=ALIKE_MMHG * _MMHG))


def curves(run: Surge) -> Data:
    """Return the curves of a run in units of the screen.

    `filled` is the chamber's volume over its usual one; `rush` all flow up the bore.
    """
    flows = {name: getattr(run, name) for name in ("irrigation", "mouth", "bypass", "leak")}
    flows |= {"pumped": run.pumped, "rush": run.mouth + run.bypass}
    return {
        "time": run.time,
        "open": run.open_share,
        "supplied": run.irrigation_open,
        "chamber": run.chamber / _MMHG,
        "vacuum": run.vacuum / _MMHG,
        "filled": run.volume / run.full,
        **{name: flow / _ML_MIN for name, flow in flows.items()},
    }


def _side(side: str, scenario: Scenario, run: Surge) -> Data:
    flow = scenario.flow
    return {
        "side": side,
        "needle": scenario.needle.title,
        "flat": run.flat_at,
        "bath": scenario.sleeve is None,
        "pump": flow.pump,
        "hole": scenario.needle.has_bypass,
        "bottle_cm": float(CM.from_si(flow.bottle_height)),
        "bottle_mmhg": round(run.bottle / _MMHG, 1),
        "limit_mmhg": float(MMHG.from_si(flow.vacuum_limit)),
        "words": run_words(scenario, run),
        "curves": curves(run),
    }
