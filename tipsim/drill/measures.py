"""What a drill is judged by: numbers from its curves from the first fault on."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from tipsim.drill.curves import Curves
from tipsim.setup.units import CELSIUS, ML, ML_MIN, MM, MMHG, PERCENT, SECOND, Unit

Floats = NDArray[np.float64]
_STILL = 1e-6 / 60
"""Less than this through the needle counts as no flow [m³/s]: 1 mL/min."""
_SHALLOW = 0.5
"""Share of its depth at the start below which a chamber counts as shallow: assumed."""


@dataclass(frozen=True)
class Measure:
    """One number: label, unit, whether less is better, what counts as a difference (in unit)."""

    label: str
    unit: Unit
    less: bool
    matters: float
    read: Callable[[Curves, float], float]

    def show(self, value: float) -> str:
        """Write a value in its unit with this unit."""
        return f"{value:.{0 if self.unit in (PERCENT, MMHG) else 1}f} {self.unit.symbol}".strip()


def _after(curves: Curves, name: str, since: float) -> Floats:
    return curves.shown(name)[curves["time"] >= since - 1e-9]


def _lowest(name: str) -> Callable[[Curves, float], float]:
    return lambda curves, since: float(_after(curves, name, since).min())


def _highest(name: str) -> Callable[[Curves, float], float]:
    return lambda curves, since: float(_after(curves, name, since).max())


def _last(name: str) -> Callable[[Curves, float], float]:
    return lambda curves, since: float(_after(curves, name, since)[-1])


def _time(curves: Curves, since: float, share: Floats) -> float:
    """Return for how long something holds; `share` (n,) is 0 or 1 [s]."""
    time = curves["time"]
    inside = time[1:] > since
    return float(np.sum((np.diff(time) * (share[1:] + share[:-1]) / 2)[inside]))


def _dry_ultrasound(curves: Curves, since: float) -> float:
    still = curves["aspiration"] < _STILL
    return _time(curves, since, (still & (curves["ultrasound"] > 0)).astype(float))


def _idle_ultrasound(curves: Curves, since: float) -> float:
    nothing = curves["fragment"] <= 0
    return _time(curves, since, (nothing & (curves["ultrasound"] > 0)).astype(float))


def _leaked(curves: Curves, since: float) -> float:
    return float(np.interp(curves["time"][-1], curves["time"], curves.volumes[:, 1]) * 1e6) - float(
        np.interp(since, curves["time"], curves.volumes[:, 1]) * 1e6
    )


def _iris(curves: Curves, since: float) -> float:
    return _time(curves, since, curves["iris"])


def _iris_ultrasound(curves: Curves, since: float) -> float:
    return _time(curves, since, curves["iris"] * (curves["ultrasound"] > 0))


def _shallow(curves: Curves, since: float) -> float:
    usual = float(curves["depth"][0])
    return _time(curves, since, (curves["depth"] < _SHALLOW * usual).astype(float))


MEASURES: Mapping[str, Measure] = MappingProxyType(
    {
        "lowest_depth_mm": Measure("lowest chamber depth", MM, False, 0.1, _lowest("depth")),
        "shallow_s": Measure("time with a shallow chamber", SECOND, True, 0.3, _shallow),
        "hottest_wound_c": Measure("warmest incision", CELSIUS, True, 0.5, _highest("wound")),
        "hottest_sleeve_c": Measure("warmest sleeve", CELSIUS, True, 0.5, _highest("sleeve")),
        "dose_s": Measure("heat dose at the incision (43 °C)", SECOND, True, 1.0, _last("dose")),
        "ultrasound_without_flow_s": Measure(
            "ultrasound without flow", SECOND, True, 0.3, _dry_ultrasound
        ),
        "ultrasound_without_fragment_s": Measure(
            "ultrasound with no fragment left", SECOND, True, 0.3, _idle_ultrasound
        ),
        "iris_held_s": Measure("iris held at the opening", SECOND, True, 0.3, _iris),
        "ultrasound_on_iris_s": Measure(
            "ultrasound with the iris at the opening", SECOND, True, 0.2, _iris_ultrasound
        ),
        "highest_vacuum_mmhg": Measure("highest vacuum", MMHG, True, 20, _highest("vacuum")),
        "largest_leak_ml_min": Measure("largest leak", ML_MIN, True, 1, _highest("leak")),
        "leaked_ml": Measure("leaked through the incision", ML, True, 0.3, _leaked),
        "ultrasound_time_s": Measure(
            "ultrasound, counted by power", SECOND, True, 0.5, _last("spent")
        ),
        "fragment_percent": Measure("fragment left", PERCENT, True, 5, _last("fragment")),
    }
)
"""Every measure by its name in files."""


def measured(curves: Curves, since: float) -> dict[str, float]:
    """Return all measures from a time on [s], each in its own unit."""
    return {name: m.read(curves, since) for name, m in MEASURES.items()}
