"""The heat page at a glance: which sleeve gets hot first, and three numbers."""

from __future__ import annotations

import numpy as np

from tipsim.app.framework.belief import beyond_belief, bubbles, outside, shown, uncompared
from tipsim.app.framework.glance import Glance, Number, number
from tipsim.app.framework.words import listed
from tipsim.app.pages.heat.state import HeatState
from tipsim.app.pages.heat.words import celsius, seconds
from tipsim.setup.ready import READY
from tipsim.solve import Result

CLOSE = 0.5
"""Sleeves that differ by less are called alike [K]."""
NEVER = "not reached"


def at_a_glance(state: HeatState) -> Glance:
    """Return the headline and the three numbers of both needles."""
    a, b = state.results
    drill = READY[state.ready].drill if state.ready else ""
    return Glance(
        drilled(drill, a, b) if drill else headline(a, b),
        [_warmest(a, b, bool(drill)), _time(a, b), number("heat.warming", a, b, label="Heat")],
        warning(a, b),
    )


def warning(a: Result, b: Result) -> str:
    """Return in one line what not to believe; all of it stands with the numbers."""
    over = beyond_belief(a, b)
    rough = [key for key, r in (("A", a), ("B", b)) if bubbles(r)]
    words = f"Bubbles are likely around {listed(rough)}: see All numbers." if rough else ""
    return " ".join(over[:1]) or words


def drilled(drill: str, a: Result, b: Result) -> str:
    r"""Return in a sentence what a fault does; how long it takes stands in the numbers.

    Examples
    --------
    >>> from tipsim.app.pages.heat.state import HeatState
    >>> drilled("flow lost", *HeatState.drill().results)
    "Fault drill: flow lost. A's sleeve gets hot first, B's after it."
    """
    if outside(a) or outside(b):
        return uncompared(a, b)
    times = {key: r["heat.to_45"] for key, r in (("A", a), ("B", b))}
    hot = sorted((key for key, t in times.items() if t is not None), key=lambda key: times[key])
    if len(hot) == 2:
        said = f"{hot[0]}'s sleeve gets hot first, {hot[1]}'s after it"
    elif hot:
        said = f"{hot[0]}'s sleeve gets hot, {'B' if hot[0] == 'A' else 'A'}'s does not"
    else:
        said = "Neither sleeve gets hot in this run"
    return f"Fault drill: {drill}. {said}."


def headline(a: Result, b: Result) -> str:
    r"""Return in a sentence which sleeve gets hot, and when.

    Where a run ends early, both are compared at the moment when the shorter one ends.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> one = solve(Scenario.preset("straight, axial"))
    >>> headline(one, one)[:22]
    'Neither sleeve reaches'
    """
    if outside(a) or outside(b):
        return uncompared(a, b)
    times = {key: r["heat.to_45"] for key, r in (("A", a), ("B", b))}
    reached = {key: t for key, t in times.items() if t is not None}
    if len(reached) == 2:
        first, second = sorted(reached, key=lambda key: reached[key])
        return (
            f"{first}'s sleeve reaches 45\xa0°C after {_s(reached[first])}, "
            f"{second}'s after {_s(reached[second])}."
        )
    moment, one, two = together(a, b)
    if reached:
        key = next(iter(reached))
        other = "B" if key == "A" else "A"
        warm = celsius(two if key == "A" else one).replace(" ", "\xa0")
        return (
            f"{key}'s sleeve reaches 45\xa0°C after {_s(reached[key])}; "
            f"{other}'s has {warm} at {_s(moment)}."
        )
    warm = "both are alike" if abs(one - two) < CLOSE else f"{'A' if one > two else 'B'} is warmer"
    return f"Neither sleeve reaches 45\xa0°C in {_s(moment)}: {warm}."


def together(a: Result, b: Result) -> tuple[float, float, float]:
    """Return the last moment [s] that both runs have, and how warm both sleeves are then [K]."""
    moment = float(min(r.heat.time[-1] for r in (a, b)))
    one, two = (float(np.interp(moment, r.heat.time, r.heat.sleeve_peak)) for r in (a, b))
    return moment, one, two


def _s(value: float) -> str:
    return seconds(value).replace(" ", "\xa0")


def _warmest(a: Result, b: Result, drill: bool) -> Number:
    """Return how warm both are at the same moment: peaks of runs of two lengths compare nothing."""
    moment, one, two = together(a, b)
    texts = {
        key: shown(r, "heat.peak_sleeve", celsius(v).removesuffix(" °C"))
        for key, r, v in (("a", a, one), ("b", b, two))
    }
    when = "at the end" if drill else f"at {seconds(moment)}"
    return Number("sleeve", f"Sleeve {when}", "°C", texts)


def _time(a: Result, b: Result) -> Number:
    texts = {key: shown(r, "heat.to_45", _to_45(r)) for key, r in (("a", a), ("b", b))}
    return Number("to-45", "Time to 45 °C", "s", texts)


def _to_45(r: Result) -> str:
    time = r["heat.to_45"]
    return NEVER if time is None else seconds(time).removesuffix(" s")
