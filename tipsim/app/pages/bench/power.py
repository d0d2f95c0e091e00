"""Where the power goes on its way to the tip, drawn as a band along each needle."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, ClassVar

import numpy as np

from tipsim.app.framework.article import STYLE, Article, written
from tipsim.app.framework.belief import KEYS, beyond_belief, outside
from tipsim.app.framework.component import styles
from tipsim.app.framework.words import listed, percent
from tipsim.app.pages.bench.state import BenchPageState
from tipsim.motion.leaving import leaving
from tipsim.motion.parts import NAMES
from tipsim.motion.powerflow import PowerFlow
from tipsim.motion.sections import Floats
from tipsim.quantities.declare import figures
from tipsim.setup.described import about, described
from tipsim.solve import Result

_HERE = Path(__file__).parent
Data = dict[str, Any]

WIDE, LEFT, RIGHT = 360.0, 8.0, 352.0
"""Width of the drawing and where hub and tip are, in its own units."""
MIDDLE, HALF = 56.0, 38.0
"""Middle of the band, and half its width for the greatest power."""
BELOW, DEEP = 122.0, 50.0
"""Where what leaves hangs from, and how deep it hangs where most leaves."""
SLICE = 0.5e-3
"""Length over which what leaves is gathered [m]."""
LEAST = 5e-4
"""Less is written as nothing [W]."""
WORDS = {
    "films_outside": "Fluid film around the needle",
    "films_bore": "Fluid film in the lumen",
    "metal": "Metal (the alloy's own loss)",
    "unresolved": "Not assigned (assumed loss factor)",
    "load": "What touches the needle",
}
"""Ways out, as they are called on screen."""
DRIVEN = {"torsional": "turning", "axial": "lengthwise", "elliptical": ""}
"""What the power is called that the hub puts in."""
PART_WORDS = {"rigid": "As if rigid", "bending": "Bending", "twist": "Twist", "stretch": "Stretch"}


@described(eq=False)
class Way:
    """What is told of one needle."""

    flow: PowerFlow
    straight: bool
    kind: str = about("What the hub does; see `DRIVEN`.")
    driven: Floats = about("Power that passes as the hub puts it in, shape (n-1,) [W].")
    bend: int = about("Segment that ends at the first bend, or at the tip.")
    ways: dict[str, Floats] = about("What leaves in each slice, by way [W].")
    edges: Floats = about("Of the slices, from the hub [m].")

    @property
    def at_bend(self) -> float:
        """What passes just before the first bend [W]."""
        return float(self.flow.after[self.bend])

    @property
    def back(self) -> float:
        """What comes back through that place as bending [W]."""
        return max(0.0, -float(self.flow.bending[self.bend]))

    @property
    def lost_before(self) -> float:
        """Share of the power put in that has left before the first bend."""
        return 1 - self.at_bend / self.flow.at_hub if self.flow.at_hub > 0 else 0.0


def way(result: Result) -> Way:
    """Return what is told of a needle."""
    scenario, motion = result.scenario, result.motion
    flow, needle, drive = motion.power_flow, scenario.needle, scenario.drive
    driven = flow.turning * drive.has_twist + flow.lengthwise * drive.has_axial
    bend = int(np.clip(np.searchsorted(flow.s, needle.first_bend - 1e-9) - 1, 0, len(driven) - 1))
    edges = np.linspace(0, needle.length, max(2, round(needle.length / SLICE)) + 1)
    ways = leaving(scenario, motion, edges)
    straight = needle.first_bend >= needle.length - 1e-9
    return Way(flow, straight, DRIVEN[drive.kind], driven, bend, ways, edges)


def content(state: BenchPageState) -> Data:
    """Return the names that `power.html` uses."""
    results = state.every
    keys = KEYS[: len(results)]
    each = [None if outside(r) else way(r) for r in results]
    there = [w for w in each if w is not None]
    most = max([1e-9, *(max(w.flow.at_hub, float(w.driven.max())) for w in there)])
    densest = max([1e-9, *(float(density(w).max()) for w in there)])
    sides = zip(keys.lower(), results, each, strict=True)
    return {
        "keys": keys.lower(),
        "held": beyond_belief(*results),
        "question": question(each),
        "answers": [answer(each), *(sentences(k, w) for k, w in zip(keys, each, strict=True) if w)],
        "drawings": [drawing(side, r, w, most, densest) for side, r, w in sides if w],
        "wide": WIDE,
        "rows": rows(each),
        "ways": [{"id": id, "title": title, "text": _out(each, id)} for id, title in WORDS.items()],
        "parts": part_rows(results),
        "names": list(PART_WORDS.values()),
    }


# ---- words ----


def question(each: list[Way | None]) -> str:
    """Return what is asked.

    >>> question([None, None])
    'Is the power lost along the shaft?'
    """
    kinds = {w.kind for w in each if w is not None}
    (kind,) = kinds if len(kinds) == 1 else ("",)
    return " ".join(f"Is the {kind} power lost along the shaft?".split())


def answer(each: list[Way | None]) -> str:
    """Return the answer for all needles, in one sentence."""
    bent = [
        (k, w) for k, w in zip(KEYS, each, strict=False) if w is not None and w.flow.at_hub > LEAST
    ]
    if not bent:
        return "No power is put in."
    shares = [w.lost_before for _, w in bent]
    least, most = min(shares), max(shares)
    word = "Yes, most of it" if least > 0.5 else "Hardly" if most < 0.1 else "In part"
    said = listed([f"{percent(w.lost_before)} of {k}'s" for k, w in bent])
    straight = {w.straight for _, w in bent}
    where = "before the tip" if straight == {True} else "before the first bend"
    if len(straight) == 2:
        where += ", or before the tip of a straight needle"
    return f"{word}: {said} power leaves {where}, chiefly through {_main(bent)}."


def _main(bent: list[tuple[str, Way]]) -> str:
    """Return the way by which most leaves before the first bends."""
    totals = {
        id: sum(
            float(w.ways[id][w.edges[1:] <= w.flow.s[w.bend + 1] + 1e-9].sum()) for _, w in bent
        )
        for id in WORDS
    }
    words = WORDS[max(totals, key=lambda one: totals[one])].partition(" (")[0]
    return f"the {words.lower()}" if words.startswith("Fluid") else words.lower()


def sentences(key: str, w: Way) -> str:
    """Return how the power of one needle goes, in sentences."""
    flow = w.flow
    if flow.at_hub <= LEAST:
        return f"{key}: the hub puts in no power."
    start = f"{key}: the hub puts in {watts(flow.at_hub)}"
    end = f"{watts(flow.at_tip)} arrives at the tip"
    if w.straight:
        return f"{start}; the needle is straight, so nothing turns it into bending; {end}."
    as_put_in = f" as {w.kind}" if w.kind == "turning" else ""
    text = f"{start}. {watts(float(w.driven[w.bend]))} reaches the first bend{as_put_in}; "
    if w.back > 0.02 * flow.at_hub:
        text += f"{watts(w.back)} of that comes back from the bend as bending and leaves along "
        text += f"the shaft too; {watts(w.at_bend)} goes on"
    else:
        text += "hardly any of that comes back as bending"
    return f"{text}. {end[0].upper()}{end[1:]}.".replace("  ", " ")


def watts(value: float) -> str:
    """Return a power as text.

    >>> watts(2.8077), watts(0.0004), watts(0.0194)
    ('2.81 W', '0 W', '0.02 W')
    """
    return f"{_watts(value)} W"


def _watts(value: float) -> str:
    return figures(value, decimals=2) if abs(value) > LEAST else "0"


# ---- tables ----


def rows(each: list[Way | None]) -> list[list[str]]:
    """Return what passes, place by place, as text."""
    return [
        ["Put in at the hub", *_texts(each, lambda w: w.flow.at_hub)],
        ["Reaches the first bend as put in", *_texts(each, lambda w: _bent(w, w.driven[w.bend]))],
        ["Comes back from it as bending", *_texts(each, lambda w: _bent(w, w.back))],
        ["Goes on from the first bend", *_texts(each, lambda w: _bent(w, w.at_bend))],
        ["Arrives at the tip", *_texts(each, lambda w: w.flow.at_tip)],
    ]


def _bent(w: Way, value: Any) -> float:
    return float("nan") if w.straight else float(value)


def _texts(each: list[Way | None], value: Any) -> list[str]:
    found = [None if w is None else float(value(w)) for w in each]
    return ["–" if v is None or np.isnan(v) else _watts(v) for v in found]


def _out(each: list[Way | None], id: str) -> list[str]:
    return _texts(each, lambda w: w.ways[id].sum())


def part_rows(results: Sequence[Result]) -> list[Data]:
    """Return the share of each part in the motion of each marker."""
    out = []
    for side, r in zip(KEYS.lower(), results, strict=False):
        if outside(r):
            continue
        m = r.motion
        shares, s = m.parts.shares(), m.frame.s
        for k in m.markers:
            at = m.frame.s[-1] - k.distance
            texts = [_share(float(np.interp(at, s, shares[name]))) for name in NAMES]
            if k.stroke > 0.5e-6:
                out.append({"side": side, "at": f"{k.distance * 1e3:g} mm", "texts": texts})
    return out


def _share(value: float) -> str:
    return "–" if np.isnan(value) else percent(value).replace("-", "−").replace("−0 %", "0 %")


# ---- the drawing ----


def density(w: Way) -> Floats:
    """Return what leaves per metre, all ways, shape (n,) [W/m]."""
    return np.asarray(sum(w.ways.values()) / np.diff(w.edges))


def drawing(side: str, r: Result, w: Way, most: float, densest: float) -> Data:
    """Return paths and labels of one needle's drawing; both have one scale."""
    length = r.scenario.needle.length

    def x(s: Any) -> Floats:
        return np.asarray(LEFT + (RIGHT - LEFT) * np.asarray(s) / length)

    flow = w.flow
    place = x(np.repeat(flow.s, 2))
    wide = HALF * np.ravel([flow.before, flow.after], "F") / most
    put_in = HALF * np.append(w.driven, w.driven[-1]) / most
    starts = np.append(flow.s[:-1], flow.s[-1])
    bend = None
    if not w.straight:
        at = float(x(r.scenario.needle.first_bend))
        bend = {"x": at, "text": watts(w.at_bend), "end": at > 0.6 * WIDE}
    ticks = [t for t in (0, 5, 10, 15, 20, 25, 30) if t * 1e-3 < length - 0.5e-3]
    return {
        "side": side,
        "title": r.scenario.needle.title,
        "band": _closed(place, MIDDLE - wide, MIDDLE + wide),
        "lines": [_line(x(starts), MIDDLE + sign * put_in) for sign in (-1, 1)],
        "middle": MIDDLE,
        "hub": watts(flow.at_hub),
        "tip": watts(flow.at_tip),
        "bend": bend,
        "below": BELOW,
        "leaves": _stacked(w, x, densest),
        "deepest": f"{figures(densest * 1e-3, decimals=2)} W/mm",
        "deep": BELOW + DEEP,
        "ticks": [{"x": float(x(length - t * 1e-3)), "text": f"{t}"} for t in ticks],
        "words": f"Needle {side.upper()}: power on its way from hub to tip. "
        + sentences(side.upper(), w),
    }


def _stacked(w: Way, x: Any, densest: float) -> list[Data]:
    """Return the area of each way, one hanging below the other."""
    place = np.repeat(x(w.edges), 2)[1:-1]
    top, out = np.full(len(w.edges) - 1, BELOW), []
    for id in WORDS:
        deeper = top + DEEP * w.ways[id] / np.diff(w.edges) / densest
        if (deeper - top).max() > 0.05:
            out.append({"id": id, "d": _closed(place, np.repeat(top, 2), np.repeat(deeper, 2))})
        top = deeper
    return out


def _closed(x: Floats, low: Floats, high: Floats) -> str:
    return f"{_line(x, low)} L{_line(x[::-1], high[::-1])[1:]} Z"


def _line(x: Floats, y: Floats) -> str:
    return "M" + " L".join(f"{a:.1f} {b:.2f}" for a, b in zip(x, y, strict=True))


POWER = written(_HERE / "power.html", content)
"""Fill of the part, from the page's state."""


class Power(Article):
    """Power on its way to the tip, and what the motion is made of."""

    _stylesheets: ClassVar[list[str]] = styles(STYLE, _HERE / "power.css")
