"""Pictures that stand still, below the stage: stroke along the shaft, directions, paths."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, ClassVar

import numpy as np
import param

from tipsim.app.framework.article import Article, written
from tipsim.app.framework.belief import KEYS, beyond_belief, outside
from tipsim.app.framework.chart import STYLE, Axis, Kind, Line, chart, needles, room
from tipsim.app.framework.component import script, styles
from tipsim.app.framework.packet import encode
from tipsim.app.framework.words import micro, way_words
from tipsim.motion.character import lengthwise_stroke, signed_stroke
from tipsim.motion.markers import AGAINST, WITH, Marker
from tipsim.motion.sleeve import mobility
from tipsim.motion.travel import path_axes
from tipsim.solve import Result

_HERE = Path(__file__).parent
Data = dict[str, Any]
PLACES = 400
"""Places along a sleeve at which its motion is drawn."""


def _parts(side: str) -> Kind:
    return chart(
        Kind(
            name=f"along.parts_{side}",
            title=f"What the motion of {side.upper()} is made of, along the shaft",
            x=Axis("Distance from the tip", "mm", reverse=True),
            y=Axis("Part of the stroke", "µm peak to peak", zero=True),
            lines=(
                Line("whole", "Whole stroke", "whole", "ink", width=2.4),
                Line("rigid", "As if rigid", "rigid", "good", dash="dashed"),
                Line("bending", "Bending", "bending", "a"),
                Line("twist", "Twist", "twist", "b", dash="dotted"),
                Line("stretch", "Stretch", "", "ink-soft", dash="dashdot", width=1.2),
            ),
            height=260,
            room=58,
        )
    )


def _along(name: str, label: str, unit: str = "µm peak to peak") -> Kind:
    return chart(
        Kind(
            name=f"along.{name}",
            title=f"{label} along the shaft",
            x=Axis("Distance from the tip", "mm", reverse=True),
            y=Axis(label, unit, zero=True),
            lines=needles(label[0].lower() + label[1:]),
            height=260,
        )
    )


ALONG = (
    _along("sideways", "Sideways stroke"),
    _along("signed", "Sideways stroke, below 0 out of step with the tip"),
    _along("lengthwise", "Stroke along the shaft"),
    _along("turning", "Surface travel from twist"),
    _along("rigid", "Stroke if the needle were rigid"),
    _along("power", "Power that passes toward the tip", "W"),
    _along("coupling", "Sleeve's sideways motion over the needle's", "0 held, 1 with the needle"),
)

PARTS = tuple(_parts(side) for side in "ab")


class Plots(Article):
    """Stroke along the shaft, direction of each marker and marker paths of each needle."""

    packet = param.Bytes(default=b"", doc="From `along_packet`.")

    _esm: ClassVar[str] = script(_HERE / "plots.js")
    _stylesheets: ClassVar[list[str]] = styles(
        STYLE, _HERE.parent / "article.css", _HERE / "plots.css"
    ) + room((*ALONG, *PARTS))


def along_packet(results: Sequence[Result]) -> bytes:
    """Return what each chart along the shaft draws, by its kind."""
    drawn = {kind.name: _drawn(kind.name.split(".")[1], results) for kind in ALONG}
    return encode(drawn | {kind.name: made_of(r) for kind, r in zip(PARTS, results, strict=False)})


def made_of(result: Result) -> Data:
    """Return the stroke along the shaft and its parts [µm]: what of each goes along with it."""
    if outside(result):
        return {"lines": {}, "words": outside(result)}
    m = result.motion
    x = (m.frame.s[-1] - m.frame.s) * 1e3
    whole = m.stroke * 1e6
    parts = {name: np.nan_to_num(share) * whole for name, share in m.parts.shares().items()}
    words = (
        "Each part as far as it goes along with the motion; together they give the whole stroke."
    )
    lines = {name: {"x": x, "y": y} for name, y in ({"whole": whole} | parts).items()}
    return {"lines": lines, "x": [0, result.scenario.needle.length * 1e3], "words": words}


def _drawn(what: str, results: Sequence[Result]) -> Data:
    """Return the curves, a dot at each marker, and a hollow one where a needle first bends."""
    lines, dots = {}, []
    for side, r in zip(KEYS.lower(), results, strict=False):
        x, y = coupling(r) if what == "coupling" else along(r, what)
        lines[side] = {"x": x, "y": y}
        if what == "coupling" or not len(x):
            continue
        bend = r.scenario.needle.length - r.scenario.needle.first_bend
        places: list[tuple[float, Data]] = [(m.distance, {}) for m in r.motion.markers]
        if bend > 1e-9:
            places.append((bend, {"hollow": True, "label": f"{side.upper()} bends"}))
        dots += [
            {"x": at * 1e3, "y": float(np.interp(-at * 1e3, -x, y)), "side": side, **more}
            for at, more in places
        ]
    longest = max(r.scenario.needle.length for r in results) * 1e3
    words = {} if what == "coupling" else {"words": " ".join(beyond_belief(*results))}
    return {"lines": lines, "dots": dots, "x": [0, longest], **words}


def coupling(result: Result) -> tuple[Any, Any]:
    """Return distances from the tip [mm], hub first, and how far the sleeve follows there."""
    scenario = result.scenario
    s = np.linspace(0.0, scenario.sleeve_end, PLACES, endpoint=False)
    s = s if scenario.sleeve is not None else s[:0]
    return (scenario.needle.length - s) * 1e3, mobility(scenario, s)


def along(result: Result, what: str) -> tuple[Any, Any]:
    """Return distances from the tip [mm], hub first, and a stroke there [µm]; none if withheld."""
    if outside(result):
        return np.zeros(0), np.zeros(0)
    m = result.motion
    s = m.frame.s
    if what == "turning":
        s = (s[1:] + s[:-1]) / 2
    if what == "power":
        flow = m.power_flow
        # Films and loads take their share at the nodes: a step there, a slope between.
        return (flow.s[-1] - np.repeat(flow.s, 2)) * 1e3, np.ravel([flow.before, flow.after], "F")
    values = {
        "rigid": lambda: m.parts.rigid_stroke,
        "sideways": lambda: m.sideways_stroke,
        "signed": lambda: signed_stroke(m.vibration),
        "lengthwise": lambda: lengthwise_stroke(m.vibration),
        "turning": lambda: m.surface_stroke,
    }[what]()
    return (m.frame.s[-1] - s) * 1e3, values * 1e6


# ---- the markers, as the server draws them ----

WIDE = 360
"""Width of both drawings, in their own units."""
BAR, GAP = 18, 8
MIDDLE, REACH = 166, 82
LEFT = 26
PLANES = (
    ("end", "From the tip", 1, 2, "in the bend plane ↔, across it ↕"),
    ("top", "Top view", 0, 2, "along the hub's axis ↔, across the bend plane ↕"),
    ("flat", "Side view", 0, 1, "along the hub's axis ↔, in the bend plane ↕"),
)
"""Planes that paths are seen in: name, label, component across and up, what both are."""
FIRST_PLANE = {"torsional": "end", "axial": "flat", "elliptical": "top"}


def markers(results: Sequence[Result]) -> Data:
    """Return what `markers.html` draws of the markers of each needle."""
    each = [() if outside(r) else r.motion.markers for r in results]
    keys = KEYS[: len(each)]
    row = GAP + BAR * len(each)
    count = max(1, *map(len, each))
    largest = max([1e-6, *(m.stroke for side in each for m in side)])
    cell = (WIDE - LEFT) / count
    tall = min(104.0, max(66.0, cell))
    scale = 0.43 * min(cell, tall) / (largest / 2)
    first = FIRST_PLANE.get(results[0].scenario.drive.kind, "end")
    planes = [
        {
            "name": name,
            "label": label,
            "words": words,
            "first": name == first,
            "cells": [
                {
                    "side": side,
                    "x": LEFT + i * cell,
                    "y": k * (tall + 20),
                    "text": f"{i + 1}: {micro(m.stroke)}",
                    **_ellipse(m, across, up, scale),
                }
                for k, side in enumerate(keys.lower())
                for i, m in enumerate(each[k])
            ],
        }
        for name, label, across, up, words in PLANES
    ]
    longer = max(each, key=len)
    return {
        "wide": WIDE,
        "row": row,
        "keys": keys,
        "middle": MIDDLE,
        "places": [f"{m.distance * 1e3:.1f} mm" for m in longer],
        "bars": [
            bar
            for k, side in enumerate(keys.lower())
            for bar in _bars(side, k, each[k], largest, row, side.upper() if len(keys) > 2 else "")
        ],
        "held": beyond_belief(*results),
        "heads": [
            *("Marker", "From the tip"),
            *(f"{key}, {what}" for key in keys for what in ("stroke", "direction")),
        ],
        "rows": [_cells(i, longer, each) for i in range(len(longer))],
        "words": " ".join(_spoken(side, ms) for side, ms in zip(keys, each, strict=True)),
        "planes": planes,
        "cell": cell,
        "tall": tall,
    }


def _bars(
    side: str, k: int, marks: tuple[Marker, ...], largest: float, row: int, key: str
) -> Iterator[Data]:
    """Return bars to the right for markers in step with the tip, to the left out of step."""
    for i, m in enumerate(marks):
        long = max(1.5, m.stroke / largest * REACH)
        x = {WITH: MIDDLE, AGAINST: MIDDLE - long}.get(m.direction, MIDDLE - long / 2)
        out, plain = m.direction == AGAINST, m.direction in (WITH, AGAINST)
        yield {
            "side": side,
            "x": x,
            "y": 30 + i * row + k * BAR,
            "long": long,
            "across": not plain,
            "out": out,
            "at": x - 5 if out else x + long + 5,
            "text": f"{key} {micro(m.stroke)} µm".lstrip()
            + ("" if plain else f" {way_words(m.direction)}"),
        }


def _ellipse(m: Marker, across: int, up: int, scale: float) -> Data:
    long, short, turn = path_axes(m.amplitude[across], m.amplitude[up])
    return {"rx": scale * long, "ry": max(0.01, scale * short), "turn": -np.degrees(turn)}


def _cells(i: int, longer: tuple[Marker, ...], each: list[tuple[Marker, ...]]) -> list[str]:
    row = [f"{i + 1}", f"{longer[i].distance * 1e3:.1f} mm"]
    for marks in each:
        m = marks[i] if i < len(marks) else None
        row.append(f"{micro(m.stroke)} µm" if m else "–")
        row.append(f"{way_words(m.direction)} ({np.degrees(m.phase):.0f}°)" if m else "–")
    return row


def _spoken(side: str, marks: tuple[Marker, ...]) -> str:
    each = [
        f"{i} {way_words(m.direction)}, {micro(m.stroke)} micrometres"
        for i, m in enumerate(marks, 1)
    ]
    return f"Needle {side}, markers from the tip: {'; '.join(each)}."


MARKERS = written(_HERE / "markers.html", markers)
"""Fill for `Plots.html`, of results."""
