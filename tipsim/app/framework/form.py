"""The form of a page from a list of paths: what each control is follows from the declarations."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from tipsim.app.framework.bench_state import COMPUTED, SET, followers
from tipsim.app.framework.state import PageState, own_inputs
from tipsim.setup.catalogue import catalogue, lens_grades
from tipsim.setup.drive import KINDS as HUB_MOTIONS
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import capital
from tipsim.setup.help import help_text
from tipsim.setup.inputs import Input, inputs
from tipsim.setup.scenario import Scenario

Control = dict[str, Any]
KINDS = {
    "quantity": "number",
    "numbers": "text",
    "words": "text",
    "choice": "choice",
    "switch": "switch",
}
"""Kind of control for each kind of declaration."""
WIDE = 1e5
"""From this end of a slider on, its number needs a wider field."""
MOST_SEGMENTS = 4
"""Choices that stand side by side; more go into a list."""
WHEN: dict[str, Callable[[Scenario], bool]] = {
    "drive.phase_deg": lambda s: s.drive.kind == "elliptical",
    "drive.axial_stroke_um": lambda s: s.drive.has_axial,
    "drive.twist_stroke_deg": lambda s: s.drive.has_twist,
    "drive.holds": lambda s: s.lens is not None or s.support is not None,
    "hub.tilt_stiffness_n_m_rad": lambda s: s.hub.held == "springs",
    "hub.side_stiffness_n_um": lambda s: s.hub.held == "springs",
    "duty.on_time_ms": lambda s: s.duty.kind != "continuous",
    "duty.off_time_ms": lambda s: s.duty.kind != "continuous",
}
"""When a control is shown that is not shown always. One of an absent part never is."""


@dataclass(frozen=True)
class Group:
    """A group of controls.

    Attributes
    ----------
    title : str
    paths : tuple of str
        Inputs, or special controls (`SPECIAL`, and those that a page brings along).
    open : bool or None
        Whether it is open at first; None: it cannot be closed.
    apart : bool
        Whether each side has a group of its own while the benches are set one by one. Else all
        controls stand in one group, those of a side named so.
    status : bool
        Whether labels say what a number rests on, such as "assumed".
    fold : bool
        Whether it can be closed, and is at first, while the benches are set one by one.
    """

    title: str
    paths: tuple[str, ...]
    open: bool | None = None
    apart: bool = True
    status: bool = False
    fold: bool = False


Special = Callable[[Any, str], Control | None]
"""Describes a control for a state and a side, without what all controls have."""


def form(
    state: PageState, groups: Sequence[Group], special: dict[str, Special] | None = None
) -> list[dict[str, Any]]:
    """Return the groups of a form as plain data for the browser.

    Parameters
    ----------
    state : PageState
    groups : sequence of Group
    special : dict, optional
        Controls of the page's own, by path.

    Returns
    -------
    list of dict
        Groups: ``id``, ``title``, ``open`` and ``controls``. Each control has ``id``
        ("side:path"), ``side``, ``field``, ``kind``, ``label``, ``value`` and, by kind,
        ``min max step unit scale`` or ``options``.
    """
    every = SPECIAL | (special or {})
    sides = ["both"] if state.bench.together else ["a", "b"]
    out = []
    for group in groups:
        for side in sides if group.apart else [""]:
            controls = [
                control
                for path in group.paths
                for control in _controls(state, path, [side] if side else sides, group, every)
            ]
            if controls:
                id = "-".join(group.title.lower().split()) + f"-{side}".rstrip("-")
                title = f"{group.title}, {side.upper()}" if side in ("a", "b") else group.title
                is_open = False if group.fold and len(sides) > 1 else group.open
                out.append({"id": id, "title": title, "open": is_open, "controls": controls})
    return out


def _controls(
    state: PageState, path: str, sides: list[str], group: Group, special: dict[str, Special]
) -> list[Control]:
    one = _input(state, path)
    if path in own_inputs(type(state)) or path == "together":
        sides = ["both"]
    elif path in EACH_SIDE or (one and _differs(state, one)) or _coupled_apart(state, path):
        sides = ["a", "b"] if "both" in sides else sides
    out = []
    for side in sides:
        control = special[path](state, side) if path in special else declared(state, path, side)
        if control is None:
            continue
        label = control.pop("label")
        if side != "both" and path not in EACH_SIDE and (not group.apart or len(sides) > 1):
            label = f"{label}, {side.upper()}"
        if group.status and one is not None and one.source is not None:
            label = f"{label} ({one.source.status})"
        out.append({"id": f"{side}:{path}", "side": side, "field": path, "label": label, **control})
    return out


def _differs(state: PageState, one: Input) -> bool:
    """Whether the benches differ in an input even while they are set together, as in the sleeve."""
    return bool(one.of(state.bench.a) != one.of(state.bench.b))


def _coupled_apart(state: PageState, path: str) -> bool:
    """Whether a path is that of the coupling, and only one side has a sleeve or a set number."""
    sleeves = (state.bench.a.sleeve, state.bench.b.sleeve)
    how = [s if s is None else s.mobility for s in sleeves]
    return path == "sleeve.coupling" and (how[0] != how[1] or len({s is None for s in sleeves}) > 1)


def _input(state: PageState, path: str) -> Input | None:
    return own_inputs(type(state)).get(path) or inputs(Scenario).get(path)


def on_side(state: PageState, side: str) -> Scenario:
    """Return the scenario that a control shows; A's for both."""
    return state.bench.b if side == "b" else state.bench.a


