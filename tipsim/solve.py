"""The one place where the chain is tied: scenario in, result out."""

from collections.abc import Callable, Hashable
from dataclasses import dataclass
from functools import cache, cached_property
from operator import attrgetter
from typing import Any, cast

import numpy as np

from tipsim.flow.balance import Balance, balance
from tipsim.flow.result import flow_dict
from tipsim.flow.surge import Surge, Trial, surge
from tipsim.heat.legs import Model
from tipsim.heat.sources import CAUSES
from tipsim.heat.timeline import HeatRun, heat_run
from tipsim.motion.eigen import Modes
from tipsim.motion.markers import AGAINST
from tipsim.motion.response import Response, natural_modes, response
from tipsim.motion.run import Motion, run
from tipsim.motion.sensitivity import Sensitivity, sensitivity
from tipsim.motion.stress import Stress, stress
from tipsim.motion.travel import stroke
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.units import CELSIUS
from tipsim.tissue.equal import Side
from tipsim.tissue.iris import Iris, iris
from tipsim.tissue.nucleus import Cutting, cutting
from tipsim.tissue.result import cutting_dict, iris_dict, pair_dict, wound_dict
from tipsim.tissue.wound import Wound, wound

MOTION = (
    "needle", "drive", "fluid", "sleeve", "lens", "support", "outside.kind", "duty", "markers",
    "loss_factor", "spacing",
)  # fmt: skip
FLOW = ("needle", "sleeve", "fluid", "flow")
HEAT = (
    "needle", "drive", "fluid", "sleeve", "lens", "support", "outside", "duty", "loss_factor",
    "spacing", "flow", "press", "events", "duration",
)  # fmt: skip


@dataclass(frozen=True)
class Part:
    """A part of a result that can be had without the others.

    Attributes
    ----------
    compute : callable
        From the result it belongs to, and perhaps details, to the part.
    fields : tuple of str
        The scenario's fields that it rests on; a change of any other leaves the part as it is.
    details : tuple
        Further arguments of `compute`, where none are given.
    """

    compute: Callable[..., Any]
    fields: tuple[str, ...]
    details: tuple[Hashable, ...] = ()


def _heat(result: "Result", model: Model) -> HeatRun:
    scenario = result.scenario
    return heat_run(scenario, scenario.duration, model=model, motion=result.motion)


PARTS: dict[str, Part] = {
    "motion": Part(lambda r: run(r.scenario), MOTION),
    "stress": Part(lambda r: stress(r.motion.vibration), MOTION),
    "sensitivity": Part(lambda r: sensitivity(r.scenario, r.motion), MOTION),
    "response": Part(lambda r: response(r.scenario), MOTION),
    "modes": Part(lambda r: natural_modes(r.scenario), MOTION),
    "heat": Part(_heat, HEAT, (Model(),)),
    "flow": Part(lambda r: balance(r.scenario), FLOW),
    "surge": Part(lambda r, trial: surge(r.scenario, trial=trial), FLOW, (Trial(),)),
    "iris": Part(
        lambda r: iris(r.scenario, r.motion),
        (
            *MOTION, "flow", "tissue.iris",
            "eye.iris_gap", "eye.iris_place", "eye.iris_side", "eye.iris_modulus",
        ),
    ),
    "cutting": Part(lambda r: cutting(r.scenario, r.motion), (*MOTION, "flow", "tissue.cutting")),
    "wound": Part(
        lambda r: wound(r.scenario, r.heat), (*HEAT, "eye.wound_width", "tissue.wound")
    ),
}  # fmt: skip
"""Everything that is computed, by name, with what it rests on."""


@cache
def _reader(part: str) -> Callable[[Scenario], tuple[Any, ...]]:
    return attrgetter(*PARTS[part].fields)


def rests_on(scenario: Scenario, part: str) -> tuple[Any, ...]:
    """Return the values of all that a part rests on."""
    return _reader(part)(scenario)


Getter = Callable[..., Any]


