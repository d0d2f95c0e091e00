"""Two runs as one packet of bytes for the browser: what to draw, and every temperature."""

from __future__ import annotations

from typing import Any

import numpy as np

from tipsim.app.camera.reel import encode
from tipsim.app.heat import field
from tipsim.app.heat.limits import limits
from tipsim.app.heat.state import HeatState
from tipsim.app.heat.words import told
from tipsim.heat.timeline import HeatRun
from tipsim.motion.sections import Floats
from tipsim.setup.event import EVENTS, Event
from tipsim.setup.fields import to_plain
from tipsim.setup.inputs import inputs
from tipsim.setup.ready import READY, ready_of
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press
from tipsim.setup.units import CELSIUS

Data = dict[str, Any]
FIXED = (20.0, 70.0)
"""The fixed range of the colours [°C]: from a cool room to beyond the shrinking of collagen."""
LEAST_SPAN = 10.0
"""A range that is fit to a run is at least so wide [K], so that a tenth does not look like fire."""
BUDGET = 270_000
"""Bytes that temperatures may take; the times are as many as fit."""
MOST_TIMES = 90
CURVE_TIMES = 160


def packet(state: HeatState, a: HeatRun, b: HeatRun, rough: bool = False) -> bytes:
    """Pack two runs of a state.

    Parameters
    ----------
    state : HeatState
    a, b : HeatRun
    rough : bool
        Whether a finer pair will follow.

    Returns
    -------
    bytes
        A head as JSON and uint16 temperatures, see `encode` and `field.quantised`.
    """
    runs = (a, b)
    duration = max(run.scenario.duration for run in runs)
    breaks = field.breaks_of(a, b)
    rows = [field.rows_of(run.cells) for run in runs]
    width = sum(len(row.cells) for each in rows for row in each)
    count = min(MOST_TIMES, BUDGET // (2 * width)) - 1 - 3 * len(breaks)
    times = field.display_times(duration, breaks, max(12, count))
    curves = field.display_times(duration, breaks, CURVE_TIMES)
    sides, data, offset = [], [], 0
    for key, run, own in zip("ab", runs, rows, strict=True):
        reached = times[: field.lasting(run, times)]
        sheet = field.quantised(run, own, reached)
        sides.append(_side(key, run, own, curves) | {"frames": len(reached), "offset": offset})
        data.append(sheet)
        offset += len(sheet)
    head = {
        "rough": rough,
        "duration": duration,
        "times": [round(float(t), 4) for t in times],
        "curve_times": [round(float(t), 4) for t in curves],
        "step": field.STEP,
        "scale": scale_of(state, a, b),
        "limits": limits(),
        "sides": sides,
        "events": [events_plain(run.scenario.events) for run in runs],
        "event_kinds": list(EVENTS),
        "most_events": inputs(Scenario)["events"].most,
        "usual_press": _plain(Press()),
        "together": state.bench.together,
        "ready": [{"id": r.id, "title": r.title, "words": r.words} for r in READY.values()],
        "ready_now": ready_of(state.bench.a, state.bench.b),
    }
    return encode(head, b"".join(data))


def scale_of(state: HeatState, a: HeatRun, b: HeatRun) -> Data:
    """Give the range of the colours [°C]: fixed, or around all that both runs reach."""
    low, high = FIXED
    if state.scale == "fit":
        coldest = min(float(run.temperature.min()) for run in (a, b))
        hottest = max(float(run.temperature.max()) for run in (a, b))
        low = float(np.floor(_celsius(coldest) / 5) * 5)
        high = max(float(np.ceil(_celsius(hottest) / 5) * 5), low + LEAST_SPAN)
    return {"name": state.scale, "low": low, "high": high}


def _side(key: str, run: HeatRun, rows: list[field.Row], curves: Floats) -> Data:
    scenario = run.scenario
    press = scenario.press
    return {
        "key": key,
        "title": scenario.needle.title,
        "drive": scenario.drive.kind,
        "told": told(run),
        "sleeve": scenario.sleeve.title if scenario.sleeve else "",
        "outside": scenario.outside.kind,
        "boiled": run.boiled,
        "averaged": run.duty < 1,
        **field.outline(run),
        "rows": [
            {"layer": r.layer, "side": r.side, "start": r.start, "count": len(r.cells)}
            for r in rows
        ],
        "press": None if press is None else _plain(press),
        "curves": {
            name: None if values is None else _curve(run, values, curves)
            for name, values in lines_of(run).items()
        },
    }


def lines_of(run: HeatRun) -> dict[str, Floats | None]:
    """Give what is drawn over time, by name (q,) [K]; None where there is no such thing."""
    cells = run.cells
    return {
        "sleeve": run.sleeve_peak if cells.sleeved.any() else None,
        "metal": run.metal_peak,
        "wound": run.wound_peak if cells.wound.any() else None,
        "chamber": run.temperature[:, cells.chamber] if cells.chamber >= 0 else None,
    }


def _curve(run: HeatRun, values: Floats, times: Floats) -> list[float]:
    """Give a peak over time [°C], as far as the run goes."""
    reached = times[: field.lasting(run, times)]
    return [round(float(v) - field.CELSIUS_ZERO, 3) for v in field.at_times(run, values, reached)]


def _plain(press: Press) -> dict[str, float]:
    return {k: float(v) for k, v in to_plain(press).items()}


def events_plain(events: tuple[Event, ...]) -> list[Data]:
    """Give events as plain data, in the units of a file."""
    return [
        {k: v if isinstance(v, str) else float(v) for k, v in to_plain(event).items()}
        for event in events
    ]


def _celsius(kelvin: float) -> float:
    return float(CELSIUS.from_si(kelvin))
