"""Ready-made examples: the usual bench with one thing changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tipsim.setup.flow import BY_VACUUM, NO_IRRIGATION
from tipsim.setup.units import CM, ML_MIN, MMHG, PERCENT, UL_MMHG


@dataclass(frozen=True)
class Ready:
    """One example.

    Attributes
    ----------
    id, title, words : str
        Name in messages; name on screen; what it is.
    flow, trial : tuple of (field, SI value)
        What is not as usual.
    flow_b : tuple of (field, SI value)
        What is not as on A, on B.
    bypass_mm : float
        Bypass hole [mm].
    """

    id: str
    title: str
    words: str
    flow: tuple[tuple[str, Any], ...] = ()
    trial: tuple[tuple[str, Any], ...] = ()
    flow_b: tuple[tuple[str, Any], ...] = ()
    bypass_mm: float = 0.0


READY = (
    Ready(
        "usual",
        "Occlusion and surge",
        "Usual height of the bottle, flow and vacuum limit. A fragment occludes the opening and "
        "breaks free.",
    ),
    Ready(
        "kink",
        "Irrigation line kinked",
        "Usual settings, but the irrigation stops while the pump is on: the line is kinked, or the "
        "bottle empty.",
        trial=(("event", NO_IRRIGATION),),
    ),
    Ready(
        "pumps",
        "Two kinds of pump",
        "The same needle on both: A's pump is flow-controlled (peristaltic), B's "
        "vacuum-controlled (venturi).",
        flow_b=(("pump", BY_VACUUM),),
    ),
    Ready(
        "low",
        "Bottle too low",
        "Bottle at 55 cm instead of 90: less pressure in the chamber, and less to fill it after an "
        "occlusion break.",
        flow=(("bottle_height", CM.to_si(55)),),
    ),
    Ready(
        "leaky",
        "Leaky incision",
        "An incision that leaks 20 mL/min at 40 mmHg instead of 3.",
        flow=(("leak", ML_MIN.to_si(20)),),
    ),
    Ready(
        "strong",
        "More vacuum",
        "Vacuum limit 450 mmHg instead of 300: a firmer hold, and a deeper dip.",
        flow=(("vacuum_limit", MMHG.to_si(450)),),
    ),
    Ready(
        "fast",
        "More flow",
        "40 mL/min instead of 25: fragments come sooner, the chamber has less pressure.",
        flow=(("aspiration", ML_MIN.to_si(40)),),
    ),
    Ready(
        "half",
        "Opening partly covered",
        "60 % of the opening is covered all the time: the pump keeps its flow by more vacuum.",
        flow=(("occlusion", PERCENT.to_si(60)),),
    ),
    Ready(
        "soft",
        "Compliant tubing",
        "An aspiration line of twice the compliance: it stores more, the surge lasts longer.",
        trial=(("line_compliance", UL_MMHG.to_si("2.8")),),
    ),
    Ready(
        "stiff",
        "Stiff tubing",
        "An aspiration line of a third of the compliance: the dip is small.",
        trial=(("line_compliance", UL_MMHG.to_si("0.5")),),
    ),
    Ready(
        "hole",
        "Bypass hole",
        "A hole of 0.2 mm in the shaft, inside the sleeve: some flow goes on during occlusion.",
        bypass_mm=0.2,
    ),
)
"""All examples, the usual bench first."""
