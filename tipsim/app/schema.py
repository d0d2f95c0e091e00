"""The form beside the stage, described as plain data: what can be set, how, and why so."""

from __future__ import annotations

from typing import Any

from tipsim.app.bench_state import BenchState
from tipsim.setup.catalogue import catalogue, lens_grades
from tipsim.setup.drive import DUTIES, HOLDS
from tipsim.setup.help import help_text
from tipsim.setup.inputs import find_input, inputs
from tipsim.setup.scenario import Scenario

Control = dict[str, Any]


def form(state: BenchState) -> list[dict[str, Any]]:
    """Describe all groups of controls for a state.

    Parameters
    ----------
    state : BenchState

    Returns
    -------
    list of dict
        Groups: ``id``, ``title``, ``open`` (None: always open) and ``controls``. Each control
        has ``id`` ("side:field"), ``side``, ``field``, ``kind``, ``label``, ``value`` and, by
        kind, ``min max step unit`` or ``options``.

    Examples
    --------
    >>> [g["title"] for g in form(BenchState.first())]
    ['Needles', 'Drive', 'Pulses', 'Sleeve and water', 'Load', 'Markers and model']
    """
    groups = [needle_group(state)]
    sides = ["both"] if state.together else ["a", "b"]
    for make in (drive_group, duty_group):
        groups += [make(state, side) for side in sides]
    groups.append(_around(state, sides))
    groups.append(_load(state, sides))
    groups.append(_model(state, sides))
    return groups


def on_side(state: BenchState, side: str) -> Scenario:
    """Give the bench that a control shows; A's for both."""
    return state.b if side == "b" else state.a


def _titled(title: str, side: str) -> str:
    return title if side == "both" else f"{title} of {side.upper()}"


def needle_group(state: BenchState) -> dict[str, Any]:
    """Describe the choice of both needles."""
    controls = [
        {
            **plain_control(side, "needle", "select", f"Needle {side.upper()}"),
            "value": on_side(state, side).needle.id,
            "options": _needle_options(on_side(state, side)),
            "edit": {"href": f"./needle?edit={side}", "label": f"Edit {side.upper()}"},
        }
        for side in ("a", "b")
    ]
    controls.append(
        {
            **plain_control("both", "together", "switch", "Same settings for A and B"),
            "value": state.together,
            "help": "On: all but needle and sleeve is one setting for both. "
            "Switching it on gives B the settings of A.",
        }
    )
    return {"id": "needles", "title": "Needles", "open": None, "controls": controls}


def _needle_options(scenario: Scenario) -> list[dict[str, str]]:
    out = []
    for id, n in catalogue().needles.items():
        group = f"{2e3 * n.outer_radius:g} mm across"
        out.append({"value": id, "label": n.title, "group": group})
    order = {"0.9": 0, "1.1": 1, "0.75": 2}
    out.sort(key=lambda o: order.get(o["group"].split()[0], 3))
    if scenario.needle.id not in catalogue().needles:
        out.append(
            {"value": scenario.needle.id, "label": scenario.needle.title, "group": "From the link"}
        )
    return out


def drive_group(state: BenchState, side: str) -> dict[str, Any]:
    """Describe what the hub does."""
    drive = on_side(state, side).drive
    kinds = [{"value": k, "label": k.capitalize()} for k in catalogue().drives]
    controls = [
        {
            **plain_control(side, "drive", "choice", "Hub motion"),
            "value": drive.kind,
            "options": kinds,
            "help": "Axial: to and fro along the shaft. Torsional: turning about it. Elliptical: "
            "both at once. A new hub motion brings its own frequency and stroke at 100 %.",
        },
        number_control(state, side, "drive.power_percent", "Power", step=5),
        number_control(state, side, "drive.frequency_khz", "Frequency", low=20, high=60, step=0.1),
    ]
    if drive.kind == "elliptical":
        controls.append(
            number_control(state, side, "drive.phase_deg", "Twist ahead of axial motion", step=5)
        )
    if drive.has_axial:
        controls.append(
            number_control(
                state, side, "drive.axial_stroke_um", "Hub stroke at 100 %", high=120, step=0.5
            )
        )
    if drive.has_twist:
        controls.append(
            number_control(
                state, side, "drive.twist_stroke_deg", "Hub twist at 100 %", high=12, step=0.1
            )
        )
    return {
        "id": f"drive-{side}",
        "title": _titled("Drive", side),
        "open": None,
        "controls": controls,
    }


