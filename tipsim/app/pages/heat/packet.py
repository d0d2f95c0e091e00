"""Both runs for the browser: what to draw, every temperature, and what is set when."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from tipsim.app.framework.belief import not_drawn
from tipsim.app.framework.packet import encode
from tipsim.app.pages.heat import events, field
from tipsim.app.pages.heat.limits import limits
from tipsim.app.pages.heat.state import FULL, HeatState
from tipsim.app.pages.heat.words import set_words, setting
from tipsim.heat.legs import Model
from tipsim.heat.state import states
from tipsim.heat.timeline import HeatRun
from tipsim.motion.sections import Floats
from tipsim.setup.inputs import inputs
from tipsim.setup.ready import READY
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press
from tipsim.setup.units import CELSIUS, GRAM, MM

Data = dict[str, Any]
FIXED = (20.0, 70.0)
"""The fixed range of the colours [°C]: from a cool room to beyond the shrinking of collagen."""
LEAST_SPAN = 10.0
"""A range that is fit to a run is at least so wide [K], so that a tenth does not look like fire."""
BUDGET = 270_000
"""Bytes that temperatures may take; the times are as many as fit."""
DRILL = "A fault drill, not normal use."
MOST_TIMES = 90
CURVE_TIMES = 160


def packet(state: HeatState) -> bytes:
    """Return both runs as a packet; see `contents`."""
    return encode(contents(state, FULL))


def preview(state: HeatState) -> bytes:
    """Return a quick first packet: of coarse runs, unless the full ones are known."""
    return encode(contents(state, state.quick()))


def contents(state: HeatState, model: Model) -> Data:
    """Return what the scene draws: temperatures in °C, lengths in mm, times in s."""
    held = [not_drawn(r) for r in state.results]
    runs = [
        unwarmed(run) if words else run for run, words in zip(state.runs(model), held, strict=True)
    ]
    duration = max(run.scenario.duration for run in runs)
    breaks = field.breaks_of(*runs)
    rows = [field.rows_of(run.cells) for run in runs]
    width = sum(len(row.cells) for each in rows for row in each)
    count = min(MOST_TIMES, BUDGET // (2 * width)) - 1 - 3 * len(breaks)
    times = field.display_times(duration, breaks, max(12, count))
    curves = field.display_times(duration, breaks, CURVE_TIMES)
    return {
        "rough": model != FULL,
        "duration": duration,
        "times": times,
        "step": field.STEP,
        "scale": scale_of(state, *runs),
        "limits": limits(),
        "sides": [
            _side(key, run, own, times, curves) | {"held": words}
            for key, run, own, words in zip("ab", runs, rows, held, strict=True)
        ],
        "events": [[events.plain(e) for e in s.events] for s in state.sides],
        "event_kinds": events.kinds(),
        "most_events": inputs(Scenario)["events"].most,
        "matters": matters(state),
        "drill": bool(state.ready and READY[state.ready].drill),
        "together": state.bench.together,
        "ready": [
            {"id": r.id, "title": r.title, "words": f"{DRILL} {r.words}" if r.drill else r.words}
            for r in READY.values()
        ],
        "ready_now": state.ready,
    }


def matters(state: HeatState) -> list[float]:
    """Return when something happens [s]: an event, or a sleeve that reaches 45 or 60 °C."""
    happens = {event.time for s in state.sides for event in s.events}
    for r in state.results:
        if not not_drawn(r):
            happens |= {t for t in (r["heat.to_45"], r["heat.to_60"]) if t is not None}
    return sorted(float(t) for t in happens)


def unwarmed(run: HeatRun) -> HeatRun:
    """Return a run in which nothing gets warmer, for a motion that is not to be believed."""
    still = np.broadcast_to(run.temperature[0], run.temperature.shape)
    return replace(run, temperature=still, boiled=None)


def scale_of(state: HeatState, *runs: HeatRun) -> Data:
    """Return the range of the colours [°C]: fixed, or around all that both runs reach."""
    low, high = FIXED
    if state.scale == "fit":
        coldest = min(float(run.temperature.min()) for run in runs)
        hottest = max(float(run.temperature.max()) for run in runs)
        low = float(np.floor(_celsius(coldest) / 5) * 5)
        high = max(float(np.ceil(_celsius(hottest) / 5) * 5), low + LEAST_SPAN)
    return {"name": state.scale, "low": low, "high": high}


def _side(key: str, run: HeatRun, rows: list[field.Row], times: Floats, curves: Floats) -> Data:
    lines = {
        name: {"x": curves, "y": field.at_times(run, values, curves) - field.CELSIUS_ZERO}
        for name, values in lines_of(run).items()
    }
    return {
        "key": key,
        "title": run.scenario.needle.title,
        "setting": setting(run.scenario),
        "boiled": run.boiled,
        "averaged": run.duty < 1,
        **field.outline(run),
        "rows": [
            {"layer": r.layer, "side": r.side, "start": r.start, "count": len(r.cells)}
            for r in rows
        ],
        "sheet": field.sheet(run, rows, times),
        "moments": moments(run.scenario),
        "curves": lines,
    }


def moments(scenario: Scenario) -> list[Data]:
    """Return what is set from each time on: its load [g, mm], and what an event changed in words.

    >>> from dataclasses import replace
    >>> from tipsim.setup.event import Event
    >>> bench = Scenario.preset("straight, axial")
    >>> moments(replace(bench, events=(Event(5.0, "power", share=0.5),)))[1]
    {'time': 5.0, 'words': 'power 50 %', 'press': None}
    """
    all_states = states(scenario)
    first = all_states[0][1]
    return [
        {"time": time, "words": set_words(state, first), "press": _press(scenario, state.press)}
        for time, state in all_states
    ]


def _press(scenario: Scenario, press: Press | None) -> Data | None:
    if press is None:
        return None
    near, far = (float(MM.from_si(v)) for v in press.span(scenario.incision))
    grams = float(GRAM.from_si(press.force))
    return {"grams": grams, "place": (near + far) / 2, "length": far - near}


def lines_of(run: HeatRun) -> dict[str, Floats]:
    """Return what is drawn over time, by name (q,) [K]; only what there is."""
    cells = run.cells
    out = {"metal": run.metal_peak}
    if cells.sleeved.any():
        out = {"sleeve": run.sleeve_peak, **out}
    if cells.wound.any():
        out["wound"] = run.wound_peak
    if cells.chamber >= 0:
        out["chamber"] = run.temperature[:, cells.chamber]
    return out


def _celsius(kelvin: float) -> float:
    return float(CELSIUS.from_si(kelvin))
