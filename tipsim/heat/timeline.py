"""A bench through time: events, the flow and load between them, and the temperatures."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from tipsim.heat.cells import Cells, cut
from tipsim.heat.march import March, Marcher, march
from tipsim.heat.network import network
from tipsim.heat.sources import Friction, Sources, heat_sources
from tipsim.heat.thermal import Thermal
from tipsim.heat.ways import pressed_sectors, pressed_shut
from tipsim.motion.run import Motion, run
from tipsim.motion.sections import Floats
from tipsim.setup.drive import Duty
from tipsim.setup.event import Event
from tipsim.setup.flow import Flow, water_viscosity
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.thermal import Press

BOILING = number("fluid.boiling").si
"""Where the fluid boils and the model ends [K]."""
FLUID = ("annulus", "bore")


@dataclass(frozen=True)
class State:
    """What is set between two events.

    Attributes
    ----------
    on : bool
        Whether the drive runs.
    power : float
        Share of full stroke.
    flow : Flow
    press : Press or None
    """

    on: bool
    power: float
    flow: Flow
    press: Press | None

    def after(self, event: Event, first: "State", usual: Press) -> "State":
        """Give the state after an event; `first` is what the bench was set to."""
        what = event.what
        if what in ("drive on", "drive off"):
            return replace(self, on=what == "drive on")
        if what == "power":
            return replace(self, power=float(event.share or 0.0))
        if what == "occlusion":
            return replace(self, flow=replace(self.flow, occlusion=float(event.share or 0.0)))
        if what == "flow lost":
            return replace(self, flow=replace(self.flow, aspiration=0.0, leak=event.flow or 0.0))
        if what == "flow back":
            return replace(self, flow=first.flow)
        if what == "load off":
            return replace(self, press=None)
        base = self.press or first.press or usual
        changes = {"force": event.force, "place": event.place}
        return replace(
            self, press=replace(base, **{k: v for k, v in changes.items() if v is not None})
        )


@dataclass(frozen=True, eq=False)
class HeatRun:
    """Temperatures of a bench over time.

    Attributes
    ----------
    scenario : Scenario
    cells : Cells
    time : (q,) array
        Times [s].
    temperature : (q, k) array
        Temperatures of all cells [K].
    sources : Sources
        Watts while the drive is on, at the bench's own setting (with its load, if any).
    duty : float
        Share of time that the drive is on, by which watts are averaged; 1 where each pulse is
        marched through.
    imbalance : float
        Largest relative error of the energy balance.
    boiled : float or None
        When the fluid boiled and the run ended [s].
    """

    scenario: Scenario
    cells: Cells
    time: Floats
    temperature: Floats
    sources: Sources
    duty: float
    imbalance: float
    boiled: float | None

    def layer(self, name: str) -> Floats:
        """Give a layer's temperatures (q, n, m) [K]; NaN where it has no cell."""
        index = self.cells.index[name]
        out = np.full((len(self.time), *index.shape), np.nan)
        out[:, index >= 0] = self.temperature[:, index[index >= 0]]
        return out

    def _peak(self, *layers: str) -> Floats:
        """Give the highest temperature of some layers over time (q,) [K]."""
        found = [i[i >= 0] for i in (self.cells.index[name] for name in layers)]
        cells = np.concatenate(found) if found else np.array([], dtype=int)
        if not len(cells):
            return np.full(len(self.time), np.nan)
        return np.asarray(self.temperature[:, cells].max(axis=1))

    @cached_property
    def sleeve_peak(self) -> Floats:
        """Highest temperature of the sleeve's outside over time (q,) [K]; the metal's if bare."""
        return self._peak("outer") if self.cells.sleeved.any() else self._peak("metal")

    @cached_property
    def metal_peak(self) -> Floats:
        """Highest temperature of the metal over time (q,) [K]."""
        return self._peak("metal")

    @cached_property
    def wound_peak(self) -> Floats:
        """Highest temperature of the tissue next to the sleeve over time (q,) [K]."""
        return self._peak("near")

    @property
    def peak_sleeve(self) -> float:
        """Highest temperature of the sleeve's outside [K]."""
        return float(self.sleeve_peak.max())

    @property
    def peak_wound(self) -> float | None:
        """Highest temperature of the tissue [K]; None without a wound."""
        return float(self.wound_peak.max()) if self.cells.wound.any() else None

    def seconds_to(self, temperature: float) -> float | None:
        """Give when the sleeve's outside first reaches a temperature [K]; None if never [s]."""
        above = np.flatnonzero(self.sleeve_peak >= temperature)
        if not len(above):
            return None
        i = int(above[0])
        if i == 0:
            return float(self.time[0])
        low, high = self.sleeve_peak[i - 1], self.sleeve_peak[i]
        w = (temperature - low) / (high - low)
        return float(self.time[i - 1] + w * (self.time[i] - self.time[i - 1]))


