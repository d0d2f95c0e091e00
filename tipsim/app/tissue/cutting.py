"""Cutting in rows and curves: what the mouth does, power, hardness, and studies that differ."""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby
from typing import Any

import numpy as np

from tipsim.app.tissue.rows import (
    LENS,
    Row,
    banded,
    figure,
    movers,
    percent,
    plain,
    row,
    thousandths,
)
from tipsim.motion.run import run
from tipsim.setup.catalogue import catalogue, lens_grades
from tipsim.setup.catalogue import drive as drive_of
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.solve import Result
from tipsim.tissue.bands import Band, Range, ranges
from tipsim.tissue.equal import rate_ratio
from tipsim.tissue.mouth import sweep
from tipsim.tissue.nucleus import Mouth, efficiency, mouth, rate_at, softness, unexplained
from tipsim.tissue.texts import studies

Data = dict[str, Any]
POWERS = np.linspace(0.0, 1.0, 21)
MM2 = 1e6


def content(a: Result, b: Result) -> Data:
    """Return rows and curves of both sides."""
    mouths = [mouth(r.scenario, r.motion) for r in (a, b)]
    return {
        "words": _words(a, b),
        "rows": _rows(a, b, rate_ratio(*mouths)),
        "powers": [round(float(p) * 100) for p in POWERS],
        "sides": [_curve(k, r, m) for k, r, m in zip("ab", (a, b), mouths, strict=True)],
        "efficiency": _published(a.scenario),
        "grades": _grades(a.scenario),
    }


def _words(a: Result, b: Result) -> list[str]:
    out = []
    ceiling = number("published.top_speed")
    for key, r in (("A", a), ("B", b)):
        if r.cutting.too_fast:
            out.append(
                f"{key}'s mouth would move at {r.cutting.speed:.0f} m/s, beyond any published "
                f"speed ({ceiling.value:g} m/s): near a resonance the model is not to be believed, "
                "and its cutting neither."
            )
    return out


def _rows(a: Result, b: Result, over: Band) -> list[Row]:
    one, two = a.cutting, b.cutting
    both = (one, two)
    return [
        row(
            "stroke",
            "Stroke at the mouth, µm peak to peak",
            (plain(f"{c.stroke * 1e6:.0f}") for c in both),
            "Travel of the mouth's centre from the solved motion.",
            *("motion.loss_factor", "sleeve.mobility"),
        ),
        row(
            "speed",
            "Speed at the mouth, m/s, peak",
            (plain(f"{c.speed:.1f}{' (too fast)' if c.too_fast else ''}") for c in both),
            "π × frequency × stroke (peak to peak), held against the ceiling quoted for any "
            "needle.",
            "published.top_speed",
        ),
        row(
            "normal",
            "Swept along the mouth's normal, mm² a cycle",
            (plain(figure(c.swept_normal * MM2)) for c in both),
            "What the rim sweeps forwards in one cycle, from its orbit and the bevel.",
        ),
        row(
            "aside",
            "Swept sideways, mm² a cycle",
            (plain(figure(c.swept_sideways * MM2)) for c in both),
            "What the rim sweeps in the mouth's plane across its edge. A mouth that turns about "
            "its own axis sweeps nothing.",
            "cutting.sideways_weight",
        ),
        row(
            "push",
            "Push on the lens, mN",
            (banded(c.push, thousandths) for c in both),
            "Grows with the square of the speed along the mouth's normal.",
            *movers(one.push, two.push),
        ),
        row(
            "hold",
            "Hold by vacuum, mN",
            (banded(c.hold, thousandths) for c in both),
            "Share of the vacuum limit on the open area of the mouth.",
            *("flow.vacuum_limit", *movers(one.hold, two.hold)),
        ),
        row(
            "contact",
            "Time in contact at full power, %",
            (banded(c.contact, percent) for c in both),
            "Hold over hold and push: assumed.",
            *movers(one.contact, two.contact),
        ),
        row(
            "rate",
            "Cutting rate, 1 = straight, axial, full power",
            (banded(c.rate) for c in both),
            "Frequency × swept area × rim that touches × contact × softness × share of time on.",
            *("cutting.reference_diameter", *movers(one.rate, two.rate)),
        ),
        row(
            "over",
            "Cutting rate, B over A",
            (plain(""), banded(over)),
            "At the powers that are shown. The band moves what both share at once, so it is "
            "narrower than the two bands above.",
            *movers(over),
        ),
    ]