@dataclass(frozen=True, eq=False)
class Result:
    """All that is computed for one scenario, each part when it is first asked for.

    Attributes
    ----------
    scenario : Scenario
        What was asked.
    get : callable or None
        Where parts come from, such as a store; None: each is computed here, and kept here.
    """

    scenario: Scenario
    get: Getter | None = None

    def part(self, name: str) -> Any:
        """Return a part by name, as in `PARTS`."""
        if self.get is not None:
            return self.get(self.scenario, name)
        return PARTS[name].compute(self, *PARTS[name].details)

    @cached_property
    def motion(self) -> Motion:
        """How the needle moves."""
        return cast(Motion, self.part("motion"))

    @cached_property
    def stress(self) -> Stress:
        """Peak stress along the needle over a cycle."""
        return cast(Stress, self.part("stress"))

    @cached_property
    def sensitivity(self) -> Sensitivity:
        """How much the motion changes for 1 % of frequency, stiffness and length."""
        return cast(Sensitivity, self.part("sensitivity"))

    @cached_property
    def response(self) -> Response:
        """Motion over frequency."""
        return cast(Response, self.part("response"))

    @cached_property
    def heat(self) -> HeatRun:
        """Temperatures over the run."""
        return cast(HeatRun, self.part("heat"))

    @cached_property
    def flow(self) -> Balance:
        """Steady flow and pressures."""
        return cast(Balance, self.part("flow"))

    @cached_property
    def surge(self) -> Surge:
        """Occlusion and occlusion break through time."""
        return cast(Surge, self.part("surge"))

    @cached_property
    def iris(self) -> Iris:
        """Contact of sleeve and iris, with ranges."""
        return cast(Iris, self.part("iris"))

    @cached_property
    def cutting(self) -> Cutting:
        """What the opening does to lens material, with ranges."""
        return cast(Cutting, self.part("cutting"))

    @cached_property
    def wound(self) -> Wound:
        """Fit, temperature and injury of the wound's lip, with ranges."""
        return cast(Wound, self.part("wound"))

    def modes(self) -> Modes:
        """Return the natural modes of the needle on its hub."""
        return cast(Modes, self.part("modes"))

    def to_dict(self) -> dict[str, Any]:
        """Return the result as plain data, SI or the unit named in each key."""
        return {
            "scenario": self.scenario.name,
            "needle": self.scenario.needle.id,
            "drive": self.scenario.drive.kind,
            "power_percent": _r(self.scenario.drive.power * 100),
            **{name: part(self) for name, part in PLAIN.items()},
        }


def solve(scenario: Scenario) -> Result:
    """Solve a scenario.

    Parameters
    ----------
    scenario : Scenario

    Returns
    -------
    Result

    Examples
    --------
    >>> result = solve(Scenario.preset("single-bend, torsional"))
    >>> round(result.motion.end_stroke * 1e6)
    130
    """
    result = Result(scenario)
    _ = result.motion  # What cannot be solved is refused here.
    return result


def motion_dict(m: Motion) -> dict[str, Any]:
    """Give the motion as plain data; every stroke is peak to peak, phases against the end."""
    c = m.character
    return {
        "frequency_hz": _r(m.frequency),
        "end_stroke_um_pp": _r(m.end_stroke * 1e6),
        "end_speed_m_s": _r(m.end_speed),
        "mouth_edge_stroke_um_pp": _r(m.edge_stroke * 1e6),
        "shaft_stroke_um_pp": _r(c.shaft_stroke * 1e6),
        "shaft_sideways_um_rms": _r(c.shaft_rms * 1e6),
        "shaft_surface_turning_um_pp": _r(c.shaft_turning * 1e6),
        "pendular_share": _r(c.pendular_share),
        "whip_share": _r(c.whip_share),
        "nodes_mm": [_r(n * 1e3) for n in m.still_points],
        "markers": [
            {
                "distance_mm": _r(k.distance * 1e3),
                "stroke_um_pp": _r(k.stroke * 1e6),
                "phase_deg": _r(float(np.degrees(k.phase))),
                "direction": k.direction,
            }
            for k in m.markers
        ],
        "hub_torque_n_mm": _r(m.hub_torque * 1e3),
        "hub_force_n": _r(m.hub_force),
        "power_w": _r(m.power),
        "mean_power_w": _r(m.mean_power),
        "lost_w": {
            "hysteresis": _r(float(m.vibration.lost_in_segments.sum())),
            "films": _r(float(m.vibration.lost_in_film.sum())),
            "load": _r(float(m.vibration.lost_in_dampers.sum())),
        },
        "under_load": _load_dict(m),
    }


def _load_dict(m: Motion) -> dict[str, Any] | None:
    """Give what lens and support do to stroke and power; None when nothing presses."""
    if m.free is None:
        return None
    free_stroke = float(stroke(m.free.displacement[-1, :3]))
    return {
        "end_stroke_over_free": _ratio(m.end_stroke, free_stroke),
        "power_over_free": _ratio(m.power, m.free.power_in),
    }


