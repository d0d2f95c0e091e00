"""The sheet for the wet lab: what is set and predicted, what to watch, room to write."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tipsim.app.framework.bench_state import BenchState
from tipsim.app.framework.numbers import beyond_belief
from tipsim.quantities import quantity
from tipsim.setup.inputs import Input, inputs
from tipsim.setup.scenario import Scenario
from tipsim.solve import Result
from tipsim.store import result

Data = dict[str, Any]
Row = tuple[str, str, str]
WATCH = (
    "Before ultrasound: does fluid run from both sleeve ports, and are the lines free of bubbles?",
    "Ultrasound on for a moment in fluid: does it start at once, and sound as usual?",
    "At the incision: does it gape, or is the sleeve pinched? Does its edge turn pale or milky?",
    "In the chamber: does it keep its depth, also at the occlusion break?",
    "Does fluid still flow during occlusion? If not, ultrasound must not stay on.",
)
"""What to look for in a wet lab: common practice, no source."""


SET = (
    "sleeve.exposed_mm", "eye.wound_width_mm", "drive.frequency_khz", "drive.power_percent",
    "duty.kind", "duty.on_time_ms", "duty.off_time_ms", "fluid.temperature_c",
    "flow.bottle_height_cm", "flow.aspiration_ml_min", "flow.vacuum_limit_mmhg",
    "flow.occlusion_percent", "flow.leak_ml_min", "press.force_g", "outside.kind", "duration_s",
)  # fmt: skip
"""Inputs on the sheet, besides the parts."""


def setting_rows(a: Scenario, b: Scenario) -> list[Row]:
    """Return what to set on each bench, as text.

    >>> rows = setting_rows(BenchState.first().a, BenchState.first().b)
    >>> rows[0]
    ('Needle', 'Single-bend 20°, 0.9 mm', 'Counter-bent, 0.9 mm')
    """
    known = inputs(Scenario)
    rows = [
        ("Needle", a.needle.title, b.needle.title),
        ("Sleeve", _title(a.sleeve), _title(b.sleeve)),
        ("Hub motion", a.drive.title, b.drive.title),
    ]
    return rows + [(known[p].label, _text(known[p], a), _text(known[p], b)) for p in SET]


def _title(part: Any) -> str:
    return "none" if part is None else str(part.title)


def _text(one: Input, s: Scenario) -> str:
    value = one.of(s)
    if value is None or (s.duty.kind == "continuous" and one.path.endswith("_time_ms")):
        return "–"
    return one.unit.show(value, 3) if one.kind == "quantity" else str(value)


PREDICTED = (
    "motion.end_stroke", "motion.end_speed", "motion.shaft_stroke", "motion.character",
    "motion.still_points", "motion.mean_power", "heat.peak_sleeve", "heat.peak_metal",
    "heat.to_45", "wound.peak", "wound.fit", "flow.chamber", "flow.collapses", "flow.irrigation",
)  # fmt: skip
"""Outputs on the sheet."""


def predicted_rows(a: Result, b: Result) -> list[Row]:
    """Return what the model predicts for each needle, as text.

    >>> state = BenchState.first()
    >>> predicted_rows(result(state.a), result(state.b))[0]
    ('Tip stroke', '130 µm peak to peak', '193 µm peak to peak')
    """
    return [(quantity(name).label, _shown(a, name), _shown(b, name)) for name in PREDICTED]


def _shown(r: Result, name: str) -> str:
    if name == "wound.peak" and not r.wound.counted:
        return "no incision around it here"
    return r.text(name)


_LIMIT = 318.15
"""45 °C: where published bench tests of sleeves stop [K]."""


def warnings(a: Result, b: Result) -> list[str]:
    """Return what the model itself warns of on these benches."""
    out = beyond_belief(a, b)
    for key, r in (("A", a), ("B", b)):
        late = r.heat.seconds_to(_LIMIT)
        if late is not None:
            out.append(f"{key}: the model's sleeve reaches 45 °C after {late:.2g} s.")
        if r.heat.boiled is not None:
            out.append(f"{key}: the fluid would boil; the model ends there.")
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
    return {
        "settings": setting_rows(state.a, state.b),
        "predicted": predicted_rows(a, b),
        "warnings": warnings(a, b),
        "watch": WATCH,
        "link": f"./?{state.to_query()}",
    }