def duty_group(state: BenchState, side: str) -> dict[str, Any]:
    """Describe when the drive is on."""
    duty = on_side(state, side).duty
    controls: list[Control] = [
        {
            **plain_control(side, "duty.kind", "choice", "When the drive is on"),
            "value": duty.kind,
            "options": [{"value": k, "label": k.capitalize()} for k in DUTIES],
            "help": "Continuous, an even train of pulses, or short bursts with longer rests. The "
            "picture shows the motion while the drive is on; rests lower the mean power.",
        }
    ]
    if duty.kind != "continuous":
        controls += [
            number_control(state, side, "duty.on_time_ms", "Pulse", high=200, step=1),
            number_control(state, side, "duty.off_time_ms", "Rest", high=500, step=1),
        ]
    return {
        "id": f"duty-{side}",
        "title": _titled("Pulses", side),
        "open": None,
        "controls": controls,
    }


def _around(state: BenchState, sides: list[str]) -> dict[str, Any]:
    controls = sleeve_controls(state)
    for side in sides:
        label = "Water temperature" if side == "both" else f"Water around {side.upper()}"
        controls.append(number_control(state, side, "fluid.temperature_c", label, high=60, step=1))
    return {"id": "around", "title": "Sleeve and water", "open": False, "controls": controls}


def sleeve_controls(state: BenchState) -> list[Control]:
    """Describe both sleeves: which one, how it follows, how far the needle stands out."""
    controls: list[Control] = []
    for side in ("a", "b"):
        sleeve = on_side(state, side).sleeve
        options = [{"value": s.id, "label": s.title} for s in catalogue().sleeves.values()]
        options.append({"value": "none", "label": "No sleeve"})
        if sleeve is not None and sleeve.id not in catalogue().sleeves:
            options.append({"value": sleeve.id, "label": sleeve.title})
        controls.append(
            {
                **plain_control(side, "sleeve", "select", f"Sleeve on {side.upper()}"),
                "value": sleeve.id if sleeve else "none",
                "options": options,
            }
        )
    for side in _sleeved(state):
        name = "" if side == "both" else f" on {side.upper()}"
        controls += [
            number_control(
                state, side, "sleeve.mobility", f"Sleeve follows the needle{name}", step=0.02
            ),
            number_control(
                state,
                side,
                "sleeve.exposed_mm",
                f"Needle out of the sleeve{name}",
                high=6,
                step=0.05,
            ),
        ]
    return controls


def _sleeved(state: BenchState) -> list[str]:
    """Give the sides that sleeve numbers are set for: both at once when they are alike."""
    a, b = state.a.sleeve, state.b.sleeve
    if a and b and (a.mobility, a.exposed) == (b.mobility, b.exposed) and state.together:
        return ["both"]
    return [side for side, sleeve in (("a", a), ("b", b)) if sleeve]