def _curve(key: str, r: Result, m: Mouth) -> Data:
    """Return a side's cutting over power."""
    rates = [float(rate_at(m, float(p), {})[0]) for p in POWERS]
    return {
        "key": key,
        "title": r.scenario.needle.title,
        "drive": r.scenario.drive.kind,
        "power": round(r.scenario.drive.power * 100, 1),
        "rates": [float(f"{v:.4g}") for v in rates],
        "rate": float(f"{r.cutting.rate.usual:.4g}"),
        "band": [float(f"{v:.4g}") for v in r.cutting.rate.inner],
    }


def _published(scenario: Scenario) -> Data:
    """Return the published course with power: line, band, and where it was measured."""
    own = scenario.tissue.cutting
    over = [r for r in ranges("cutting", own) if r.id in ("cutting.share_at_knee", "cutting.jump")]
    grid = np.meshgrid(*([r.low, r.usual, r.high] for r in over))
    share, jump = (g.ravel() for g in grid)
    if over[0].id == "cutting.jump":
        share, jump = jump, share
    knee_share, gain = np.asarray(own.share_at_knee), np.asarray(own.jump)
    line = [float(efficiency(p, knee_share, gain)) for p in map(np.asarray, POWERS)]
    spread = np.stack([efficiency(np.asarray(p), share, jump) for p in POWERS])
    low, knee = number("cutting.jump_low").si, number("cutting.knee").si
    points = [
        (p * 100, float(efficiency(np.asarray(p), knee_share, gain))) for p in (low, knee, 0.6, 1.0)
    ]
    return {
        "line": [round(v, 5) for v in line],
        "least": [round(float(v), 5) for v in spread.min(axis=1)],
        "most": [round(float(v), 5) for v in spread.max(axis=1)],
        "points": [[round(x, 2), round(y, 5)] for x, y in points],
        "jump": own.jump,
        "from": ["cutting.jump", "cutting.jump_low", "cutting.knee", "cutting.share_at_knee"],
    }


def _grades(scenario: Scenario) -> Data:
    """Return cutting by hardness over that of medium lens, with what grade and exponent leave."""
    own = scenario.tissue.cutting
    exponent: Range = next(r for r in ranges("cutting", own) if r.id == "cutting.hardness_exponent")
    out = []
    for g in lens_grades().values():
        moduli = (g.low, g.modulus, g.high)
        exponents = (exponent.low, exponent.usual, exponent.high)
        soft = [float(softness(m, e)) for m in moduli for e in exponents]
        usual = float(softness(g.modulus, exponent.usual))
        grade = [float(softness(m, exponent.usual)) for m in (g.low, g.high)]
        out.append(
            {
                "id": g.id,
                "title": g.title,
                "usual": float(f"{usual:.4g}"),
                "inner": sorted(float(f"{v:.4g}") for v in grade),
                "whole": [float(f"{min(soft):.4g}"), float(f"{max(soft):.4g}")],
            }
        )
    explained = number("cutting.explained")
    return {
        "rows": out,
        "words": f"Grade and age explain {explained.si * 100:.0f} % of the variance of hardness; "
        f"what they leave is a standard deviation of {unexplained() * 100:.0f} % of "
        "that of all lenses.",
        "from": ["cutting.explained", "cutting.hardness_exponent", LENS],
    }


def drives(a: Scenario, b: Scenario) -> list[Data]:
    """Return what each drive sweeps in a cycle on both needles, at full power."""
    return [
        {
            "kind": kind,
            "khz": drive_of(kind).frequency / 1e3,
            "sides": [_swept(kind, s) for s in (a, b)],
        }
        for kind in catalogue().drives
    ]


def _swept(kind: str, scenario: Scenario) -> Data:
    driven = replace(scenario, drive=replace(drive_of(kind), power=1.0))
    motion = run(driven)
    found = sweep(driven, motion)
    return {
        "normal": figure(found.normal * MM2),
        "aside": figure(found.sideways * MM2),
        "speed": f"{motion.end_speed:.1f}",
        "too_fast": motion.end_speed > number("published.top_speed").si,
    }


def disagreements() -> list[Data]:
    """Return studies on one question side by side, in the order of the file."""
    return [
        {"question": question, "studies": [vars(s) for s in group]}
        for question, group in groupby(studies(), key=lambda s: s.question)
    ]
