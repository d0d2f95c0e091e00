"""Specks of pigment: set free where sleeve and iris rub, and carried off by the stream.

How many come is relative: nothing measured ties rubbing to pigment. They come by chance (Poisson)
while the two touch, in proportion to the power of rubbing, at the place of contact.
"""

from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from tipsim.flow.balance import balance
from tipsim.motion.run import Motion
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario
from tipsim.tissue.crossings import Flutter, flutter
from tipsim.tissue.endoscope.view import View
from tipsim.tissue.iris import MINUTE, Beside, beside

STEP = 2e-3
"""Time between samples of the flutter [s]."""
LONGEST = 4.0
"""Longest time before the film from which specks are still about [s]."""
STRETCH = 8e-3
"""The stream has drawn a speck in after this way at its mean speed [m]."""
FAR = 3e-3
"""Specks further than this from where the lens is aimed are out of its light [m]."""
MOST = 2500
"""So many specks are drawn at most; far fewer already cover the picture."""
ROOM = 0.05e-3
"""Specks keep so far from sleeve and iris [m]."""
ROOT = 2.0
"""The iris is drawn as a flat sheet, hinged behind the contact by so many of its lengths."""


@described(eq=False)
class Release:
    """When and where specks come, and the gap that lets them."""

    gap: Flutter = about("Gap of iris and sleeve, from before the film begins.")
    before: float = about("Time from the gap's first sample to the film's beginning [s].")
    born: Floats = about("When each speck comes, from the film's beginning on [s], shape (n,).")
    start: Floats = about("Where: by the needle (n, 3) [m]; see `View.in_needle`.")
    speed: Floats = about("Its velocity (n, 3) [m/s].")
    stream: float = about("Mean speed of the stream at the iris [m/s].")
    rate: float = about("Mean number of specks in a second that the rubbing would set free [1/s].")
    ceiling: float = about("Lowest and highest places by the needle that specks reach [m].")
    floor: float
    middle: float = about("Distance from the tip where specks come [m], on average.")
    room: float = about("Distance from the sleeve's middle line that they keep [m].")

    @property
    def released(self) -> int:
        """Specks that come during the film."""
        return int((self.born >= 0).sum())

    def alive(self, time: Floats) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Return which specks may be about at which of some times (t,), as pairs of indices."""
        age = time - self.born[:, None]
        which, when = np.nonzero((age >= 0) & (age < STRETCH / self.stream))
        return which, when

    def at(
        self, which: NDArray[np.intp], time: Floats, aim: float
    ) -> tuple[Floats, NDArray[np.bool_]]:
        """Return where some specks are by the needle (n, k, 3) [m], and whether they are about.

        Parameters
        ----------
        which : (n,) array
        time : (n, k) array
            From the film's beginning on [s].
        aim : float
            Distance of the origin from the tip [m]: at the tip specks are drawn in.
        """
        age = time - self.born[which][:, None]
        places = self.start[which][:, None] + self.speed[which][:, None] * age[..., None]
        places[..., 1] = np.clip(places[..., 1], self.floor, self.ceiling)
        off = np.hypot(places[..., 1], places[..., 2])
        places[..., 1:] *= np.maximum(1.0, self.room / np.maximum(off, 1e-9))[..., None]
        is_about = (age >= 0) & (places[..., 0] < aim)
        return places, is_about & (np.linalg.norm(places, axis=-1) < FAR)


def chance(scenario: Scenario) -> list[np.random.Generator]:
    """Return sources of chance: flutter and specks, noise of the film, noise of the still one.

    Two needles are filmed in two runs, so that their chance differs though the seed is the same.
    """
    name = f"{scenario.needle.id} {scenario.drive.kind}".encode()
    seed = np.random.SeedSequence([int(scenario.endoscope.seed), crc32(name)])
    return [np.random.default_rng(s) for s in seed.spawn(4)]


def release(scenario: Scenario, motion: Motion, look: View, random: np.random.Generator) -> Release:
    """Draw the specks of a film.

    Parameters
    ----------
    motion : Motion
        Of the needle.
    look : View
        The endoscope at its place.
    random : Generator
        Source of chance.
    """
    setting, numbers = scenario.endoscope, scenario.tissue.iris
    found = beside(scenario, motion, {})
    stream = max(setting.stream * balance(scenario).port_speed, 1e-5)
    before = min(STRETCH / stream, LONGEST)
    gap = _gap(scenario, found, before + setting.seconds, int(random.integers(2**31)))
    power = float(found.rub[0]) * MINUTE / numbers.reference_work
    rate = setting.specks * power * float(found.share[0])
    chances = setting.specks * power * STEP * gap.touching
    chances *= min(1.0, MOST / max(float(chances.sum()), 1e-9))
    born = np.repeat(np.arange(len(chances)) * STEP - before, random.poisson(chances))
    born = born + STEP * random.random(len(born))
    start, speed = ways(scenario, look.radius + ROOM, stream, len(born), random)
    low = -look.radius - max(scenario.eye.iris_gap, 2 * ROOM) + ROOM
    return Release(
        gap,
        before,
        born,
        start,
        speed,
        stream,
        rate,
        2 * look.radius,
        low,
        scenario.iris_place,
        look.radius + ROOM,
    )


def _gap(scenario: Scenario, found: Beside, duration: float, seed: int) -> Flutter:
    return flutter(
        scenario.eye.iris_gap,
        float(found.spread[0]),
        float(found.rate[0]),
        float(found.sliding.reach[0]),
        duration,
        STEP,
        seed,
    )


def ways(
    scenario: Scenario, radius: float, stream: float, count: int, random: np.random.Generator
) -> tuple[Floats, Floats]:
    """Return where specks start by the needle, and their velocities, each (n, 3).

    Parameters
    ----------
    radius : float
        Distance of their starts from the sleeve's middle line [m].
    stream : float
        Mean speed of the stream [m/s].
    """
    setting, numbers = scenario.endoscope, scenario.tissue.iris
    along = scenario.iris_place + numbers.length * (random.random(count) - 0.5)
    angle = numbers.arc * (random.random(count) - 0.5)
    start = np.stack([setting.aim - along, -radius * np.cos(angle), radius * np.sin(angle)], axis=1)
    scatter = setting.eddies * random.standard_normal((count, 3))
    return start, stream * (np.array([1.0, 0.0, 0.0]) + scatter)
