"""Cutting, heat, iris and stress of both sides side by side, and a claim of common practice."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from tipsim.app.framework.belief import beyond_belief, outside
from tipsim.app.framework.numbers import MOTION, sources
from tipsim.app.pages.tissue.bars import Bars, bars
from tipsim.app.pages.tissue.rows import figure, origin
from tipsim.app.pages.tissue.state import TissueState
from tipsim.quantities import quantity
from tipsim.setup.units import MM
from tipsim.solve import Result
from tipsim.tissue.bands import Band
from tipsim.tissue.equal import EQUAL_CUT, EQUAL_POWER, EqualCut, Side, wide_ratio

Data = dict[str, Any]
LEAST_STEP = 1e-6
"""Runs whose ends differ by less are of one length [s]."""
RARE = 1e-3
"""Below this share of time in contact the iris is called as good as never touched."""
RESTS_ON = (
    *("eye.", "iris", "cutting.", "wound.", "laser.", "incision.", "tissue.", "tissue_picture."),
    *("cem43.", "skin_", "tendon_", "cornea_", "limit.", "contact.", "strip."),
    *("fluid.", "thermal.", "rubbing.", "squeeze.", "press.", "chamber.", "viscoelastic."),
    *("flow.", "lines.", "surge.", "outside.", *MOTION),
)
"""What the ids of the numbers behind this page begin with."""
VERDICTS = {
    "holds": ("✓", "holds over the whole range"),
    "partly": ("~", "holds as set, not over the whole range"),
    "fails": ("✗", "does not hold as set"),
    "none": ("–", "cannot be tested"),
}
NO_RATIO = "B's iris is not rubbed at all, so there is no ratio."
NOT_REACHED = "Equal cutting cannot be reached, so this half cannot be tested."
RANGE = "all assumed numbers and place, side and gap of the iris"


def content(state: TissueState) -> Data:
    """Return what `compare.html` shows."""
    results = state.results
    set_a, set_b = state.bench.a, state.bench.b
    gaps = [s.eye.iris_gap for s in (set_a, set_b)]
    return {
        "equal": state.equal,
        "words": [
            *equal_words(state.equal_cut, state.equal, set_b.drive.power),
            *beyond_belief(*results),
        ],
        "titles": [
            f"{r.scenario.needle.title}, {r.scenario.drive.power * 100:.0f} % power"
            for r in results
        ],
        "pictures": pictures(results),
        "times": times(results),
        "ended": ended(results),
        "pair": [r.scenario.needle.shape for r in results] == ["single-bend", "counter-bent"],
        "gap": gap_words(gaps[0], [r.iris.contact_share.usual for r in results]),
        "touches": max(gaps) <= 0,
        "limits": [f"{EQUAL_POWER:g}", f"{EQUAL_CUT:g}"],
        "claims": claims(state),
        "still": near_still(state),
    }


def pictures(results: Sequence[Result]) -> list[Bars]:
    """Return the bars of both sides: cutting, heat, iris, stress."""
    boils = [r.heat.boiled for r in results]
    until = ["" if t is None else f", rough: water boils at {t:.1f} s" for t in boils]
    rows: tuple[tuple[str, str, Data], ...] = (
        ("cutting.rate", "1 = straight, longitudinal, full power; further right cuts more", {}),
        ("wound.peak", "°C; further left is gentler", {"low": None, "after": until}),
        ("iris.speed", "m/s; further left is gentler", {}),
        ("stress.share_of_strength", "%; further left is gentler", {}),
    )  # fmt: skip
    out = []
    for name, unit, how in rows:
        if name == "wound.peak" and shorter(results):
            # Peaks of runs of two lengths say nothing of which needle is gentler.
            continue
        q = quantity(name)
        values = [q.get(r) if name.partition(".")[0] != "stress" else _strain(r) for r in results]
        out.append(bars(q, dict(zip("ab", values, strict=True)), unit, **how))
    return out


def shorter(results: Sequence[Result]) -> list[tuple[str, float]]:
    """Return which runs end before another does, and when [s]: "A" or "B"."""
    ends = [float(r.heat.time[-1]) for r in results]
    pairs = zip("AB", ends, strict=True)
    return [(key, end) for key, end in pairs if end < max(ends) - LEAST_STEP]


def times(results: Sequence[Result]) -> list[tuple[str, ...]]:
    """Return when each sleeve reaches 45 and 60 °C: of use whatever the length of both runs."""
    rows = [("Time to 45 °C", "heat.to_45"), ("Time to 60 °C", "heat.to_60")]
    return [
        (label, *("not reached" if r[name] is None else r.text(name) for r in results))
        for label, name in rows
    ]


def ended(results: Sequence[Result]) -> str:
    """Return what to say where one run is shorter than the other, or ""."""
    short = shorter(results)
    if not short:
        return ""
    said = " and ".join(f"{key}'s run ended at {end:.1f} s" for key, end in short)
    return f"{said}, so the highest temperatures are not compared: see the times."


def _strain(r: Result) -> Band:
    """Return the highest stress over the fatigue strength, over the scatter of that strength."""
    low, high = quantity("stress.share_of_strength_range").get(r)
    usual = quantity("stress.share_of_strength").get(r)
    return Band(low, usual, high, (low, high), {"fatigue.smooth": (low, high)})


def equal_words(found: EqualCut, on: bool, power: float) -> list[str]:
    """Return in words at which power B cuts like A, or that it cannot.

    Parameters
    ----------
    found : EqualCut
    on : bool
        Whether B is shown at that power.
    power : float
        The power that B is set to, share.
    """
    own = f"{power * 100:.0f} %"
    if found.most is None:
        return ["A does not cut as it is set, so there is nothing that B could equal."]
    if found.power is None:
        words = f"at full power B cuts {figure(found.most)} times as fast as A"
        return [f"Equal cutting cannot be reached: {words}. B is shown at its own {own}."]
    band = found.band
    words = f"B cuts as fast as A at {found.power * 100:.0f} % power"
    span = f"{band.low * 100:.0f} to {band.high * 100:.0f} % over the assumed numbers"
    open_end = "" if found.always else " For some assumed numbers B cannot cut so fast at all."
    where = "B is shown at this power." if on else f"B is shown at {own}, as set."
    return [f"{words} ({span}).{open_end} {where}"]


def gap_words(gap: float, shares: Sequence[float]) -> str:
    """Return in words how near the iris is on average [m], and its share of contact."""
    where = f"The mean gap is {figure(gap * 1e3)} mm" if gap > 0 else "The iris lies on the sleeve"
    both = " and ".join(dict.fromkeys(figure(share * 100) for share in shares))
    more = (
        " That is so rare that the ratios below mean little: the claim is about one that touches."
    )
    rare = max(shares) < RARE
    return f"{where}, as set: they touch for {both} % of the time.{more if rare else ''}"


# ---- the claim ----


def claims(state: TissueState) -> list[Data]:
    """Return both halves of the claim at the powers that are set: at these, and at equal cutting.

    The ratios go over place, side and gap of the iris too.
    """
    reached = bool(state.equal_cut.power)

    def ratios(a: Side, b: Side) -> tuple[Band | None, Band | None]:
        alike = wide_ratio(a, b, equal_cutting=True).widest if reached else None
        return wide_ratio(a, b).widest, alike

    one, other = state.keep("rubbing ratios", ratios, "iris", "cutting")
    powers = [s.drive.power for s in (state.bench.a, state.bench.b)]
    title = "At equal power" if powers[0] == powers[1] else "At {:.0%} and {:.0%} power"
    return [
        claim("power", title.format(*powers), EQUAL_POWER, one),
        claim("cutting", "At equal cutting", EQUAL_CUT, other, "" if reached else NOT_REACHED),
    ]


def near_still(state: TissueState) -> str:
    """Return how near the iris lies to where each shaft stands still, which decides the ratio."""
    said = []
    for key, r in zip("AB", state.results, strict=True):
        place = r.scenario.iris_place
        points = r.motion.still_points
        if not points or outside(r):
            continue
        point = min(points, key=lambda p: abs(p - place))
        gap = MM.show(abs(point - place), 2)
        does = "lowers" if key == "A" else "raises"
        said.append(f"{key} does at {MM.show(point, 2)}, {gap} away, which {does} it")
    if not said:
        return ""
    here = MM.show(state.results[0].scenario.iris_place, 2)
    return (
        f"With the iris at {here} from the tip the ratio hangs on where the shafts stand still: "
        f"{'; '.join(said)}. See the chart above."
    )


def claim(id: str, title: str, least: float, band: Band | None, why_not: str = "") -> Data:
    """Return one half: ratio, verdict, and the numbers for which it fails."""
    out: Data = {"id": id, "title": title, "least": f"{least:g}"}
    if band is None:
        sign, said = VERDICTS["none"]
        none = {"verdict": "none", "words": why_not or NO_RATIO, "rows": [], "ratio": ""}
        return out | none | {"sign": sign, "said": said}
    verdict = "holds" if band.low > least else "partly" if band.usual > least else "fails"
    sign, said = VERDICTS[verdict]
    return out | {
        "ratio": figure(band.usual),
        "band": f"{figure(band.low)} to {figure(band.high)}",
        "verdict": verdict,
        "sign": sign,
        "said": said,
        "words": _claim_words(band, least),
        "rows": _moved(band, least),
    }


def _claim_words(band: Band, least: float) -> str:
    if band.low > least:
        return f"Over {least:g} for {RANGE}."
    if band.usual > least:
        first, ids = f"Over {least:g} as set, but not for {RANGE}.", band.below(least)
        words, none = "bring it below", "No single number brings it below; several together do."
    else:
        first, ids = f"Not over {least:g} as set.", band.above(least)
        words = "lift it above"
        lowest = min(band.alone, key=lambda name: band.alone[name][0])
        none = f"No single number lifts it above; what lowers it most is the {_label(lowest)}."
    labels = "; ".join(map(_label, ids))
    return f"{first} {f'Moved alone, these {words}: {labels}.' if ids else none}"


def _label(id: str) -> str:
    """Return the label of a number as it stands within a sentence."""
    label = origin(id).label
    return f"{label[0].lower()}{label[1:]}"


def _moved(band: Band, least: float) -> list[tuple[Any, str, str]]:
    """Return each number that changes the ratio, the widest first: it, the ratio, a verdict."""
    wide = sorted(band.alone.items(), key=lambda item: item[1][0] - item[1][1])
    return [
        (
            origin(id),
            f"{figure(low)} to {figure(high)}",
            "✓ always" if low > least else "~ partly" if high > least else "✗ never",
        )
        for id, (low, high) in wide
        if figure(low) != figure(high)
    ]


def origins(state: TissueState) -> list[dict[str, str]]:
    """Return where the numbers of this page come from, those that were moved as they are set."""
    a, b = state.bench.a, state.bench.b
    return sources(a, b, groups=RESTS_ON, now=a)
