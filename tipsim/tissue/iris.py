"""The iris beside the sleeve: how often they touch, and how much they rub.

Mean power of rubbing = share of time in contact x mean speed along the surface x pressure x area
x friction x share of time that the drive is on. The formula is plain; nearly every number in it is
assumed, so each result is a band. Fluttering follows the stream's pressure (flow squared) over the
iris's modulus; how, is assumed too.
"""

from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import ArrayLike

from tipsim.flow.balance import flows
from tipsim.motion.run import Motion
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario
from tipsim.tissue.bands import Band, Floats, Values, bands, ranges
from tipsim.tissue.crossings import Flutter, crossing_rate, flutter, level_of, share_beyond
from tipsim.tissue.touch import Contact, Sliding, sliding

MINUTE = 60.0


@described()
class Iris:
    """What the iris meets."""

    spread: float = about(
        "Flutter: standard deviation [m], and up-crossings of the mean per second [Hz]."
    )
    rate: float
    speed: Band = about("Speed of rubbing while the drive is on [m/s].")
    reach: float = about("How far the sleeve swings towards the iris, half of the stroke [m].")
    closed: float = about(
        "Mean gap less that reach [m]: by so much the flutter must bring the iris nearer."
    )
    contacts_per_minute: Band = about("Contacts per minute; share of time in contact.")
    contact_share: Band
    work_per_minute: Band = about("Work of rubbing [J] in a minute.")
    index: Band = about(
        "Pigment-release index [no unit]: work per minute over a reference; a teaching index."
    )

    @property
    def contact_time(self) -> float:
        """Mean length of a contact [s]; 0 without any contact."""
        per_minute = self.contacts_per_minute.usual
        return MINUTE * self.contact_share.usual / per_minute if per_minute > 0 else 0.0


@dataclass(frozen=True)
class Beside:
    """Rubbing with some numbers moved; each (k,), units as in `Iris`.

    `rub` is the power of rubbing while they touch and the drive's rests are counted [W];
    `log_share` the natural logarithm of the share, for where that is too small for a number.
    """

    spread: Floats
    rate: Floats
    closed: Floats
    contacts: Floats
    share: Floats
    log_share: Floats
    sliding: Sliding
    rub: Floats

    @property
    def work(self) -> Floats:
        """Work of rubbing in a minute [J]."""
        return np.asarray(self.share * self.rub * MINUTE)


def iris(scenario: Scenario, motion: Motion) -> Iris:
    """Return what the iris meets, with bands over the assumed numbers of `scenario.tissue.iris`.

    Parameters
    ----------
    motion : Motion
        Its solution.

    Examples
    --------
    >>> from tipsim.motion.run import run
    >>> bench = Scenario.preset("single-bend, torsional")
    >>> found = iris(bench, run(bench))
    >>> round(found.contact_share.usual, 3) < 0.05 < found.contact_share.high
    True
    """

    def results(v: Values) -> Values:
        b = beside(scenario, motion, v)
        return _alike(
            speed=b.sliding.speed, contacts=b.contacts * MINUTE, share=b.share, work=b.work
        )

    found = bands(results, ranges("iris", scenario.tissue.iris))
    usual = beside(scenario, motion, {})
    work = found["work"]
    return Iris(
        float(usual.spread[0]),
        float(usual.rate[0]),
        found["speed"],
        float(usual.sliding.reach[0]),
        float(usual.closed[0]),
        found["contacts"],
        found["share"],
        work,
        work.over(scenario.tissue.iris.reference_work),
    )


def _alike(**found: Floats) -> Values:
    """Return results of one shape: one that no number moves is repeated."""
    return dict(zip(found, np.broadcast_arrays(*found.values()), strict=True))


