"""Ready-made scenarios by name: a needle of the catalogue, in its sleeve, on a drive."""

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

from tipsim.setup.catalogue import catalogue, drive, fluid, needle, sleeve
from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.thermal import Press

LOADED_SHAPES = ("single-bend", "counter-bent")
"""Shapes that have a preset with a bench load."""


@cache
def scenario_of(needle_id: str, drive_kind: str, name: str | None = None) -> Scenario:
    """Return a needle of the catalogue in its own sleeve, at full power."""
    return Scenario(
        name=name or f"{needle_id}, {drive_kind}",
        needle=needle(needle_id),
        sleeve=sleeve(catalogue().sleeve_for[needle_id]),
        drive=drive(drive_kind),
        fluid=fluid(),
    )


@cache
def presets() -> Mapping[str, Scenario]:
    """Return every preset by name: a shape (or a needle's id) and a drive.

    >>> sorted(presets())[:2]
    ['counter-bent, axial', 'counter-bent, elliptical']
    """
    c = catalogue()
    out = {}
    for kind in c.drives:
        for shape, id in c.main.items():
            out[f"{shape}, {kind}"] = scenario_of(id, kind, f"{shape}, {kind}")
        for id in c.needles:
            out[f"{id}, {kind}"] = scenario_of(id, kind)
    return out


@cache
def loaded() -> Mapping[str, Scenario]:
    """Return the presets with a load on the sleeve, by name.

    >>> list(loaded())
    ['single-bend, torsional, bench load', 'counter-bent, torsional, bench load']
    """
    names = {f"{shape}, torsional": f"{shape}, torsional, bench load" for shape in LOADED_SHAPES}
    return {name: bench_load(presets()[plain], name) for plain, name in names.items()}


def bench_load(scenario: Scenario, name: str) -> Scenario:
    """Return a scenario loaded as in studies: a weight on the sleeve, tip occluded, little leak."""
    flow = replace(scenario.flow, leak=number("bench_load.leak").si, occlusion=1.0)
    time = number("bench_load.time").si
    return replace(scenario, name=name, flow=flow, press=Press(), duration=time)


def preset(name: str) -> Scenario:
    """Return a preset by name.

    Raises
    ------
    BadInput
        For an unknown name, with the nearest known one.

    Examples
    --------
    >>> preset("single-bend, torsional").needle.shape
    'single-bend'
    """
    every = {**presets(), **loaded()}
    if name not in every:
        short = [f"{shape}, {kind}" for kind in catalogue().drives for shape in catalogue().main]
        raise BadInput("scenario", f'"{name}"', f"{'; '.join(short)}{nearest(name, every)}")
    return replace(every[name])


# `Scenario.preset` is the same function by another name; a scenario knows of no catalogue.
Scenario.preset = staticmethod(preset)
