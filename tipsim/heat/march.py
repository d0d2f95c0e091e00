"""Marching the heat network through time: steps by error, boiling held at its plateau."""

from collections.abc import Callable

import numpy as np

from tipsim.heat.power import Heating
from tipsim.heat.stepping import SMALLEST, Marcher, Power
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described

FIRST_LEVEL = 3
ROUGHER = 20.0
"""Error that is allowed while fluid boils, over that allowed before: a plateau is rough anyhow."""
MOST_BEYOND = 0.05
"""By how much more than it holds a cell may lose in a step."""
MOST_GROWTH = 3
"""Levels that a step may grow by at once."""


@described(eq=False)
class March:
    """Temperatures over time."""

    time: Floats = about("Times [s], shape (q,).")
    temperature: Floats = about("Temperatures of all cells [K], shape (q, k).")
    imbalance: float = about(
        "Largest difference between energy stored and energy put in less what left, over what "
        "was put in or stored so far."
    )
    boiled: float | None = about("When the first fluid cell reached boiling [s].")
    dry: Floats = about("Share of each cell's fluid that has boiled away, shape (q, k).")
    steam: Floats = about("Fluid that has evaporated since the beginning [kg], shape (q,).")


def march(
    marcher: Marcher,
    start: Floats,
    begin: float,
    end: float,
    power: Power,
    dry: Floats | None = None,
    first_level: int = FIRST_LEVEL,
) -> March:
    """March from one time to another, with steps chosen by error.

    Parameters
    ----------
    start : (k,) array
        Temperatures at the beginning [K].
    begin, end : float
        Times [s].
    power : callable
        Sources [W] from temperatures [K]; a `Heating` where the marcher knows of boiling.
    dry : (k,) array, optional
        That share at the beginning; nothing when absent.
    first_level : int
        Level of the first step.
    """
    run = _Run(marcher, start, begin, power, np.zeros_like(start) if dry is None else dry)
    level = first_level
    while run.now < end - 1e-12:
        rest, whole = end - run.now, marcher.step_size(level)
        # The rest of the way is one step, or two alike.
        last = rest <= whole * (1 + 1e-9)
        step = rest if last else rest / 2 if rest < 1.5 * whole else whole
        off = run.take(step)
        if off > 1 and (level > 0 or step > SMALLEST):
            # A step that is cut short is smaller than its level; error goes with its cube.
            fits = int(np.floor(np.log2(step / SMALLEST) + 1e-9))
            level = max(0, min(level, fits) - max(1, int(np.ceil(np.log2(off) / 3))))
            continue
        run.accept()
        if off < 1 / 64 and not last:
            grown = int(np.log2(1 / max(off, 1e-12)) / 3)
            level += min(grown, MOST_GROWTH)
    return run.whole()


class _Run:
    """A march on its way: the state now, and what was kept of it."""

    def __init__(
        self, marcher: Marcher, start: Floats, begin: float, power: Power, dry: Floats
    ) -> None:
        self.marcher, self.power, self.now = marcher, power, begin
        self.start = self.t = start
        self.dry = dry
        self.trend = np.zeros_like(start)
        self.rate: tuple[Floats, Floats] | None = None
        self.stored = self.put_in = self.came = self.steam = 0.0
        self.scale, self.imbalance = 1e-12, 0.0
        self.boiled: float | None = None
        self.times, self.states, self.dries, self.steams = [begin], [start], [dry], [0.0]

    def _gain(self) -> Callable[[Floats], Floats]:
        heat, dry = self.power, self.dry
        return (lambda t: heat(t, dry)) if isinstance(heat, Heating) and dry.any() else heat

    def take(self, step: float) -> float:
        """Try a step; return its error over what is allowed."""
        m, gain = self.marcher, self._gain()
        if self.rate is None:
            self.rate = m.rate(self.t, m.outside(self.now) + gain(self.t), self.dry)
        done = m.take(self.t, step, gain, self.now, self.rate, self.trend, self.dry)
        self.size, self.done = step, done
        off = done.error / m.tolerance
        if done.steam.any() or self.dry.any():
            assert m.boiling is not None and isinstance(self.power, Heating)
            film = self.power.films(done.new)[m.boiling.cells]
            self.dried = m.boiling.dried(self.dry, done.steam, film, step)
            # A step over which a cell falls dry is cut, so that it ends about there.
            off = max(off / ROUGHER, 2.0 if self.dried[-1] > MOST_BEYOND else 0.0)
        return off

    def accept(self) -> None:
        """Keep the step that was tried."""
        done, step, capacity = self.done, self.size, self.marcher.network.capacity
        if self.boiled is None and done.steam.any():
            self.boiled = self._crossing(step)
        self.stored += float(capacity @ (done.new - self.t))
        self.put_in += done.gained
        self.came += step * float(np.abs(done.gain).sum())
        self.scale = max(self.scale, self.came, float(capacity @ np.abs(done.new - self.start)))
        self.imbalance = max(self.imbalance, abs(self.stored - self.put_in) / self.scale)
        self.trend = (done.new - self.t) / step
        self.t, self.now, self.rate = done.new, self.now + step, done.rate
        if done.steam.any() or self.dry.any():
            self.dry, steam, _ = self.dried
            self.steam += steam
            self.rate = None
        self.times.append(self.now)
        self.states.append(self.t)
        self.dries.append(self.dry)
        self.steams.append(self.steam)

    def _crossing(self, step: float) -> float:
        """Return when boiling began within the step [s], by how fast the fluid was warming."""
        boiling, capacity = self.marcher.boiling, self.marcher.network.capacity
        assert boiling is not None and self.rate is not None
        which = boiling.cells[self.done.steam > 0]
        warming = self.rate[0][which] / capacity[which]
        with np.errstate(divide="ignore", invalid="ignore"):
            after = np.where(warming > 0, (boiling.at - self.t[which]) / warming, step)
        return self.now + float(np.clip(after, 0, step).min())

    def whole(self) -> March:
        return March(
            np.array(self.times),
            np.array(self.states),
            self.imbalance,
            self.boiled,
            np.array(self.dries),
            np.array(self.steams),
        )
