"""The two bent needles under the torsional drive, and the straight one under the axial drive.

Sources
[1] BMC Ophthalmol 2022, DOI 10.1186/s12886-022-02619-0 (read): end displacement up to 130 µm with a
    20° single bend and up to 192 µm with a counter-bent needle, torsional, at 100 %. Neither peak
    nor peak to peak is stated, nor geometry, nor that both drives were alike. The ratio, 1.48,
    survives the first doubt; 1.3 to 1.7 allows for the others, and 30 % for microns.
[2] Trade article 2008 (read): no needle's end moves faster than 20 m/s (72 km/h).
[3] Physics review 2011 (read): end stroke of a straight needle 90 µm at 100 %, axial.
[4] Common practice, no source: 4 mm behind the end the single bend moves about 3 times as far
    (2.3 to 3.7); the first two of five markers move against the other three, in both shapes; the
    single bend swings its shaft, the counter-bent needle keeps it quiet and whips at the end.
[5] Rigid kinematics (worked out): 130 µm need a twist of 3.1 to 3.9° either way for an end 0.94 to
    1.20 mm off the axis; more than about 4° is not believable. Ours is 1.26 mm off, and bends.
[6] Tubes, lengths, bends: trade article 2006 for 0.9 mm, [1] for 20 to 22°, the rest from memory.
    "The bend 2.5 to 3.5 mm from the end" is read as the straight limb beyond it; the middle of
    ours lies 3.68 mm from the end.

What is fitted: the geometry of the pair was searched so that [1] and [4] come out, hold at 1 % off
in frequency and need a believable hub twist, and the hub's motion was set on 130 and 90 µm. So
these checks guard the frozen needles, the model and its convergence; they predict nothing.

Frame: hub at the origin, needle along +x, bends in x-y. Strokes are peak to peak along the long
axis of the path; markers 0, 1, 2, 3, 4 mm behind the end along the centreline; water at 25 °C.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import pytest

from tests.published.bars import Check, ReportTable, Validation, hold
from tipsim.motion.markers import AGAINST, WITH
from tipsim.motion.run import Motion, run
from tipsim.setup.catalogue import catalogue
from tipsim.setup.drive import KINDS
from tipsim.setup.needle import Needle
from tipsim.setup.presets import preset, presets
from tipsim.setup.sourced import number
from tipsim.solve import solve

SINGLE, COUNTER, STRAIGHT = "single-bend", "counter-bent", "straight"
NEAR = (0.99, 1.0, 1.01)
"""Shares of the drive's frequency at which the ratios must hold."""
ROOT_NODE = 0.9e-3
"""So near to a place where the single bend stands still it cannot move more [m]."""


@cache
def motion(shape: str, drive: str = "torsional", near: float = 1.0) -> Motion:
    scenario = preset(f"{shape}, {drive}")
    f = scenario.drive.frequency * near
    return solve(replace(scenario, drive=replace(scenario.drive, frequency=f))).motion


@pytest.mark.parametrize("near", NEAR)
@pytest.mark.parametrize("shape", [SINGLE, COUNTER])
def test_the_first_two_markers_move_against_the_other_three(shape: str, near: float) -> None:
    markers = motion(shape, near=near).markers
    assert [m.distance for m in markers] == [0.0, 1e-3, 2e-3, 3e-3, 4e-3]
    assert [m.direction for m in markers] == [WITH, WITH, AGAINST, AGAINST, AGAINST]
    # The words could be wrong alike; sideways, out of the bend's plane, says the same.
    end = markers[0].amplitude[2]
    assert [np.sign((m.amplitude[2] * end.conjugate()).real) for m in markers] == [1, 1, -1, -1, -1]


