"""Every declared output: its number in JSON against the result in SI, its text, its way out."""

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest

from tests.everything import everything_on
from tipsim.lesson.quantities import QUANTITIES as SHORT
from tipsim.motion.annulus import stirred
from tipsim.quantities import QUANTITIES, figures, quantity
from tipsim.quantities.rows import output_rows
from tipsim.setup.errors import BadInput
from tipsim.setup.scenario import Scenario
from tipsim.solve import Result, solve
from tipsim.tissue.bands import Band

RESULT = solve(everything_on())
DATA = RESULT.to_dict()
PLAIN = solve(Scenario.preset("single-bend, torsional"))
MMHG, UL, ML_MIN = 133.322387415, 1e-9, 1e-6 / 60
ZERO = 273.15


def travel(u: Any) -> float:
    """Largest distance between two points of the path Re(u exp(i phase)) [m], by trying all."""
    phase = np.linspace(0, np.pi, 3601)
    path = np.real(np.asarray(u)[:, None] * np.exp(1j * phase))
    return float(2 * np.linalg.norm(path, axis=0).max())


def shaft_nodes(r: Result) -> Any:
    s, needle = r.motion.frame.s, r.scenario.needle
    return (s >= needle.taper_length - 1e-12) & (s <= needle.first_bend + 1e-12)


def sideways(r: Result) -> Any:
    u, t = r.motion.displacement[:, :3], r.motion.frame.node_tangent
    return u - (u * t).sum(axis=1, keepdims=True) * t


def coupling(r: Result) -> float:
    """A sleeve of 0.65 mm around 0.9 mm, in air or fluid by masses (facts), 0 under its load."""
    shaft = r.scenario.sleeve_end - r.scenario.needle.taper_length
    free = 0.50826 if r.scenario.outside.kind == "air" else 0.345255
    loads = [one for one in (r.scenario.press, r.scenario.support) if one is not None]
    spans = sorted(one.span(r.scenario.incision) for one in loads)
    places = np.linspace(r.scenario.needle.taper_length, r.scenario.sleeve_end, 200001)
    from_tip = r.scenario.needle.length - places
    held = np.any([(from_tip > near) & (from_tip < far) for near, far in spans], axis=0)
    assert shaft > 0
    return float(free * (1 - held.mean()))


def carried(r: Result) -> Any:
    """Where the hub's shift and turn carry the tip of the drawn needle [m]: u + turn x arm."""
    length = sum(piece.length for piece in r.scenario.needle.pieces)
    first, (x, y, z) = r.motion.displacement[0], r.scenario.needle.points_at([length])[0]
    a, b, c = first[3:]
    return first[:3] + np.array([b * z - c * y, c * x - a * z, a * y - b * x])


def reaction(r: Result, half: slice) -> float:
    return float(abs(r.motion.vibration.reaction[0, half] @ r.motion.frame.node_tangent[0]))


def pressures(r: Result) -> Any:
    return stirred(r.scenario, r.motion.vibration).pressure


def from_tip(r: Result) -> Any:
    return stirred(r.scenario, r.motion.vibration).from_tip


def lost(r: Result, what: str) -> float:
    return float(getattr(r.motion.vibration, f"lost_in_{what}").sum())


def layer(r: Result, name: str) -> float:
    return float(np.nanmax(r.heat.layer(name))) - ZERO


def since(r: Result, degrees: float) -> float:
    """Time at which the sleeve's outside passes a temperature, on the line between two times."""
    warmest = np.nanmax(r.heat.layer("outer"), axis=(1, 2)) - ZERO
    i = int(np.argmax(warmest >= degrees))
    (t0, t1), (w0, w1) = r.heat.time[i - 1 : i + 1], warmest[i - 1 : i + 1]
    return float(t0 + (degrees - w0) / (w1 - w0) * (t1 - t0))


def films(r: Result, sleeved: bool) -> float:
    """Mean watts in the outer film of slices whose middle the sleeve covers, or of the others."""
    edges = r.heat.sources.edges
    covered = (edges[1:] + edges[:-1]) / 2 < r.scenario.sleeve_end
    return float(r.heat.sources.watts["films_outside"][covered == sleeved].sum()) / 3


