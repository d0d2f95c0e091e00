"""Cutting, heat, iris and stress of both sides in one picture, and what practice claims."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from tipsim.app.tissue.rows import celsius, figure, label_of, movers, percent
from tipsim.app.tissue.wound import Warmth
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.solve import Result
from tipsim.tissue.bands import Band
from tipsim.tissue.equal import (
    EQUAL_CUT,
    EQUAL_POWER,
    EqualCut,
    Rubbing,
    Side,
    rubbing_ratio,
    wide_ratio,
)
from tipsim.tissue.iris import Iris

Data = dict[str, Any]
LEAST_TOP, DECADES = 3, 6
"""A logarithmic row ends at 10 to this power or higher and goes over so many decades; lower values
lie at its edge."""
RARE = 1e-3
"""Below this share of time in contact the iris is called as good as never touched."""


@dataclass(frozen=True)
class Span:
    """A value of one side with its band: whole, inner and usual, in the unit of its row."""

    low: float
    inner_low: float
    usual: float
    inner_high: float
    high: float


def of_band(band: Band, factor: float = 1.0, offset: float = 0.0) -> Span:
    """Give the span of a band, in units of `factor` above `offset`."""
    values = (band.low, band.inner[0], band.usual, band.inner[1], band.high)
    return Span(*((v - offset) / factor for v in values))


def with_power(scenario: Scenario, power: float) -> Scenario:
    """Give a scenario at another power."""
    return replace(scenario, drive=replace(scenario.drive, power=power))


def picture(
    cuts: Sequence[Band],
    rubs: Sequence[Band],
    moved: Sequence[Result],
    warm: Sequence[Warmth] | None,
) -> list[Data]:
    """Give the rows of the picture from both sides' bands; heat only when it is computed."""
    cut = [of_band(band) for band in cuts]
    rub = [of_band(band, 1e-3) for band in rubs]
    out = [
        _row("cutting", "Cutting rate", "1 = straight, axial, full power", "more", cut, figure),
        _row(
            "iris",
            "Work of rubbing at the iris",
            "mJ per minute, in factors of ten",
            "less",
            rub,
            figure,
            "log",
        ),
        _row(
            "stress",
            "Peak stress in the metal",
            "% of its fatigue strength",
            "less",
            [_strain(r) for r in moved],
            lambda v: percent(v / 100),
        ),
    ]
    if warm is not None:
        spans = [of_band(w.found.peak, 1.0, 273.15) for w in warm]
        heat = _row("heat", "Warmest at the wound's lip", "°C", "less", spans, _degrees)
        for side, w in zip(heat["sides"], warm, strict=True):
            if w.boiled is not None:
                side["text"] += f" until water boils at {w.boiled:.1f} s"
        out.insert(1, heat)
    from_ = {
        "cutting": movers(*cuts),
        "heat": movers(*(w.found.peak for w in warm or ())),
        "iris": movers(*rubs),
        "stress": ("fatigue.smooth",),
    }
    return [one | {"from": list(from_[one["id"]])} for one in out]


def _degrees(value: float) -> str:
    return celsius(value + 273.15)


def _strain(r: Result) -> Span:
    """Give the peak stress over the fatigue strength of smooth metal, in per cent."""
    n = number("fatigue.smooth")
    low, usual, high = (100 * r.stress.peak / n.unit.to_si(v) for v in (n.high, n.value, n.low))
    return Span(low, low, usual, high, high)


def _row(
    id: str,
    label: str,
    unit: str,
    better: str,
    spans: Sequence[Span],
    show: Callable[[float], str],
    scale: str = "linear",
) -> Data:
    top = max(s.high for s in spans) or 1.0
    if scale == "log":
        exponent = max(LEAST_TOP, float(np.ceil(np.log10(top))))
        low, high = 10 ** (exponent - DECADES), 10**exponent
    else:
        least = min(s.low for s in spans)
        low = 0.0 if id != "heat" else float(np.floor(least / 5) * 5)
        high = max(top * 1.05, low + (10.0 if id == "heat" else 0.0))
    return {
        "id": id,
        "label": label,
        "unit": unit,
        "better": better,
        "scale": scale,
        "low": low,
        "high": high,
        "sides": [
            {
                "low": s.low,
                "inner": [s.inner_low, s.inner_high],
                "usual": s.usual,
                "high": s.high,
                "text": show(s.usual),
                "band": f"{show(s.low)} to {show(s.high)}",
            }
            for s in spans
        ],
    }


