"""Cutting: what the opening does, power, hardness, and studies that differ."""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby
from typing import Any

import numpy as np

from tipsim import store
from tipsim.app.framework.belief import beyond_belief
from tipsim.app.framework.packet import encode
from tipsim.app.pages.tissue.bars import bars
from tipsim.app.pages.tissue.rows import LENS, figure, origin, row, rows
from tipsim.app.pages.tissue.state import TissueState
from tipsim.quantities import quantity
from tipsim.setup.catalogue import catalogue, lens_grades
from tipsim.setup.catalogue import drive as drive_of
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.tissue.equal import rate_ratio
from tipsim.tissue.mouth import sweep
from tipsim.tissue.nucleus import (
    EXPONENT,
    efficiency_range,
    mouth,
    rate_at,
    softness_band,
    unexplained,
)
from tipsim.tissue.texts import studies

Data = dict[str, Any]
POWERS = np.linspace(0.0, 1.0, 21)
ROWS: dict[str, tuple[str, ...]] = {
    "cutting.stroke": ("motion.loss_factor",),
    "cutting.speed": ("published.top_speed",),
    "cutting.swept_normal": (),
    "cutting.swept_sideways": ("cutting.sideways_weight",),
    "cutting.push": (),
    "cutting.hold": ("flow.vacuum_limit",),
    "cutting.contact": (),
    "cutting.rate": ("cutting.reference_diameter",),
}
"""Outputs that are shown, with what they rest on besides the numbers of their ranges."""
COURSE = ("cutting.jump", "cutting.jump_low", "cutting.knee", "cutting.share_at_knee")
DRIVES = ("drive.full_end_stroke_axial", "drive.full_end_stroke_torsional", "published.top_speed")
MM2 = 1e6


def content(state: TissueState) -> Data:
    """Return what `cutting.html` shows: rows of both sides, and hardness."""
    results = state.results
    ratio = rate_ratio(*(mouth(r.scenario, r.motion) for r in results))
    over = replace(
        quantity("cutting.rate"),
        name="cutting.over",
        label="Cutting rate, B over A",
        words="At the powers that are shown. The range moves what both share at once, so it is "
        "narrower than the two ranges above.",
    )
    own = state.bench.a.tissue.cutting
    soft = {g.title: softness_band(g, own) for g in lens_grades().values()}
    hardness = replace(over, name="hardness", label="Cutting, over that of medium lens")
    return {
        "warnings": beyond_belief(*results),
        "rows": [*rows(results, ROWS), row(over, ("", ratio))],
        "hardness": bars(hardness, soft, "in factors", decades=_decades(soft)),
        "hardness_origins": [origin(id) for id in ("cutting.explained", EXPONENT, LENS)],
        "course_origins": [origin(id) for id in COURSE],
        "explained": f"{number('cutting.explained').si * 100:.0f}",
        "unexplained": f"{unexplained() * 100:.0f}",
    }


def _decades(bands: Data) -> int:
    low, high = min(b.low for b in bands.values()), max(b.high for b in bands.values())
    return int(np.ceil(np.log10(high)) - np.floor(np.log10(low)))


def curves(state: TissueState) -> bytes:
    """Return cutting over power as a packet; see `curves_data`."""
    return encode(curves_data(state))


def curves_data(state: TissueState) -> Data:
    """Return two charts: both sides as set, and the published course of a longitudinal drive."""
    percent = POWERS * 100
    lines: Data = {}
    dots, words = [], []
    for key, r in zip("ab", state.results, strict=True):
        m, now = mouth(r.scenario, r.motion), r.cutting.rate
        power = r.scenario.drive.power * 100
        rates = np.array([float(rate_at(m, float(p), {})[0]) for p in POWERS])
        # Wide enough to be seen: the range at the power that is set.
        span = np.clip([power - 1.5, power + 1.5], 0, 100)
        low, high = (np.full(2, v) for v in now.inner)
        lines[key] = {"x": percent, "y": rates}
        lines[f"{key}_band"] = {"x": span, "low": low, "high": high}
        dots.append({"x": power, "y": now.usual, "side": key})
        words.append(
            f"{key.upper()}, {r.scenario.drive.title}, at {power:.0f} %: {figure(now.usual)}."
        )
    own = _own(state)
    knee, low, gain = own.knee * 100, own.jump_low * 100, f"{own.jump:g}"
    least, usual, most = (100 * e for e in efficiency_range(POWERS, own))
    course = {
        "lines": {
            "usual": {"x": percent, "y": usual},
            "range": {"x": percent, "low": least, "high": most},
        },
        "dots": [
            {
                "x": knee,
                "y": float(np.interp(knee, percent, usual)),
                "label": f"{gain} times that at {low:g} %",
            }
        ],
        "x": [0.0, 100.0],
        "words": "Published: a gain of five times from 10 to 20 % power, then a straight line. "
        "Assumed: the value at 20 %, and the course below 10 %. The shaded range goes over both.",
    }
    rate = {"lines": lines, "dots": dots, "x": [0.0, 100.0], "words": " ".join(words)}
    return {"charts": {"tissue.rate": rate, "tissue.efficiency": course}}


def _own(state: TissueState) -> Any:
    return state.bench.a.tissue.cutting


def swept(state: TissueState) -> Data:
    """Return what `drives.html` shows: area swept by drive, and studies that differ."""
    rows = [
        [f"{drive_of(kind).title}, {drive_of(kind).frequency / 1e3:g} kHz"]
        + [text for s in state.sides for text in _swept(kind, s)]
        for kind in catalogue().drives
    ]
    return {
        "rows": rows,
        "origins": [origin(id) for id in DRIVES],
        "questions": [(q, list(group)) for q, group in groupby(studies(), lambda s: s.question)],
    }


def _swept(kind: str, scenario: Scenario) -> tuple[str, str]:
    """Return area swept in a cycle, along the normal and sideways, and speed, at full power."""
    driven = replace(scenario, drive=replace(drive_of(kind), power=1.0))
    motion = store.result(driven).motion
    found = sweep(driven, motion)
    fast = " ✗" if motion.end_speed > number("published.top_speed").si else ""
    area = f"{figure(found.normal * MM2)} + {figure(found.sideways * MM2)}"
    return area, f"{motion.end_speed:.1f}{fast}"
