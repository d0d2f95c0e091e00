"""What is done to the fluid over time: irrigation, opening, pump, limit, bottle, leak."""

from collections.abc import Sequence
from dataclasses import dataclass

from tipsim.setup.errors import BadInput

WHAT = ("irrigation", "opening", "pump", "limit", "bottle", "leak")
"""What can change, as a share: of the irrigation line's bore that is free, of the opening that is
free (1: all of it), of what the pump is set to (below 0: reflux), of its vacuum limit, of the
bottle's height and of the leak as set."""
SHUT = 1e-3
"""An opening that is free to a smaller share than this counts as blocked."""
KINKED = 0.03
"""A line that is free to a smaller share of its bore lets nothing through: below 1e-3 mL/min."""
_LEAST = {"irrigation": KINKED, "opening": SHUT, "pump": -1.0}
_MOST = {"bottle": 10, "leak": 10, "limit": 3}


@dataclass(frozen=True)
class Change:
    """One thing that changes.

    Parameters
    ----------
    time : float
        When it begins [s].
    what : str
        One of `WHAT`.
    share : float
        What it changes to, 0 to 1 (bottle and leak: up to 10, limit: up to 3, pump: from -1): 0 is
        an irrigation line that is kinked or a bottle that is empty, an occluded opening, a pedal
        that is up; a pump below 0 runs backwards (reflux).
    within : float
        How long the change takes [s].

    Raises
    ------
    BadInput
        For an unknown `what`, or a number out of range.

    Examples
    --------
    >>> Change(2.0, "irrigation", 0.0).share
    0.0
    >>> Change(2.0, "bottle", -1.0)
    Traceback (most recent call last):
    tipsim.setup.errors.BadInput: share is -1; allowed: 0 to 10.
    """

    time: float
    what: str
    share: float
    within: float = 0.05

    def __post_init__(self) -> None:
        """Check name and numbers."""
        if self.what not in WHAT:
            raise BadInput("what", f'"{self.what}"', ", ".join(WHAT))
        least, most = -1 if self.what == "pump" else 0, _MOST.get(self.what, 1)
        for name, low, high in (("share", least, most), ("time", 0, 3600), ("within", 0, 3600)):
            value = getattr(self, name)
            if not low <= value <= high:
                raise BadInput(name, f"{value:g}", f"{low} to {high}")


class Course:
    """A share over time: straight between places, constant before and behind.

    >>> course = Course(1.0, [Change(1.0, "opening", 0.0, within=0.5)], "opening")
    >>> course(0.5), course(1.25), course(3.0)
    (1.0, 0.5, 0.0)
    """

    def __init__(self, first: float, changes: Sequence[Change], what: str) -> None:
        self.places: list[tuple[float, float]] = [(0.0, first)]
        for change in sorted((c for c in changes if c.what == what), key=lambda c: c.time):
            now = self(change.time)
            # A change that comes while another is under way takes over from there.
            self.places = [p for p in self.places if p[0] < change.time]
            self.places += [(change.time, now), (change.time + change.within, change.share)]
        self.least = _LEAST.get(what, 0.0)

    def __call__(self, time: float) -> float:
        """Return the share at a time [s]; at a jump, that behind it."""
        last = self.places[0]
        for place in self.places:
            if place[0] > time:
                return _between(last, place, time)
            last = place
        return last[1]

    def stage(self, start: float, end: float) -> tuple[float, float]:
        """Return value at the start and slope of a stretch without a place inside.

        What opens from, or closes to, nothing is followed down to the least share that counts;
        below, it is shut.
        """
        third = (end - start) / 3
        one, two = self(start + third), self(start + 2 * third)
        first, last = 2 * one - two, 2 * two - one
        if max(first, last) < self.least:
            return 0.0, 0.0
        first, last = max(first, self.least), max(last, self.least)
        return first, (last - first) / (end - start)


def _between(a: tuple[float, float], b: tuple[float, float], time: float) -> float:
    return a[1] + (b[1] - a[1]) * (time - a[0]) / (b[0] - a[0])
