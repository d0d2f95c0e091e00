"""The sheet for the wet lab: what is set and predicted, what to watch, room to write."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tipsim.app.framework.belief import beyond_belief
from tipsim.app.framework.bench_state import BenchState
from tipsim.app.pages.lessons.drill import begins, both, degrees, delay, is_fault, normal
from tipsim.quantities import quantity
from tipsim.saved.card import card, compared
from tipsim.setup.inputs import Input, inputs
from tipsim.setup.scenario import Scenario
from tipsim.solve import Result
from tipsim.store import result

Data = dict[str, Any]
Row = tuple[str, str, str]
BEFORE = (
    "Needle inspected, tightened with its torque tool, sleeve on: ports free, tip exposed as set.",
    "Lines primed, no bubble. Test chamber: fills, holds, and refills after a vacuum test.",
    "Fluid runs from both sleeve ports before the needle goes in.",
    "One person watches the drops and the chamber, and says “no flow” aloud.",
    "Everybody knows: first the foot comes off. Then one looks for the cause.",
)
"""What is checked before: common practice, no source."""
STOP = (
    "no drops fall in the drip chamber while the pedal is in position 1, 2 or 3",
    "the chamber becomes shallow, or a milky cloud stays at the tip",
    "a fragment stalls at the tip and ultrasound has been on without seen flow",
    "a probe at the sleeve or incision reads 41 °C (amber), and in any case at 45 °C (red)",
    "the needle whistles, or the sleeve is pinched or twisted",
    "anybody says stop",
)
"""Limits at which the foot comes off: common practice, but for the temperatures."""
WATCH = (
    "At the incision: does it gape, or is the sleeve pinched?",
    "In the chamber: does it keep its depth, also at the occlusion break?",
    "Does fluid flow all the time while ultrasound is on?",
)
"""What to look for in a wet lab: common practice, no source."""


PLANNED = "1 in the model; in the wet lab: ____"
"""How often: the sheet leaves room for the runs that are made."""
SET = (
    "sleeve.exposed_mm", "eye.wound_width_mm", "drive.frequency_khz", "drive.power_percent",
    "duty.kind", "duty.on_time_ms", "duty.off_time_ms", "fluid.temperature_c",
    "flow.bottle_height_cm", "flow.aspiration_ml_min", "flow.vacuum_limit_mmhg",
    "flow.occlusion_percent", "flow.leak_ml_min", "press.force_g", "outside.kind", "duration_s",
)  # fmt: skip
"""Inputs on the sheet, besides the parts."""
UNSET = "–"


def setting_rows(a: Scenario, b: Scenario) -> list[Row]:
    """Return what to set on each bench, as text.

    >>> rows = setting_rows(BenchState.first().a, BenchState.first().b)
    >>> rows[0]
    ('Needle', 'Single-bend 20°, medium', 'Counter-bent, medium')
    """
    known = inputs(Scenario)
    rows = [
        ("Needle", a.needle.title, b.needle.title),
        ("Sleeve", _title(a.sleeve), _title(b.sleeve)),
        ("Hub motion", a.drive.title, b.drive.title),
    ]
    others = [(known[p].label, _text(known[p], a), _text(known[p], b)) for p in SET]
    return rows + [row for row in others if row[1:] != (UNSET, UNSET)]


def _title(part: Any) -> str:
    return "none" if part is None else str(part.title)


def _text(one: Input, s: Scenario) -> str:
    value = one.of(s)
    if value is None or (s.duty.kind == "continuous" and one.path.endswith("_time_ms")):
        return UNSET
    return one.unit.show(value, 3) if one.kind == "quantity" else str(value)


PREDICTED = (
    "motion.end_speed", "motion.shaft_stroke", "motion.character", "motion.mean_power",
    "wound.peak", "wound.fit", "flow.chamber", "flow.lowest_chamber", "flow.irrigation",
)  # fmt: skip
"""Outputs on the sheet, besides stroke, temperature and time, which carry bands."""


def predicted_rows(a: Result, b: Result) -> list[Row]:
    """Return what the model predicts for each needle in normal use, as text.

    >>> state = BenchState.first()
    >>> predicted_rows(result(state.a), result(state.b))[0][0]
    'Tip stroke (range: 1 % of length either way)'
    """
    words = quantity("motion.end_stroke").label
    rows: list[Row] = [
        (f"{words} (range: 1 % of length either way)", _stroke(a), _stroke(b)),
        ("Sleeve, warmest (range: assumed numbers)", _warmest(a), _warmest(b)),
    ]
    return rows + [(quantity(n).label, _shown(a, n), _shown(b, n)) for n in PREDICTED]


def _warmest(r: Result) -> str:
    return degrees(r.scenario, r.heat)


def _stroke(r: Result) -> str:
    value = r.motion.end_stroke * 1e6
    effect = next(e for e in r.sensitivity.effects if e.what == "length")
    ends = sorted(value * (1 + share) for share in effect.end if share is not None)
    band = f" ({ends[0]:.0f} to {ends[-1]:.0f})" if ends else ""
    return f"{value:.0f} µm peak to peak{band}"


def _shown(r: Result, name: str) -> str:
    if name == "wound.peak" and not r.wound.counted:
        return "no incision around it here"
    return r.text(name)


def fault_rows(a: Result, b: Result, usual: tuple[Result, Result]) -> list[tuple[str, ...]]:
    """Return what the fault changes, with normal use before it: A's two, then B's."""
    shown = (usual[0], a, usual[1], b)
    return [
        ("Sleeve, warmest", *(degrees(r.scenario, r.heat) for r in shown)),
        ("45 °C on the sleeve, after the fault", *(delay(r.scenario, r.heat) for r in shown)),
    ]


_LIMIT = 318.15
"""45 °C: where published bench tests of sleeves stop [K]."""


def warnings(a: Result, b: Result) -> list[str]:
    """Return what the model itself warns of on these benches."""
    out = beyond_belief(a, b)
    for key, r in (("A", a), ("B", b)):
        late = r.heat.seconds_to(_LIMIT)
        if late is not None:
            after = max(late - begins(r.scenario), 0.0)
            since = " after the fault" if is_fault(r.scenario) else ""
            out.append(f"{key}: the model's sleeve reaches 45 °C {after:.2g} s{since}.")
        if r.heat.boiled is not None:
            out.append(f"{key}: the fluid boils after {r.text('heat.boiled')}; then it is rough.")
        if r.flow.collapses:
            out.append(f"{key}: less fluid comes in than is aspirated; the chamber would collapse.")
        if r.sensitivity.delicate and r.motion.end_stroke > 0:
            out.append(
                f"{key} is sensitive: 1 % of frequency, stiffness or length changes its stroke "
                "much. Expect a real needle to differ."
            )
    return out


def lab_sheet(items: Mapping[str, str]) -> Data:
    """Return what the sheet of a link holds; how the benches are looked at is left out.

    Raises
    ------
    BadInput
        For a link that cannot be used.
    """
    state = BenchState.from_items(items)
    a, b = result(state.a), result(state.b)
    fault = is_fault(state.a) or is_fault(state.b)
    usual = (result(normal(state.a)), result(normal(state.b))) if fault else (a, b)
    return {
        "title": "Fault drill, not normal use" if fault else "Sheet for the wet lab",
        "fault": fault,
        "happens": list(both(state.a, state.b)),
        "settings": setting_rows(*(normal(s) for s in (state.a, state.b))),
        "predicted": predicted_rows(*usual),
        "faults": fault_rows(a, b, usual) if fault else (),
        "warnings": warnings(a, b),
        "before": BEFORE,
        "stop": STOP,
        "watch": WATCH,
        "methods": compared(*(card(s, runs=PLANNED) for s in (state.a, state.b))).paragraph,
        "link": f"./compare?{state.to_query()}",
    }
