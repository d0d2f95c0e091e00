"""What a run shows, in sentences and in rows of numbers."""

from __future__ import annotations

import numpy as np

from tipsim.app.heat.energy import shares
from tipsim.flow.balance import flows
from tipsim.heat.timeline import HeatRun
from tipsim.setup.units import CELSIUS, GRAM, ML_MIN, MM

NO_FLOW = ML_MIN.to_si(0.005)
"""Less is nothing in words [m³/s]."""
FLOOR = 0.05
"""A rise below this is not worth a sentence [K]."""


def celsius(kelvin: float) -> str:
    """Write a temperature.

    >>> celsius(298.15)
    '25.0 °C'
    """
    return f"{kelvin - 273.15:.1f} °C"


def seconds(value: float) -> str:
    """Write a time, to a tenth below ten seconds.

    >>> seconds(3.24), seconds(41.6), seconds(0.04)
    ('3.2 s', '42 s', '0.04 s')
    """
    if value < 0.1:
        return f"{value:.2f} s"
    return f"{value:.1f} s" if value < 9.95 else f"{value:.0f} s"


def told(run: HeatRun) -> str:
    """Describe a bench in one sentence.

    >>> from tipsim import Scenario, solve
    >>> told(solve(Scenario.preset("straight, axial")).heat).split(", ", 5)[:5]
    ['Straight', 'axial', '100 %', 'sleeved', 'in air']
    """
    s = run.scenario
    parts = [
        s.needle.title.split(",")[0],
        s.drive.kind,
        f"{s.drive.power * 100:g} %",
        "sleeved" if s.sleeve else "no sleeve",
        AROUND[s.outside.kind],
        flow_words(run),
    ]
    if s.press is not None:
        place = f"{MM.show(s.press.place)} from the end"
        parts.append(f"{GRAM.show(s.press.force)} on the sleeve, {place}")
    return ", ".join(parts)


AROUND = {
    "air": "in air",
    "dry": "in air, dry",
    "chamber": "under water",
    "wound": "in a wound",
}
"""What is around the needle, in words."""


def flow_words(run: HeatRun) -> str:
    """Tell what flows at the start: what bottle, pump, mouth and wound make of each other.

    >>> from tipsim import Scenario, solve
    >>> flow_words(solve(Scenario.preset("straight, axial")).heat)
    '25 mL/min through the mouth and 3.1 mL/min by the wound'
    """
    found = flows(run.scenario)
    mouth, leak = (max(v, 0.0) for v in (found.mouth, found.leak))
    if mouth + leak < NO_FLOW:
        return "no flow"
    words = [ML_MIN.show(v, 2) if v >= NO_FLOW else "nothing" for v in (mouth, leak)]
    return f"{words[0]} through the mouth and {words[1]} by the wound"


def side_lines(run: HeatRun) -> list[str]:
    """Tell how warm one needle gets, in short sentences.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> side_lines(solve(Scenario.preset("straight, axial")).heat)[1]
    'It does not reach 45 °C in the time that is computed.'
    """
    place = "sleeve's outside" if run.cells.sleeved.any() else "bare metal"
    out = [_peak_line(run, place)]
    out += _limit_lines(run)
    if run.boiled is not None:
        out.append(
            f"The water boils after {seconds(run.boiled)}. The model ends there: no temperature "
            "beyond is drawn."
        )
    if run.peak_wound is not None:
        out.append(f"The tissue at the sleeve reaches {celsius(run.peak_wound)}.")
    if run.cells.sleeved.any():
        metal = float(run.metal_peak.max())
        out.append(f"The metal inside reaches {celsius(metal)}.")
    return out


def _peak_line(run: HeatRun, place: str) -> str:
    peak = run.peak_sleeve
    rise = peak - float(run.temperature[0, 0])
    if rise < FLOOR:
        return f"The {place} stays as it is."
    when = float(run.time[int(np.argmax(run.sleeve_peak))])
    more = f"{rise:.1f} °C more than at first, after {seconds(when)}"
    return f"The {place} reaches {celsius(peak)}, {more}."


def _limit_lines(run: HeatRun) -> list[str]:
    out, over = [], "in the time that is computed"
    for limit in (45.0, 60.0):
        after = run.seconds_to(CELSIUS.to_si(limit))
        if after is None:
            out.append(f"It does not reach {limit:g} °C {over}.")
            break
        out.append(f"It reaches {limit:g} °C after {seconds(after)}.")
    return out


def compared(a: HeatRun, b: HeatRun) -> list[str]:
    """Tell how both differ, and what heats them."""
    out = []
    ends = min(a.time[-1], b.time[-1])
    one, two = (float(np.interp(ends, r.time, r.sleeve_peak)) for r in (a, b))
    if abs(one - two) < 0.2:
        out.append(f"After {seconds(ends)} both are equally warm outside.")
    else:
        hotter, by = ("A", one - two) if one > two else ("B", two - one)
        out.append(f"After {seconds(ends)} {hotter} is {by:.1f} °C warmer outside.")
    for key, run in (("A", a), ("B", b)):
        heating = [s for s in shares(run) if s.heats]
        total = sum(s.watts for s in heating)
        if total <= 0:
            continue
        most = max(heating, key=lambda s: s.watts)
        words = most.title[0].lower() + most.title[1:]
        out.append(f"{key}: most of its heat comes from: {words} ({most.watts / total:.0%}).")
    return [line.replace("%)", " %)") for line in out]