def _load(state: BenchState, sides: list[str]) -> dict[str, Any]:
    """Describe what presses on the needle, and what the handpiece holds then."""
    controls: list[Control] = []
    grades = [{"value": g.id, "label": g.title} for g in lens_grades().values()]
    for side in sides:
        name = "" if side == "both" else f" {side.upper()}"
        scenario = on_side(state, side)
        lens, support = scenario.lens, scenario.support
        known = lens is None or lens.grade in lens_grades()
        other = [] if known or lens is None else [{"value": lens.grade, "label": lens.grade}]
        controls.append(
            {
                **plain_control(side, "lens", "select", f"Lens at the mouth{name}"),
                "value": lens.grade if lens else "none",
                "options": [{"value": "none", "label": "Nothing"}, *grades, *other],
                "help": "Lens material as springs and dashpots at the mouth: a rigid disc on an "
                "elastic half-space. Hardness is assumed; no measurement at these frequencies.",
            }
        )
        if lens is not None:
            controls += [
                number_control(
                    state, side, "lens.contact_percent", f"Mouth that touches{name}", step=5
                ),
                number_control(
                    state,
                    side,
                    "lens.shear_modulus_kpa",
                    f"Lens stiffness{name}",
                    high=5000,
                    step=1,
                ),
            ]
        controls.append(
            {
                **plain_control(side, "support", "switch", f"Wound holds the shaft{name}"),
                "value": support is not None,
                "help": "A springy support on the shaft, as where the wound presses. Assumed.",
            }
        )
        if support is not None:
            controls += [
                number_control(
                    state,
                    side,
                    "support.place_mm",
                    f"Its distance from the end{name}",
                    step=0.5,
                    high=14,
                ),
                number_control(
                    state, side, "support.stiffness_mpa", f"Its stiffness{name}", step=0.5
                ),
            ]
        if lens is not None or support is not None:
            controls.append(
                {
                    **plain_control(
                        side, "drive.holds", "choice", f"Under load the hub keeps{name}"
                    ),
                    "value": scenario.drive.holds,
                    "options": [{"value": h, "label": f"its {h}"} for h in HOLDS],
                    "help": "Motion: a regulated handpiece draws more power under load. "
                    "Power: an unregulated one gives the power of the free needle and "
                    "loses stroke.",
                }
            )
    return {"id": "load", "title": "Load", "open": False, "controls": controls}


def _model(state: BenchState, sides: list[str]) -> dict[str, Any]:
    controls: list[Control] = []
    for side in sides:
        name = "" if side == "both" else f" of {side.upper()}"
        markers = ", ".join(f"{m * 1e3:g}" for m in on_side(state, side).markers)
        controls += [
            {
                **plain_control(side, "markers_mm", "text", f"Markers{name}, mm from the end"),
                "value": markers,
                "help": "Up to twelve tracked points, nearest first, such as 0, 1, 2, 3, 4.",
            },
            number_control(state, side, "loss_factor", f"Loss factor{name}", high=0.05, step=0.001),
            number_control(state, side, "spacing_mm", f"Node spacing{name}", low=0.05, step=0.01),
        ]
    return {"id": "model", "title": "Markers and model", "open": False, "controls": controls}


def plain_control(side: str, field: str, kind: str, label: str) -> Control:
    """Describe what every control has."""
    return {"id": f"{side}:{field}", "side": side, "field": field, "kind": kind, "label": label}


def number_control(
    state: BenchState,
    side: str,
    path: str,
    label: str,
    *,
    step: float,
    low: float | None = None,
    high: float | None = None,
) -> Control:
    """Describe a number: unit and meaning from the dataclass, its slider's range from here."""
    scenario = on_side(state, side)
    one = inputs(Scenario)[path]
    value = one.shown(scenario)
    least = one.low if low is None else low
    most = one.high if high is None else high
    return {
        **plain_control(side, path, "number", label),
        "value": value,
        "unit": one.unit.symbol,
        "min": min(least, value),
        "max": max(most, value),
        "step": step,
        "help": help_text(one, scenario),
    }


def assumed_control(scenario: Scenario, side: str, name: str, label: str = "") -> Control:
    """Describe a number that nobody has measured well: its status stands beside it."""
    one = find_input(Scenario, name)
    low, high, step = one.slider
    value = one.shown(scenario)
    status = f" ({one.source.status})" if one.source else ""
    return {
        **plain_control(side, one.path, "number", f"{label or one.label}{status}"),
        "value": value,
        "unit": one.unit.symbol,
        "min": min(low, value),
        "max": max(high, value),
        "step": step,
        "scale": one.scale,
        "help": help_text(one, scenario),
    }
