"""What the browser needs to draw a needle, in mm and degrees."""

from __future__ import annotations

from typing import Any

from tipsim.setup.needle import Needle
from tipsim.setup.units import DEG, MM

Data = dict[str, Any]


def picture(needle: Needle) -> Data:
    """Return a needle's numbers as plain data.

    Examples
    --------
    >>> from tipsim.setup.catalogue import needle
    >>> picture(needle("single-bend-20-medium"))["pieces"][1]
    {'length': 0.6, 'turn': 20.0, 'outer': None, 'inner': None}
    """
    return {
        "pieces": [
            {
                "length": _mm(p.length),
                "turn": float(DEG.from_si(p.turn)),
                "outer": _optional(p.outer_radius),
                "inner": _optional(p.inner_radius),
            }
            for p in needle.pieces
        ],
        "hub": _mm(needle.hub_radius),
        "taper": _mm(needle.taper_length),
        "outer": _mm(needle.outer_radius),
        "inner": _mm(needle.inner_radius),
        "bevel": float(DEG.from_si(needle.bevel)),
        "hole": [_mm(needle.bypass_diameter), _mm(needle.bypass_distance)],
    }


def _mm(value: float) -> float:
    return float(MM.from_si(value))


def _optional(value: float | None) -> float | None:
    return None if value is None else _mm(value)
