"""Heat of a drill: a coarse network of `tipsim.heat`, driven by the flows as they are."""

import math
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from tipsim.drill.scene import Scene
from tipsim.flow.balance import Flows
from tipsim.flow.transient import Transient
from tipsim.heat.cells import Cells, cut, spread_around
from tipsim.heat.dose import cem43
from tipsim.heat.legs import Model
from tipsim.heat.march import March, march
from tipsim.heat.moment import equations, heating_of
from tipsim.heat.power import Heating
from tipsim.heat.state import State
from tipsim.heat.stepping import Marcher
from tipsim.motion.run import Motion, run
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press

Floats = NDArray[np.float64]

COARSE = Model(slices=48, sectors=8, tolerance=0.3)
"""The network of a drill. Without a load one sector stands for all."""
FULL = Model()
"""The full march that the drill is compared with: flows as they are, averaged over 0.1 to 1 s."""
_EDGES = (0.0, 0.2, 0.5, 0.9, 1.4, 2.2)
_FULL_EDGES = (*(k / 10 for k in range(30)), 3.0, 3.5, 4.0, 4.5)
"""Where flows are averaged anew within a stretch [s]; alike neighbours are joined."""
_FINE, _SPLIT, _FACTOR = 0.1e-6 / 60, 0.5e-6 / 60, 1.5
"""Mean flows are rounded to steps of the first below the second [m³/s], above to steps of a factor:
so that few networks are needed."""
_MOVED = 1e-3
"""A stretch in which no temperature changes by more has no balance to speak of [K]."""
_FIRST_LEVEL, _LATER_LEVEL = 7, 10
"""Level of the first step after a change, and without one, as in `tipsim.heat.march`."""


@dataclass(frozen=True, eq=False)
class Bench:
    """A scenario as a key: to compare two whole ones at each look-up would take too long."""

    scenario: Scenario


@lru_cache(maxsize=64)
def under(bench: Bench, press: Press | None) -> Scenario:
    """Return the scenario of a bench with what presses on its sleeve."""
    return bench.scenario if press is None else replace(bench.scenario, press=press)


@dataclass(frozen=True, eq=False)
class Warmth:
    """Temperatures at a moment.

    Attributes
    ----------
    temperature, dry : (k,) arrays
        Of the cells of one sector, or of all if something has pressed on the sleeve [K]; share of
        each cell's fluid that has boiled away.
    pressed : bool
        Whether all sectors are computed.
    flat : bool
        Whether the chamber has too little fluid to count as full.
    dose : float
        Equivalent minutes at 43 °C of the incision's warmest place [s].
    """

    temperature: Floats
    dry: Floats
    pressed: bool
    flat: bool
    dose: float


@dataclass(frozen=True, eq=False)
class WarmPiece:
    """Curves of a stretch: times [s]; warmest of sleeve and incision [K]; dose [s]."""

    time: Floats
    sleeve: Floats
    wound: Floats
    dose: Floats
    imbalance: float


def begin_warm(bench: Bench, model: Model = COARSE) -> Warmth:
    """Return all at the temperature of the surroundings."""
    cells = _cells(bench, False, model)
    start = np.full(cells.size, bench.scenario.outside.temperature)
    return Warmth(start, np.zeros(cells.size), False, False, 0.0)


def warm(
    bench: Bench,
    scene: Scene,
    warmth: Warmth,
    fluid: Transient,
    lately: bool = True,
    model: Model = COARSE,
) -> tuple[WarmPiece, Warmth]:
    """March the heat through a stretch whose flow is known.

    Parameters
    ----------
    fluid : Transient
        The stretch.
    lately : bool
        Whether something has just changed: then it begins with short steps.
    model : Model
        How finely; the tests compare with the finest.
    """
    press = Press(force=scene.load) if scene.load > 0 else None
    warmth = _opened(bench, warmth, model) if press and not warmth.pressed else warmth
    cells = _cells(bench, warmth.pressed, model)
    setting = _Setting(bench, press, warmth.pressed, scene.plug > 0, warmth.flat, model)
    heat = _heating(setting, scene.ultrasound)
    temperature, dry, parts = warmth.temperature, warmth.dry, []
    level = _FIRST_LEVEL if lately else _LATER_LEVEL
    for begin, end, flows in _legs(fluid, model == FULL):
        part = _march(
            _marcher(setting, flows, scene.ultrasound > 0),
            temperature,
            dry,
            (begin, end),
            heat,
            level,
        )
        level = _LATER_LEVEL
        temperature, dry = part.temperature[-1], part.dry[-1]
        parts.append(part)
    piece = _curves(cells, parts, warmth.dose)
    dose = float(piece.dose[-1])
    return piece, replace(warmth, temperature=temperature, dry=dry, dose=dose)


def _march(
    marcher: Marcher,
    start: Floats,
    dry: Floats,
    span: tuple[float, float],
    heat: Heating,
    level: int,
) -> March:
    if dry.any() and marcher.boiling is not None:
        # Where fluid comes it fills at once what had boiled dry.
        dry = dry.copy()
        dry[marcher.boiling.cells[marcher.boiling.through > 0]] = 0.0
    return march(marcher, start, *span, heat, dry, level)


