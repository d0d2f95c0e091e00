"""Assumed and fitted numbers of the heat model that the page lets a learner move."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tipsim.heat.legs import Model
from tipsim.heat.sources import Friction
from tipsim.heat.thermal import Thermal
from tipsim.setup.errors import BadInput
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import Sourced, number

FRICTION = {
    "rubbing.coefficient": "rubbing",
    "squeeze.modulus": "modulus",
    "squeeze.loss": "loss",
}
"""Numbers by id, and the field of `Friction` that each sets."""
THERMAL = {
    "thermal.nusselt_annulus": "annulus_nusselt",
    "thermal.nusselt_bore": "bore_nusselt",
    "thermal.annulus_mixing": "mixing",
    "thermal.silicone_conductivity": "silicone_k",
    "thermal.air_film": "air",
    "thermal.chamber_film": "chamber",
}
"""Numbers by id, and the field of `Thermal` that each sets."""
MOVABLE = (*FRICTION, *THERMAL)
Moved = tuple[tuple[str, float], ...]
"""Numbers that are not as in the data files: id, and value in the number's own unit."""


def moved(before: Moved, id: str, value: float) -> Moved:
    """Give the numbers with one set, in a fixed order; one that is as in its file is left out.

    Raises
    ------
    BadInput
        For an unknown number or a value beyond its range.

    Examples
    --------
    >>> moved((), "rubbing.coefficient", 0.2)
    (('rubbing.coefficient', 0.2),)
    >>> moved(_, "rubbing.coefficient", number("rubbing.coefficient").value)
    ()
    """
    if id not in MOVABLE:
        raise BadInput(id, "not here", ", ".join(MOVABLE))
    n = number(id)
    if not n.low <= value <= n.high:
        unit = f" {n.unit.symbol}".rstrip()
        raise BadInput(id, f"{value:g}{unit}", f"{n.low:g} to {n.high:g}{unit}")
    values = dict(before) | {id: value}
    return tuple((k, values[k]) for k in MOVABLE if k in values and values[k] != number(k).value)


def value_of(numbers: Moved, n: Sourced) -> float:
    """Give a number as it is set, in its own unit."""
    return dict(numbers).get(n.id, n.value)


def model_with(scenario: Scenario, numbers: Moved, model: Model) -> Model:
    """Give a model of heat with some numbers moved."""
    if not numbers:
        return model
    friction = _fields(FRICTION, numbers)
    thermal = _fields(THERMAL, numbers)
    return replace(
        model,
        friction=replace(Friction.usual(), **friction) if friction else model.friction,
        thermal=replace(Thermal.usual(scenario), **thermal) if thermal else model.thermal,
    )


def _fields(names: Mapping[str, str], numbers: Moved) -> dict[str, float]:
    return {names[id]: number(id).unit.to_si(v) for id, v in numbers if id in names}
