"""The iris in words and rows."""

from __future__ import annotations

from typing import Any

import numpy as np

from tipsim.app.framework.belief import outside, uncompared
from tipsim.app.framework.packet import encode
from tipsim.app.framework.words import listed
from tipsim.app.pages.tissue.rows import figure, rows
from tipsim.app.pages.tissue.state import TissueState
from tipsim.flow.balance import flows
from tipsim.setup.units import ML_MIN, MM
from tipsim.solve import Result
from tipsim.tissue.along import Along, rubbing_along
from tipsim.tissue.texts import notes

RARE = 0.5
"""Fewer contacts a minute than this are called rare."""
FLOW = ("iris.reference_flow", "iris.reference_modulus", "eye.iris_modulus")
PLACE = ("eye.iris_place", "eye.iris_side")
ROWS: dict[str, tuple[str, ...]] = {
    "iris.flutter": ("iris.spread", "iris.spread_exponent", "iris.spread_limit", *FLOW),
    "iris.flutter_rate": ("iris.rate", "iris.rate_share", *FLOW),
    "iris.reach": PLACE,
    "iris.contacts": ("eye.iris_gap",),
    "iris.contact_share": ("eye.iris_gap",),
    "iris.speed": PLACE,
}
"""Outputs that are shown, with what they rest on besides the numbers of their ranges."""


def content(state: TissueState) -> dict[str, Any]:
    """Return what `iris.html` shows: words, rows and what lowers rubbing."""
    results = state.results
    return {
        "words": [words(r) for r in results],
        "rows": rows(results, ROWS),
        "compared": compared(state),
        "lower": notes()["lower"],
    }


def along_of(state: TissueState) -> Along | None:
    """Return the rubbing of A over B along the needle, at the powers that are set."""
    return state.keep("rubbing along", rubbing_along, "iris")


def compared(state: TissueState) -> list[str]:
    """Return in sentences how much more A rubs than B, and where the shafts stand still."""
    beyond = uncompared(*state.results)
    if beyond:
        return [beyond]
    found, place = along_of(state), state.bench.a.iris_place
    if found is None:
        return ["B's iris is not rubbed at all, so there is no ratio to A."]
    here = MM.show(place, 3)
    out = []
    if place <= found.place[-1]:
        times = found.at(place)
        out.append(f"With the iris at {here} from the tip, A rubs it {factor(times)} as much as B.")
    else:
        inner = MM.show(found.place[-1], 3)
        out.append(f"At {here} from the tip lies the incision (from {inner} on): no iris is there.")
    values = [band.usual for band in found.ratio]
    low, high = (MM.show(found.place[f(values)], 2) for f in (np.argmin, np.argmax))
    out.append(
        f"Along the chamber that is {factor(min(values))} (at {low}) to {factor(max(values))} "
        f"(at {high}): it depends on where the shafts stand still. {still_words(found)}"
    )
    return out


def still_words(found: Along) -> str:
    """Return where both shafts stand still, in a sentence."""
    named = [
        f"{key} stands still at {listed([MM.show(p, 2) for p in places])}"
        for key, places in zip("AB", found.still, strict=True)
        if places
    ]
    return f"{'; '.join(named)}." if named else "Neither stands still anywhere there."


def factor(times: float) -> str:
    """Write a ratio in words.

    >>> factor(3.42), factor(0.5)
    ('3.4 times', '0.50 times')
    """
    return f"{figure(times)} times"


def along(state: TissueState) -> bytes:
    """Return the chart along the needle as a packet; see `along_data`."""
    return encode({"charts": {"tissue.along": along_data(state)}, "moving": None})


def along_data(state: TissueState) -> dict[str, Any]:
    """Return ratio and range over the place of contact, with the still points of both shafts."""
    found = along_of(state)
    if found is None or uncompared(*state.results):
        return {"lines": {}, "words": compared(state)[0]}
    x = found.place * 1e3
    # What cancels in the ratio may leave rounding behind.
    low, usual, high = (
        np.array([float(f"{v:.6g}") for v in values])
        for values in zip(*((b.inner[0], b.usual, b.inner[1]) for b in found.ratio), strict=True)
    )
    dots = [
        {
            "x": p * 1e3,
            "y": float(f"{found.at(p):.6g}"),
            "side": side,
            "hollow": True,
            "label": f"{side.upper()} still, {MM.show(p, 2)}",
        }
        for side, places in zip("ab", found.still, strict=True)
        for p in places
    ]
    return {
        "lines": {"range": {"x": x, "low": low, "high": high}, "usual": {"x": x, "y": usual}},
        "dots": dots,
        "levels": [{"y": 1.0, "label": "alike"}],
        "x": [0, float(x[-1])],
        "words": " ".join(compared(state)),
    }


def words(r: Result) -> str:
    """Return in a sentence or two what the iris meets.

    >>> from tipsim import Scenario, solve
    >>> words(solve(Scenario.preset("single-bend, torsional"))).split(". ")[0]
    'The iris touches the sleeve about 66 times a minute, for 2.3 % of the time'
    """
    over = outside(r)
    if over:
        return over
    found, flow = r.iris, float(ML_MIN.from_si(flows(r.scenario).irrigation))
    per_minute, share = found.contacts_per_minute.usual, found.contact_share.usual * 100
    what = "sleeve" if r.scenario.sleeve else "needle"
    if share >= 50:
        first = f"The iris lies on the {what} for {share:.0f} % of the time."
    elif per_minute < RARE:
        first = f"As set, the iris hardly ever touches the {what}."
    else:
        first = (
            f"The iris touches the {what} about {figure(per_minute)} times a minute, for "
            f"{figure(share)} % of the time."
        )
    return (
        f"{first} There the {what} slides at {figure(found.speed.usual)} m/s while the drive is "
        f"on. The irrigation brings {flow:.0f} mL/min."
    )