def declared(state: PageState, path: str, side: str) -> Control | None:
    """Return the control of a declared input, or None where it is not shown."""
    one = _input(state, path)
    if one is None:
        raise BadInput("form", path, "an input or a special control")
    scenario = on_side(state, side)
    owner: Any = state if path in own_inputs(type(state)) else scenario
    value = one.shown(owner)
    if value is None or (path in WHEN and not WHEN[path](scenario)):
        return None
    control: Control = {
        "kind": KINDS[one.kind],
        "label": one.label,
        "value": value,
        "help": help_text(one, scenario),
    }
    if one.kind == "quantity":
        low, high, step = one.slider
        limits = {"min": min(low, value), "max": max(high, value), "step": step}
        control |= limits | {"unit": one.unit.symbol, "scale": one.scale, "wide": high >= WIDE}
    elif one.kind == "numbers":
        control |= {
            "value": ", ".join(f"{v:g}" for v in value),
            "label": f"{one.label}, {one.unit.symbol}",
        }
    elif one.kind == "choice":
        control["options"] = [{"value": o, "label": one.said(o)} for o in one.options]
        control["kind"] = "choice" if len(one.options) <= MOST_SEGMENTS else "select"
    return control


# ---- special controls: whole parts, chosen from the catalogue ----


def needle_options() -> list[dict[str, str]]:
    """Return the catalogue's needles as options, grouped by their thickness."""
    order = {0.45e-3: 0, 0.55e-3: 1, 0.375e-3: 2}
    known = sorted(catalogue().needles.items(), key=lambda n: order.get(n[1].outer_radius, 3))
    return [
        {"value": id, "label": n.title, "group": f"{2e3 * n.outer_radius:g} mm across"}
        for id, n in known
    ]


def _needle(state: PageState, side: str) -> Control:
    options = needle_options()
    own = on_side(state, side).needle
    if own.id not in catalogue().needles:
        options.append({"value": own.id, "label": own.title, "group": "From the link"})
    return {
        "kind": "select",
        "label": f"Needle {side.upper()}",
        "value": own.id,
        "options": options,
        "edit": {"href": f"./needle?edit={side}", "label": f"Edit {side.upper()}"},
    }


def _together(state: PageState, _: str) -> Control:
    return {
        "kind": "switch",
        "label": "Same settings for A and B",
        "value": state.bench.together,
        "help": "On: all but needle and sleeve is one setting for both. Switching it on gives B "
        "the settings of A.",
    }


def _drive(state: PageState, side: str) -> Control:
    return {
        "kind": "choice",
        "label": "Hub motion",
        "value": on_side(state, side).drive.kind,
        "options": [{"value": k, "label": capital(HUB_MOTIONS[k])} for k in catalogue().drives],
        "help": "Longitudinal: to and fro along the shaft. Torsional: turning about it. Combined: "
        "both at once. A new hub motion brings its own frequency and stroke at 100 % power.",
    }


