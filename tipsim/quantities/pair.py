"""Two needles side by side as plain data: equal cutting, and rubbing."""

from typing import TYPE_CHECKING, Any

from tipsim.quantities.declare import band_dict, rounded
from tipsim.setup.units import PERCENT
from tipsim.tissue.equal import (
    EQUAL_CUT,
    EQUAL_POWER,
    EqualCut,
    Rubbing,
    Side,
    equal_cutting_power,
    rubbing_ratio,
)

if TYPE_CHECKING:
    from tipsim.tissue.endoscope import Ratio


def pair_dict(a: Side, b: Side) -> dict[str, Any]:
    """Return a comparison of two needles as plain data: rubbing at equal power, at equal cutting.

    Where B cannot cut like A, the second is None, and `most_cutting_b_over_a` is how near B
    comes.
    """
    equal = equal_cutting_power(a, b)
    alike = rubbing_ratio(a, b, equal_cutting=True) if equal.power else Rubbing(None)
    return {
        "equal_cutting": equal_dict(equal),
        "rubbing_a_over_b": rubbing_dict(rubbing_ratio(a, b), EQUAL_POWER),
        "rubbing_a_over_b_at_equal_cutting": rubbing_dict(alike, EQUAL_CUT),
    }


def equal_dict(found: EqualCut) -> dict[str, Any]:
    """Return the power for equal cutting as plain data."""
    return {
        "power_b_percent": None if found.power is None else rounded(found.power * 100),
        "power_b_band_percent": band_dict(found.band, PERCENT),
        "most_cutting_b_over_a": None if found.most is None else rounded(found.most),
        "reached_whatever_is_assumed": found.always,
    }


def rubbing_dict(found: Rubbing, least: float) -> dict[str, Any] | None:
    """Return a ratio of rubbing, with the numbers for which it falls below a limit."""
    band = found.widest
    if band is None:
        return None
    return {
        **band_dict(band),
        "common_practice_above": least,
        "holds_usually": bool(band.usual > least),
        "holds_always": bool(band.low > least),
        "lowered_below_by": list(band.below(least)),
        "lifted_above_by": list(band.above(least)) if not band.usual > least else [],
    }


def ratio_dict(found: "Ratio") -> dict[str, Any]:
    """Return the specks of two films over each other as plain data; None where nothing is seen."""
    shown = found.seen is not None
    values = {
        "seen": found.seen,
        "low": found.low if shown else None,
        "high": found.high if shown else None,
        "released": found.released,
        "expected": found.expected,
    }
    return {k: None if v is None else rounded(v) for k, v in values.items()}
