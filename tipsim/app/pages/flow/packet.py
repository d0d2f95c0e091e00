"""Both runs as one packet of bytes for the browser."""

from __future__ import annotations

from typing import Any

import numpy as np

from tipsim.app.camera.reel import encode
from tipsim.app.pages.flow.ready import READY
from tipsim.app.pages.flow.state import FlowState
from tipsim.app.pages.flow.words import key_moments, told
from tipsim.flow.surge import BEFORE, Surge
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import CM, ML_MIN, MMHG

Data = dict[str, Any]
COLUMNS = ("time", "open", "chamber", "vacuum", "irrigation", "mouth", "bypass", "leak", "pumped")
"""Curves of a run in the order of the packet: s, share, mmHg, mmHg, then mL/min."""


def packet(state: FlowState) -> bytes:
    """Pack both runs.

    Returns
    -------
    bytes
        `encode` of a head and, for A and then B, the curves of `COLUMNS` as float32.
    """
    runs = state.runs
    a, b = state.bench.a, state.bench.b
    head = {
        "columns": COLUMNS,
        "block": BEFORE,
        "shut": BEFORE + state.trial.closing_time,
        "release": runs[0].released,
        "hold": state.trial.hold,
        "ready": state.ready,
        "choices": [{"id": e.id, "title": e.title, "words": e.words} for e in READY],
        "sides": [_side("a", a, runs[0], state), _side("b", b, runs[1], state)],
        "alike": a.flow == b.flow,
    }
    return encode(head, b"".join(curves(run).tobytes() for run in runs))


def curves(run: Surge) -> np.ndarray:
    """Give the curves of a run in units of the screen, shape (len(COLUMNS), n)."""
    mm, flow = float(MMHG.factor), float(ML_MIN.factor)
    rows = [run.time, run.open_share, run.chamber / mm, run.vacuum / mm]
    rows += [q / flow for q in (run.irrigation, run.mouth, run.bypass, run.leak, run.pumped)]
    return np.array(rows, dtype="<f4")


def _side(side: str, scenario: Scenario, run: Surge, state: FlowState) -> Data:
    flow = scenario.flow
    return {
        "side": side,
        "needle": scenario.needle.title,
        "n": len(run.time),
        "flat": run.flat_at,
        "bath": scenario.sleeve is None,
        "hole": scenario.needle.has_bypass,
        "bottle_cm": float(CM.from_si(flow.bottle_height)),
        "bottle_mmhg": round(run.bottle / float(MMHG.factor), 1),
        "limit_mmhg": float(MMHG.from_si(flow.vacuum_limit)),
        "give_ul_mmhg": state.trial.chamber_compliance * 1e9 * float(MMHG.factor),
        "told": told(scenario, run),
        "moments": key_moments(run),
    }
