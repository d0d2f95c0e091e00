"""Iris, cutting and wound as plain data: units in the keys, a band for each uncertain number."""

from typing import Any

from tipsim.setup.units import CELSIUS
from tipsim.tissue.bands import Band
from tipsim.tissue.equal import EqualCut, Rubbing, Side, equal_cutting_power, rubbing_ratio
from tipsim.tissue.iris import Iris
from tipsim.tissue.nucleus import Cutting
from tipsim.tissue.wound import Wound

EQUAL_POWER, EQUAL_CUT = 4.0, 2.0
"""Ratios of rubbing that common practice suggests (no source), at equal power and equal cutting."""


def band_dict(band: Band, factor: float = 1.0, offset: float = 0.0) -> dict[str, Any]:
    """Give a band as plain data, in units of `factor`, and the number that matters most.

    Examples
    --------
    >>> band = Band(0.001, 0.002, 0.008, (0.001, 0.004), {"iris.friction": (0.001, 0.004)})
    >>> band_dict(band, 1e-3)
    {'low': 1.0, 'usual': 2.0, 'high': 8.0, 'inner': [1.0, 4.0], 'matters_most': 'iris.friction'}
    """

    def shown(value: float) -> float:
        return rounded(value / factor - offset)

    return {
        **{k: shown(getattr(band, k)) for k in ("low", "usual", "high")},
        "inner": [shown(v) for v in band.inner],
        "matters_most": band.most,
    }


def rounded(value: float) -> float:
    """Round to six significant digits: more would be noise in a file."""
    return float(f"{value:.6g}")


def iris_dict(found: Iris) -> dict[str, Any]:
    """Give what the iris meets as plain data.

    Examples
    --------
    >>> from tipsim.motion.run import run
    >>> from tipsim.setup.scenario import Scenario
    >>> from tipsim.tissue.iris import iris
    >>> bench = Scenario.preset("single-bend, torsional")
    >>> sorted(iris_dict(iris(bench, run(bench)))["pigment_teaching_index"])
    ['high', 'inner', 'low', 'matters_most', 'usual']
    """
    return {
        "flutter_um": rounded(found.spread * 1e6),
        "flutter_per_second": rounded(found.rate),
        "reach_um": rounded(found.reach * 1e6),
        "gap_to_close_um": rounded(found.closed * 1e6),
        "rubbing_speed_m_s": band_dict(found.speed),
        "contacts_per_minute": band_dict(found.contacts_per_minute),
        "contact_share_percent": band_dict(found.contact_share, 0.01),
        "contact_ms": rounded(found.contact_time * 1e3),
        "rubbing_work_mj_per_minute": band_dict(found.work_per_minute, 1e-3),
        "pigment_teaching_index": band_dict(found.index),
    }


def cutting_dict(found: Cutting) -> dict[str, Any]:
    """Give what the mouth does as plain data; strokes peak to peak."""
    return {
        "mouth_stroke_um_pp": rounded(found.stroke * 1e6),
        "mouth_speed_m_s": rounded(found.speed),
        "beyond_published_speed": found.too_fast,
        "swept_along_normal_mm2_per_cycle": rounded(found.swept_normal * 1e6),
        "swept_sideways_mm2_per_cycle": rounded(found.swept_sideways * 1e6),
        "push_mn": band_dict(found.push, 1e-3),
        "hold_mn": band_dict(found.hold, 1e-3),
        "contact_at_full_power_percent": band_dict(found.contact, 0.01),
        "relative_cutting_rate": band_dict(found.rate),
        "hardness_left_unexplained_sd": rounded(found.hardness_unexplained),
    }


def wound_dict(found: Wound) -> dict[str, Any]:
    """Give the wound's lip as plain data; what varies over depth at the face."""
    zero = float(CELSIUS.offset)
    fit, lip = found.fit, found.lip
    depth = lip.depth[lip.changed_high >= 0.5]
    return {
        "counted_in_heat": found.counted,
        "fit": fit.words,
        "misfit_percent": rounded(fit.misfit * 100),
        "lip_pressure_kpa": band_dict(fit.pressure, 1e3),
        "lip_force_n": band_dict(fit.force),
        "pinch": band_dict(fit.pinch),
        "peak_lip_temperature_c": band_dict(found.peak, 1.0, zero),
        "thermal_dose_cem43_min": band_dict(found.dose),
        "collagen_changed_least_percent": band_dict(found.changed_low, 0.01),
        "collagen_changed_most_percent": band_dict(found.changed_high, 0.01),
        "depth_half_changed_mm": rounded(float(depth.max(initial=0.0)) * 1e3),
        "laws": lip.validity,
        "risk": {"colour": found.risk.colour, "words": found.risk.words},
    }


def pair_dict(a: Side, b: Side) -> dict[str, Any]:
    """Give two needles side by side as plain data: rubbing at equal power and at equal cutting.

    Where B cannot cut like A, the second is None, and `most_cutting_b_over_a` says how near B
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
    """Give the power for equal cutting as plain data."""
    return {
        "power_b_percent": None if found.power is None else rounded(found.power * 100),
        "power_b_band_percent": band_dict(found.band, 0.01),
        "most_cutting_b_over_a": None if found.most is None else rounded(found.most),
        "reached_whatever_is_assumed": found.always,
    }


def rubbing_dict(found: Rubbing, least: float) -> dict[str, Any] | None:
    """Give a ratio of rubbing, with the numbers for which it falls below a limit."""
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
