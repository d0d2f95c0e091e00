"""Two needles side by side: the power at which both cut alike, and how the iris fares then."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from tipsim.motion.run import Motion
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.tissue.bands import Band, Floats, Range, Values, bands, ranges
from tipsim.tissue.iris import beside
from tipsim.tissue.nucleus import Mouth, cutting_ranges, mouth, rate_at

NO_CUT = 1e-100
"""Cutting below this share of the reference needle's counts as none."""
PLACE = "iris_place"
FAR = 1e12
"""Ratios beyond this are cut: where one iris is practically never touched."""

EQUAL_POWER, EQUAL_CUT = 4.0, 2.0
"""Ratios of rubbing that common practice suggests (no source), at equal power and equal cutting."""


def rate_ratio(a: Mouth, b: Mouth) -> Band:
    """Return B's cutting rate over A's at the powers that are set, over what both share.

    1 where neither cuts; no more than `FAR`.
    """

    def results(v: Values) -> Values:
        one, two = (rate_at(m, m.scenario.drive.power, v) for m in (a, b))
        top, below = np.broadcast_arrays(two, one)
        out = np.where(top > 0, FAR, 1.0)
        return {"ratio": np.divide(top, below, out=out, where=FAR * below > top)}

    return bands(results, alike(cutting_ranges(a), cutting_ranges(b)))["ratio"]


@described()
class Side:
    """One of two needles."""

    scenario: Scenario
    motion: Motion = about("Its solution.")


@described()
class EqualCut:
    """The power of B at which it cuts like A."""

    power: float | None = about("Share of full stroke; None when B cannot cut that fast.")
    band: Band = about("The same over the assumed numbers; 1 where it cannot be reached.")
    most: float | None = about(
        "B's cutting at full power over A's; below 1, A cannot be reached. None when A does not "
        "cut."
    )
    always: bool = about("Whether it can be reached whatever the assumed numbers are.")


def equal_cutting_power(a: Side, b: Side) -> EqualCut:
    """Return the power at which B cuts like A does at the power that A is set to.

    Examples
    --------
    >>> from tipsim.motion.run import run
    >>> sides = [Side(s, run(s)) for s in map(Scenario.preset, (
    ...     "single-bend, torsional", "counter-bent, torsional"))]
    >>> found = equal_cutting_power(*sides)
    >>> found.always, 0.7 < found.power < 0.9
    (False, True)
    """
    mouths = mouth(a.scenario, a.motion), mouth(b.scenario, b.motion)
    found = bands(partial(_powers, *mouths), _shared(*mouths))
    usual = _powers(*mouths, {})
    most = float(usual["most"][0])
    return EqualCut(
        float(usual["power"][0]) if most >= 1 else None,
        found["power"],
        most if most < FAR else None,
        found["most"].low >= 1,
    )


def _shared(a: Mouth, b: Mouth) -> tuple[Range, ...]:
    """Return the ranges of what is set alike on both benches; the rest stays as it is set."""
    return alike(cutting_ranges(a), cutting_ranges(b))


def alike(a: Sequence[Range], b: Sequence[Range]) -> tuple[Range, ...]:
    """Return the ranges that stand in both."""
    return tuple(r for r in a if r in b)


def _powers(a: Mouth, b: Mouth, v: Values) -> dict[str, Floats]:
    """Return B's power for equal cutting, and its cutting at full power over A's, each (k,).

    Cutting is made of straight lines between these powers, so finding one is reading a line.
    """
    own = b.scenario.tissue.cutting
    knots = np.array([0.0, own.jump_low, own.knee, 1.0])
    wanted = np.atleast_1d(rate_at(a, a.scenario.drive.power, v))
    rates = np.broadcast_arrays(*(rate_at(b, float(p), v) for p in knots), wanted)
    rows, wanted = np.stack(rates[:-1], axis=1), rates[-1]
    full = rows[:, -1]
    # Rates so small that quotients overflow count as no cutting.
    wanted, full = (np.where(r > NO_CUT, r, 0.0) for r in (wanted, full))
    most = np.divide(full, wanted, out=np.full(len(full), FAR), where=FAR * wanted > full)
    part = np.divide(wanted, full, out=np.ones(len(full)), where=full > 0)
    lines = np.divide(rows, full[:, None], out=np.zeros(rows.shape), where=full[:, None] > 0)
    power = np.array([np.interp(w, line, knots) for w, line in zip(part, lines, strict=True)])
    return {"power": np.where(most >= 1, power, 1.0), "most": most}


