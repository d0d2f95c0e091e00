"""Rubbing at the iris of two needles over each other, place by place along the shaft."""

from functools import partial

import numpy as np

from tipsim.setup.described import about, described
from tipsim.tissue.bands import Band, Floats, Values, bands
from tipsim.tissue.equal import Pair, Side, ratio

PLACES = 25
"""Places along the chamber's stretch of the needle at which the ratio is worked out."""
NEAREST = 1.5e-3
"""Nearer to the tip than this no iris is meant to lie [m]: a choice of the picture."""


@described()
class Along:
    """Work of rubbing at A's iris over that at B's, over where the iris touches."""

    place: Floats = about("Middle of the contact, distance from the tip [m], shape (n,).")
    ratio: tuple[Band, ...] = about("A over B there, over the assumed numbers of iris and rubbing.")
    still: tuple[tuple[float, ...], tuple[float, ...]] = about(
        "Points of A and of B without sideways motion among these places, from the tip [m]."
    )

    def at(self, place: float) -> float:
        """Return the ratio at a place from the tip [m], read between the places."""
        logs = np.log([max(band.usual, 1e-12) for band in self.ratio])
        return float(np.exp(np.interp(place, self.place, logs)))


def rubbing_along(a: Side, b: Side) -> Along | None:
    """Return the ratio along the needle, in the chamber; None where B's iris is not rubbed at all.

    Examples
    --------
    >>> from tipsim import Scenario
    >>> from tipsim.motion.run import run
    >>> sides = [Side(s, run(s)) for s in map(Scenario.preset, (
    ...     "single-bend, torsional", "counter-bent, torsional"))]
    >>> found = rubbing_along(*sides)
    >>> len(found.ratio), round(float(found.place[-1]) * 1e3, 2)
    (25, 6.0)
    """
    pair = Pair.of(a, b, False)
    if not pair.rubs:
        return None
    far = min(a.scenario.incision.insertion, a.scenario.needle.length, b.scenario.needle.length)
    places = np.linspace(min(NEAREST, far), far, PLACES)

    def result(v: Values, place: float) -> Values:
        return ratio(pair, {**v, "eye.iris_place": np.array([place])})

    found = tuple(bands(partial(result, place=p), pair.over)["ratio"] for p in places)
    still = [tuple(p for p in side.motion.still_points if places[0] <= p <= far) for side in (a, b)]
    return Along(places, found, (still[0], still[1]))
