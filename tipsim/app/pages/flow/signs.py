"""What a sign can mean: faults one by one on the bench as it is set, with what to check first.

The words are common practice of the trade, without a source; the numbers are solved.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from tipsim.app.pages.flow import pumps
from tipsim.app.pages.flow.state import FlowState
from tipsim.app.pages.flow.words import MOMENTS, flow_text, key_moments, mmhg
from tipsim.flow.balance import Balance, balance, solve_circuit
from tipsim.flow.circuit import circuit
from tipsim.flow.surge import Surge
from tipsim.setup.flow import Flow
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import CM, ML_MIN

HEADS = ("Chamber", "Vacuum", "From the bottle")
_LOWER = CM.to_si(50)
_KINK = 0.35
_WIDE = ML_MIN.to_si(25)


@dataclass(frozen=True)
class Sign:
    """One fault.

    Attributes
    ----------
    id, title : str
    change : str
        What is wrong on the bench.
    looks, first : str
        What one may see or hear; what to look at first.
    numbers : tuple of str
        Chamber, vacuum, from the bottle: as text with units.
    """

    id: str
    title: str
    change: str
    looks: str
    first: str
    numbers: tuple[str, ...]


def signs(state: FlowState) -> list[Sign]:
    """Return faults on needle A's bench, each against the bench as it is set."""
    scenario, run = state.bench.a, state.runs[0]
    flow = replace(scenario.flow, occlusion=min(scenario.flow.occlusion, 0.9))
    lower = replace(flow, bottle_height=max(0.0, flow.bottle_height - _LOWER))
    leaky = replace(flow, leak=max(flow.leak, _WIDE))
    return [
        Sign(
            "low",
            "Bottle low or nearly empty",
            "surface 50 cm lower",
            "A shallow chamber, a deeper dip after each fragment; later, bubbles in the line.",
            "Bottle's level and height, air vent, clamp. Stop drawing until it is full again.",
            _steady(balance(scenario, lower)),
        ),
        Sign(
            "kink",
            "Irrigation line kinked or clamped",
            f"its bore narrowed to {_KINK * 100:.0f} %",
            "Good pressure while nothing is drawn, and a chamber that sinks as soon as it is.",
            "The line from bottle to handpiece, the clamp, a sleeve that is twisted or has its "
            "ports in the incision.",
            _steady(_kinked(scenario, flow)),
        ),
        Sign(
            "leak",
            "Leak at the incision",
            f"{_WIDE / ML_MIN.to_si(1):g} mL/min at 40 mmHg",
            "Fast drops in the bottle, a shallow chamber; fluid on the eye; a wet drape.",
            "Does the sleeve fit the incision? Incision stretched, needle tilted, side port open?",
            _steady(balance(scenario, leaky)),
        ),
        Sign(
            "blocked",
            "Opening or aspiration line blocked",
            "opening occluded",
            "The vacuum rises to its limit and the flow stops; a tone or a shown limit. Without "
            "flow nothing cools the needle.",
            "A held fragment is wanted. Without one: stop the drive, check opening and line, "
            "flush outside the eye.",
            _steady(balance(scenario, replace(flow, occlusion=1.0))),
        ),
        Sign(
            "surge",
            "Surge after an occlusion break",
            "as set here, lowest moment",
            "The chamber bounces; the iris flutters, what lies behind the lens comes forward.",
            "Less vacuum or flow, a higher bottle, stiffer or shorter tubing, less leak.",
            _lowest(run),
        ),
    ]


def content(state: FlowState) -> dict[str, Any]:
    """Return what `signs.html` shows: key moments of both runs, and the signs on bench A."""
    bare = state.bench.a.sleeve is None
    sides = zip("ab", (state.bench.a, state.bench.b), state.runs, strict=True)
    return {
        "pumps": [] if bare else pumps.tables(state.bench.a),
        "moments": MOMENTS,
        "runs": [
            {"side": side, "needle": s.needle.title, "rows": key_moments(run)}
            for side, s, run in sides
        ],
        "heads": HEADS,
        "rows": [] if bare else signs(state),
        "usual": () if bare else _steady(balance(state.bench.a)),
    }


def _kinked(scenario: Scenario, flow: Flow) -> Balance:
    return solve_circuit(circuit(scenario).kinked(_KINK), flow)


def _steady(b: Balance) -> tuple[str, ...]:
    if b.collapses:
        return ("collapses", "–", f"{flow_text(b.flows.irrigation)} mL/min")
    return (
        f"{mmhg(b.chamber_pressure)} mmHg",
        f"{mmhg(b.vacuum)} mmHg",
        f"{flow_text(b.flows.irrigation)} mL/min",
    )


def _lowest(run: Surge) -> tuple[str, ...]:
    if run.flat_at is not None:
        return ("collapses", "–", "–")
    after = run.time >= run.released
    i = int(run.chamber[after].argmin())
    return (
        f"{mmhg(run.lowest)} mmHg",
        f"{mmhg(run.vacuum[after][i])} mmHg",
        f"{flow_text(run.irrigation[after][i])} mL/min",
    )
