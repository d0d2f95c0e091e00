"""The form of the heat page, described as plain data; see `tipsim.app.schema`."""

from __future__ import annotations

from typing import Any

from tipsim.app.bench_state import BenchState
from tipsim.app.heat.state import HeatState
from tipsim.app.schema import (
    Control,
    assumed_control,
    drive_group,
    duty_group,
    needle_group,
    number_control,
    on_side,
    plain_control,
    sleeve_controls,
)
from tipsim.setup.thermal import OUTSIDE

Group = dict[str, Any]
AROUND = {
    "air": "Air",
    "dry": "Air, dry",
    "chamber": "Water",
    "wound": "Wound",
}
"""What can be around the needle, as on its button."""
ASSUMED = (
    *("rubbing.coefficient", "squeeze.modulus", "squeeze.loss"),
    *("thermal.nusselt_annulus", "thermal.nusselt_bore", "thermal.annulus_mixing"),
    *("thermal.silicone_conductivity", "thermal.air_film", "thermal.chamber_film"),
)
"""Assumed and fitted numbers that the page lets a learner move, by name."""


def form(state: HeatState) -> list[Group]:
    """Describe all groups of controls for a state.

    Examples
    --------
    >>> [g["title"] for g in form(HeatState.first())]
    ['Needles', 'Drive', 'Water', 'Load on the sleeve', 'Around it', 'Pulses', 'Sleeve', \
'Assumed numbers']
    """
    bench = state.bench
    sides = ["both"] if bench.together else ["a", "b"]
    groups = [needle_group(bench), *(drive_group(bench, side) for side in sides)]
    groups += [_water(bench, side) for side in sides]
    groups += [_load(bench, side) for side in sides]
    groups += [_around(bench, side) for side in sides]
    groups += [duty_group(bench, side) | {"open": False} for side in sides]
    groups.append(
        {"id": "sleeve", "title": "Sleeve", "open": False, "controls": sleeve_controls(bench)}
    )
    groups += [_assumed(bench, side) for side in sides]
    return groups


def _group(id: str, title: str, side: str, controls: list[Control], open: bool | None) -> Group:
    named = title if side == "both" else f"{title}, {side.upper()}"
    return {"id": f"{id}-{side}", "title": named, "open": open, "controls": controls}


def _water(state: BenchState, side: str) -> Group:
    def flow(name: str, label: str, **limits: float) -> Control:
        return number_control(state, side, f"flow.{name}", label, **limits)

    controls = [
        flow("aspiration_ml_min", "Pump's flow", step=1, high=60),
        flow("leak_ml_min", "Wound leaks", step=0.5, high=20),
        flow("occlusion_percent", "Mouth blocked", step=5),
        flow("bottle_height_cm", "Bottle above the eye", step=5),
        number_control(state, side, "fluid.temperature_c", "Water comes at", step=1, high=40),
    ]
    return _group("water", "Water", side, controls, None)


def _load(state: BenchState, side: str) -> Group:
    press = on_side(state, side).press
    controls: list[Control] = [
        {
            **plain_control(side, "press", "switch", "Something presses the sleeve on"),
            "value": press is not None,
            "help": "A weight on the bench, or the edge of a wound: it presses the sleeve onto "
            "the shaft, where it rubs.",
        }
    ]
    if press is not None:
        controls += [
            number_control(state, side, "press.force_g", "Load", step=5, high=100),
            number_control(state, side, "press.place_mm", "Its distance from the end", step=0.5),
            number_control(state, side, "press.length_mm", "Its length", step=0.1),
            number_control(state, side, "press.arc_deg", "Arc that is pressed", step=10),
            number_control(state, side, "press.side_deg", "Side that is pressed", step=15),
        ]
    return _group("press", "Load on the sleeve", side, controls, None)


def _around(state: BenchState, side: str) -> Group:
    scenario = on_side(state, side)
    controls: list[Control] = [
        {
            **plain_control(side, "outside.kind", "choice", "Outside"),
            "value": scenario.outside.kind,
            "options": [{"value": kind, "label": AROUND[kind]} for kind in OUTSIDE],
            "help": "Air: a bench test; water from the sleeve wets the bare end. Air, dry: the "
            "bare end stays dry. Water: all of it in a chamber. Wound: tissue around the sleeve, "
            "the end in a chamber, the hub in air.",
        },
        number_control(state, side, "outside.temperature_c", "Temperature at the start", step=1),
        number_control(state, side, "duration_s", "Bench time", step=5, low=5, high=120),
    ]
    return _group("outside", "Around it", side, controls, None)


def _assumed(state: BenchState, side: str) -> Group:
    controls = [assumed_control(on_side(state, side), side, name) for name in ASSUMED]
    return _group("assumed", "Assumed numbers", side, controls, False)
