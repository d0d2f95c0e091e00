"""From scenario to result: the parts, what each rests on, and how it is computed."""

from collections.abc import Callable, Hashable
from functools import cache, cached_property
from importlib import import_module
from importlib.util import find_spec
from operator import attrgetter
from typing import TYPE_CHECKING, Any, TypeVar, cast

from tipsim import quantities
from tipsim.flow.balance import Balance, balance
from tipsim.flow.surge import Surge, surge
from tipsim.heat.camera import Thermogram, thermogram
from tipsim.heat.camera.surface import IN_AIR
from tipsim.heat.legs import Model
from tipsim.heat.steady import SteadyHeat, steady_heat
from tipsim.heat.timeline import HeatRun, heat_run
from tipsim.motion.cavitation import Cavitation, cavitation
from tipsim.motion.ceilings import Ceiling, ceilings
from tipsim.motion.eigen import Modes
from tipsim.motion.markers import AGAINST
from tipsim.motion.response import Response, natural_modes, response
from tipsim.motion.run import Motion, run
from tipsim.motion.sensitivity import Sensitivity, sensitivity
from tipsim.motion.stress import Stress, stress
from tipsim.quantities import plain, quantity, rounded
from tipsim.quantities.pair import pair_dict, ratio_dict
from tipsim.quantities.rows import output_rows
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario
from tipsim.tissue.equal import Side
from tipsim.tissue.iris import Iris, iris
from tipsim.tissue.nucleus import Cutting, cutting
from tipsim.tissue.wound import Wound, wound

if TYPE_CHECKING:
    from tipsim.tissue.endoscope import Study

MOTION = (
    "needle", "drive", "hub", "fluid", "sleeve", "lens", "support", "press", "outside.kind",
    "outside.film", "incision", "thermal.silicone_density", "thermal.cornea_density", "duty",
    "squeeze", "markers", "loss_factor", "spacing",
)  # fmt: skip
FLOW = ("needle", "sleeve", "fluid", "flow", "lines", "press", "incision")
STEADY = (
    "needle", "drive", "hub", "fluid", "sleeve", "lens", "support", "outside", "duty",
    "loss_factor", "spacing", "flow", "lines", "press", "thermal", "rubbing",
    "squeeze", "chamber", "viscoelastic", "incision", "tissue.near", "tissue.far", "tissue.beyond",
)  # fmt: skip
HEAT = (
    *STEADY, "events", "duration", "surge.line_compliance", "surge.chamber_compliance",
    "surge.closing_time", "surge.place", "surge.pump_lag",
)  # fmt: skip
IRIS = (
    *MOTION, "flow", "lines", "tissue.iris",
    "eye.iris_gap", "eye.iris_place", "eye.iris_side", "eye.iris_modulus",
)  # fmt: skip


@described()
class Part:
    """A part of a result that can be had without the others."""

    compute: Callable[..., Any] = about(
        "From the result it belongs to, and perhaps details, to the part."
    )
    fields: tuple[str, ...] = about(
        "The scenario's fields that it rests on; a change of any other leaves the part as it is."
    )
    details: tuple[Hashable, ...] = about(
        "Further arguments of `compute`, where none are given.", default=()
    )


def _heat(result: "Result", model: Model) -> HeatRun:
    scenario = result.scenario
    return heat_run(scenario, scenario.duration, model=model, motion=result.motion)


def _thermogram(result: "Result", model: Model) -> Thermogram | None:
    scenario = result.scenario
    if scenario.outside.kind not in IN_AIR:
        return None
    run = result.heat if model == Model() else _heat(result, model)
    return thermogram(run, scenario.thermal_camera)


def _study(result: "Result") -> "Study":
    # Here, so that importing tipsim brings no filters of pictures along.
    from tipsim.tissue.endoscope import study

    return study(result.scenario, result.motion)


PARTS: dict[str, Part] = {
    "motion": Part(lambda r: run(r.scenario), MOTION),
    "limits": Part(lambda r: ceilings(r.scenario, r.motion), (*MOTION, "ceilings")),
    "cavitation": Part(lambda r: cavitation(r.scenario, r.motion), (*MOTION, "ceilings")),
    "stress": Part(lambda r: stress(r.motion.vibration), MOTION),
    "sensitivity": Part(lambda r: sensitivity(r.scenario, r.motion), MOTION),
    "response": Part(lambda r: response(r.scenario), MOTION),
    "modes": Part(lambda r: natural_modes(r.scenario), MOTION),
    "heat": Part(_heat, HEAT, (Model(),)),
    "steady": Part(lambda r: steady_heat(r.scenario, motion=r.motion), STEADY),
    "thermogram": Part(_thermogram, (*HEAT, "thermal_camera"), (Model(),)),
    "flow": Part(lambda r: balance(r.scenario), FLOW),
    "surge": Part(lambda r: surge(r.scenario), (*FLOW, "surge", "chamber.volume")),
    "iris": Part(lambda r: iris(r.scenario, r.motion), IRIS),
    "cutting": Part(
        lambda r: cutting(r.scenario, r.motion), (*MOTION, "flow", "lines", "tissue.cutting")
    ),
    "wound": Part(
        lambda r: wound(r.scenario, r.heat), (*HEAT, "eye.wound_width", "tissue.wound")
    ),
    "endoscope": Part(_study, (*IRIS, "endoscope")),
}  # fmt: skip
"""Everything that is computed, by name, with what it rests on."""


