"""No answer is graded on a number of the model that a published measurement contradicts.

The page Evidence compares the model with published rows. Where it misses one, a lesson may say so,
and may show what the model gives; it may not call a learner's answer right or wrong by it.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass
from functools import cache

from tipsim.heat.validation.compute import FINE, is_hit, measured, run_items
from tipsim.heat.validation.measure import peak
from tipsim.heat.validation.rows import Order, Row, rows
from tipsim.lesson.ask import Asked
from tipsim.lesson.faults import Faults, quoted
from tipsim.lesson.format import Formula
from tipsim.setup.link import from_items
from tipsim.setup.scenario import Scenario

_HEAT = re.compile(r"\b([abcd])\.(heat|wound)\.(\w+)(?:\.(\w+))?")
_SLEEVE = (
    *("peak_sleeve_temperature_c", "peak_metal_temperature_c", "boiled_after_s"),
    *("seconds_to_45_c", "seconds_to_60_c"),
)
_LITTLE = 2e-6 / 60
"""Below this a flow counts as little [m³/s]: 2 mL/min, from where published curves part."""
_NOTHING = 0.1e-6 / 60


@dataclass(frozen=True)
class Case:
    """What decides which published row speaks of a side."""

    drive: str
    shape: str
    sleeved: bool
    pressed: bool
    blocked: bool
    flow: str
    filling: str
    place: str

    @classmethod
    def of(cls, s: Scenario, place: str) -> "Case":
        """Return the case of a scenario, for a temperature at a place.

        >>> one = from_items({"needle": "straight", "events": "5:flow lost"})
        >>> Case.of(one, "sleeve").flow, Case.of(one, "sleeve").shape
        ('none', 'straight')
        """
        happens = {e.what: e for e in s.events}
        blocked = s.flow.occlusion > 0.99 or "occlusion" in happens
        through = s.flow.leak + (0.0 if blocked else s.flow.aspiration)
        if "flow lost" in happens:
            through = happens["flow lost"].flow or 0.0
        flow = "none" if through < _NOTHING else "little" if through < _LITTLE else "usual"
        pressed = s.press is not None or "load" in happens
        sleeved, filling = s.sleeve is not None, s.chamber.filling
        return cls(s.drive.kind, s.needle.shape, sleeved, pressed, blocked, flow, filling, place)


def check_missed(asked: Asked, faults: Faults) -> None:
    """Refuse an item whose answer rests on a number that the page Evidence lists as missed."""
    item = asked.item
    for formula in dict.fromkeys(_graded(item)):
        for name in _contradicted(formula.source, asked):
            allowed = f"no answer graded on it: the page Evidence lists {quoted(name)} as missed"
            faults.add(formula.place, item.id, quoted(formula.source), allowed)


def _graded(part: object) -> Iterator[Formula]:
    """Return the formulas that decide what is right."""
    if isinstance(part, Formula):
        yield part
    elif isinstance(part, tuple):
        for each in part:
            yield from _graded(each)
    elif is_dataclass(part):
        for field in fields(part):
            if field.name not in ("wrong", "variants", "bench"):
                yield from _graded(getattr(part, field.name))


def _contradicted(source: str, asked: Asked) -> Iterator[str]:
    named = {(side, _place(part, name)) for side, part, name, _ in _HEAT.findall(source)}
    cases = {
        Case.of(from_items(dict(asked.values.sides[side])), place)
        for side, place in named
        if place and side in asked.values.sides
    }
    for row in rows().rows:
        if _case(row) in cases and row_missed(row):
            yield row.id
    by_id = {row.id: row for row in rows().rows}
    watts = {more for _, _, name, more in _HEAT.findall(source) if name == "sources_w"}
    for order in rows().orders:
        if order.rubbing_over_metal:
            spoken = {"rubbing", "metal"} <= watts
        else:
            pair = by_id[order.hotter], by_id[order.cooler]
            spoken = {_case(row) for row in pair} <= cases
        if spoken and order_missed(order):
            yield order.id


def _place(part: str, name: str) -> str:
    if part == "wound":
        return "wound" if "temperature" in name or "dose" in name or "collagen" in name else ""
    return "sleeve" if name in _SLEEVE else "wound" if name == "peak_wound_temperature_c" else ""


@cache
def _case(row: Row) -> Case:
    """Return the case of a published row, worked out once: every graded answer is held to each."""
    place = "wound" if row.measure.startswith("wound") else "sleeve"
    return Case.of(from_items(row.bench), place)


@cache
def row_missed(row: Row) -> bool:
    """Return whether a published row is missed at the usual values."""
    return not row.fitted and not is_hit(row, measured(row, FINE))


@cache
def order_missed(order: Order) -> bool:
    """Return whether a published order comes out wrong."""
    by_id = {row.id: row for row in rows().rows}
    if order.rubbing_over_metal:
        runs = [run_items(by_id[id].bench, FINE).sources for id in order.rubbing_over_metal]
        return any(r.total("rubbing") <= r.total("metal") for r in runs)
    hot, cool = (by_id[id] for id in (order.hotter, order.cooler))
    warm = [peak(run_items(row.bench, FINE), row.measure) for row in (hot, cool)]
    return warm[0] <= warm[1]