@dataclass(frozen=True)
class Model:
    """How finely heat is computed, and with which numbers.

    Attributes
    ----------
    slices, sectors : int
    tolerance : float
        Error allowed in a step [K].
    friction : Friction or None
    thermal : Thermal or None
        The data files' numbers when absent.
    """

    slices: int = 80
    sectors: int = 8
    tolerance: float = 0.02
    friction: Friction | None = None
    thermal: Thermal | None = None


def heat_run(
    scenario: Scenario,
    duration: float,
    events: tuple[Event, ...] | None = None,
    model: Model | None = None,
    motion: Motion | None = None,
    resolved: bool = False,
) -> HeatRun:
    """Compute the temperatures of a bench over time.

    Parameters
    ----------
    scenario : Scenario
        Everything starts at the temperature of its surroundings; the drive is on from the start
        unless an event says otherwise.
    duration : float
        How long [s].
    events : tuple of Event, optional
        What happens meanwhile, in any order; the scenario's own when absent.
    model : Model, optional
    motion : Motion, optional
        The scenario's motion, where it is at hand.
    resolved : bool
        March through each pulse of a pulsed or burst drive, instead of with its mean power.

    Returns
    -------
    HeatRun

    Examples
    --------
    >>> bench = Scenario.preset("straight, axial")
    >>> warm = heat_run(bench, 5.0)
    >>> bool(warm.peak_sleeve > bench.outside.temperature), warm.boiled is None
    (True, True)
    """
    model = model or Model()
    motion = motion or run(scenario)
    cells = cut(scenario, model.slices, model.sectors)
    state = first = State(True, scenario.drive.power, scenario.flow, scenario.press)
    ordered = sorted(scenario.events if events is None else events, key=lambda e: e.time)
    edges = pulse_edges(scenario.duty, duration) if resolved else ()
    duty = 1.0 if resolved else scenario.duty.on_fraction
    maker = _Maker(scenario, motion, cells, model, duty)
    temperature = np.full(cells.size, scenario.outside.temperature)
    parts: list[March] = []
    now = 0.0
    for stop in sorted({*(e.time for e in ordered if e.time < duration), *edges, duration}):
        if stop > now + 1e-9:
            resting = resolved and not scenario.duty.is_on((now + stop) / 2)
            moment = replace(state, on=state.on and not resting)
            parts.append(maker.march(moment, temperature, now, stop))
            temperature, now = parts[-1].temperature[-1], stop
            if parts[-1].boiled is not None:
                break
        for event in (e for e in ordered if e.time == stop):
            state = state.after(event, first, Press())
    start = np.full((1, cells.size), scenario.outside.temperature)
    return HeatRun(
        scenario,
        cells,
        np.concatenate([[0.0], *(part.time[1:] for part in parts)]),
        np.concatenate([start, *(part.temperature[1:] for part in parts)]),
        heat_sources(scenario, motion, cells.edges, model.friction),
        duty,
        max(part.imbalance for part in parts),
        parts[-1].boiled,
    )


def pulse_edges(duty: Duty, duration: float) -> tuple[float, ...]:
    """Give when pulses begin and end before a time [s]; none for a continuous drive.

    >>> pulse_edges(Duty("pulsed", 0.25, 0.25), 1.0)
    (0.25, 0.5, 0.75)
    """
    if not duty.off_time:
        return ()
    period = duty.on_time + duty.off_time
    starts = period * np.arange(np.ceil(duration / period))
    edges = np.concatenate([starts, starts + duty.on_time])
    return tuple(float(t) for t in np.sort(edges) if 0 < t < duration)


