"""What an expression may name: quantities of the model's results, settings, sourced numbers."""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from tipsim import store
from tipsim.lesson.expression import Path
from tipsim.lesson.filmed import mark_stroke
from tipsim.lesson.format import Side, Value
from tipsim.motion.camera import sampling
from tipsim.motion.sections import Floats
from tipsim.quantities import PARTS, plain
from tipsim.quantities import QUANTITIES as OUTPUTS
from tipsim.setup import sourced
from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.link import from_items
from tipsim.setup.plain import to_plain
from tipsim.solve import Result

_TIME = re.compile(r"\.(seconds_to_|boiled_after_|flat_|pressure_gone_)\w+$")
QUANTITIES = {q.alias: q for q in OUTPUTS.values() if q.alias}
"""Every short name; anything else is reached by its path."""


def part_of(result: Result, name: str) -> Any:
    """Return a part of `Result.to_dict` by name, or "setting" or "title", without the others.

    Raises
    ------
    BadInput
        For an unknown name.
    """
    if name == "title":
        return result.scenario.needle.title
    if name == "setting":
        return to_plain(result.scenario)
    if name not in PARTS:
        known = [*QUANTITIES, "title", "setting", *PARTS]
        allowed = f"such as end_stroke_um_pp{nearest(name, known)}"
        raise BadInput(name, "not a known quantity", allowed)
    return plain(result, name)


def read_path(part: Callable[[str], Any], path: Path) -> Any:
    """Return what a path leads to, from a function that returns the parts of a result."""
    if len(path) == 1 and path[0] in QUANTITIES:
        path = QUANTITIES[str(path[0])].path
    return _plain(_walk(part(str(path[0])), path[1:], _dotted(path)), _dotted(path))


_Items = tuple[tuple[str, str], ...]


def _result(items: _Items) -> Result:
    key = store.Key("side of a lesson", items)
    return store.result(store.keep(key, lambda: from_items(dict(items))))


def _part(items: _Items, name: str) -> Any:
    return store.keep(store.Key("plain", items, name), lambda: part_of(_result(items), name))


@dataclass(frozen=True)
class Solved:
    """One side, solved when something of it is asked for first."""

    items: _Items

    @property
    def result(self) -> Result:
        """All that was computed."""
        return _result(self.items)

    def value(self, path: Path) -> Any:
        """Return what a path behind the side leads to."""
        return read_path(lambda name: _part(self.items, name), path)

    @property
    def from_end(self) -> Floats:
        """Distance of each node from the end [mm], hub first, shape (n,)."""
        s = self.result.motion.frame.s
        return np.asarray((s[-1] - s) * 1e3)

    def curve(self, of: str) -> Floats:
        """Return a stroke at each node [µm peak to peak], hub first: "stroke" or "sideways"."""
        m = self.result.motion
        return np.asarray((m.stroke if of == "stroke" else m.sideways_stroke) * 1e6)

    def at(self, of: str, distance: float) -> float:
        """Return the value of a curve at a distance from the end [mm]."""
        if not 0 <= distance <= self.from_end[0]:
            raise BadInput("distance", f"{distance:g} mm", f"0 to {self.from_end[0]:.4g} mm")
        return float(np.interp(distance, self.from_end[::-1], self.curve(of)[::-1]))


def solved(side: Side) -> Solved:
    """Solve one side of a link.

    Raises
    ------
    BadInput
        Naming the item, its value and what is allowed.

    Examples
    --------
    >>> round(solved({"needle": "single-bend", "power": "50"}).value(("end_stroke_um_pp",)))
    65
    """
    found = Solved(tuple(sorted(side.items())))
    _ = found.result.motion  # What cannot be solved is refused here.
    return found


def stroke_at(side: Solved, distance: float) -> float:
    """Stroke [µm peak to peak] at a distance from the end [mm]."""
    return side.at("stroke", distance)


def sideways_at(side: Solved, distance: float) -> float:
    """Sideways stroke [µm peak to peak] at a distance from the end [mm]."""
    return side.at("sideways", distance)


