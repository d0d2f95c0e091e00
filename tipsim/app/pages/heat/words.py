"""What a run shows, in sentences."""

from __future__ import annotations

import numpy as np

from tipsim.app.pages.heat.energy import HEATING
from tipsim.flow.balance import flows
from tipsim.heat.state import State, first_state, states
from tipsim.heat.timeline import HeatRun
from tipsim.quantities import quantity
from tipsim.setup.inputs import find_input
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import GRAM, ML_MIN, MM, PERCENT
from tipsim.solve import Result

NO_FLOW = ML_MIN.to_si(0.005)
"""Less is nothing in words [m³/s]."""
FLOOR = 0.05
"""A rise below this is not worth a sentence [K]."""
LIMITS = {45.0: "heat.to_45", 60.0: "heat.to_60"}
"""Temperatures outside that a run is compared with [°C], and when they are reached."""


def celsius(kelvin: float) -> str:
    """Return a temperature as text.

    >>> celsius(298.15)
    '25.0 °C'
    """
    return quantity("heat.peak_sleeve").text(kelvin)


def seconds(value: float) -> str:
    """Return a time as text.

    >>> seconds(3.24), seconds(41.6), seconds(0.04)
    ('3.2 s', '42 s', '0.040 s')
    """
    return quantity("heat.boiled").text(value)


def setting(s: Scenario) -> str:
    """Return in one phrase what is set.

    >>> setting(Scenario.preset("straight, axial")).split(", ", 5)[:5]
    ['Straight', 'longitudinal (axial)', '100 %', 'sleeved', 'in fluid']
    """
    parts = [
        s.needle.title.split(",")[0],
        s.drive.title,
        PERCENT.show(s.drive.power),
        "sleeved" if s.sleeve else "no sleeve",
        f"in {find_input(Scenario, 'outside.kind').text(s).lower()}",
        flow_words(s),
    ]
    if s.press is not None:
        place = f"{MM.show(sum(s.press.span(s.incision)) / 2)} from the tip"
        parts.append(f"{GRAM.show(s.press.force)} on the sleeve, {place}")
    return ", ".join(parts)


def flow_words(s: Scenario) -> str:
    """Return what flows at the start: what bottle, pump, opening and incision make of each other.

    >>> flow_words(Scenario.preset("straight, axial"))
    '25 mL/min through the opening and 3.1 mL/min out of the incision'
    """
    state = first_state(s)
    if state.stuck:
        return "viscoelastic around the tip, no flow"
    found = flows(s, state.flowing)
    mouth, leak = (max(v, 0.0) for v in (found.mouth, found.leak))
    if mouth + leak < NO_FLOW:
        return "no flow"
    words = [ML_MIN.show(v, 2) if v >= NO_FLOW else "nothing" for v in (mouth, leak)]
    return f"{words[0]} through the opening and {words[1]} out of the incision"


def set_words(state: State, first: State) -> str:
    """Return what events have changed since the start, or ""."""
    parts = []
    if not state.on:
        parts.append("drive off")
    elif state.power != first.power:
        parts.append(f"power {PERCENT.show(state.power)}")
    if state.flow.aspiration < first.flow.aspiration:
        parts.append("flow lost")
    if state.flow.occlusion != first.flow.occlusion:
        parts.append(f"opening {PERCENT.show(state.flow.occlusion)} occluded")
    if state.stuck != first.stuck:
        parts.append("viscoelastic cleared")
    if state.flat != first.flat:
        parts.append("chamber flat")
    return ", ".join(parts)


def side_lines(result: Result) -> list[str]:
    """Return how warm one needle gets, in short sentences.

    Examples
    --------
    >>> from tipsim import solve
    >>> side_lines(solve(Scenario.preset("straight, axial")))[1]
    'It does not reach 45 °C during the run.'
    """
    run = result.heat
    place = "sleeve's outside" if run.cells.sleeved.any() else "bare metal"
    out = [_peak_line(run, place), *_limit_lines(result)]
    out += _chamber_lines(result)
    if run.boiled is not None:
        out.append(
            f"The fluid boils after {seconds(run.boiled)}. From then on the model is rough: fluid "
            f"stays at its boiling point, and up to {result.text('heat.dry')} of that in sleeve "
            f"and lumen boils away ({result.text('heat.evaporated')} in all)."
        )
    if run.peak_wound is not None:
        out.append(f"The tissue at the sleeve reaches {celsius(run.peak_wound)}.")
    if run.cells.sleeved.any():
        out.append(f"The metal inside reaches {result.text('heat.peak_metal')}.")
    return out


def _chamber_lines(result: Result) -> list[str]:
    out = []
    scenario, flat = result.scenario, result["heat.chamber_flat"]
    if first_state(scenario).stuck:
        until = next((t for t, state in states(scenario) if not state.stuck), None)
        when = "during the whole run" if until is None else f"until {seconds(until)}"
        out.append(f"Viscoelastic stands around the tip {when}: nothing flows, nothing cools.")
    if flat is not None:
        left = PERCENT.show(scenario.chamber.left)
        out.append(
            f"The chamber is flat after {seconds(flat)}: {left} of its fluid is left (assumed), "
            "which warms faster."
        )
    return out


def _peak_line(run: HeatRun, place: str) -> str:
    peak = run.peak_sleeve
    rise = peak - float(run.temperature[0, 0])
    if rise < FLOOR:
        return f"The {place} stays at its temperature."
    when = float(run.time[int(np.argmax(run.sleeve_peak))])
    return f"The {place} reaches {celsius(peak)}, a rise of {rise:.1f} °C, after {seconds(when)}."


def _limit_lines(result: Result) -> list[str]:
    out: list[str] = []
    for limit, name in LIMITS.items():
        if result[name] is None:
            return [*out, f"It does not reach {limit:g} °C during the run."]
        out.append(f"It reaches {limit:g} °C after {result.text(name)}.")
    return out


def compared(a: Result, b: Result) -> list[str]:
    """Return how both differ, and what heats them."""
    ends = float(min(r.heat.time[-1] for r in (a, b)))
    one, two = (float(np.interp(ends, r.heat.time, r.heat.sleeve_peak)) for r in (a, b))
    if abs(one - two) < 0.2:
        out = [f"After {seconds(ends)} both are equally warm outside."]
    else:
        hotter, by = ("A", one - two) if one > two else ("B", two - one)
        out = [f"After {seconds(ends)} {hotter} is {by:.1f} °C warmer outside."]
    for key, result in (("A", a), ("B", b)):
        total = result["heat.warming"]
        if total > 0:
            most = max(HEATING.values(), key=lambda name: float(result[name]))
            cause = quantity(most).short
            share = f"{result[most] / total * 100:.0f} %"
            out.append(f"{key}: most of its heat: {cause[0].lower()}{cause[1:]} ({share}).")
    return out