class _Maker:
    """Makes and keeps what the marches between events need."""

    def __init__(
        self, scenario: Scenario, motion: Motion, cells: Cells, model: Model, duty: float
    ) -> None:
        self.scenario, self.motion, self.cells = scenario, motion, cells
        self.model, self.duty = model, duty
        self.marchers: dict[tuple[Flow, Press | None], Marcher] = {}
        self.fluid = np.zeros(cells.size, dtype=bool)
        for layer in FLUID:
            index = cells.index[layer]
            self.fluid[index[index >= 0]] = True
        if cells.chamber >= 0:
            self.fluid[cells.chamber] = True

    def march(self, state: State, start: Floats, begin: float, end: float) -> March:
        """March between two events."""
        key = (state.flow, state.press)
        if key not in self.marchers:
            net = network(self.scenario, self.cells, state.flow, self.model.thermal, state.press)
            self.marchers[key] = Marcher(net, self.model.tolerance)
        marcher = self.marchers[key]
        power = self._power(state)
        fluid = self.fluid
        return march(marcher, start, begin, end, power, lambda t: bool((t[fluid] >= BOILING).any()))

    def _power(self, state: State) -> Callable[[Floats], Floats]:
        """Give the sources [W] as a function of temperature: films thin out as water warms."""
        if not state.on or state.power <= 0:
            nothing = np.zeros(self.cells.size)
            return lambda _: nothing
        pressed = replace(self.scenario, press=state.press)
        found = heat_sources(pressed, self.motion, self.cells.edges, self.model.friction)
        own = self.scenario.drive.power
        scale = (state.power / own) ** 2 if own else 0.0
        # Rubbing goes with speed, everything else with speed squared.
        linear = state.power / own if own else 0.0
        closed = pressed_shut(self.scenario, self.cells, state.press)
        fixed, films = spread(found, self.cells, state.press, scale, linear, closed)
        fixed, films = self.duty * fixed, self.duty * films
        here = self.scenario.fluid.temperature
        layer = np.sqrt(water_viscosity(here))

        def power(t: Floats) -> Floats:
            thin = np.sqrt(water_viscosity(np.clip(t, 273.0, 400.0))) / layer
            return np.asarray(fixed + films * thin)

        return power


def spread(
    sources: Sources,
    cells: Cells,
    press: Press | None,
    scale: float,
    linear: float,
    closed: Floats | None = None,
) -> tuple[Floats, Floats]:
    """Put watts by slice into cells.

    Parameters
    ----------
    sources : Sources
    cells : Cells
    press : Press or None
    scale, linear : float
        Factors for what goes with speed squared, and with speed.
    closed : (n, m) array, optional
        Share of each cell of the annulus that is pressed shut: what its film loses warms metal
        and silicone there.

    Returns
    -------
    tuple of (k,) arrays
        Power that does not depend on temperature, and film power at the fluid's own [W].
        Films on bare metal heat the chamber's fluid; where there is no chamber, in air, they are
        left out, as is the loss that is not resolved.
    """
    fixed, films = np.zeros(cells.size), np.zeros(cells.size)
    w, watts = cells.weight, sources.watts
    metal, inner, annulus, bore = (cells.index[k] for k in ("metal", "inner", "annulus", "bore"))
    np.add.at(fixed, metal, scale * (watts["metal"] + watts["lens"])[:, None] * w)
    np.add.at(films, bore[:, 0], scale * watts["films_bore"])
    inside = cells.sleeved
    film = scale * watts["films_outside"][:, None] * w
    shut = np.zeros_like(film) if closed is None else closed
    there = annulus[:, 0] >= 0
    np.add.at(films, annulus[there], (film * (1 - shut))[there])
    np.add.at(films, metal[inside], 0.5 * (film * shut)[inside])
    np.add.at(films, inner[inside], 0.5 * (film * shut)[inside])
    if cells.chamber >= 0:
        films[cells.chamber] += film[cells.wet & ~there].sum()
    if press is not None:
        share = pressed_sectors(cells, press)
        rub = linear * watts["rubbing"][:, None] * share
        # Two surfaces share the heat of rubbing; here half and half, conduction does the rest.
        np.add.at(fixed, metal[inside], 0.5 * rub[inside])
        np.add.at(fixed, inner[inside], 0.5 * rub[inside])
        squeeze = scale * watts["squeezing"][:, None] * share
        np.add.at(fixed, inner[inside], squeeze[inside])
    return fixed, films
