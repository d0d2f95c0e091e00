"""The wound in words, rows and curves: how it sits at once, how warm it gets a moment later."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from tipsim.app.tissue.rows import (
    Row,
    banded,
    celsius,
    figure,
    movers,
    percent,
    plain,
    row,
    thousands,
)
from tipsim.flow.balance import flows
from tipsim.heat.dose import COLLAGEN, TITLES, law
from tipsim.heat.timeline import HeatRun
from tipsim.motion.sections import Floats
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.units import CELSIUS, ML_MIN
from tipsim.tissue.bands import Band, Values, bands, ranges
from tipsim.tissue.conduction import warm
from tipsim.tissue.texts import notes
from tipsim.tissue.wound import (
    CLOSE,
    LOOSE,
    TIGHT,
    Wound,
    lip_slab,
    outer_radius,
    sleeve_misfit,
    sleeve_outside,
    squeeze,
    wound,
)

Data = dict[str, Any]
TIMES = 61
"""Times at which temperatures are sent, over the bench's time."""
ZERO = float(CELSIUS.offset)
FITS = {
    LOOSE: "Loose: the sleeve is smaller than the opened wound, so fluid leaks past it.",
    CLOSE: "Close: the lips lie on the sleeve and press little.",
    TIGHT: "Tight: the lips are stretched and press on the sleeve.",
}
"""How a sleeve can sit, in words."""


@dataclass(frozen=True, eq=False)
class Warmth:
    """A wound with the temperatures behind it.

    Attributes
    ----------
    found : Wound
    field : (q, 1 + n) array
        Temperatures at the lip's face and in its cells over time [K].
    boiled : float or None
        When the water boiled and the heat model ended [s].
    """

    found: Wound
    field: Floats
    boiled: float | None


def warmth(scenario: Scenario, heat: HeatRun) -> Warmth:
    """Give the wound of a bench whose temperatures are known."""
    around = scenario.outside.temperature
    near = sleeve_outside(scenario, heat)
    course = warm(lip_slab(scenario, {}), heat.time, near, around, around)
    field = np.concatenate([course.face, course.temperature[:, 0]], axis=1)
    return Warmth(wound(scenario, heat), field, heat.boiled)


def fit(a: Scenario, b: Scenario) -> Data:
    """Give how both sleeves sit: all that needs no temperatures."""
    return {
        "sides": [_fit_side(key, s) for key, s in (("a", a), ("b", b))],
        "rows": _fit_rows(a, b),
        "signs": [vars(n) for n in notes()["sign"]],
        "first": [vars(n) for n in notes()["first"]],
    }


def _fit_side(key: str, s: Scenario) -> Data:
    misfit = sleeve_misfit(s)
    words = LOOSE if misfit < 0 else TIGHT if misfit > s.tissue.wound.give else CLOSE
    return {
        "key": key,
        "title": s.needle.title,
        "radius": outer_radius(s) * 1e3,
        "bore": (s.sleeve.inner_radius if s.sleeve else s.needle.inner_radius) * 1e3,
        "width": s.eye.wound_width * 1e3,
        "fit": words,
        "words": FITS[words] if s.sleeve else FITS[words].replace("sleeve", "bare needle"),
    }


def _pressed(s: Scenario) -> dict[str, Band]:
    """Give pressure, force and pinch of the lips, with bands."""

    def results(v: Values) -> Values:
        found = squeeze(s, v)
        return dict(zip(found, np.broadcast_arrays(*found.values()), strict=True))

    return bands(results, ranges("wound", s.tissue.wound))


def _fit_rows(a: Scenario, b: Scenario) -> list[Row]:
    one, two = _pressed(a), _pressed(b)
    leaks = [max(float(ML_MIN.from_si(flows(s).leak)), 0.0) for s in (a, b)]
    misfits = [sleeve_misfit(s) * 100 for s in (a, b)]
    return [
        row(
            "misfit",
            "Sleeve over opened wound, %",
            (plain(figure(m)) for m in misfits),
            "Circumference of the sleeve over that of the opened wound (twice its width), less "
            "100 %. Below 0 the wound is loose.",
            "eye.wound_width",
        ),
        row(
            "pressure",
            "Lips press with, kPa",
            (banded(f["pressure"], thousands) for f in (one, two)),
            "Stretched lips as a band around a ring. Nothing of it acts back on flow or heat.",
            *movers(one["pressure"], two["pressure"]),
        ),
        row(
            "pinch",
            "That over what keeps the sleeve open",
            (banded(f["pinch"]) for f in (one, two)),
            "Above 1 the sleeve would be pressed flat and little fluid would pass: pressure at "
            "which a long ring folds, and irrigation inside.",
            "wound.silicone_poisson",
            *movers(one["pinch"], two["pinch"]),
        ),
        row(
            "leak",
            "Leak, mL/min",
            (plain(figure(v)) for v in leaks),
            "What the setting of the leak gives at the chamber's pressure (see the page Flow). "
            "The fit does not change it: no published number ties the two.",
            "flow.leak",
        ),
    ]


