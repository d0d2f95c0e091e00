"""What a sheet for the wet lab drills: the fault, normal use beside it, and what is assumed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import lru_cache

import numpy as np

from tipsim.heat.legs import Model
from tipsim.heat.timeline import HeatRun, first_reached, heat_run
from tipsim.heat.validation.rows import rows
from tipsim.setup.event import Event
from tipsim.setup.inputs import changed
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.units import CELSIUS

ROUGH = Model(slices=40, sectors=4, tolerance=0.1)
LIMIT = 45.0
"""Where published bench tests of sleeves stop [°C]."""
SAYS = {
    "drive on": "ultrasound starts",
    "drive off": "the foot comes off: ultrasound stops",
    "power": "the power changes",
    "occlusion": "the opening is occluded",
    "flow lost": "irrigation stops: no fluid cools the sleeve, and the chamber empties",
    "flow back": "irrigation comes back",
    "viscoelastic cleared": "the viscoelastic is aspirated: fluid flows again",
    "load": "something presses on the sleeve",
    "load off": "the pressure on the sleeve ends",
}
"""What an event means at the table."""
FAULTS = ("flow lost", "occlusion", "load")


def is_fault(s: Scenario) -> bool:
    """Return whether a bench shows a fault, and not normal use.

    >>> is_fault(Scenario.preset("straight, axial"))
    False
    """
    lasting = s.press is not None or s.flow.occlusion > 0.99
    return lasting or any(e.what in FAULTS for e in s.events)


def begins(s: Scenario) -> float:
    """Return when the fault begins [s]; a fault that is there all the time begins at 0."""
    times = [e.time for e in s.events if e.what in FAULTS]
    return min(times, default=0.0)


def normal(s: Scenario) -> Scenario:
    """Return the same bench in normal use: nothing happens, presses or occludes."""
    return replace(s, events=(), press=None, flow=replace(s.flow, occlusion=0.0))


def happenings(s: Scenario) -> list[str]:
    """Return what happens, in order, as sentences.

    >>> bench = replace(Scenario.preset("straight, axial"), events=(Event(5.0, "flow lost"),))
    >>> happenings(bench)[0][:24]
    'At 5 s irrigation stops:'
    """
    lasting = []
    if s.press is not None:
        lasting.append("All the time something presses on the sleeve.")
    if s.flow.occlusion > 0.99:
        lasting.append("All the time the opening is occluded.")
    return lasting + [f"At {e.time:g} s {_said(e)}." for e in sorted(s.events, key=_time)]


def _time(event: Event) -> float:
    return event.time


def _said(event: Event) -> str:
    if event.what == "power" and event.share is not None:
        return f"the power changes to {event.share:.0%}".replace("%", " %")
    return SAYS[event.what]


@lru_cache(maxsize=16)
def _runs(s: Scenario) -> tuple[HeatRun, ...]:
    """Compute a bench at its usual numbers, then with each assumed one at both ends."""
    ids = [*rows().numbers, *(("rubbing.coefficient",) if s.press else ())]
    ends = [(id, n.unit.to_si(end)) for id in ids for n in (number(id),) for end in (n.low, n.high)]
    cases = [s, *(changed(s, {id: value}) for id, value in ends)]
    return tuple(heat_run(case, case.duration, model=ROUGH) for case in cases)


def band(s: Scenario, value: float, of: Callable[[HeatRun], float]) -> tuple[float, float]:
    """Return the range of something over the assumed numbers, each alone, around its value."""
    usual, *others = (of(run) for run in _runs(s))
    shift = value - usual if np.isfinite(value) and np.isfinite(usual) else 0.0
    low, high = min(others, default=usual) + shift, max(others, default=usual) + shift
    return min(low, value), max(high, value)


def warmest(run: HeatRun) -> float:
    """Return the highest temperature of the sleeve's outside [°C]."""
    return float(CELSIUS.from_si(run.peak_sleeve))


def seconds_to_limit(run: HeatRun) -> float:
    """Return when the sleeve's outside is at 45 °C [s]; endless for never."""
    found = first_reached(run.time, run.sleeve_peak, float(CELSIUS.to_si(LIMIT)))
    return np.inf if found is None else found


def degrees(s: Scenario, run: HeatRun) -> str:
    """Return the sleeve's highest temperature with its band, as text."""
    value = warmest(run)
    low, high = band(s, value, warmest)
    boils = ", boiling: rough from there on" if run.boiled is not None else ""
    return f"{value:.0f} °C ({low:.0f} to {high:.0f}){boils}"


def delay(s: Scenario, run: HeatRun) -> str:
    """Return the time from the fault to 45 °C with its band, as text."""
    start = begins(s)
    value = seconds_to_limit(run)
    ends = band(s, value, seconds_to_limit)
    shown = [_seconds(t - start) for t in (value, *ends)]
    if shown[1] == shown[2]:
        return shown[0]
    return f"{shown[0]} ({shown[1]} to {shown[2]})"


def _seconds(value: float) -> str:
    return "not reached" if not np.isfinite(value) else f"{max(value, 0.0):.1f} s"


def both(a: Scenario, b: Scenario) -> Iterator[tuple[str, str]]:
    """Return what happens on each bench, with its letter; said once where both are alike."""
    first, second = happenings(a), happenings(b)
    if first == second:
        yield from (("A and B", words) for words in first)
    else:
        yield from (("A", words) for words in first)
        yield from (("B", words) for words in second)