BY_HAND: dict[str, Callable[[Result], Any]] = {
    "motion.frequency": lambda _: 32000.0,
    "motion.end_stroke": lambda r: travel(r.motion.displacement[-1, :3]) * 1e6,
    "motion.rigid_stroke": lambda r: 1e6 * travel(carried(r)),
    "motion.end_speed": lambda r: np.pi * 32000 * travel(r.motion.displacement[-1, :3]),
    "motion.shaft_stroke": lambda r: 1e6 * max(travel(u) for u in sideways(r)[shaft_nodes(r)]),
    "motion.sleeve_coupling": coupling,
    "motion.still_points": lambda r: [n * 1e3 for n in r.motion.still_points],
    "motion.hub_torque": lambda r: reaction(r, slice(3, 6)) * 1e3,
    "motion.hub_force": lambda r: reaction(r, slice(0, 3)),
    # The needle leaves its hub along x.
    "motion.hub_side_force": lambda r: travel(r.motion.vibration.reaction[0, 1:3]) / 2,
    "motion.hub_moment": lambda r: travel(r.motion.vibration.reaction[0, 4:6]) / 2 * 1e3,
    "motion.hub_shift": lambda r: travel(r.motion.displacement[0, 1:3]) * 1e6,
    "motion.hub_tilt": lambda r: np.degrees(travel(r.motion.displacement[0, 4:6])),
    "motion.mean_power": lambda r: r.motion.power / 3,  # 10 ms on, 20 ms off
    "motion.power": lambda r: sum(lost(r, k) for k in ("segments", "film", "dampers")),
    "motion.lost_hysteresis": lambda r: lost(r, "segments"),
    "motion.lost_films": lambda r: lost(r, "film"),
    "motion.lost_load": lambda r: lost(r, "dampers"),
    "motion.whip_share": lambda r: 1 - r.motion.character.pendular_share,  # type: ignore[operator]
    "motion.loaded_stroke": lambda r: (
        travel(r.motion.displacement[-1, :3]) / travel(r.motion.free.displacement[-1, :3])
    ),  # type: ignore[union-attr]
    "motion.loaded_power": lambda _: 1.0,  # The drive holds its power.
    "limits.speed": lambda r: np.pi * 32000 * travel(r.motion.displacement[-1, :3]) / 20,
    "limits.power": lambda r: sum(lost(r, k) for k in ("segments", "film", "dampers")) / 30,
    "limits.swing": lambda r: float(stirred(r.scenario, r.motion.vibration).swing.max()) / 0.5,
    "cavitation.film": lambda r: pressures(r).max() / 1e6,
    "cavitation.film_place": lambda r: from_tip(r)[pressures(r).argmax()] * 1e3,
    "cavitation.shaft": lambda r: (
        pressures(r)[from_tip(r) >= r.scenario.needle.length - r.scenario.needle.first_bend].max()
        / 1e6
    ),
    "cavitation.tip": lambda r: r.cavitation.tip / 1e6,
    "cavitation.threshold": lambda _: 0.1413,
    "cavitation.film_onset": lambda r: 0.8 * 141.3e3 / pressures(r).max(),
    "cavitation.tip_onset": lambda r: 0.8 * 141.3e3 / r.cavitation.tip,
    "stress.peak": lambda r: float(r.stress.equivalent.max()) / 1e6,
    "stress.peak_place": lambda r: (
        1e3 * (r.scenario.needle.length - r.stress.s[int(r.stress.equivalent.argmax())])
    ),
    "stress.bending": lambda r: float(r.stress.bending.max()) / 1e6,
    "stress.axial": lambda r: float(r.stress.axial.max()) / 1e6,
    "stress.torsion": lambda r: float(r.stress.torsion.max()) / 1e6,
    "heat.duration": lambda _: 3.5,
    "heat.start": lambda _: 25.0,
    "heat.peak_sleeve": lambda r: layer(r, "outer"),
    "heat.peak_metal": lambda r: layer(r, "metal"),
    "heat.source_metal": lambda r: r.heat.sources.watts["metal"].sum() / 3,
    "heat.source_rubbing": lambda r: r.heat.sources.watts["rubbing"].sum() / 3,
    "heat.source_squeezing": lambda r: r.heat.sources.watts["squeezing"].sum() / 3,
    "heat.source_films_outside": lambda r: r.heat.sources.watts["films_outside"].sum() / 3,
    "heat.source_films_bore": lambda r: r.heat.sources.watts["films_bore"].sum() / 3,
    "flow.bottle": lambda r: r.flow.bottle_pressure / MMHG,
    "flow.chamber": lambda r: r.flow.chamber_pressure / MMHG,
    "flow.vacuum": lambda r: r.flow.vacuum / MMHG,
    "flow.irrigation": lambda r: (
        (r.flow.flows.mouth + r.flow.flows.bypass + r.flow.flows.leak) / ML_MIN
    ),
    "flow.aspiration": lambda r: r.flow.flows.mouth / ML_MIN,
    "flow.bypass": lambda r: r.flow.flows.bypass / ML_MIN,
    "flow.leak": lambda r: r.flow.flows.leak / ML_MIN,
    "flow.highest_vacuum": lambda r: r.surge.vacuum.max() / MMHG,
    "flow.highest_chamber": lambda r: r.surge.chamber.max() / MMHG,
    "flow.lowest_chamber": lambda r: r.surge.chamber[r.surge.time >= r.surge.released].min() / MMHG,
    "flow.dip": lambda r: (
        (r.surge.chamber[0] - r.surge.chamber[r.surge.time >= r.surge.released].min()) / MMHG
    ),
    "flow.lost": lambda r: (
        (r.surge.chamber[0] - r.surge.chamber[r.surge.time >= r.surge.released].min())
        * r.surge.chamber_compliance
        / UL
    ),
    "flow.lost_share": lambda r: (
        (1 - r.surge.volume[r.surge.time >= r.surge.released].min() / r.surge.volume[0]) * 100
    ),
    "flow.leak_share": lambda r: (
        100 * r.flow.flows.leak / (r.flow.flows.mouth + r.flow.flows.bypass + r.flow.flows.leak)
    ),
    "flow.fastest": lambda r: (r.surge.mouth + r.surge.bypass).max() / ML_MIN,
    "heat.steady_sleeve": lambda r: np.nanmax(r.steady.layer("outer")) - ZERO,
    "heat.steady_metal": lambda r: np.nanmax(r.steady.layer("metal")) - ZERO,
    "iris.flutter": lambda r: r.iris.spread * 1e6,
    "iris.flutter_rate": lambda r: r.iris.rate,
    "iris.reach": lambda r: r.iris.reach * 1e6,
    "iris.gap_to_close": lambda r: (r.scenario.eye.iris_gap - r.iris.reach) * 1e6,
    "iris.speed": lambda r: r.iris.speed.usual,
    "iris.contacts": lambda r: r.iris.contacts_per_minute.usual,
    "iris.contact_share": lambda r: r.iris.contact_share.usual * 100,
    "iris.contact_time": lambda r: (
        60e3 * r.iris.contact_share.usual / r.iris.contacts_per_minute.usual
    ),
    "iris.work": lambda r: r.iris.work_per_minute.usual * 1e3,
    "cutting.stroke": lambda r: travel(r.motion.displacement[-1, :3]) * 1e6,
    "cutting.speed": lambda r: np.pi * 32000 * travel(r.motion.displacement[-1, :3]),
    "cutting.swept_normal": lambda r: r.cutting.swept_normal * 1e6,
    "cutting.swept_sideways": lambda r: r.cutting.swept_sideways * 1e6,
    "cutting.push": lambda r: r.cutting.push.usual * 1e3,
    "cutting.hold": lambda r: r.cutting.hold.usual * 1e3,
    "cutting.contact": lambda r: r.cutting.contact.usual * 100,
    "cutting.rate": lambda r: r.cutting.rate.usual,
    "wound.misfit": lambda r: (
        100 * (np.pi * r.scenario.sleeve.outer_radius / r.scenario.eye.wound_width - 1)
    ),  # type: ignore[union-attr]
    "wound.pressure": lambda r: r.wound.fit.pressure.usual / 1e3,
    "wound.force": lambda r: r.wound.fit.force.usual,
    "wound.pinch": lambda r: r.wound.fit.pinch.usual,
    "wound.peak": lambda r: float(r.wound.lip.peak[0]) - ZERO,
    "wound.dose": lambda r: float(r.wound.lip.dose[0]),
    "wound.changed_least": lambda r: float(r.wound.lip.changed_low[0]) * 100,
    "wound.changed_most": lambda r: float(r.wound.lip.changed_high[0]) * 100,
}
"""Outputs in the unit of their JSON, worked out from what the solvers give."""


