"""The one fitted number of the heat model: the rubbing coefficient, from its one row."""

from tipsim.heat.validation.compute import FINE, measured
from tipsim.heat.validation.rows import Items, Row, rows
from tipsim.setup.described import about, described
from tipsim.setup.sourced import number

FITTED = "rubbing.coefficient"
STRAIGHT: Items = {"needle": "straight"}
"""The needle that the row could as well have had: its abstract says one probe, two modes."""
_FINE = 1e-6


@described()
class Fit:
    """A fit of the rubbing coefficient."""

    row: Row
    stored: float = about("The coefficient in the data file.")
    value: float | None = about("The coefficient that meets the row today; None where none does.")
    straight: float | None = about("The same with a straight needle in the row.")


def fit() -> Fit:
    """Find the coefficient that meets the fitted row, and what a straight needle would need."""
    (row,) = (each for each in rows().rows if each.fitted)
    return Fit(row, number(FITTED).si, coefficient(row), coefficient(row, STRAIGHT))


def coefficient(row: Row, items: Items | None = None) -> float | None:
    """Return the rubbing coefficient that meets a row, within the number's range; None if none.

    Parameters
    ----------
    items : mapping, optional
        Laid over the row's bench.
    """
    # Only now: this package takes a third of a second to load.
    from scipy.optimize import brentq

    def off(value: float) -> float:
        return measured(row, FINE, items, {FITTED: value}) - row.value

    stored = number(FITTED)
    low, high = stored.unit.to_si(stored.low), stored.unit.to_si(stored.high)
    if off(low) > 0 or off(high) < 0:
        return None
    return float(brentq(off, low, high, xtol=_FINE))


def fit_text(found: Fit) -> str:
    """Write a fit for a terminal."""
    none = "no coefficient within the range meets it"
    value = none if found.value is None else f"rubbing coefficient {found.value:.4f}"
    straight = none if found.straight is None else f"{found.straight:.4f}"
    return (
        f"{found.row.setup}, {found.row.published}: {value} (in the data file: {found.stored:g})\n"
        f"With a straight needle in the same row: {straight}"
    )
