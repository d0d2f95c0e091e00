"""What heat does to tissue: thermal dose, and change of collagen by published laws.

Temperatures are taken as linear between samples, whatever the steps. Published laws for collagen
differ by more than a hundredfold in time at 60 °C, so a band between them is given, not one line.

Sources: `assets/numbers/dose.toml`. Nothing here says what is safe in a person.
"""

from functools import cache

import numpy as np
import scipy

from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput
from tipsim.setup.sourced import Sourced, number, numbers

COLLAGEN = ("skin_collagen", "tendon_collagen", "cornea_collagen")
"""Laws for collagen, by id in the data file."""
BURN = "skin_burn"
"""A law for a burn of living skin: another kind of injury, never part of the band."""
_X, _W = np.polynomial.legendre.leggauss(12)
_NODES = tuple(zip((1 + _X) / 2, _W / 2, strict=True))


def cem43(time: Floats, temperature: Floats) -> Floats:
    """Return the running thermal dose in cumulative equivalent minutes at 43 °C.

    Exact for a temperature that is linear between samples, also across 43 °C.

    Parameters
    ----------
    time : (q,) array
        Times [s], none before the one ahead of it.
    temperature : (q, ...) array
        Temperatures at any number of places [K].

    Returns
    -------
    (q, ...) array
        Dose up to each time [min], 0 at the first.

    Raises
    ------
    BadInput
        For times that fall, or shapes that do not go together.

    References
    ----------
    S. A. Sapareto and W. C. Dewey, Int J Radiat Oncol Biol Phys 10 (1984) 787 (from memory).

    Examples
    --------
    45 °C for 45 s are 3 equivalent minutes:

    >>> round(float(cem43(np.array([0.0, 45.0]), np.full(2, 318.15))[-1]), 9)
    3.0
    """
    time, temperature = _series(time, temperature)
    break_, above, below = (number(f"cem43.{k}").si for k in ("break", "above", "below"))
    start, stop = temperature[:-1] - break_, temperature[1:] - break_
    low, high = np.minimum(start, stop), np.maximum(start, stop)
    # Share of each step's time above the break.
    share = np.where(high > low, np.clip(high, 0, None) - np.clip(low, 0, None), low >= 0)
    share = share / np.where(high > low, high - low, 1.0)
    hot = _mean_power(np.clip(low, 0, None), np.clip(high, 0, None), above)
    cool = _mean_power(np.clip(low, None, 0), np.clip(high, None, 0), below)
    return _running(_steps(time, temperature) * (share * hot + (1 - share) * cool) / 60)


def _mean_power(start: Floats, stop: Floats, factor: float) -> Floats:
    """Return the mean of factor^(-x) over x from start to stop."""
    rate = -np.log(factor)
    width = rate * (stop - start)
    flat = np.abs(width) < 1e-12
    mean = np.where(flat, 1.0, np.expm1(width) / np.where(flat, 1.0, width))
    return np.asarray(np.exp(rate * start) * mean)


@described()
class Law:
    """A published first-order law of thermal change.

    Examples
    --------
    >>> cornea = law("cornea_collagen")
    >>> round(cornea.time_constant(333.15)), round(cornea.lowest - 273.15)
    (55, 55)
    """

    id: str = about("Group in the data file; words on screen.")
    title: str
    log_factor: float = about(
        "ln of the frequency factor in 1/s, or of exp(dS/R) in Eyring's form."
    )
    energy: float = about("Activation energy [J/mol].")
    eyring: bool = about("Whether the rate has the factor kB T / h.")
    lowest: float = about(
        "Temperatures between which the law is used as measured [K]. Below the lowest it counts "
        "nothing; above the highest it is carried on, and `collagen` says so."
    )
    highest: float
    parts: tuple[Sourced, ...] = about("The numbers with their sources.")

    def log_rate(self, temperature: Floats) -> Floats:
        """Return ln of the rate in 1/s at temperatures [K], used there or not."""
        t = np.asarray(temperature, dtype=np.float64)
        out = self.log_factor - self.energy / (scipy.constants.R * t)
        return np.asarray(
            out + np.log(scipy.constants.Boltzmann * t / scipy.constants.Planck)
            if self.eyring
            else out
        )

    def time_constant(self, temperature: float) -> float:
        """Return the time in which 63 % changes at a temperature [K], by the bare formula [s]."""
        return float(np.exp(-self.log_rate(np.asarray(temperature))))

    def onset(self, seconds: float, share: float) -> float:
        """Return the lowest steady temperature [K] that changes a share within a time [s].

        Never below the lowest temperature that the law is used at.
        """
        # Only now: this package takes a third of a second to load.
        from scipy.optimize import brentq

        wanted = float(np.log(-np.log1p(-share) / seconds))
        found = brentq(lambda t: float(self.log_rate(np.asarray(t))) - wanted, 200.0, 1000.0)
        return max(float(found), self.lowest)


@cache
def law(id: str) -> Law:
    """Return a law of the data file.

    Raises
    ------
    BadInput
        For an unknown id.
    """
    if id not in TITLES:
        raise BadInput("law", f'"{id}"', ", ".join(TITLES))
    eyring = f"{id}.entropy" in numbers()
    keys = ("entropy" if eyring else "factor", "energy", "from", "to")
    parts = tuple(number(f"{id}.{key}") for key in keys)
    first, energy, lowest, highest = (p.si for p in parts)
    factor = first / scipy.constants.R if eyring else first
    return Law(id, TITLES[id], factor, energy, eyring, lowest, highest, parts)


