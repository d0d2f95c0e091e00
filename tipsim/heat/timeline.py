"""A bench through time: the temperatures of needle, fluid, sleeve and tissue."""

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tipsim.heat.cells import Cells, cut, spread_around
from tipsim.heat.legs import Legs, Model
from tipsim.heat.march import March
from tipsim.heat.moment import sources_of
from tipsim.heat.sources import Sources
from tipsim.motion.run import Motion, run
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.event import Event
from tipsim.setup.scenario import Scenario


@described(eq=False)
class HeatRun:
    """Temperatures of a bench over time."""

    scenario: Scenario
    cells: Cells
    time: Floats = about("Times [s], shape (q,).")
    temperature: Floats = about("Temperatures of all cells [K], shape (q, k).")
    sources: Sources = about(
        "Watts while the drive is on, at the bench's own setting (with its load, if any)."
    )
    duty: float = about(
        "Share of time that the drive is on, by which watts are averaged; 1 where each pulse is "
        "marched through."
    )
    imbalance: float = about("Largest relative error of the energy balance.")
    boiled: float | None = about(
        "When fluid began to boil [s]; what comes after it is rough, see `tipsim.heat.boiling`."
    )
    dry: Floats = about("Share of each cell's fluid that has boiled away, shape (q, k).")
    steam: Floats = about("Fluid that has evaporated so far [kg], shape (q,).")

    def layer(self, name: str) -> Floats:
        """Return a layer's temperatures (q, n, m) [K]; NaN where it has no cell."""
        index = self.cells.index[name]
        out = np.full((len(self.time), *index.shape), np.nan)
        out[:, index >= 0] = self.temperature[:, index[index >= 0]]
        return out

    def _peak(self, *layers: str) -> Floats:
        """Return the highest temperature of some layers over time (q,) [K]."""
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

    @cached_property
    def dry_share(self) -> Floats:
        """Share of the fluid in sleeve and lumen that has boiled away, over time (q,)."""
        index = [self.cells.index[name] for name in ("annulus", "bore")]
        cells = np.concatenate([i[i >= 0] for i in index])
        volume = self.cells.fluid_volume[cells]
        return np.asarray(self.dry[:, cells] @ volume / volume.sum())

    @property
    def film_in_sleeve(self) -> float:
        """Heat in the fluid film between shaft and sleeve, while the drive is on [W]."""
        return float(self.sources.watts["films_outside"][self.cells.sleeved].sum())

    def seconds_to(self, temperature: float) -> float | None:
        """Return when the sleeve's outside first reaches a temperature [K]; None if never [s]."""
        return first_reached(self.time, self.sleeve_peak, temperature)


def first_reached(time: Floats, course: Floats, level: float) -> float | None:
    """Return when a course over time (q,) first reaches a level, between its steps; None if never.

    >>> first_reached(np.array([0.0, 1.0, 2.0]), np.array([20.0, 20.0, 40.0]), 25.0)
    1.25
    """
    above = np.flatnonzero(course >= level)
    if not len(above):
        return None
    i = int(above[0])
    if i == 0:
        return float(time[0])
    w = (level - course[i - 1]) / (course[i] - course[i - 1])
    return float(time[i - 1] + w * (time[i] - time[i - 1]))


def reached_after(time: Floats, curve: Floats, level: float, since: float) -> float | None:
    """Return how long after a moment a curve over time (q,) first is at a level; None if never.

    >>> reached_after(np.array([0.0, 4.0, 8.0]), np.array([20.0, 20.0, 60.0]), 40.0, 5.0)
    1.0
    """
    later = time > since
    begin = float(np.interp(since, time, curve))
    times, values = np.r_[since, time[later]], np.r_[begin, curve[later]]
    found = first_reached(times, values, level)
    return None if found is None else found - since


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

    Examples
    --------
    >>> bench = Scenario.preset("straight, axial")
    >>> warm = heat_run(bench, 5.0)
    >>> bool(warm.peak_sleeve > bench.outside.temperature), warm.boiled is None
    (True, True)
    """
    model = model or Model()
    motion = motion or run(scenario)
    happens = scenario.events if events is None else events
    cells = full = cut(scenario, model.slices, model.sectors)
    if scenario.press is None and all(e.what != "load" for e in happens):
        # Nothing tells one side from another, so one sector stands for all.
        cells = cut(scenario, model.slices, 1)
    legs = Legs(scenario, motion, cells, model, 1.0 if resolved else scenario.duty.on_fraction)
    first = np.full(cells.size, scenario.outside.temperature)
    parts = legs.follow(happens, first, 0.0, duration, resolved)
    own = slice(None) if cells is full else spread_around(full, cells)
    before = np.cumsum([0.0, *(part.steam[-1] for part in parts)])
    steam = [part.steam[1:] + so_far for part, so_far in zip(parts, before, strict=False)]
    return HeatRun(
        scenario,
        full,
        np.concatenate([[0.0], *(part.time[1:] for part in parts)]),
        np.concatenate([first[None], *(part.temperature[1:] for part in parts)])[:, own],
        sources_of(scenario, motion, cells),
        legs.duty,
        max(part.imbalance for part in parts),
        next((part.boiled for part in parts if part.boiled is not None), None),
        _dry(parts, full.size, own),
        np.concatenate([[0.0], *steam]),
    )


def _dry(parts: list[March], size: int, own: slice | NDArray[np.intp]) -> Floats:
    """Return the share of each cell's fluid that has boiled away, over all parts (q, k)."""
    if all(part.boiled is None for part in parts):
        return np.broadcast_to(0.0, (1 + sum(len(part.time) - 1 for part in parts), size))
    return np.concatenate([parts[0].dry[:1], *(part.dry[1:] for part in parts)])[:, own]
