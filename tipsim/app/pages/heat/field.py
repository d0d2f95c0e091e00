"""Temperatures of a run as a sheet for drawing: a lengthwise cut, at times fit for the eye."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from tipsim.heat.cells import Cells
from tipsim.heat.state import states
from tipsim.heat.timeline import HeatRun
from tipsim.motion.sections import Floats

STEP = 0.005
"""Temperatures are sent as whole multiples of this, from 0 °C on [K]."""
CELSIUS_ZERO = 273.15
LAYERS = ("metal", "annulus", "inner", "outer", "near", "far")
"""Layers of the cut, from the bore outward."""
PRESSED, OTHER, MIDDLE = "pressed", "other", "middle"


@dataclass(frozen=True, eq=False)
class Row:
    """One layer on one side of the cut.

    Attributes
    ----------
    layer : str
        "bore" or one of `LAYERS`.
    side : str
        "pressed" (up in the picture), "other", or "middle" for the bore.
    cells : (k,) array of int
        Numbers of the cells, hub first.
    start : int
        Slice of the first one.
    """

    layer: str
    side: str
    cells: NDArray[np.intp]
    start: int


def rows_of(cells: Cells) -> list[Row]:
    """Return the rows of a lengthwise cut through the middle of the press, top to bottom."""
    out = [_row(cells, layer, PRESSED, 0) for layer in reversed(LAYERS)]
    out.append(_row(cells, "bore", MIDDLE, 0))
    if cells.sectors > 1:
        out += [_row(cells, layer, OTHER, cells.sectors - 1) for layer in LAYERS]
    return [row for row in out if len(row.cells)]


def _row(cells: Cells, layer: str, side: str, sector: int) -> Row:
    column = cells.index[layer][:, sector]
    there = np.flatnonzero(column >= 0)
    return Row(layer, side, column[there], int(there[0]) if len(there) else 0)


def display_times(duration: float, breaks: tuple[float, ...], count: int) -> Floats:
    """Return times for drawing, closer where something has just changed.

    Parameters
    ----------
    duration : float
        The bench's time [s].
    breaks : tuple of float
        Times of events [s].
    count : int
        About how many times; each event takes some more.

    Returns
    -------
    array
        From 0 to `duration`, rising [s].

    Examples
    --------
    >>> display_times(4.0, (2.0,), 8).tolist()
    [0.0, 0.125, 0.5, 1.125, 2.0, 2.125, 2.5, 3.125, 4.0]
    """
    inner = sorted({t for t in breaks if 0 < t < duration})
    edges = np.array([0.0, *inner, duration])
    share = np.sqrt(np.diff(edges))
    parts = []
    for start, stop, part in zip(edges[:-1], edges[1:], share / share.sum(), strict=True):
        n = max(3, round(count * float(part)))
        # By the square: after a change temperatures run like a root of time, then level off.
        parts.append(start + (stop - start) * (np.arange(n) / n) ** 2)
    return np.concatenate([*parts, edges[-1:]])


def breaks_of(*runs: HeatRun) -> tuple[float, ...]:
    """Return the times at which something happens in any of the runs [s].

    Boiling and a chamber that falls flat count too.
    """
    boiled = {run.boiled for run in runs if run.boiled is not None}
    return tuple(sorted(boiled | {time for run in runs for time, _ in states(run.scenario)[1:]}))


def at_times(run: HeatRun, values: Floats, times: Floats) -> Floats:
    """Return values (q, ...) of a run's own steps at other times, by cubics that overshoot nowhere.

    Each stretch between two events is taken by itself, so that a bend stays sharp. Beyond the
    run's end its last value stands.
    """
    out = np.empty((len(times), *values.shape[1:]))
    edges = [0.0, *(t for t in breaks_of(run) if 0 < t < run.time[-1]), run.time[-1]]
    for start, stop in pairwise(edges):
        own = (run.time >= start - 1e-9) & (run.time <= stop + 1e-9)
        wanted = (times >= start - 1e-9) & (times <= stop + 1e-9)
        if wanted.any():
            out[wanted] = _between(run.time[own], values[own], times[wanted])
    out[times > run.time[-1] + 1e-9] = values[-1]
    return out


def _between(time: Floats, values: Floats, wanted: Floats) -> Floats:
    if len(time) < 2:
        return np.repeat(values[:1], len(wanted), axis=0)
    inside = np.clip(wanted, time[0], time[-1])
    return np.asarray(PchipInterpolator(time, values, axis=0)(inside))


def sheet(run: HeatRun, rows: list[Row], times: Floats) -> NDArray[np.uint16]:
    """Return the temperatures of all rows at some times, (q, k), as whole multiples of `STEP`."""
    cells = np.concatenate([row.cells for row in rows])
    steps = np.rint((at_times(run, run.temperature[:, cells], times) - CELSIUS_ZERO) / STEP)
    return np.clip(steps, 0, 65535).astype(np.uint16)


def outline(run: HeatRun) -> dict[str, Any]:
    """Return the geometry of the cut in millimetres: centreline at the edges, radii at the middles.

    Radii, from the inside: bore, metal, gap, sleeve's middle, sleeve, tissue near and far.
    """
    cells, needle = run.cells, run.scenario.needle
    half = (cells.gap_outer + cells.sleeve_outer) / 2
    near = cells.sleeve_outer + run.scenario.tissue.near
    radii = [cells.bore, cells.wall, cells.gap_outer, half, cells.sleeve_outer, near]
    radii.append(near + run.scenario.tissue.far)
    points = needle.points_at(cells.edges) * 1e3
    return {
        "edges": cells.edges * 1e3,
        "x": points[:, 0],
        "y": points[:, 1],
        "radii": [r * 1e3 for r in radii],
    }