TITLES = {
    "skin_collagen": "collagen of skin",
    "tendon_collagen": "collagen of rat tail tendon",
    "cornea_collagen": "collagen of porcine cornea",
    "skin_burn": "burn of living skin",
}
"""What each law was measured on, in words."""


def damage(time: Floats, temperature: Floats, law: Law) -> Floats:
    """Return the running damage integral of a law; 1 - exp(-it) is the share that has changed.

    Gauss's rule with 12 points in each step, or in the part of it that is warm enough for the
    law: exact to rounding for steps of up to some tens of kelvin.

    Parameters
    ----------
    time : (q,) array
        Times [s], none before the one ahead of it.
    temperature : (q, ...) array
        Temperatures at any number of places [K].

    Returns
    -------
    (q, ...) array
        The integral up to each time, 0 at the first.

    Raises
    ------
    BadInput
        For times that fall, or shapes that do not go together.

    Examples
    --------
    One time constant of the law makes 1:

    >>> cornea = law("cornea_collagen")
    >>> time = np.array([0.0, cornea.time_constant(343.15)])
    >>> round(float(damage(time, np.full(2, 343.15), cornea)[-1]), 9)
    1.0
    """
    time, temperature = _series(time, temperature)
    start, stop = temperature[:-1], temperature[1:]
    rise = stop - start
    crossing = (law.lowest - start) / np.where(rise == 0, 1.0, rise)
    begin = np.where((start < law.lowest) & (stop >= law.lowest), crossing, 0.0)
    end = np.where(stop >= law.lowest, 1.0, np.where(start > law.lowest, crossing, 0.0))
    mean = np.zeros_like(rise)
    for x, w in _NODES:
        mean += w * np.exp(law.log_rate(start + rise * (begin + (end - begin) * x)))
    return _running(_steps(time, temperature) * (end - begin) * mean)


@described(eq=False)
class Band:
    """How much collagen has changed, between the published laws."""

    low: Floats = about(
        "Least and greatest share among the laws that say something at a place; 0 where none "
        "does. Shape (...)."
    )
    high: Floats
    share: dict[str, Floats] = about(
        "Share that has changed by each law; NaN where the law says nothing. Shape (...)."
    )
    silent: tuple[str, ...] = about(
        "Laws that say nothing anywhere, since no place came as warm as they are used at."
    )
    beyond: tuple[str, ...] = about(
        "Laws that were carried on above the temperatures they were measured at."
    )

    @property
    def words(self) -> str:
        """Return which laws are outside their range, in a sentence each; empty when none is.

        >>> warm = collagen(np.array([0.0, 5.0]), np.full(2, 325.15))
        >>> warm.words
        'Says nothing below 55 °C: collagen of porcine cornea.'
        """
        silent = ((law(id), "Says nothing below", law(id).lowest) for id in self.silent)
        beyond = ((law(id), "Carried on above", law(id).highest) for id in self.beyond)
        return " ".join(f"{how} {_celsius(t)}: {one.title}." for one, how, t in (*silent, *beyond))


def collagen(time: Floats, temperature: Floats) -> Band:
    """Return the band of changed collagen after a course of temperature.

    Parameters
    ----------
    time : (q,) array
        Times [s], none before the one ahead of it.
    temperature : (q, ...) array
        Temperatures at any number of places [K].

    Raises
    ------
    BadInput
        For times that fall, or shapes that do not go together.

    Examples
    --------
    >>> burnt = collagen(np.array([0.0, 10.0]), np.full(2, 338.15))
    >>> round(float(burnt.low), 2), round(float(burnt.high), 2)
    (0.08, 0.95)
    """
    time, temperature = _series(time, temperature)
    peak = temperature.max(axis=0)
    laws = [law(id) for id in COLLAGEN]
    share = {
        one.id: np.where(peak >= one.lowest, -np.expm1(-damage(time, temperature, one)[-1]), np.nan)
        for one in laws
    }
    every = np.stack(list(share.values()))
    said = ~np.isnan(every)
    return Band(
        np.where(said.any(axis=0), np.where(said, every, np.inf).min(axis=0), 0.0),
        np.where(said, every, 0.0).max(axis=0),
        share,
        tuple(one.id for one in laws if not said[laws.index(one)].any()),
        tuple(one.id for one in laws if (peak > one.highest).any()),
    )


def _celsius(kelvin: float) -> str:
    return f"{kelvin - 273.15:.0f} °C"


def _series(time: Floats, temperature: Floats) -> tuple[Floats, Floats]:
    """Check a course of temperature."""
    time, temperature = np.asarray(time, float), np.asarray(temperature, float)
    if time.ndim != 1 or len(time) < 1 or not (np.diff(time) >= 0).all():
        raise BadInput("time", f"an array of shape {time.shape}", "a row of times that do not fall")
    if temperature.shape[:1] != time.shape:
        raise BadInput(
            "temperature", f"an array of shape {temperature.shape}", f"{len(time)} samples"
        )
    if not (np.isfinite(temperature).all() and (temperature > 0).all()):
        raise BadInput("temperature", "not above 0 K throughout", "kelvin, above 0")
    return time, temperature


def _steps(time: Floats, temperature: Floats) -> Floats:
    """Return the steps in time, shaped to go with the temperatures."""
    return np.diff(time).reshape(-1, *([1] * (temperature.ndim - 1)))


def _running(parts: Floats) -> Floats:
    """Return sums up to each sample, 0 at the first."""
    return np.concatenate([np.zeros((1, *parts.shape[1:])), np.cumsum(parts, axis=0)])