def in_json(name: str) -> Any:
    value: Any = DATA
    for step in quantity(name).path:
        value = value[step]
    return value["usual"] if isinstance(value, dict) else value


NOT_IN_JSON: dict[str, Callable[[Result], float]] = {
    "heat.in_sleeve": lambda r: films(r, sleeved=True),
    "heat.beyond_sleeve": lambda r: films(r, sleeved=False),
    "heat.warming": lambda r: (
        films(r, sleeved=True)
        + sum(
            r.heat.sources.watts[cause].sum() / 3
            for cause in ("metal", "films_bore", "lens", "rubbing", "squeezing")
        )
    ),
}


@pytest.mark.parametrize("name", NOT_IN_JSON)
def test_what_only_screens_show_has_its_value_too(name: str) -> None:
    assert not quantity(name).key
    assert RESULT[name] == pytest.approx(NOT_IN_JSON[name](RESULT), rel=1e-12)


@pytest.mark.parametrize("name", BY_HAND)
def test_the_json_holds_the_value_in_the_unit_that_its_key_names(name: str) -> None:
    assert in_json(name) == pytest.approx(BY_HAND[name](RESULT), rel=2e-5, abs=1e-12)


def test_few_outputs_have_no_value_by_hand() -> None:
    """Words, yes or no, ranges and what has tests of its own; a new number must be added above."""
    words = {n for n, q in QUANTITIES.items() if isinstance(q.get(RESULT), str | bool | np.bool_)}
    own = {
        *("motion.edge_stroke", "motion.shaft_rms", "motion.turning", "motion.pendular_share"),
        *("motion.markers", "motion.first_still_point", "heat.peak_wound", "heat.to_45"),
        *(
            "heat.to_60",
            "heat.boiled",
            "heat.chamber_flat",
            "heat.source_lens",
            "heat.source_unresolved",
        ),
        *("heat.evaporated", "heat.dry", "heat.steady_wound"),
        *("heat.imbalance", "flow.vacuum_rise", "flow.port_speed", "iris.index"),
        *("flow.time_to_flat", "flow.flat_after", "flow.pressure_gone"),
        *("cutting.hardness_unexplained", "wound.depth", "stress.share_of_strength"),
        *("stress.share_of_strength_range", "limits.passed", "cavitation.film_share"),
    }
    rest = set(QUANTITIES) - set(BY_HAND) - set(NOT_IN_JSON) - words - own
    # Those of the endoscope are compared with what is put into its films in tests/published.
    elsewhere = ("sensitivity.", "thermogram.", "endoscope.")
    assert {n for n in rest if not n.startswith(elsewhere)} == set()


