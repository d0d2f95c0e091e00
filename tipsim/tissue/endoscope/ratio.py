"""Two films over each other: how many times as many specks, with an interval; relative only."""

import numpy as np

from tipsim.setup.described import about, described
from tipsim.tissue.endoscope.count import SURE
from tipsim.tissue.endoscope.measure import Study

FEWEST = 0.02
"""Mean count below which a film shows no specks [per picture]; so does one below its error bar."""


@described()
class Ratio:
    """Specks of A over those of B."""

    seen: float | None = about("By the counts of both films; None where one shows no specks.")
    low: float = about("Interval that holds 95 %, by the scatter within both films.")
    high: float
    released: float | None = about("Specks that came in these two films, over each other.")
    expected: float | None = about("The same in the long run: by rubbing alone.")

    @property
    def is_clear(self) -> bool:
        """Whether the interval leaves 1 out."""
        return self.seen is not None and not self.low <= 1 <= self.high

    @property
    def holds(self) -> bool:
        """Whether what is expected lies within the interval."""
        return self.expected is not None and self.low <= self.expected <= self.high


def ratio(a: Study, b: Study) -> Ratio:
    """Return the ratio of two films, with its interval.

    The interval is that of a logarithm: relative errors add up by squares, those of both trials
    and those of the specks' own coming and going.

    Examples
    --------
    >>> from tipsim.motion.run import run
    >>> from tipsim.setup.scenario import Scenario
    >>> from tipsim.tissue.endoscope.measure import study
    >>> one = Scenario.preset("single-bend, torsional")
    >>> found = ratio(*(study(one, run(one)) for _ in "ab"))
    >>> found.seen, found.low < 1 < found.high
    (1.0, True)
    """
    released = _over(a.film.release.released, b.film.release.released)
    expected = _over(a.film.release.rate, b.film.release.rate)
    if any(s.count.mean <= max(FEWEST, s.count.mean_bar) for s in (a, b)):
        return Ratio(None, 0.0, float("inf"), released, expected)
    seen = a.counted / b.counted
    wide = float(np.exp(SURE * min(float(np.hypot(a.error, b.error)), 50.0)))
    return Ratio(float(seen), float(seen / wide), float(seen * wide), released, expected)


def _over(top: float, below: float) -> float | None:
    return top / below if below > 0 else None