def stress_dict(result: Result) -> dict[str, Any]:
    """Give peak stress and its share of the fatigue strength (smooth, ten million cycles)."""
    s, strength = result.stress, number("fatigue.smooth")
    return {
        "peak_mpa": _r(s.peak / 1e6),
        "peak_distance_from_end_mm": _r((result.scenario.needle.length - s.peak_place) * 1e3),
        "bending_mpa": _r(float(s.bending.max()) / 1e6),
        "axial_mpa": _r(float(s.axial.max()) / 1e6),
        "torsion_mpa": _r(float(s.torsion.max()) / 1e6),
        "share_of_fatigue_strength": _r(s.peak / strength.si),
        "share_of_fatigue_strength_range": [
            _r(s.peak / strength.unit.to_si(strength.high)),
            _r(s.peak / strength.unit.to_si(strength.low)),
        ],
    }


def sensitivity_dict(found: Sensitivity) -> dict[str, Any]:
    """Give relative changes of the end stroke and shaft motion for -1 % and +1 %."""
    out: dict[str, Any] = {"delicate": found.delicate}
    for effect in found.effects:
        out[effect.what] = {
            "end_stroke_change": [_r(v) for v in effect.end],
            "shaft_rms_change": [_r(v) for v in effect.shaft],
        }
    return out


def heat_dict(h: HeatRun) -> dict[str, Any]:
    """Give the temperatures as plain data; watts are means over pulses, with the bench's load."""
    return {
        "duration_s": _r(float(h.time[-1])),
        "start_temperature_c": _celsius(float(h.temperature[0, 0])),
        "peak_sleeve_temperature_c": _celsius(h.peak_sleeve),
        "peak_metal_temperature_c": _celsius(float(h.metal_peak.max())),
        "peak_wound_temperature_c": _celsius(h.peak_wound),
        "seconds_to_45_c": _r(h.seconds_to(CELSIUS.to_si(45))),
        "seconds_to_60_c": _r(h.seconds_to(CELSIUS.to_si(60))),
        "boiled_after_s": _r(h.boiled),
        "sources_w": {cause: _r(h.duty * h.sources.total(cause)) for cause in CAUSES},
        "energy_balance_error": _r(h.imbalance),
    }


def _celsius(kelvin: float | None) -> float | None:
    return None if kelvin is None else _r(float(CELSIUS.from_si(kelvin)))


PLAIN: dict[str, Callable[[Result], Any]] = {
    "motion": lambda r: motion_dict(r.motion),
    "stress": stress_dict,
    "sensitivity": lambda r: sensitivity_dict(r.sensitivity),
    "heat": lambda r: heat_dict(r.heat),
    "flow": lambda r: flow_dict(r.flow, r.surge),
    "iris": lambda r: iris_dict(r.iris),
    "cutting": lambda r: cutting_dict(r.cutting),
    "wound": lambda r: wound_dict(r.wound),
}
"""Parts of a result that can be had without the others, which cost more."""


def compare(a: Result, b: Result) -> dict[str, Any]:
    """Lay two results side by side.

    Returns
    -------
    dict
        Both results and ratios; a ratio is None where its lower number is 0.
    """
    ma, mb = a.motion, b.motion
    return {
        "a": a.to_dict(),
        "b": b.to_dict(),
        "ratios": {
            "end_stroke_b_over_a": _ratio(mb.end_stroke, ma.end_stroke),
            "shaft_stroke_a_over_b": _ratio(ma.character.shaft_stroke, mb.character.shaft_stroke),
            "shaft_rms_a_over_b": _ratio(ma.character.shaft_rms, mb.character.shaft_rms),
            "marker_strokes_a_over_b": [
                _ratio(x.stroke, y.stroke) for x, y in zip(ma.markers, mb.markers, strict=False)
            ],
        },
        "tissue": pair_dict(Side(a.scenario, ma), Side(b.scenario, mb)),
        "markers_against_end": {"a": _against(ma), "b": _against(mb)},
    }


def _against(motion: Motion) -> list[int]:
    """Give the numbers (from 1) of the markers that move against the end."""
    return [i for i, k in enumerate(motion.markers, 1) if k.direction == AGAINST]


def _ratio(top: float, below: float) -> float | None:
    return _r(top / below) if below > 0 else None


def _r(value: float | None) -> float | None:
    """Round to six significant digits: more would be noise in a file."""
    return None if value is None else float(f"{value:.6g}")
