"""The thermal camera at a glance: what its pictures get wrong, and three numbers."""

from __future__ import annotations

from tipsim.app.framework.belief import beyond_belief, shown, uncompared
from tipsim.app.framework.glance import Glance, Number
from tipsim.app.pages.thermal.packet import scales
from tipsim.app.pages.thermal.state import ThermalState
from tipsim.heat.camera import Thermogram
from tipsim.quantities import figures, quantity
from tipsim.solve import Result

ALIKE = 0.2
"""Sleeves that differ by less are called alike [K]."""


def at_a_glance(state: ThermalState) -> Glance:
    """Return the headline and the three numbers of both pictures."""
    a, b = state.results
    films = state.films
    headline = uncompared(a, b) or sentence(*films)
    over = beyond_belief(a, b)
    numbers = [
        _number("thermogram.seen_max", "Highest reading", a, b),
        _number("thermogram.true_max", "True, side that is seen", a, b),
        _number("thermogram.bar", "Error bar, 95 %", a, b, "± °C"),
    ]
    return Glance(headline, numbers, over[0] if over else differ(state))


def _number(name: str, label: str, a: Result, b: Result, unit: str = "°C") -> Number:
    q = quantity(name)
    texts = {side: shown(r, name, q.number(q.get(r))) for side, r in (("a", a), ("b", b))}
    return Number(name.replace(".", "-"), label, unit, texts)


def sentence(a: Thermogram | None, b: Thermogram | None) -> str:
    """Return in a sentence how far both pictures are to be believed."""
    if a is None or b is None:
        return "Nothing is filmed."
    if turned(a, b):
        seen, true = ("A", "B") if a.seen_max > b.seen_max else ("B", "A")
        return f"The pictures show {seen} as the hotter one; in truth {true} is."
    errors = [_error(film) for film in (a, b)]
    if not any(errors):
        return "Both pictures read the truth within their error bars."
    if all(errors):
        ways = {error.rpartition("\xa0°C ")[2] for error in errors}
        if len(ways) == 1:
            sizes = [error.partition(" too")[0] for error in errors]
            more = f"A by {sizes[0]}, B by {sizes[1]}: more than their error bars"
            return f"Both pictures read {ways.pop()}, {more}."
        return f"A's picture reads {errors[0]}, B's {errors[1]}: more than their error bars."
    wrong, right = ("A", "B") if errors[0] else ("B", "A")
    error = errors[0] or errors[1]
    return f"{right}'s picture is right within its error bar; {wrong}'s reads {error}."


def turned(a: Thermogram, b: Thermogram) -> bool:
    """Return whether the pictures show the other needle hotter than is true, all around."""
    seen, true = a.seen_max - b.seen_max, a.hidden_max - b.hidden_max
    return seen * true < 0 and min(abs(seen), abs(true)) > ALIKE


def off(film: Thermogram) -> float:
    """Return how far the highest reading is from the truth that faces the camera [K]."""
    return film.seen_max - film.true_max


def _error(film: Thermogram) -> str:
    """Return how far a reading is off, in words; "" where it is within its error bar."""
    error = off(film)
    if abs(error) <= film.bar:
        return ""
    way = "too low" if error < 0 else "too high"
    return f"{figures(abs(error), decimals=1)}\xa0°C {way}"


def differ(state: ThermalState) -> str:
    """Return a warning where the two pictures have different scales; "" where they have one."""
    a, b = (r[s] for r, s in zip(scales(state.films), _chosen(state), strict=True))
    if a == b:
        return ""
    middles = [int((low + high) / 2 + 0.5) for low, high in (a, b)]
    return (
        f"The two scales differ: the middle colour means {middles[0]} °C in A, {middles[1]} °C "
        "in B."
    )


def _chosen(state: ThermalState) -> tuple[str, str]:
    return state.scale_a, state.scale_b