def _curves(cells: Cells, parts: list[March], dose: float) -> WarmPiece:
    time = np.concatenate([parts[0].time[:1], *(p.time[1:] for p in parts)])
    all_ = np.concatenate([parts[0].temperature[:1], *(p.temperature[1:] for p in parts)])
    sleeve, wound = (_peak(cells, all_, name) for name in ("outer", "near"))
    doses = dose + 60 * cem43(time, wound)
    # Where nothing changes its temperature the balance is rounding over rounding.
    moved = [p for p in parts if np.abs(p.temperature[-1] - p.temperature[0]).max() > _MOVED]
    return WarmPiece(time, sleeve, wound, doses, max((p.imbalance for p in moved), default=0.0))


def _peak(cells: Cells, temperature: Floats, layer: str) -> Floats:
    index = cells.index[layer]
    return np.asarray(temperature[:, index[index >= 0]].max(axis=1))


def _legs(fluid: Transient, full: bool) -> list[tuple[float, float, Flows]]:
    """Return stretches of about even flow with its mean; neighbours that are alike are joined."""
    first, last = float(fluid.time[0]), float(fluid.time[-1])
    places = _FULL_EDGES if full else _EDGES
    edges = [first + e for e in places if first + e < last - 1e-6] + [last]
    volumes = np.column_stack(
        [np.interp(edges, fluid.time, fluid.volumes[:, k]) for k in (1, 2)]
        + [_running(fluid, edges)]
    )
    out: list[tuple[float, float, Flows]] = []
    for i in range(len(edges) - 1):
        span = edges[i + 1] - edges[i]
        leaked, drawn, through = (volumes[i + 1] - volumes[i]) / span
        exact = (float(drawn - through), float(through), float(leaked))
        mouth, bypass, leak = exact if full else (_rounded(q) for q in exact)
        flows = Flows(mouth, bypass, mouth + bypass + leak, leak)
        if out and out[-1][2] == flows:
            out[-1] = (out[-1][0], edges[i + 1], flows)
        else:
            out.append((edges[i], edges[i + 1], flows))
    return out


def _running(fluid: Transient, edges: list[float]) -> Floats:
    """Return the volume that went through the bypass hole up to each edge [m³]."""
    steps = np.diff(fluid.time) * (fluid.bypass[1:] + fluid.bypass[:-1]) / 2
    return np.asarray(np.interp(edges, fluid.time, np.concatenate([[0.0], np.cumsum(steps)])))


def _rounded(flow: float) -> float:
    """Return a flow rounded; what runs backwards counts as none.

    >>> [round(_rounded(q * 1e-6 / 60) * 60e6, 2) for q in (0.2, 0.9, 3.0, 24.0)]
    [0.2, 0.75, 2.53, 28.83]
    """
    if flow < _SPLIT:
        return round(max(flow, 0.0) / _FINE) * _FINE
    return float(_SPLIT * _FACTOR ** round(math.log(flow / _SPLIT) / math.log(_FACTOR)))


@dataclass(frozen=True)
class _Setting:
    bench: Bench
    press: Press | None
    pressed: bool
    stuck: bool
    flat: bool
    model: Model

    def state(self, power: float) -> State:
        return State(power > 0, power, self.bench.scenario.flow, self.press, self.stuck, self.flat)


@lru_cache(maxsize=32)
def _cells(bench: Bench, pressed: bool, model: Model) -> Cells:
    return cut(bench.scenario, model.slices, model.sectors if pressed else 1)


@lru_cache(maxsize=16)
def motion_of(bench: Bench, press: Press | None) -> Motion:
    """Return the motion under what presses: a load holds the sleeve."""
    return run(under(bench, press))


@lru_cache(maxsize=64)
def _heating(setting: _Setting, power: float) -> Heating:
    scenario = setting.bench.scenario
    cells = _cells(setting.bench, setting.pressed, setting.model)
    motion = motion_of(setting.bench, setting.press)
    return heating_of(scenario, motion, cells, setting.state(power), scenario.duty.on_fraction)


@lru_cache(maxsize=32)
def _marcher(setting: _Setting, flows: Flows, on: bool) -> Marcher:
    scenario = setting.bench.scenario
    cells = _cells(setting.bench, setting.pressed, setting.model)
    still = Flows(0.0, 0.0, 0.0, 0.0) if setting.stuck else flows
    net, boiling = equations(scenario, cells, setting.state(1.0), still)
    # One guess for all powers, so that a matrix does not depend on who asked for it first.
    half = _heating(setting, 0.5 if on else 0.0)
    lean = np.maximum(-half.slope(np.full(cells.size, scenario.fluid.temperature)), 0.0)
    return Marcher(net, setting.model.tolerance, boiling=boiling, lean=lean)


def _opened(bench: Bench, warmth: Warmth, model: Model) -> Warmth:
    """Return the same temperatures in all sectors, which a load tells from each other."""
    one, all_ = (_cells(bench, p, model) for p in (False, True))
    own = spread_around(all_, one)
    return replace(warmth, temperature=warmth.temperature[own], dry=warmth.dry[own], pressed=True)