def test_stress_is_laid_over_the_strength_of_the_data_file() -> None:
    stress = DATA["stress"]
    smooth = {"value": 1.0, "low": 1.0, "high": 1.0}
    smooth = {k: getattr(sourced_smooth(), k) for k in smooth}
    peak = stress["peak_mpa"]
    assert stress["share_of_fatigue_strength"] == pytest.approx(peak / smooth["value"], rel=1e-5)
    assert stress["share_of_fatigue_strength_range"] == pytest.approx(
        [peak / smooth["high"], peak / smooth["low"]], rel=1e-5
    )


def sourced_smooth() -> Any:
    from tipsim.setup.sourced import number

    found = number("fatigue.smooth")
    assert found.unit.symbol == "MPa"
    return found


def test_times_to_a_temperature_are_the_first() -> None:
    from dataclasses import replace

    from tipsim.setup.thermal import Press

    flow = replace(PLAIN.scenario.flow, aspiration=0.0, leak=0.0)
    hot = solve(replace(PLAIN.scenario, press=Press(0.3, 6e-3), flow=flow, duration=30.0))
    seconds = hot.to_dict()["heat"]
    assert seconds["seconds_to_45_c"] == pytest.approx(since(hot, 45), rel=1e-5)
    assert seconds["seconds_to_60_c"] == pytest.approx(since(hot, 60), rel=1e-5)
    assert seconds["seconds_to_45_c"] < seconds["seconds_to_60_c"]