@cache
def _reader(part: str) -> Callable[[Scenario], tuple[Any, ...]]:
    return attrgetter(*PARTS[part].fields)


def rests_on(scenario: Scenario, part: str) -> tuple[Any, ...]:
    """Return the values of all that a part rests on."""
    return _reader(part)(scenario)


Getter = Callable[..., Any]
T = TypeVar("T")


def _part(name: str, _: type[T], doc: str) -> cached_property[T]:
    """Return the property of a `Result` that holds a part, of a type."""

    def get(result: "Result") -> T:
        return cast(T, result.part(name))

    get.__doc__ = doc
    return cached_property(get)


@described(eq=False, repr=False)
class Result:
    """All that is computed for one scenario, each part when it is first asked for."""

    scenario: Scenario = about("What was asked.")
    get: Getter | None = about(
        "Where parts come from, such as a store; None: each is computed here, and kept here.",
        default=None,
    )

    def part(self, name: str) -> Any:
        """Return a part by name, as in `PARTS`."""
        if self.get is not None:
            return self.get(self.scenario, name)
        return PARTS[name].compute(self, *PARTS[name].details)

    motion = _part("motion", Motion, "How the needle moves.")
    limits = _part(
        "limits", tuple[Ceiling, ...], "What the motion has of each limit of the linear model."
    )
    cavitation = _part("cavitation", Cavitation, "Pressure amplitudes beside what the fluid bears.")
    stress = _part("stress", Stress, "Peak stress along the needle over a cycle.")
    sensitivity = _part(
        "sensitivity", Sensitivity, "Change of the motion for 1 % of frequency, stiffness, length."
    )
    response = _part("response", Response, "Motion over frequency.")
    heat = _part("heat", HeatRun, "Temperatures over the run.")
    steady = _part(
        "steady", SteadyHeat, "Temperatures once nothing changes any more, without events."
    )
    flow = _part("flow", Balance, "Steady flow and pressures.")
    surge = _part("surge", Surge, "Occlusion and occlusion break through time.")
    iris = _part("iris", Iris, "Contact of sleeve and iris, with ranges.")
    cutting = _part("cutting", Cutting, "What the opening does to lens material, with ranges.")
    wound = _part("wound", Wound, "Fit, temperature and injury of the wound's lip, with ranges.")

    @cached_property
    def thermogram(self) -> Thermogram | None:
        """What a thermal camera shows; None where fluid or tissue hides the needle."""
        return cast(Thermogram | None, self.part("thermogram"))

    @cached_property
    def endoscope(self) -> "Study":
        """A film through an endoscope, and what it shows."""
        return cast("Study", self.part("endoscope"))

    def __getitem__(self, name: str) -> Any:
        """Return an output by name, in SI; see `tipsim.quantities`."""
        return quantity(name).get(self)

    def text(self, name: str) -> str:
        """Return an output by name as text with its unit."""
        one = quantity(name)
        return one.text(one.get(self))

    def table(self, *names: str) -> Any:
        """Return outputs as a table: all, or those of some names or parts ("motion").

        Returns
        -------
        pandas.DataFrame or Table
            A data frame where pandas is installed.
        """
        for name in names:
            if name not in quantities.PARTS:
                quantity(name)
        every = quantities.QUANTITIES.values()
        wanted = [q for q in every if not names or q.name in names or q.part in names]
        rows = output_rows(self, wanted)
        return rows.frame().set_index("name") if find_spec("pandas") else rows

    @property
    def plot(self) -> Any:
        """Figures: ``plot.along()``, ``plot.response()``, ``plot.heat()``; they need Bokeh."""
        # By name: the core itself imports no screens.
        return import_module("tipsim.plot").Plots(self)

    def __repr__(self) -> str:
        return f"Result({self.scenario.name!r}: tip {self.text('motion.end_stroke')})"

    def _repr_html_(self) -> str:
        motion = (q for q in quantities.QUANTITIES.values() if q.part == "motion")
        return output_rows(self, motion)._repr_html_()

    def modes(self) -> Modes:
        """Return the natural modes of the needle on its hub."""
        return cast(Modes, self.part("modes"))

    def to_dict(self) -> dict[str, Any]:
        """Return the result as plain data, SI or the unit named in each key."""
        return {
            "scenario": self.scenario.name,
            "needle": self.scenario.needle.id,
            "drive": self.scenario.drive.kind,
            "power_percent": rounded(self.scenario.drive.power * 100),
            **{name: plain(self, name) for name in quantities.PARTS},
        }


def solve(scenario: Scenario) -> Result:
    """Solve a scenario.

    Examples
    --------
    >>> result = solve(Scenario.preset("single-bend, torsional"))
    >>> round(result.motion.end_stroke * 1e6)
    130
    """
    result = Result(scenario)
    _ = result.motion  # What cannot be solved is refused here.
    return result


def compare(a: Result, b: Result) -> dict[str, Any]:
    """Compare two results.

    Returns
    -------
    dict
        Both results and ratios; a ratio is None where its lower number is 0.
    """
    from tipsim.tissue.endoscope import ratio

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
        "specks_a_over_b": ratio_dict(ratio(a.endoscope, b.endoscope)),
        "markers_against_end": {"a": _against(ma), "b": _against(mb)},
    }


def _against(motion: Motion) -> list[int]:
    """Return the numbers (from 1) of the markers that move against the tip."""
    return [i for i, k in enumerate(motion.markers, 1) if k.direction == AGAINST]


def _ratio(top: float, below: float) -> float | None:
    return rounded(top / below) if below > 0 else None