def equal_words(found: EqualCut, on: bool, power: float) -> list[str]:
    """Say at which power B cuts like A, or that it cannot.

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
    shown = "B is shown at this power." if on else f"B is shown at {own}, as set."
    return [f"{words} ({span}).{open_end} {shown}"]


@dataclass(frozen=True)
class Claim:
    """One half of what practice says, and what came out."""

    id: str
    title: str
    least: float
    rubbing: Rubbing | None
    why_not: str


def claims(a: Result, b: Result, equal: EqualCut, wide: bool) -> list[Claim]:
    """Hold both halves of the claim against the benches as they are set.

    Parameters
    ----------
    a, b : Result
        At the powers that are set.
    equal : EqualCut
    wide : bool
        Whether to move place, side, gap and the sleeve's mobility too: slower.
    """
    one_side, other = (Side(r.scenario, r.motion) for r in (a, b))
    find = wide_ratio if wide else rubbing_ratio
    one, two = (r.scenario.drive.power for r in (a, b))
    powers = "At equal power" if one == two else f"At {one:.0%} and {two:.0%} power"
    alike = None
    why = "Equal cutting cannot be reached, so this half cannot be tried."
    if equal.power:
        alike = find(one_side, other, equal_cutting=True)
    return [
        Claim("power", powers, EQUAL_POWER, find(one_side, other), ""),
        Claim("cutting", "At equal cutting", EQUAL_CUT, alike, why if alike is None else ""),
    ]


def claim_plain(found: Claim) -> Data:
    """Give one half as plain data: ratio, verdict, and the numbers for which it fails."""
    band = found.rubbing.widest if found.rubbing else None
    out: Data = {"id": found.id, "title": found.title, "least": figure(found.least)}
    if band is None:
        none = "B's iris is not rubbed at all, so there is no ratio."
        return out | {"verdict": "none", "words": found.why_not or none, "rows": [], "ratio": ""}
    wide = found.rubbing is not None and found.rubbing.wide is not None
    return out | {
        "ratio": figure(band.usual),
        "band": f"{figure(band.low)} to {figure(band.high)}",
        "verdict": _verdict(band, found.least),
        "words": _claim_words(band, found.least, wide),
        "rows": _moved(band, found.least),
    }


def _verdict(band: Band, least: float) -> str:
    if band.low > least:
        return "holds"
    return "partly" if band.usual > least else "fails"


def _claim_words(band: Band, least: float, wide: bool) -> str:
    over = "all assumed numbers, place, side and gap of the iris, and the sleeve's mobility"
    span = over if wide else "the assumed numbers of the iris"
    if band.low > least:
        return f"Over {figure(least)} for {span}: it holds over the whole band."
    low = [label_of(id) for id in band.below(least)]
    if band.usual > least:
        begin = f"Over {figure(least)} as set, but not over the whole band of {span}. "
        alone = (
            f"Moved alone, these bring it below: {_listed(low)}."
            if low
            else ("No single number brings it below; several together do.")
        )
        return begin + alone
    up = [label_of(id) for id in band.above(least)]
    begin = f"Not over {figure(least)} as set. "
    lifted = (
        f"Moved alone, these lift it above: {_listed(up)}."
        if up
        else ("No single number lifts it above.")
    )
    return begin + lifted


def _listed(labels: Sequence[str]) -> str:
    return "; ".join(f"{label[0].lower()}{label[1:]}" for label in labels)


def _moved(band: Band, least: float) -> list[Data]:
    """Give each number that changes the ratio, the widest first."""
    wide = sorted(band.alone.items(), key=lambda item: item[1][0] - item[1][1])
    return [
        {
            "id": id,
            "label": label_of(id),
            "low": figure(low),
            "high": figure(high),
            "holds": low > least,
            "ever": high > least,
        }
        for id, (low, high) in wide
        if figure(low) != figure(high)
    ]


def gap_words(scenario: Scenario, found: Sequence[Iris]) -> str:
    """Say how near the iris is on average, and how often it touches on both sides."""
    gap = scenario.eye.iris_gap * 1e3
    where = f"The mean gap is {figure(gap)} mm" if gap > 0 else "The iris lies on the sleeve"
    shares = [percent(i.contact_share.usual) for i in found]
    both = shares[0] if shares[0] == shares[1] else f"{shares[0]} and {shares[1]}"
    rare = max(i.contact_share.usual for i in found) < RARE
    more = (
        " That is so rare that the ratios below mean little: the claim is about one that touches."
    )
    return f"{where}, as set: they touch for {both} % of the time.{more if rare else ''}"
