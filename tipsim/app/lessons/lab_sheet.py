"""The sheet for the wet lab: what is set and foretold, what to watch, room to write."""

from __future__ import annotations

from typing import Any

from tipsim.app.bench_state import BenchState
from tipsim.app.framework.template import shell_variables, templates
from tipsim.app.lessons.handout import PaperHandler
from tipsim.app.numbers import beyond_belief
from tipsim.quantities import quantity
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import CELSIUS, CM, GRAM, MM, MMHG
from tipsim.solve import Result
from tipsim.store import result as solve

Data = dict[str, Any]
Row = tuple[str, str, str]
WATCH = (
    "Before the drive is on: does fluid run from both ports, and are the lines free of bubbles?",
    "With the drive on for a moment in water: does it start at once, and sound as always?",
    "At the wound: does it gape, or is the sleeve pinched? Does its edge turn pale or milky?",
    "In the chamber: does it keep its depth, also when the mouth comes free?",
    "Does fluid still run while the mouth is blocked? If not, the drive must not stay on.",
)
"""What one looks for in a wet lab: common practice, no source."""


def setting_rows(a: Scenario, b: Scenario) -> list[Row]:
    """Return what to set on each bench, as text.

    >>> rows = setting_rows(BenchState.first().a, BenchState.first().b)
    >>> rows[0]
    ('Needle', 'Single-bend 20°, 0.9 mm', 'Counter-bent, 0.9 mm')
    """
    one, two = _setting(a), _setting(b)
    return [(name, one[name], two[name]) for name in one]


def _setting(s: Scenario) -> dict[str, str]:
    flow, duty = s.flow, s.duty
    pulses = "continuous"
    if duty.kind != "continuous":
        pulses = f"{duty.kind}, {duty.on_time * 1e3:g} ms on, {duty.off_time * 1e3:g} ms off"
    sleeve = "none" if s.sleeve is None else s.sleeve.title
    exposed = "–" if s.sleeve is None else MM.show(s.sleeve.exposed)
    return {
        "Needle": s.needle.title,
        "Sleeve": sleeve,
        "Needle out of the sleeve": exposed,
        "Wound, width": MM.show(s.eye.wound_width),
        "Drive": f"{s.drive.kind}, {s.drive.frequency / 1e3:g} kHz",
        "Power": f"{s.drive.power * 100:g} %",
        "Pulses": pulses,
        "Irrigation temperature": CELSIUS.show(s.fluid.temperature),
        "Bottle above the eye": CM.show(flow.bottle_height),
        "Aspiration flow": f"{flow.aspiration * 60e6:.3g} mL/min",
        "Vacuum limit": MMHG.show(flow.vacuum_limit),
        "Mouth blocked": f"{flow.occlusion * 100:g} %",
        "Leak at the wound": f"{flow.leak * 60e6:.3g} mL/min",
        "Load on the sleeve": "none" if s.press is None else GRAM.show(s.press.force, 3),
        "Around it": s.outside.kind,
        "Bench time": f"{s.duration:g} s",
    }


PREDICTED = (
    "motion.end_stroke", "motion.end_speed", "motion.shaft_stroke", "motion.character",
    "motion.still_points", "motion.mean_power", "heat.peak_sleeve", "heat.peak_metal",
    "heat.to_45", "wound.peak", "wound.fit", "flow.chamber", "flow.collapses", "flow.irrigation",
)  # fmt: skip
"""Outputs on the sheet."""


def predicted_rows(a: Result, b: Result) -> list[Row]:
    """Return what the model predicts for each needle, as text.

    >>> state = BenchState.first()
    >>> predicted_rows(solve(state.a), solve(state.b))[0]
    ('Tip stroke', '130 µm peak to peak', '193 µm peak to peak')
    """
    return [(quantity(name).label, _shown(a, name), _shown(b, name)) for name in PREDICTED]


def _shown(r: Result, name: str) -> str:
    if name == "wound.peak" and not r.wound.counted:
        return "no wound around it on this bench"
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
            out.append(f"{key}: water would boil; the model ends there.")
        if r.flow.collapses:
            out.append(f"{key}: the chamber gets less than is drawn and would fall flat.")
        if r.sensitivity.delicate and r.motion.end_stroke > 0:
            out.append(
                f"{key} is delicate: 1 % of frequency, stiffness or length changes its stroke "
                "much. Expect a real needle to differ."
            )
    return out


def lab_sheet_html(items: dict[str, str]) -> str:
    """Build the sheet of a link.

    Raises
    ------
    BadInput
        For a link that cannot be used.
    """
    state = BenchState.from_items(items)
    a, b = solve(state.a), solve(state.b)
    data = {
        "settings": setting_rows(state.a, state.b),
        "predicted": predicted_rows(a, b),
        "warnings": warnings(a, b),
        "watch": WATCH,
        "link": f"./?{state.to_query()}",
    }
    return templates().get_template("lab-sheet.html").render(shell_variables("lab-sheet") | data)


class LabSheetHandler(PaperHandler):
    """Hand out ``/lab-sheet`` with the query of a bench."""

    def page(self) -> str:
        """Build the sheet of the link's benches; how they are looked at is left out."""
        arguments = self.request.query_arguments
        return lab_sheet_html(
            {k: values[-1].decode("utf-8", "replace") for k, values in arguments.items()}
        )