def beside(scenario: Scenario, motion: Motion, moved: Values, scale: ArrayLike = 1.0) -> Beside:
    """Return the rubbing with some numbers moved.

    Parameters
    ----------
    moved : mapping of id to (k,) array
        Numbers that differ from the bench's, such as "iris.friction" or "eye.iris_gap" [SI].
    scale : array_like
        Factor on all motion: another power [no unit].
    """

    def value(id: str) -> Floats:
        group, name = id.split(".")
        part = scenario.eye if group == "eye" else scenario.tissue.iris
        return np.asarray(moved[id] if id in moved else [getattr(part, name)], dtype=np.float64)

    slid = sliding(scenario, motion, contact(scenario, moved))
    by = np.asarray(scale, dtype=np.float64)
    slid = Sliding(by * slid.speed, by * slid.reach, slid.radius)
    own = scenario.tissue.iris
    spread, rate = stirred(
        flows(scenario).irrigation / own.reference_flow,
        value("eye.iris_modulus") / own.reference_modulus,
        *(value(f"iris.{k}") for k in ("spread", "spread_exponent", "spread_limit")),
        *(value(f"iris.{k}") for k in ("rate", "rate_share")),
    )
    closed = value("eye.iris_gap") - slid.reach
    level = level_of(closed, spread)
    share = share_beyond(level)
    area = value("iris.length") * value("iris.arc") * slid.radius
    force = value("iris.pressure") * area
    rub = slid.speed * force * value("iris.friction") * scenario.duty.on_fraction
    contacts = crossing_rate(level, rate)
    return Beside(spread, rate, closed, contacts, share, scipy.special.log_ndtr(-level), slid, rub)


def contact(scenario: Scenario, moved: Values) -> Contact:
    """Return where the iris touches, with some numbers moved."""
    eye, n = scenario.eye, scenario.tissue.iris
    usual = {
        "eye.iris_place": scenario.iris_place,
        "iris.length": n.length,
        "eye.iris_side": eye.iris_side,
        "iris.arc": n.arc,
        "iris.along_share": n.along_share,
        "iris.twist_share": n.twist_share,
    }
    values = [np.atleast_1d(moved.get(id, np.array([v]))) for id, v in usual.items()]
    return Contact(*np.broadcast_arrays(*values))


def stirred(
    flow: float,
    stiff: Floats,
    spread: Floats,
    exponent: Floats,
    limit: Floats,
    rate: Floats,
    share: Floats,
) -> tuple[Floats, Floats]:
    """Return the flutter that a flow makes: standard deviation [m] and rate [Hz].

    Assumed: the stream's pressure (flow squared) bends the iris against its modulus, to a power
    between a membrane's (1/3) and a plate's (1); the rate lies between the stream's eddies (with
    the flow) and the iris's own (with the root of its modulus).

    Parameters
    ----------
    flow, stiff : array
        Irrigation and modulus over those at which `spread` and `rate` are given [no unit].

    Examples
    --------
    >>> [float(v) for v in stirred(1.0, 1.0, 1e-4, 0.5, 1e-3, 8.0, 0.5)]
    [0.0001, 8.0]
    """
    wide = np.minimum(spread * (flow**2 / stiff) ** exponent, limit)
    return np.asarray(wide), np.asarray(rate * flow ** (1 - share) * stiff ** (share / 2))


@described()
class Film:
    """A stretch of time beside the iris, for an animated cross-section."""

    flutter: Flutter = about("Gap to the sleeve at rest, and when it is closed.")
    work: Floats = about("Work of rubbing since the beginning [J], shape (n,).")


def film(found: Beside, gap: float, duration: float, step: float, seed: int) -> Film:
    """Draw gap, contacts and running work over time, with all numbers as set.

    Parameters
    ----------
    found : Beside
        From `beside` with nothing moved.
    gap : float
        Mean gap [m].
    duration, step : float
        Length and time between samples [s].

    Examples
    --------
    >>> from tipsim.motion.run import run
    >>> bench = Scenario.preset("single-bend, torsional")
    >>> drawn = film(beside(bench, run(bench), {}), bench.eye.iris_gap, 20.0, 1 / 60, seed=3)
    >>> len(drawn.work), bool(drawn.work[-1] > 0)
    (1200, True)
    """
    reach = float(found.sliding.reach[0])
    drawn = flutter(gap, float(found.spread[0]), float(found.rate[0]), reach, duration, step, seed)
    return Film(drawn, np.asarray(np.cumsum(drawn.touching) * step * float(found.rub[0])))
