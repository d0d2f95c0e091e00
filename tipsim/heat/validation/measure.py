"""What is read from a run, in the unit of the published row."""

from collections.abc import Callable, Mapping

import numpy as np

from tipsim.heat.timeline import HeatRun, first_reached
from tipsim.motion.sections import Floats
from tipsim.setup.units import CELSIUS

NEVER = float("inf")
"""Seconds to a temperature that is not reached."""


def _c(kelvin: float) -> float:
    return float(CELSIUS.from_si(kelvin))


def _rise(h: HeatRun, course: Floats) -> float:
    return float(np.nanmax(course) - h.temperature[0, 0])


def _wound(h: HeatRun) -> float:
    peak = h.peak_wound
    return float("nan") if peak is None else peak


def _wound_seconds(h: HeatRun, celsius: float) -> float:
    return _first(h.time, h.wound_peak, CELSIUS.to_si(celsius))


def _first(time: Floats, course: Floats, level: float) -> float:
    found = first_reached(time, course, level)
    return NEVER if found is None else found


def _proximal(h: HeatRun) -> float:
    """Rise of the sleeve's outside over the hub's half of the shaft [K]."""
    outer = h.layer("outer" if h.cells.sleeved.any() else "metal")
    half = h.cells.middle < h.scenario.needle.length / 2
    return float(np.nanmax(outer[:, half]) - h.temperature[0, 0])


def _wound_mean(h: HeatRun) -> float:
    """Mean over the run's time of the tissue next to the needle, all around [°C]."""
    near = np.nanmean(h.layer("near")[:, h.cells.wound], axis=(1, 2))
    return _c(float(np.trapezoid(near, h.time) / (h.time[-1] - h.time[0])))


def _chamber(h: HeatRun) -> Floats:
    return np.asarray(h.temperature[:, h.cells.chamber])


def _chamber_rate(h: HeatRun) -> float:
    return _rise(h, _chamber(h)) / float(h.time[-1])


def _seconds_100(h: HeatRun) -> float:
    """Seconds until the needle, or the fluid around it, is at 100 °C."""
    metal = _first(h.time, h.metal_peak, CELSIUS.to_si(100.0))
    return metal if h.boiled is None else min(metal, h.boiled)


MEASURES: Mapping[str, Callable[[HeatRun], float]] = {
    "sleeve": lambda h: _c(h.peak_sleeve),
    "metal_rise": lambda h: _rise(h, h.metal_peak),
    "wound": lambda h: _c(_wound(h)),
    "wound_rise": lambda h: _rise(h, h.wound_peak),
    "wound_mean": _wound_mean,
    "wound_seconds_45": lambda h: _wound_seconds(h, 45.0),
    "wound_seconds_60": lambda h: _wound_seconds(h, 60.0),
    "seconds_100": _seconds_100,
    "proximal_rise": _proximal,
    "chamber_rise": lambda h: _rise(h, _chamber(h)),
    "chamber_rate": _chamber_rate,
    "apart": lambda h: _rise(h, h.sleeve_peak),
}
"""Measures by name: °C, K, K/s or s."""

IN_WORDS = {
    "sleeve": "hottest place of the sleeve's outside [°C]",
    "metal_rise": "rise of the hottest metal [K]",
    "wound": "hottest tissue next to the needle [°C]",
    "wound_rise": "rise of the hottest tissue next to the needle [K]",
    "wound_mean": "tissue next to the needle, mean over place and time [°C]",
    "wound_seconds_45": "seconds until that tissue is at 45 °C",
    "wound_seconds_60": "seconds until that tissue is at 60 °C",
    "seconds_100": "seconds until the needle or the fluid around it is at 100 °C",
    "proximal_rise": "rise of the sleeve over the hub's half of the shaft [K]",
    "chamber_rise": "rise of the chamber's fluid [K]",
    "chamber_rate": "mean heating of the chamber's fluid [K/s]",
    "apart": "difference of the hottest places [K]",
}
"""What each measure is, for people."""
SECONDS = ("wound_seconds_45", "wound_seconds_60", "seconds_100")


def peak(h: HeatRun, measure: str) -> float:
    """Return the peak that orders compare [°C]: of tissue in a wound, else of the sleeve."""
    if measure.startswith("wound"):
        return _c(_wound(h))
    if measure == "proximal_rise":
        return _c(float(h.temperature[0, 0]) + _proximal(h))
    return _c(h.peak_sleeve)