def apparent_hz(frequency: float, rate: float) -> float:
    """Frequency [Hz] that a film of some pictures a second shows a vibration [Hz] at."""
    return sampling.apparent_frequency(frequency, rate)


def travel_um(frequency: float, stroke: float, time: float) -> float:
    """Largest travel [µm] in a time [µs] at a frequency [Hz] and stroke [µm peak to peak]."""
    return sampling.smear(stroke * 1e-6, frequency, time * 1e-6) * 1e6


def cycles_in(frequency: float, time: float) -> float:
    """Cycles of a frequency [Hz] in a time [µs]."""
    return sampling.exposed_cycles(frequency, time * 1e-6)


def _round(value: float, digits: float = 0) -> float:
    return float(round(value, int(digits)))


FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "min": min,
    "max": max,
    "abs": abs,
    "round": _round,
    "sqrt": math.sqrt,
    "stroke_at": stroke_at,
    "sideways_at": sideways_at,
    "apparent_hz": apparent_hz,
    "travel_um": travel_um,
    "cycles_in": cycles_in,
    "mark_um": lambda side, number, seen: mark_stroke(side.result, number, seen),
}
"""What an expression may call."""


@dataclass(frozen=True)
class Values:
    """Where an expression looks names up.

    Parameters
    ----------
    sides : mapping
        Settings by side; solved when first named.
    own : mapping
        Values by name: of the variant, and ``truth``.

    Examples
    --------
    >>> from tipsim.lesson.expression import evaluate
    >>> values = Values({"a": {"needle": "straight", "drive": "axial"}}, {"power": 40.0})
    >>> round(evaluate("a.end_stroke_um_pp * power / 100", values))
    36
    """

    sides: Mapping[str, Side]
    own: Mapping[str, Value]

    @property
    def functions(self) -> Mapping[str, Callable[..., float]]:
        """What may be called."""
        return FUNCTIONS

    def with_own(self, **own: Value) -> "Values":
        """Return the same with more values of its own."""
        return Values(self.sides, {**self.own, **own})

    def look_up(self, path: Path) -> Any:
        """Return the value of a dotted name; raises BadInput for an unknown one."""
        first, rest = str(path[0]), path[1:]
        if first in self.own and not rest:
            return self.own[first]
        if first in self.sides:
            side = Solved(tuple(sorted(self.sides[first].items())))
            return side.value(rest) if rest else side
        if first == "sourced" and len(rest) == 2:
            return sourced.number(_dotted(rest)).value
        known = [*self.own, *self.sides, "sourced", *FUNCTIONS]
        raise BadInput(_dotted(path), "not a known name", ", ".join(known) + nearest(first, known))


def _walk(data: Any, path: Path, whole: str) -> Any:
    """Follow a path through tables and lists."""
    for step in path:
        if isinstance(step, int) and isinstance(data, list):
            if not -len(data) <= step < len(data):
                raise BadInput(whole, f"a list of {len(data)}", "a place within it")
            data = data[step]
        elif isinstance(data, Mapping) and step in data:
            data = data[step]
        else:
            known = [str(k) for k in data] if isinstance(data, Mapping) else []
            allowed = f"one of {', '.join(known)}" if known else "a path that ends earlier"
            raise BadInput(whole, "not there", allowed + nearest(str(step), known))
    return data


def _plain(value: Any, whole: str) -> Any:
    """Return numbers as floats; refuse what is no value. A time that never comes is endless."""
    if value is None and _TIME.search(whole):
        return math.inf
    if value is None or isinstance(value, Mapping | list):
        what = "empty here" if value is None else "a table or list"
        raise BadInput(whole, what, "a path to a value that is there")
    return value if isinstance(value, str | bool) else float(value)


def _dotted(path: Path) -> str:
    out = ""
    for step in path:
        out += f"[{step}]" if isinstance(step, int) else f".{step}" if out else str(step)
    return out