def _sleeve(state: PageState, side: str) -> Control:
    sleeve = on_side(state, side).sleeve
    known = catalogue().sleeves
    options = [{"value": s.id, "label": s.title} for s in known.values()]
    options.append({"value": "none", "label": "No sleeve"})
    if sleeve is not None and sleeve.id not in known:
        options.append({"value": sleeve.id, "label": sleeve.title})
    return {
        "kind": "select",
        "label": f"Sleeve on {side.upper()}",
        "value": sleeve.id if sleeve else "none",
        "options": options,
    }


def _coupling(state: PageState, side: str) -> Control | None:
    sleeve = on_side(state, side).sleeve
    if sleeve is None:
        return None
    return {
        "kind": "choice",
        "label": "Sleeve coupling",
        "value": COMPUTED if sleeve.mobility is None else SET,
        "options": [{"value": c, "label": capital(c)} for c in (COMPUTED, SET)],
        "help": "How far the sleeve follows the needle sideways. Computed: place by place, from "
        "the masses of needle, fluid, sleeve and what is outside. Set: one number all along. "
        "Where a load or the wound holds the sleeve it is 0 either way.",
    }


def _follow(state: PageState, side: str) -> Control:
    scenario = on_side(state, side)
    return {
        "kind": "switch",
        "label": "Iris, load and support follow the incision",
        "value": all(one.of(scenario) is None for one in followers(scenario)),
        "help": "On: the iris lies just inside the incision, and a load or the wound's hold acts "
        "at its middle, over its length. Off: each has a place of its own. Moving one of them "
        "switches this off.",
    }


def _lens(state: PageState, side: str) -> Control:
    lens, known = on_side(state, side).lens, lens_grades()
    options = [{"value": "none", "label": "Nothing"}]
    options += [{"value": g.id, "label": g.title} for g in known.values()]
    if lens is not None and lens.grade not in known:
        options.append({"value": lens.grade, "label": lens.grade})
    return {
        "kind": "select",
        "label": "Lens at the opening",
        "value": lens.grade if lens else "none",
        "options": options,
        "help": "Lens material as springs and dashpots at the opening: a rigid disc on an elastic "
        "half-space. It also loads the motion. Hardness is assumed; no measurement at these "
        "frequencies was found.",
    }


def _part(name: str, label: str, help: str) -> Special:
    """Return a switch for a part that may be absent."""
    return lambda state, side: {
        "kind": "switch",
        "label": label,
        "value": getattr(on_side(state, side), name) is not None,
        "help": help,
    }


SPECIAL: dict[str, Special] = {
    "needle": _needle,
    "together": _together,
    "drive": _drive,
    "sleeve": _sleeve,
    "sleeve.coupling": _coupling,
    "incision.follow": _follow,
    "lens": _lens,
    "support": _part(
        "support",
        "Wound holds the shaft",
        "A springy support on the shaft, as where the wound presses. Assumed.",
    ),
    "press": _part(
        "press",
        "Load on the sleeve",
        "A weight on the bench, or the edge of a wound: it presses the sleeve onto the shaft, "
        "where it rubs.",
    ),
}
EACH_SIDE = ("needle", "sleeve")
"""Special controls that both sides have, also while the rest is set for both at once."""

NEEDLES = Group("Needles", ("needle", "together"), apart=False)
DRIVE_MORE = (
    *("drive.frequency_khz", "drive.phase_deg"),
    *("drive.axial_stroke_um", "drive.twist_stroke_deg"),
)
DRIVE = Group("Drive", ("drive", "drive.power_percent", *DRIVE_MORE))
FIRST = (
    Group("Needles", ("needle",), apart=False),
    Group("Drive", ("drive", "drive.power_percent")),
)
"""What most want to set where two needles are compared; the rest of both groups is `LATER`."""
LATER = (
    Group("Frequency and stroke", DRIVE_MORE, open=False),
    Group("A and B apart", ("together",), open=False, apart=False),
)
POWER = (FIRST[0], Group("Drive", ("drive.power_percent",)))
"""`FIRST` where a page is about what the motion does."""
MOTION = (Group("Hub motion", ("drive",), open=False), *LATER)
"""`LATER` there."""
PULSES = Group("Pulses", ("duty.kind", "duty.on_time_ms", "duty.off_time_ms"))
SLEEVE = Group(
    "Sleeve",
    ("sleeve", "sleeve.exposed_mm", "sleeve.coupling", "sleeve.mobility"),
    open=False,
    apart=False,
)
"""Groups that several pages have."""
