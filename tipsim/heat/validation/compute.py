"""Published rows computed: value, band over what is assumed, hit or missed."""

from collections.abc import Iterable, Mapping
from functools import cache

import numpy as np

from tipsim.heat.legs import Model
from tipsim.heat.timeline import HeatRun, heat_run
from tipsim.heat.validation.measure import MEASURES, peak
from tipsim.heat.validation.rows import SLACK, Items, Order, Row, rows
from tipsim.setup.described import about, described
from tipsim.setup.inputs import changed
from tipsim.setup.link import from_items
from tipsim.setup.sourced import number
from tipsim.setup.units import CELSIUS

FINE = Model()
ROUGH = Model(slices=40, sectors=4, tolerance=0.1)
"""For bands: within about 1 K of the fine one."""


@described()
class Outcome:
    """One row computed."""

    row: Row
    value: float = about(
        "Computed, and its band over the assumed settings; in the row's unit, inf for never."
    )
    low: float
    high: float
    peak: float = about("What orders compare [°C].")
    rubbing: float = about("Watts by rubbing and by the metal's own loss.")
    metal: float
    boiled: float | None = about("When fluid began to boil [s]; what comes after it is rough.")
    hit: bool

    @property
    def band_holds(self) -> bool:
        """Whether the published value lies in the band."""
        if self.row.rule == "below":
            return self.low <= self.row.value
        return self.low <= self.row.value <= self.high


def run_items(items: Items, model: Model, values: Mapping[str, float] | None = None) -> HeatRun:
    """Run a bench given as items of a link, with some inputs replaced: by name, in SI."""
    scenario = changed(from_items(items), values or {})
    return heat_run(scenario, scenario.duration, model=model)


def measured(
    row: Row, model: Model, items: Items | None = None, values: Mapping[str, float] | None = None
) -> float:
    """Compute the row's measure, with `items` laid over its bench and some numbers replaced."""
    take = MEASURES[row.measure]
    one = take(run_items({**row.bench, **(items or {})}, model, values))
    if row.over is None:
        return one
    # A needle or drive that is tried instead is tried on the first bench alone.
    kept = {k: v for k, v in (items or {}).items() if k not in ("needle", "drive")}
    two = take(run_items({**row.over, **kept}, model, values))
    return one / two if row.rule == "ratio" else abs(one - two)


def start_of(row: Row) -> float:
    """Return the temperature at which the row's bench starts [°C]."""
    return float(CELSIUS.from_si(from_items(row.bench).outside.temperature))


def is_hit(row: Row, value: float) -> bool:
    """Return whether a computed value counts as a hit, by the row's rule."""
    if not np.isfinite(value):
        return False
    if row.rule == "below":
        return value <= row.value
    if row.rule == "near":
        return abs(value - row.value) <= SLACK["near"]
    if row.rule == "time":
        return row.value / SLACK["time"] <= value <= row.value * SLACK["time"]
    # Rises are compared with rises: a temperature less where it started.
    base = start_of(row) if row.measure in ("sleeve", "wound") else 0.0
    return abs(value - row.value) <= SLACK[row.rule] * (row.value - base)


@cache
def outcome(row: Row) -> Outcome:
    """Compute a row: value on the fine grid, band on a rough one."""
    run = run_items(row.bench, FINE)
    value = measured(row, FINE)
    low, high = band(row)
    shift = value - measured(row, ROUGH)
    if not np.isfinite(shift):
        shift = 0.0
    return Outcome(
        row,
        value,
        min(value, low + shift),
        max(value, high + shift),
        peak(run, row.measure),
        run.sources.total("rubbing"),
        run.sources.total("metal"),
        run.boiled,
        is_hit(row, value),
    )


def band(row: Row) -> tuple[float, float]:
    """Return the lowest and highest value over what is assumed.

    Each alternative alone, then all that lower it and all that raise it at once.
    """
    usual = measured(row, ROUGH)
    tries: list[tuple[float, Items, Mapping[str, float]]] = []
    lowest: tuple[dict[str, str], dict[str, float]] = ({}, {})
    highest: tuple[dict[str, str], dict[str, float]] = ({}, {})
    for choices in _alternatives(row):
        found = [(measured(row, ROUGH, i, v), i, v) for i, v in choices]
        tries += found
        down, up = min(found, key=lambda f: f[0]), max(found, key=lambda f: f[0])
        for (side_items, side_values), best, helps in (
            (lowest, down, down[0] < usual),
            (highest, up, up[0] > usual),
        ):
            if helps:
                side_items.update(best[1])
                side_values.update(best[2])
    ends = [measured(row, ROUGH, items, values) for items, values in (lowest, highest)]
    every = [usual, *(t[0] for t in tries), *ends]
    return min(every), max(every)


def _alternatives(row: Row) -> Iterable[list[tuple[Items, Mapping[str, float]]]]:
    for low, high in row.vary:
        yield [(low, {}), (high, {})]
    for id in rows().numbers:
        n = number(id)
        yield [({}, {id: n.unit.to_si(edge)}) for edge in (n.low, n.high)]


def order_holds(order: Order, found: Mapping[str, Outcome]) -> bool:
    """Return whether an order comes out right."""
    if order.rubbing_over_metal:
        return all(found[id].rubbing > found[id].metal for id in order.rubbing_over_metal)
    return found[order.hotter].peak > found[order.cooler].peak
