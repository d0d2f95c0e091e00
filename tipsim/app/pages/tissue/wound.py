"""The incision: how the sleeve sits at once, how warm the lip gets a moment later."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from tipsim.app.framework.packet import encode
from tipsim.app.pages.tissue.rows import Cell, Row, figure, origin, row, rows
from tipsim.app.pages.tissue.state import TissueState
from tipsim.heat.dose import COLLAGEN, law
from tipsim.motion.sections import Floats
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.units import CELSIUS
from tipsim.solve import Result
from tipsim.tissue import wound as core
from tipsim.tissue.texts import notes

Data = dict[str, Any]
LEAST_STEP = 1e-6
"""Runs whose ends differ by less are of one length [s]."""
TIMES = 61
"""Times at which temperatures are sent, over the run."""
ZERO = float(CELSIUS.offset)
PX = 38
"""Scale of the drawn incision [px/mm]."""
FITS = {
    core.LOOSE: "Loose: the {0} is smaller than the opened incision, so fluid leaks past it.",
    core.CLOSE: "Close: the lips lie on the {0} and press little.",
    core.TIGHT: "Tight: the lips are stretched and press on the {0}.",
}
"""How a sleeve can sit, in words."""
SIGNS = {"green": "●", "amber": "▲", "red": "■"}
DOSE = ("cem43.break", "cem43.above", "cem43.below", "wound.dose")
ENERGIES = tuple(f"{id}.energy" for id in COLLAGEN)
CORNEA = ("thermal.cornea_conductivity", "thermal.cornea_density", "thermal.cornea_heat")
WARMTH = {
    "wound.peak": CORNEA,
    "wound.dose": DOSE,
    "wound.changed_least": ENERGIES,
    "wound.changed_most": ENERGIES,
}
"""Outputs that need temperatures, with what they rest on besides the numbers of their ranges."""
LIMITS = {"limit.bench": "bench endpoint", "limit.collagen_to": "collagen shrinks"}
LEAST_DOSE = 1e-3


def fit(state: TissueState) -> Data:
    """Return what `wound.html` shows: all that needs no temperatures."""
    fits = [core.fit(s) for s in state.sides]
    return {
        "sides": [_drawn(s, f) for s, f in zip(state.sides, fits, strict=True)],
        "rows": [
            row("wound.misfit", (f.misfit for f in fits), "eye.wound_width"),
            row("wound.pressure", (f.pressure for f in fits)),
            row("wound.pinch", (f.pinch for f in fits), "wound.silicone_poisson"),
            row("flow.leak", (r.flow.flows.leak for r in state.results), "flow.leak"),
        ],
        "signs": notes()["sign"],
        "first": notes()["first"],
    }


def _drawn(s: Scenario, found: core.Fit) -> Data:
    """Return the sleeve in its incision: sizes in px, and words.

    Lips as long as the incision is wide: what the sleeve needs of them makes them close up beside
    it. The rise of an open lip is that of a lens shape of the same edge.
    """
    radius, width = (v * 1e3 * PX for v in (core.outer_radius(s), s.eye.wound_width))
    loose = found.words == core.LOOSE
    reach = width / 2.1 if loose else max(radius + 3, width / 2)
    rise = radius + 0.7 * ((width / 2) ** 2 - reach**2) ** 0.5 if loose else radius
    return {
        "title": s.needle.title,
        "fit": found.words,
        "words": FITS[found.words].format("sleeve" if s.sleeve else "bare needle"),
        "radius": radius,
        "bore": (s.sleeve or s.needle).inner_radius * 1e3 * PX,
        "width": width,
        "reach": reach,
        "rise": rise,
        "across_mm": f"{2e3 * core.outer_radius(s):.2f}",
        "width_mm": f"{s.eye.wound_width * 1e3:.1f}",
    }


def warmth(state: TissueState) -> Data:
    """Return what `warmth.html` shows: risk, numbers, and where the laws apply."""
    laws = [law(id) for id in COLLAGEN]
    parts = ("factor", "entropy", "energy", "from", "to")
    ids = [f"{one.id}.{part}" for one in laws for part in parts]
    known = {p.id for one in laws for p in one.parts}
    return {
        "risks": [_risk(r) for r in state.results],
        "rows": [_until_it_ends(one, state.results) for one in rows(state.results, WARMTH)],
        "laws": [
            f"{one.title} {one.lowest - ZERO:.1f} to {one.highest - ZERO:.1f} °C" for one in laws
        ],
        "origins": [
            *map(origin, ("limit.bench", "limit.collagen_from", "limit.collagen_to", *DOSE)),
            *(origin(id) for id in ids if id in known),
        ],
    }


def _until_it_ends(one: Row, results: tuple[Result, ...]) -> Row:
    """Return a row; a run that ended before the other says so in place of its peak."""
    if one.id != "wound-peak":
        return one
    ends = [float(r.heat.time[-1]) for r in results]
    cells = tuple(
        cell if end > max(ends) - LEAST_STEP else Cell(f"run ended at {end:.1f} s")
        for cell, end in zip(one.cells, ends, strict=True)
    )
    return replace(one, cells=cells)


def _risk(r: Result) -> Data:
    found, boiled = r.wound, r.heat.boiled
    colour, words = found.risk.colour, found.risk.words
    if boiled is not None:  # Where water boils, no lower colour would be honest.
        colour = "red"
        words = f"Water boils after {boiled:.1f} s; the model is rough from then on. {words}"
    base = (
        "The heat model counts this incision."
        if found.counted
        else "The surroundings are set without an incision, so the temperatures take none into "
        "account. Choose “In the eye” at “Around the needle” to count it."
    )
    if found.lip.validity:
        base = f"{base} Laws for collagen: {found.lip.validity}"
    return {"colour": colour, "sign": SIGNS[colour], "words": words, "base": base}


def lip(state: TissueState) -> bytes:
    """Return the temperatures and injuries of both lips as a packet; see `lip_data`."""
    return encode(lip_data(state))


def lip_data(state: TissueState) -> Data:
    """Return four charts, and how the one over depth moves: °C, s, mm."""
    found = [r.wound.lip for r in state.results]
    times = np.linspace(0.0, max(s.duration for s in state.sides), TIMES)
    depths = [one.depth * 1e3 for one in found]
    fields = [
        np.stack([np.interp(times, one.time, c) for c in one.course.T], axis=1) - ZERO
        for one in found
    ]
    hottest = max(fields, key=lambda field: field[:, 0].max())[:, 0].argmax()
    warm = [v for one in found for v in (one.sleeve, one.peak)]
    low, high = (f(v.min() if f is min else v.max() for v in warm) - ZERO for f in (min, max))
    celsius = [5 * np.floor(low / 5), max(50.0, 5 * np.ceil((high + 2) / 5))]
    limits = [
        {"y": number(id).value, "label": f"{number(id).value:g} °C {label}", "colour": colour}
        for (id, label), colour in zip(LIMITS.items(), ("warn", "bad"), strict=True)
    ]
    deep = [0.0, max(float(d[-1]) for d in depths)]
    lines: dict[str, Data] = {name: {} for name in ("lip", "depth", "dose", "collagen")}
    words = []
    for key, one, depth in zip("ab", found, depths, strict=True):
        here = one.time <= times[-1] + 1e-9
        time = one.time[here]
        lines["lip"] |= {
            key: {"x": time, "y": one.face[here] - ZERO},
            f"{key}_sleeve": {"x": time, "y": one.sleeve[here] - ZERO},
        }
        lines["depth"][f"{key}_peak"] = {"x": depth, "y": one.peak - ZERO}
        lines["dose"][key] = {"x": depth, "y": np.maximum(one.dose, LEAST_DOSE)}
        least, most = 100 * one.changed_low, 100 * one.changed_high
        lines["collagen"] |= {
            key: {"x": depth, "y": most},
            f"{key}_laws": {"x": depth, "low": least, "high": most},
        }
        words.append(
            f"{key.upper()}, at the face: up to {one.peak[0] - ZERO:.1f} °C, "
            f"{figure(float(one.dose[0]))} equivalent minutes, {least[0]:.1f} to {most[0]:.1f} % "
            "of the collagen changed."
        )
    corneas = number("wound.dose").value
    top = 2 * max(100.0, *(float(one.dose.max()) for one in found))
    shades = [{"from": a, "to": b, "label": "laws unsure"} for a, b in unsure(state.results)]
    more: dict[str, Data] = {
        "lip": {"levels": limits, "y": celsius, "x": [0.0, float(times[-1])]},
        "depth": {"levels": limits, "y": celsius, "x": deep},
        "dose": {
            "levels": [{"y": corneas, "label": f"corneas: from {corneas:g}", "colour": "warn"}],
            "x": deep,
            "y": [LEAST_DOSE, top],
        },
        "collagen": {"shades": shades, "x": deep, "y": [0.0, 100.0]},
    }
    said = " ".join(words)
    return {
        "charts": {f"tissue.{k}": {"lines": lines[k], "words": said, **more[k]} for k in lines},
        "moving": {
            "chart": "tissue.depth",
            "over": "tissue.lip",
            "times": times,
            "begin": float(times[hottest]),
            "lines": {k: {"x": d, "rows": f} for k, d, f in zip("ab", depths, fields, strict=True)},
        },
    }


def unsure(results: tuple[Result, ...]) -> list[tuple[float, float]]:
    """Return stretches of depth [mm] where a law does not apply or is extrapolated, on any side."""
    laws = [law(id) for id in COLLAGEN]
    low, high = max(one.lowest for one in laws), min(one.highest for one in laws)
    spans: list[tuple[float, float]] = []
    for r in results:
        depth: Floats = r.wound.lip.depth * 1e3
        odd = (r.wound.lip.peak < low) | (r.wound.lip.peak > high)
        spans += [
            (float(depth[i]), float(depth[i + 1]))
            for i in range(len(depth) - 1)
            if odd[i] or odd[i + 1]
        ]
    out: list[tuple[float, float]] = []
    for start, end in sorted(spans):
        if out and start <= out[-1][1] + 1e-9:
            out[-1] = (out[-1][0], max(end, out[-1][1]))
        else:
            out.append((start, end))
    return out
