"""The table of numbers beside the scene."""

from __future__ import annotations

from typing import Any

from tipsim.app.heat.energy import shares
from tipsim.app.heat.words import seconds
from tipsim.flow.balance import flows
from tipsim.heat.timeline import HeatRun
from tipsim.setup.sourced import number
from tipsim.setup.units import CELSIUS, ML_MIN

Row = dict[str, Any]


def rows(a: HeatRun, b: HeatRun) -> list[dict[str, Any]]:
    """Give the table of numbers: sections with rows, see `tipsim.app.numbers.readout`."""
    heats = [sum(s.watts for s in shares(r) if s.heats) for r in (a, b)]
    bench = number("limit.bench")
    return [
        {
            "title": "Highest, °C",
            "rows": [
                _row(
                    "sleeve",
                    "Sleeve, outside (bare: metal)",
                    [_c(r.peak_sleeve) for r in (a, b)],
                    "Highest temperature of the sleeve's outer half anywhere, over the bench's "
                    "time; of the metal where there is no sleeve. Computed.",
                ),
                _row(
                    "metal",
                    "Metal",
                    [_c(float(r.metal_peak.max())) for r in (a, b)],
                    "Highest temperature of the metal anywhere, over the bench's time. Computed.",
                ),
                _row(
                    "wound",
                    "Tissue at the sleeve",
                    [_c(r.peak_wound) for r in (a, b)],
                    "Highest temperature of the tissue layer next to the sleeve; only in a wound. "
                    f"Layer and place are assumed: {number('tissue.near').text} thick.",
                ),
            ],
        },
        {
            "title": "Seconds until",
            "rows": [
                _row(
                    "to45",
                    "45 °C outside",
                    [_s(r.seconds_to(CELSIUS.to_si(45))) for r in (a, b)],
                    f"When the sleeve's outside first reaches the {bench.label}. {bench.source}",
                ),
                _row(
                    "to60",
                    "60 °C outside",
                    [_s(r.seconds_to(CELSIUS.to_si(60))) for r in (a, b)],
                    "When it first reaches 60 °C, where collagen of the cornea shrinks: "
                    f"{number('limit.collagen_to').source}",
                ),
                _row(
                    "boils",
                    "water boils",
                    [_s(r.boiled) for r in (a, b)],
                    "When water in sleeve or bore first reaches 100 °C. Steam is not in the model, "
                    "so it ends there.",
                ),
            ],
        },
        {
            "title": "Flow and energy",
            "rows": [
                _row(
                    "mouth",
                    "Water into the mouth, mL/min",
                    [_flow(flows(r.scenario).mouth) for r in (a, b)],
                    "At the start: what bottle, lines, pump and the blocked share of the mouth "
                    "make of each other. Computed; see the page Flow.",
                ),
                _row(
                    "leak",
                    "Water out of the wound, mL/min",
                    [_flow(flows(r.scenario).leak) for r in (a, b)],
                    "At the start. The leak grows with the pressure in the chamber, so a blocked "
                    "mouth lets more water out here than is set for a usual pressure. Computed.",
                ),
                _row(
                    "heat",
                    "Heats needle and sleeve, W",
                    [f"{w:.3f}" for w in heats],
                    "Mean power that becomes heat in needle, sleeve and the water inside, at the "
                    "settings of the start. See “Where the energy goes”.",
                ),
                _row(
                    "balance",
                    "Energy not accounted for",
                    [_tiny(r.imbalance) for r in (a, b)],
                    "Energy that came in, less what went out and what is stored, over what is "
                    "stored: the error of the calculation itself, not of the model.",
                ),
            ],
        },
    ]


def _row(id: str, label: str, both: list[str], why: str) -> Row:
    a, b = both
    return {"id": id, "label": label, "a": a, "b": b, "why": why, "check": None}


def _flow(value: float) -> str:
    return f"{max(float(ML_MIN.from_si(value)), 0.0):.1f}"


def _c(kelvin: float | None) -> str:
    return "–" if kelvin is None else f"{kelvin - 273.15:.1f}"


def _s(value: float | None) -> str:
    return "–" if value is None else seconds(value).removesuffix(" s")


def _tiny(share: float) -> str:
    """Write a tiny share.

    >>> _tiny(3.2e-7), _tiny(0)
    ('3e-7', '0')
    """
    return f"{share:.0e}".replace("e-0", "e-") if share else "0"