def shaft(near: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Distance from the end [m] and sideways stroke [m] of both shapes, taper to 5 mm behind it."""
    one, other = motion(SINGLE, near=near), motion(COUNTER, near=near)
    s = one.frame.s
    middle = (s >= 5e-3) & (s <= s[-1] - 5e-3)
    still = np.interp(s, other.frame.s, other.sideways_stroke)
    return s[-1] - s[middle], one.sideways_stroke[middle], still[middle]


@pytest.mark.parametrize("near", NEAR)
def test_the_single_bend_swings_its_whole_shaft(near: float) -> None:
    """At least twice as far as the counter-bent one, from the hub on.

    Up to 0.9 mm from where it stands still; beyond begins the counter-bent needle's own bend.
    """
    place, single, counter = shaft(near)
    stands = [n for n in motion(SINGLE, near=near).nodes if n > 5e-3]
    assert len(stands) == 1
    behind = place > stands[0] + ROOT_NODE
    assert behind.sum() > 20
    assert (single > 2 * counter)[behind].all()


@pytest.mark.parametrize("near", NEAR)
def test_pendular_against_whip_like(near: float) -> None:
    single, counter = (motion(s, near=near).character for s in (SINGLE, COUNTER))
    assert single.pendular_share is not None and counter.whip_share is not None
    assert single.pendular_share > 0.5
    assert counter.whip_share > 0.9


@dataclass(frozen=True)
class Bounds:
    """Numbers of ours that must lie within a range, and whose range it is."""

    what: str
    ours: Sequence[float]
    low: float
    high: float
    source: str

    @property
    def hold(self) -> bool:
        return all(self.low - 1e-9 <= v <= self.high + 1e-9 for v in self.ours)

    def __str__(self) -> str:
        ours = " ".join(f"{v:.4g}" for v in self.ours)
        return f"{self.what:<48} {ours:<20} {self.low:>6.4g} to {self.high:<6.4g} {self.source}"


def pair() -> Iterator[Bounds]:
    """The two needles' motion; three numbers stand for -1, 0 and +1 % of the drive's frequency."""
    ones, others = ([motion(s, near=near) for near in NEAR] for s in (SINGLE, COUNTER))
    both = list(zip(ones, others, strict=True))
    end = [b.end_stroke / a.end_stroke for a, b in both]
    yield Bounds("end stroke, counter-bent/single-bend", end, 1.3, 1.7, "[1] 1.48")
    microns = [b.end_stroke * 1e6 for b in others]
    yield Bounds("end stroke, counter-bent, µm", microns, 0.7 * 192, 1.3 * 192, "[1] 192 ± 30 %")
    assert {m.markers[4].distance for m in ones + others} == {4e-3}
    fifth = [a.markers[4].stroke / b.markers[4].stroke for a, b in both]
    yield Bounds("fifth marker, single-bend/counter-bent", fifth, 2.3, 3.7, "[4] 3")
    for shape in (SINGLE, COUNTER):
        # At +1 % the counter-bent end runs at 20.2 m/s: the ceiling is a statement about 0 %.
        m = motion(shape)
        speed = np.pi * m.frequency * m.end_stroke
        assert m.end_speed == pytest.approx(speed, rel=1e-12)
        yield Bounds(f"end speed, {shape}, m/s", [speed], 9, 20, "[2] below 20")
    swing = [float(np.sqrt((a**2).mean() / (b**2).mean())) for _, a, b in map(shaft, NEAR)]
    yield Bounds("shaft, single-bend/counter-bent, rms", swing, 3, 99, "[4] clearly more")
    twist = np.degrees(preset(f"{SINGLE}, torsional").drive.twist_stroke / 2)
    assert np.abs(motion(SINGLE).displacement[0, 3]) == pytest.approx(np.radians(twist), rel=1e-12)
    yield Bounds("hub's twist, either way, degrees", [twist], 3.1, 3.9, "[5] below 4")


def geometry(n: Needle) -> Iterator[Bounds]:
    """What can be held against [6]."""

    def row(what: str, value: float, low: float, high: float) -> Bounds:
        return Bounds(f"{n.shape}: {what}", [value], low, high, "[6]")

    yield row("length, mm", n.length * 1e3, 17, 22)
    yield row("straight up to the first bend, mm", n.first_bend * 1e3, 12, 17)
    yield row("outer diameter, mm", n.outer_radius * 2e3, 0.9, 0.9)
    yield row("wall, mm", (n.outer_radius - n.inner_radius) * 1e3, 0.1, 0.2)
    yield row("bevel, degrees", float(np.degrees(n.bevel)), 0, 45)
    turns = [float(np.degrees(p.turn)) for p in n.pieces if p.turn]
    if n.shape == SINGLE:
        yield row("number of bends", len(turns), 1, 1)
        yield row("turn, degrees", turns[0], 20, 22)
        yield row("straight limb beyond the bend, mm", n.pieces[-1].length * 1e3, 2.5, 3.5)
    else:
        yield row("number of bends", len(turns), 2, 2)
        yield row("sign of one turn by the other", float(np.sign(turns[0] * turns[1])), -1, -1)
        aside = abs(float(n.points_at([n.length])[0, 1])) * 1e3
        yield row("end, off the axis, mm: less than the tube", aside, 0, n.outer_radius * 1e3)


def sleeves() -> Iterator[Bounds]:
    for shape in (SINGLE, COUNTER):
        s = preset(f"{shape}, torsional").sleeve
        assert s is not None
        yield Bounds(f"{shape}: out of the sleeve, mm", [s.exposed * 1e3], 1.0, 1.5, "[6]")
        yield Bounds(f"{shape}: sleeve's diameter, mm", [s.outer_radius * 2e3], 1.5, 1.9, "[6]")


def test_the_pair_lies_within_what_is_published(
    report_table: ReportTable, validation: Validation
) -> None:
    needles = [preset(f"{shape}, torsional").needle for shape in (SINGLE, COUNTER)]
    assert [n.shape for n in needles] == [SINGLE, COUNTER]
    rows = [*pair(), *geometry(needles[0]), *geometry(needles[1]), *sleeves()]
    report_table(
        "Default needles, torsional, strokes peak to peak (fitted on 1.48 and 3; sources: file)",
        [str(r) for r in rows],
    )
    off = [str(r) for r in rows if not r.hold]
    assert not off, "\n".join(off)
    found = {row.what: row.ours for row in rows}
    end = found["end stroke, counter-bent/single-bend"]
    fifth = found["fifth marker, single-bend/counter-bent"]
    validation(
        "counter-bent over single-bend tip stroke, at −1, 0, +1 % of frequency",
        "1.48",
        ", ".join(f"{v:.2f}" for v in end) + ": **fitted**",
        "1.3 to 1.7",
        "BMC Ophthalmol 2022, DOI 10.1186/s12886-022-02619-0 (read)",
    )
    validation(
        "fifth marker, single-bend over counter-bent, at −1, 0, +1 % of frequency",
        "about 3",
        ", ".join(f"{v:.2f}" for v in fifth) + ": **fitted**",
        "2.3 to 3.7",
        "common practice, no source",
    )


def test_no_needle_of_the_catalogue_outruns_the_ceiling() -> None:
    """[2]; for the default pair and five more needles fitted on it, for the others a check."""
    fast = {name: solve(s).motion.end_speed for name, s in presets().items()}
    fast = {name: f"{speed:.1f} m/s" for name, speed in fast.items() if speed > 20.0}
    assert not fast


@pytest.mark.parametrize("outside", ["chamber", "air"])
@pytest.mark.parametrize("drive", KINDS)
@pytest.mark.parametrize("id", catalogue().needles)
def test_needles_stay_below_the_ceiling_around_it(id: str, drive: str, outside: str) -> None:
    """What [origin.calm] in assets/needles.toml says: 3 % of frequency, under water and in air."""
    bench = preset(f"{id}, {drive}").with_(outside=outside)
    f = bench.drive.frequency * np.linspace(0.97, 1.03, 7)
    runs = [run(replace(bench, drive=replace(bench.drive, frequency=float(one)))) for one in f]
    assert max(r.end_speed for r in runs) < 20.0


def test_the_frozen_hub_motions_are_what_a_new_fit_gives(report_table: ReportTable) -> None:
    """The response is linear, so one solve and one ratio are the fit."""
    rows = []
    for shape, drive, field, target in (
        (SINGLE, "torsional", "twist_stroke", 130e-6),
        (STRAIGHT, "axial", "axial_stroke", 90e-6),
    ):
        frozen = getattr(preset(f"{shape}, {drive}").drive, field)
        fitted = frozen * target / motion(shape, drive).end_stroke
        unit, scale = ("°", 180 / np.pi) if field == "twist_stroke" else ("µm", 1e6)
        rows.append(Check(f"{drive}: hub, {unit} pp", frozen * scale, fitted * scale, 1e-3))
    hold(report_table, "Hub motion at 100 %, frozen and fitted again", rows)


def test_screen_and_tests_quote_the_same_numbers() -> None:
    quoted = {
        "published.end_ratio": (1.48, 1.3, 1.7),
        "published.counter_bent_end_stroke": (192, 192, 192),
        "published.top_speed": (20, 9, 20),
        "practice.fifth_marker_ratio": (3.0, 2.3, 3.7),
        "drive.full_end_stroke_torsional": (130, 130, 130),
        "drive.full_end_stroke_axial": (90, 90, 127),
    }
    for id, numbers in quoted.items():
        n = number(id)
        assert (n.value, n.low, n.high) == numbers, id
    assert number("practice.opposite_markers").value == 2
    assert round(192 / 130, 2) == 1.48


def refined(shape: str, drive: str, spacing: float) -> Motion:
    return solve(replace(preset(f"{shape}, {drive}"), spacing=spacing)).motion


def test_eighty_nodes_are_enough(report_table: ReportTable) -> None:
    """Against the finest grid a scenario may ask for, above 850 nodes; allowed 0.5 % [our own]."""
    lines, worst = [], 0.0
    for shape, drive in ((SINGLE, "torsional"), (COUNTER, "torsional"), (STRAIGHT, "axial")):
        coarse, fine = (refined(shape, drive, h) for h in (0.25e-3, 0.02e-3))
        assert coarse.frame.n < 80 and fine.frame.n > 850
        off = coarse.end_stroke / fine.end_stroke - 1
        fifth = coarse.markers[4].stroke / fine.markers[4].stroke - 1
        lines.append(
            f"{shape}, {drive}: {coarse.frame.n} nodes against {fine.frame.n}: end {off:+.3%}, "
            f"fifth marker {fifth:+.3%}"
        )
        worst = max(worst, abs(off))
    report_table("Convergence of end strokes with the number of nodes", lines)
    assert worst < 0.005


@pytest.mark.parametrize("shape", [SINGLE, COUNTER])
def test_the_default_grid_is_within_half_a_percent_of_a_quarter_of_it(shape: str) -> None:
    """What assets/numbers says of motion.spacing."""
    default = preset(f"{shape}, torsional").spacing
    assert default == number("motion.spacing").si
    coarse, fine = (refined(shape, "torsional", h) for h in (default, default / 4))
    assert coarse.end_stroke == pytest.approx(fine.end_stroke, rel=0.005)


def quarters(shape: str) -> Needle:
    """A needle near the default one whose joints all lie on a grid of a quarter millimetre."""
    limbs = {
        SINGLE: ((14.25, 0), (0.75, 20), (3.5, 0)),
        COUNTER: ((13.25, 0), (1, -27.5), (3.25, 53), (1, 0)),
        STRAIGHT: ((18.5, 0),),
    }[shape]
    base = preset(f"{shape}, torsional").needle
    pieces = tuple(
        replace(base.pieces[0], length=a * 1e-3, turn=np.radians(turn)) for a, turn in limbs
    )
    return replace(base, pieces=pieces)


@pytest.mark.parametrize(
    ("shape", "drive"), [(SINGLE, "torsional"), (COUNTER, "torsional"), (STRAIGHT, "axial")]
)
def test_strokes_of_a_driven_needle_converge_with_the_square_of_the_step_or_faster(
    shape: str, drive: str, report_table: ReportTable
) -> None:
    """So that each halving of the step halves every step: nodes fall on nodes."""
    scenario = replace(preset(f"{shape}, {drive}"), needle=quarters(shape))
    runs = [solve(replace(scenario, spacing=h * 1e-3)).motion for h in (0.25, 0.125, 0.0625)]
    sizes = [r.frame.n - 1 for r in runs]
    assert [2 * sizes[0], 2 * sizes[1]] == sizes[1:]
    orders, left = {}, {}
    for what, values in {
        "end stroke": [r.end_stroke for r in runs],
        "fifth marker": [r.markers[4].stroke for r in runs],
        "power": [r.power for r in runs],
    }.items():
        orders[what] = float(np.log2((values[0] - values[1]) / (values[1] - values[2])))
        left[what] = abs(values[1] / values[2] - 1)
    report_table(
        f"Order of convergence, {shape}, {drive} [second order]",
        [", ".join(f"{what} {order:.3f}" for what, order in orders.items())],
    )
    # Terms of second and fourth order may cancel; then what is left must be next to nothing.
    assert all(order >= 1.8 or left[what] < 1e-4 for what, order in orders.items()), (orders, left)