def heat(a: Warmth, b: Warmth, duration: float) -> Data:
    """Give temperatures, both measures of injury, colours and words."""
    times = np.linspace(0.0, duration, TIMES)
    laws = [law(id) for id in COLLAGEN]
    return {
        "times": [round(float(t), 3) for t in times],
        "sides": [_heat_side(key, w, times) for key, w in (("a", a), ("b", b))],
        "limits": [
            {"celsius": number(f"limit.{id}").value, "label": label}
            for id, label in (("bench", "bench endpoint"), ("collagen_to", "collagen shrinks"))
        ],
        "corneas": number("wound.dose").value,
        "all_from": max(one.lowest for one in laws) - ZERO,
        "beyond": min(one.highest for one in laws) - ZERO,
        "laws": [
            {
                "title": TITLES[one.id],
                "lowest": round(one.lowest - ZERO, 1),
                "highest": round(one.highest - ZERO, 1),
            }
            for one in laws
        ],
        "rows": _heat_rows(a.found, b.found),
    }


def _heat_side(key: str, w: Warmth, times: Floats) -> Data:
    found, lip = w.found, w.found.lip
    reached = times[times <= lip.time[-1] + 1e-9]
    field = np.stack([np.interp(reached, lip.time, column) for column in w.field.T], axis=1)
    colour, words = judged(w)
    base = (
        "The heat model counts this wound."
        if found.counted
        else "The bench is not set in a wound, so its temperatures know of none: the lip is only "
        "held to it. Choose Wound under “Around it” to count it."
    )
    return {
        "key": key,
        "depth": [round(float(d) * 1e3, 4) for d in lip.depth],
        "sleeve": _celsius(np.interp(reached, lip.time, lip.sleeve)),
        "field": [_celsius(line) for line in field],
        "peak": _celsius(lip.peak),
        "dose": [float(f"{v:.4g}") for v in lip.dose],
        "least": [round(float(v), 5) for v in lip.changed_low],
        "most": [round(float(v), 5) for v in lip.changed_high],
        "colour": colour,
        "risk": words,
        "base": f"{base} Laws for collagen: {lip.validity}" if lip.validity else base,
        "band": [round(float(v) - ZERO, 2) for v in (found.peak.low, found.peak.high)],
    }


def judged(w: Warmth) -> tuple[str, str]:
    """Give colour and words for the lip; where water boils, no lower colour would be honest."""
    risk = w.found.risk
    if w.boiled is None:
        return risk.colour, risk.words
    until = f"{risk.words[0].lower()}{risk.words[1:]}"
    return (
        "red",
        f"Water boils after {w.boiled:.1f} s and the model ends there. Until then: {until}",
    )


def _celsius(kelvin: Floats) -> list[float]:
    return [round(float(v) - ZERO, 2) for v in kelvin]


def _heat_rows(a: Wound, b: Wound) -> list[Row]:
    laws = tuple(f"{id}.energy" for id in COLLAGEN)
    return [
        row(
            "peak",
            "Warmest at the lip's face, °C",
            (banded(w.peak, celsius) for w in (a, b)),
            "The lip as a slab between the sleeve's hottest place in the wound and the eye's "
            "outside.",
            *("thermal.cornea_conductivity", "thermal.cornea_density", "thermal.cornea_heat"),
            *movers(a.peak, b.peak),
        ),
        row(
            "dose",
            "Thermal dose there, min at 43 °C",
            (banded(w.dose) for w in (a, b)),
            "First measure, for cells: minutes at 43 °C that would do the same (CEM43).",
            *("cem43.break", "cem43.above", "cem43.below", "wound.dose"),
            *movers(a.dose, b.dose),
        ),
        row(
            "least",
            "Collagen changed, least law, %",
            (banded(w.changed_low, percent) for w in (a, b)),
            "Second measure: share of collagen that has changed, by the published law that says "
            "least among those that say something at this temperature.",
            *laws,
            *movers(a.changed_low, b.changed_low),
        ),
        row(
            "most",
            "Collagen changed, most, %",
            (banded(w.changed_high, percent) for w in (a, b)),
            "The same by the law that says most. The laws differ more than a hundredfold in time.",
            *laws,
            *movers(a.changed_high, b.changed_high),
        ),
    ]