@described()
class Rubbing:
    """Work of rubbing at A's iris over that at B's, in the same eye."""

    narrow: Band | None = about(
        "Over the assumed numbers of iris and rubbing; None where B does not rub at all."
    )
    wide: Band | None = about(
        "Over place, side and gap of the iris too; None when not asked.",
        default=None,
    )

    @property
    def widest(self) -> Band | None:
        """The wider of the two bands."""
        return self.wide or self.narrow


def iris_ranges(a: Scenario, b: Scenario) -> tuple[Range, ...]:
    """Return the ranges of the iris's numbers that are set alike on both benches."""
    return alike(ranges("iris", a.tissue.iris), ranges("iris", b.tissue.iris))


def settings_ranges(a: Scenario, b: Scenario) -> tuple[Range, ...]:
    """Return the ranges of what a surgeon sees but nobody has measured; shared by both."""
    out = []
    for name, levels in (("iris_place", 21), ("iris_side", 7), ("iris_gap", 2)):
        own, other = (s.iris_place if name == PLACE else getattr(s.eye, name) for s in (a, b))
        if own != other:
            continue
        n = number(f"eye.{name}")
        low, high = (n.unit.to_si(v) for v in (n.low, n.high))
        if name == PLACE:  # No iris lies in the incision.
            high = min(high, max(low, a.incision.insertion))
        out.append(Range(n.id, min(low, own), own, max(high, own), levels))
    return tuple(out)


@dataclass(frozen=True)
class Pair:
    """Two needles; with what their mouths do when B takes the power for equal cutting."""

    a: Side
    b: Side
    mouths: tuple[Mouth, Mouth] | None

    @classmethod
    def of(cls, a: Side, b: Side, equal_cutting: bool) -> "Pair":
        """Return the pair; with the mouths where cutting is to be equal."""
        if not equal_cutting:
            return cls(a, b, None)
        return cls(a, b, (mouth(a.scenario, a.motion), mouth(b.scenario, b.motion)))

    @property
    def over(self) -> tuple[Range, ...]:
        """Numbers that the ratio rests on."""
        cuts = _shared(*self.mouths) if self.mouths else ()
        return (*iris_ranges(self.a.scenario, self.b.scenario), *cuts)

    @property
    def rubs(self) -> bool:
        """Whether anything rubs at B."""
        moved = beside(self.b.scenario, self.b.motion, {}).rub[0] > 0
        return bool(moved and float(np.min(self.scale({}))) > 0)

    def scale(self, v: Values) -> Floats:
        """Return the factor on B's motion."""
        own = self.b.scenario.drive.power
        if self.mouths is None or own == 0:
            return np.ones(1)
        return _powers(*self.mouths, v)["power"] / own


def rubbing_ratio(a: Side, b: Side, equal_cutting: bool = False) -> Rubbing:
    """Return the work of rubbing at A over that at B, over the assumed numbers.

    Parameters
    ----------
    equal_cutting : bool
        Whether B takes the power at which it cuts like A, found anew whatever is assumed (full
        power where that is not enough); otherwise both keep the power they are set to.
    """
    pair = Pair.of(a, b, equal_cutting)
    if not pair.rubs:
        return Rubbing(None)
    return Rubbing(bands(partial(ratio, pair), pair.over)["ratio"])


def wide_ratio(a: Side, b: Side, equal_cutting: bool = False) -> Rubbing:
    """Return the same over what a surgeon sees too; see `Rubbing`."""
    inner = rubbing_ratio(a, b, equal_cutting).narrow
    if inner is None:
        return Rubbing(None)
    pair = Pair.of(a, b, equal_cutting)
    over = (*pair.over, *settings_ranges(a.scenario, b.scenario))
    outer = bands(partial(ratio, pair), over)["ratio"]
    # What fewer numbers reach, more of them reach as well.
    low, high = min(inner.low, outer.low), max(inner.high, outer.high)
    return Rubbing(inner, replace(outer, low=low, high=high))


def ratio(pair: Pair, v: Values) -> Values:
    """Return the work of rubbing at A over that at B with some numbers moved."""
    one = beside(pair.a.scenario, pair.a.motion, v)
    other = beside(pair.b.scenario, pair.b.motion, v, pair.scale(v))
    # Shares of time may be too small for a float: their ratio is taken from logarithms.
    longer = np.exp(np.clip(one.log_share - other.log_share, -np.log(FAR), np.log(FAR)))
    top, below, _ = np.broadcast_arrays(one.rub, other.rub, longer)
    # Where neither rubs they are alike; where only B does not, the ratio is cut.
    faster = np.divide(top, below, out=np.where(top > 0, FAR, 1.0), where=FAR * below > top)
    return {"ratio": longer * faster}
