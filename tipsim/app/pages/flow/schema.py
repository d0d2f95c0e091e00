"""The form of the flow page, described as plain data; see `tipsim.app.schema`."""

from __future__ import annotations

from typing import Any

from tipsim.app.bench_state import BenchState
from tipsim.app.pages.flow.state import FlowState
from tipsim.app.schema import needle_group, number_control, on_side, plain_control
from tipsim.flow.surge import Trial
from tipsim.setup.fields import key
from tipsim.setup.sourced import STATUSES, number, numbers
from tipsim.setup.units import MM

Control = dict[str, Any]
Group = dict[str, Any]


def form(state: FlowState) -> list[Group]:
    """Describe all groups of controls for a state.

    Examples
    --------
    >>> [g["title"] for g in form(FlowState.first())]
    ['Needles', 'Bottle and pump', 'Wound and mouth', 'Blocking the mouth', 'What gives (assumed)']
    """
    groups = [needle_group(state.bench)]
    for side in ["both"] if state.bench.together else ["a", "b"]:
        groups += [_machine(state.bench, side), _eye(state.bench, side)]
    blocking = [_own(state, "hold_s", "Mouth blocked for", step=0.1, high=5)]
    gives = [
        _own(state, "line_compliance_ul_mmhg", "Line to the pump gives", step=0.01, high=1.5),
        _own(state, "chamber_compliance_ul_mmhg", "Chamber gives", step=0.1, high=5),
        _own(state, "closing_time_ms", "Mouth closes in", step=5, high=200),
        _own(state, "opening_time_ms", "Mouth opens in", step=1, high=20),
    ]
    return [
        *groups,
        {"id": "blocking", "title": "Blocking the mouth", "open": None, "controls": blocking},
        {"id": "gives", "title": "What gives (assumed)", "open": None, "controls": gives},
    ]


def _group(id: str, title: str, side: str, controls: list[Control]) -> Group:
    named = title if side == "both" else f"{title}, {side.upper()}"
    return {"id": f"{id}-{side}", "title": named, "open": None, "controls": controls}


def _machine(bench: BenchState, side: str) -> Group:
    def flow(name: str, label: str, **limits: float) -> Control:
        return number_control(bench, side, f"flow.{name}", label, **limits)

    controls = [
        flow("bottle_height_cm", "Bottle above the eye", step=5),
        flow("aspiration_ml_min", "Pump's flow", step=1, high=60),
        flow("vacuum_limit_mmhg", "Vacuum limit", step=10),
    ]
    return _group("machine", "Bottle and pump", side, controls)


def _eye(bench: BenchState, side: str) -> Group:
    needle = on_side(bench, side).needle
    place = number("flow.bypass_place")
    hole: Control = {
        **plain_control(side, "bypass", "number", "Bypass hole, across"),
        "value": float(MM.from_si(needle.bypass_diameter)),
        "unit": MM.symbol,
        "min": 0,
        "max": max(0.4, needle.bypass_diameter * 1e3),
        "step": 0.05,
        "help": "A small hole in the shaft, inside the sleeve, through which some fluid takes a "
        "short cut into the bore; 0 for none. Allowed: 0 to 0.5 mm. It is put "
        f"{place.text} from the hub: assumed. The needles of the list have none.",
    }
    controls = [
        number_control(bench, side, "flow.leak_ml_min", "Wound leaks", step=0.5, high=40),
        number_control(bench, side, "flow.occlusion_percent", "Mouth partly covered", step=5),
        hole,
    ]
    controls[0]["help"] += " The leak is meant at 40 mmHg; it grows with the pressure."
    return _group("eye", "Wound and mouth", side, controls)


def _own(state: FlowState, field: str, label: str, *, step: float, high: float) -> Control:
    """Describe a number of the trial."""
    f = next(f for f in Trial.__dataclass_fields__.values() if key(f) == field)
    meta = f.metadata
    unit = meta["unit"]
    value = float(unit.from_si(getattr(state.trial, f.name)))
    doc = str(meta["doc"])
    symbol = unit.symbol
    words = f"{doc[0].upper()}{doc[1:]}. Allowed: {meta['low']:g} to {meta['high']:g} {symbol}."
    if f"flow.{f.name}" in numbers():
        n = number(f"flow.{f.name}")
        words += f" At first {n.text}: {STATUSES[n.status]}. {n.source}"
    return {
        **plain_control("both", f"trial.{field}", "number", label),
        "value": value,
        "unit": symbol,
        "min": min(meta["low"], value),
        "max": max(high, value),
        "step": step,
        "help": words,
    }
