"""Words and numbers beside the scene."""

from __future__ import annotations

from typing import Any

from tipsim.app.framework.belief import bubbles, outside, uncompared
from tipsim.app.framework.numbers import rows, sources
from tipsim.app.pages.heat.lost import lost_lines
from tipsim.app.pages.heat.state import HeatState
from tipsim.app.pages.heat.words import compared, side_lines
from tipsim.solve import Result

SECTIONS = {
    "Highest temperature": ("heat.peak_sleeve", "heat.peak_metal", "heat.peak_wound"),
    "In the end, if nothing changes": ("heat.steady_sleeve", "heat.steady_wound"),
    "Time until": ("heat.to_45", "heat.to_60", "heat.boiled", "heat.chamber_flat"),
    "Flow and energy": ("flow.aspiration", "flow.leak", "heat.warming", "heat.imbalance"),
}
"""Outputs in the table, by section."""


def content(state: HeatState) -> dict[str, Any]:
    """Return words and numbers of both; see `tipsim.app.framework.readout.Readout`."""
    a, b = state.results
    words = [
        {
            "side": key,
            "title": f"{r.scenario.needle.title}, {r.scenario.drive.title}",
            "lines": lines,
        }
        for key, r, lines in (("a", a, _lines(a)), ("b", b, _lines(b)))
    ]
    over = uncompared(a, b)
    words.append({"side": "", "title": "Compared", "lines": [over] if over else compared(a, b)})
    lost = [] if over else lost_lines(a.heat, b.heat)
    if lost:
        words.append({"side": "", "title": "Without flow", "lines": lost})
    sections = [{"title": title, "rows": rows(each, a, b)} for title, each in SECTIONS.items()]
    return {"words": words, "sections": sections}


def _lines(r: Result) -> list[str]:
    over = outside(r)
    return [f"{over} So its heat is not known."] if over else side_lines(r)


def warnings(state: HeatState) -> list[str]:
    """Return what not to believe of the heat: a motion out of range, and a film with bubbles."""
    out = []
    for key, result in zip("AB", state.results, strict=True):
        over = outside(result, f"{key}'s motion")
        out += [f"{over} So its heat is not to be believed either."] if over else []
        out += bubbles(result, key)
    return out


def origins(state: HeatState) -> list[dict[str, str]]:
    """Return where the numbers come from."""
    return sources(*state.sides)