def test_nothing_pressing_and_nothing_reached_are_empty() -> None:
    data = PLAIN.to_dict()
    assert data["motion"]["under_load"] is None
    assert data["heat"]["boiled_after_s"] is None
    assert PLAIN.text("heat.boiled") == "–"


# Texts ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name, text",
    [
        ("motion.end_stroke", "130 µm peak to peak"),
        ("motion.frequency", "32.0 kHz"),
        ("motion.still_points", "1.6, 6.0 mm"),  # Signs change at 1.608, 5.982.
        ("motion.character", "pendular"),
        ("motion.end_speed", "13.1 m/s peak"),
        ("heat.start", "25.0 °C"),
        ("flow.aspiration", "25.0 mL/min"),
        ("flow.vacuum_rise", "0.59 s"),
        ("flow.collapses", "no"),
    ],
)
def test_texts(name: str, text: str) -> None:
    assert PLAIN.text(name) == text


def numbers_in(text: str) -> Iterator[str]:
    yield from (w for w in text.replace(",", " ").split() if w[0].isdigit() and w[:2] != "10")


def test_no_text_has_more_than_three_digits_behind_the_first() -> None:
    for name, q in QUANTITIES.items():
        if q.columns or isinstance(PLAIN[name], str):
            continue
        for number in numbers_in(q.number(PLAIN[name])):
            digits = number.replace("\N{NARROW NO-BREAK SPACE}", "").replace(".", "").strip("0()%")
            assert len(digits) <= 4, (name, number)


@pytest.mark.parametrize(
    "value, digits, decimals, text",
    [
        (1.75353, 3, None, "1.75"),
        (0.9453, 2, None, "0.95"),
        (9.996, 3, None, "10.0"),
        (99.96, 3, None, "100"),
        (129.95, 3, None, "130"),
        (0, 3, None, "0"),
        (-0.04, 3, 1, "0.0"),
        (-12.34, 3, 1, "−12.3"),
        (64321, 3, None, "64\N{NARROW NO-BREAK SPACE}300"),
        (100000, 3, 0, "100\N{NARROW NO-BREAK SPACE}000"),
        (1e9, 1, None, "1 × 10⁹"),
        (0.0000123, 2, None, "1.2 × 10⁻⁵"),
        (0.00099996, 3, None, "0.00100"),
        (float("inf"), 3, None, "–"),
    ],
)
def test_figures(value: float, digits: int, decimals: int | None, text: str) -> None:
    assert figures(value, digits, decimals) == text


def test_a_band_is_written_with_nine_tenths_of_its_samples() -> None:
    peak = RESULT["wound.peak"]
    assert isinstance(peak, Band)
    usual, low, high = (round(v - ZERO) for v in (peak.usual, *peak.inner))
    assert RESULT.text("wound.peak") == f"{usual} ({low} to {high}) °C"


# Names ------------------------------------------------------------------------------------------


def test_a_value_by_name_is_in_si() -> None:
    assert PLAIN["motion.end_stroke"] == PLAIN.motion.end_stroke == pytest.approx(130e-6, rel=1e-3)
    with pytest.raises(BadInput, match=r'"motion.end_strokes".*nearest: "motion.end_stroke"'):
        PLAIN["motion.end_strokes"]


def test_every_declaration_is_whole() -> None:
    keys = [(q.part, q.key) for q in QUANTITIES.values() if q.key]
    assert len(set(keys)) == len(keys)
    for name, q in QUANTITIES.items():
        assert q.name == name and "." in name
        assert not q.label[0].islower() and q.meaning.endswith(".") and q.digits > 0, name
    rows = output_rows(PLAIN, QUANTITIES.values())
    assert {row["name"] for row in rows} == {n for n, q in QUANTITIES.items() if not q.columns}


def test_every_short_name_of_lessons_reaches_its_output() -> None:
    data = PLAIN.to_dict()
    for q in SHORT.values():
        value: Any = data
        for step in q.path:
            value = value[step]
        assert value == q.plain(q.get(PLAIN)), q.alias
