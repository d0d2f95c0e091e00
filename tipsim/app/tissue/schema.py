"""The form of the tissue page, described as plain data; see `tipsim.app.schema`."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from tipsim.app.bench_state import BenchState
from tipsim.app.framework.form import WORDS
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
from tipsim.app.tissue.state import IRISES, TissueState, iris_of
from tipsim.setup.catalogue import lens_grades
from tipsim.setup.ready import READY, ready_of
from tipsim.setup.thermal import OUTSIDE

Group = dict[str, Any]
ASSUMED = {
    "iris": "Numbers behind the iris",
    "wound": "Numbers behind the wound",
    "cutting": "Numbers behind cutting",
}
"""Groups of numbers of the tissue, as in `tipsim.setup.tissue`, and their titles."""


def form(state: TissueState) -> list[Group]:
    """Describe all groups of controls for a state.

    Examples
    --------
    >>> [g["title"] for g in form(TissueState.first())][:4]
    ['Needles', 'Drive', 'Iris', 'Wound and flow']
    """
    bench = state.bench
    sides = ["both"] if bench.together else ["a", "b"]
    needles = needle_group(bench)
    needles["controls"].append(_equal(state))
    groups = [needles]
    for make in (_drive, _iris, _wound, _lens):
        groups += [make(bench, side) for side in sides]
    groups += [duty_group(bench, side) | {"open": False} for side in sides]
    sleeve = {"id": "sleeve", "title": "Sleeve", "open": False, "controls": sleeve_controls(bench)}
    groups.append(sleeve)
    for part, title in ASSUMED.items():
        groups += [_group(part, title, side, _assumed(bench, side, part), False) for side in sides]
    return groups


def _group(id: str, title: str, side: str, controls: list[Control], open: bool | None) -> Group:
    named = title if side == "both" else f"{title}, {side.upper()}"
    return {"id": f"{id}-{side}", "title": named, "open": open, "controls": controls}


def _equal(state: TissueState) -> Control:
    return {
        **plain_control("both", "equal", "switch", "Equal cutting: set B's power"),
        "value": state.equal,
        "help": "On: B is shown at the power at which it cuts as fast as A, so that heat, iris and "
        "stress are compared at the same work. Its own power setting comes back when this is off.",
    }


def _drive(bench: BenchState, side: str) -> Group:
    return drive_group(bench, side)


def _iris(bench: BenchState, side: str) -> Group:
    scenario = on_side(bench, side)
    options = [{"value": k, "label": k.capitalize()} for k in IRISES]
    moduli = ", ".join(f"{k} {n.value:g} kPa ({n.status})" for k, n in IRISES.items())
    controls: list[Control] = [
        number_control(bench, side, "eye.iris_gap_mm", "Mean gap to the sleeve", step=0.02, high=1),
        {
            **plain_control(side, "iris", "choice", "Iris"),
            "value": iris_of(scenario),
            "options": options,
            "help": f"Sets the modulus of the iris: {moduli}. A floppy iris flutters more in the "
            "same stream.",
        },
        number_control(bench, side, "eye.iris_modulus_kpa", "Its modulus", step=0.5, low=0.5)
        | {"scale": "log"},
        assumed_control(scenario, side, "tissue.iris.spread", "Flutter at usual flow"),
        number_control(
            bench, side, "eye.iris_place_mm", "Nearest place, from the end", step=0.25, high=10
        ),
        number_control(
            bench, side, "eye.iris_side_deg", "Its side (0: where the bend points)", step=15
        ),
    ]
    return _group("iris-set", "Iris", side, controls, None)


def _wound(bench: BenchState, side: str) -> Group:
    scenario = on_side(bench, side)
    ready = ready_of(scenario, scenario)
    start = [{"value": r.id, "label": r.title} for r in READY.values()]
    if not ready:
        start.append({"value": "", "label": "As set here"})
    controls: list[Control] = [
        number_control(bench, side, "eye.wound_width_mm", "Width of the wound", step=0.1),
        {
            **plain_control(side, "outside.kind", "choice", "Around it"),
            "value": scenario.outside.kind,
            "options": [{"value": kind, "label": WORDS["outside.kind"][kind]} for kind in OUTSIDE],
            "help": "Only Wound counts tissue around the sleeve in the heat; in the others the lip "
            "is held to a bench that does not know of it.",
        },
        {
            **plain_control("both", "ready", "select", "Flow and load, both benches"),
            "value": ready,
            "options": start,
            "help": "Sets flow, load and events at once; the heat page has the same.",
        },
        number_control(bench, side, "flow.occlusion_percent", "Mouth blocked", step=5),
        number_control(bench, side, "flow.aspiration_ml_min", "Pump's flow", step=1, high=60),
        number_control(bench, side, "flow.bottle_height_cm", "Bottle above the eye", step=5),
        number_control(bench, side, "flow.vacuum_limit_mmhg", "Vacuum limit", step=10),
        number_control(bench, side, "flow.leak_ml_min", "Wound leaks", step=0.5, high=20),
        number_control(bench, side, "duration_s", "Bench time", step=5, low=5, high=120),
    ]
    return _group("wound-set", "Wound and flow", side, controls, None)


def _lens(bench: BenchState, side: str) -> Group:
    scenario = on_side(bench, side)
    lens = scenario.lens
    options = [{"value": "none", "label": "Nothing: medium lens is assumed"}]
    options += [{"value": g.id, "label": g.title} for g in lens_grades().values()]
    if lens is not None and lens.grade not in lens_grades():
        options.append({"value": lens.grade, "label": lens.grade})
    controls: list[Control] = [
        {
            **plain_control(side, "lens", "select", "Lens pressed on the mouth"),
            "value": lens.grade if lens else "none",
            "options": options,
            "help": "A lens that presses also loads the motion. Hardness is assumed; no "
            "measurement at these frequencies was found.",
        }
    ]
    if lens is not None:
        controls.append(
            number_control(bench, side, "lens.contact_percent", "Mouth that touches", step=5)
        )
    return _group("lens-set", "Lens", side, controls, None)


def _assumed(bench: BenchState, side: str, part: str) -> list[Control]:
    scenario = on_side(bench, side)
    # The flutter stands with the iris's own settings.
    return [
        assumed_control(scenario, side, f"tissue.{part}.{f.name}")
        for f in fields(getattr(scenario.tissue, part))
        if (part, f.name) != ("iris", "spread")
    ]
