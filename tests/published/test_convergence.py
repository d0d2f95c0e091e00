"""Every number of motion that a screen shows, against a frame four times finer.

All needles of the catalogue under all drives at full power. Allowed: 0.5 % of the number [our own];
places within 0.15 mm, less than one step between nodes. A marker that hardly moves is compared with
a hundredth of the tip's stroke, and so are sideways strokes.
"""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from tests.published.bars import ReportTable, Validation
from tests.validation import within
from tipsim.setup.catalogue import catalogue
from tipsim.setup.drive import KINDS
from tipsim.setup.needle import Needle
from tipsim.setup.presets import preset
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.solve import Result, solve

FINER = 4
ALLOWED, OF_PLACES = 5e-3, 0.15e-3
ROUNDING = 1e-9
"""Below this a number is 0: a nanometre, a nanowatt."""
STRETCH = "strokes of tip, rim, markers and shaft"

NUMBERS: dict[str, Callable[[Result], list[float]]] = {
    STRETCH: lambda r: [
        r.motion.end_stroke,
        r.motion.edge_stroke,
        *(m.stroke for m in r.motion.markers),
        r.motion.character.shaft_stroke,
        r.motion.character.shaft_rms,
    ],
    "surface motion from twist": lambda r: [r.motion.character.shaft_turning],
    "shares of shaft and tip": lambda r: [
        r.motion.character.pendular_share or 0.0,
        r.motion.character.whip_share or 0.0,
    ],
    "force and torque at the hub": lambda r: [r.motion.hub_force, r.motion.hub_torque],
    "power in, lost in metal and films": lambda r: [
        r.motion.power,
        float(r.motion.vibration.lost_in_segments.sum()),
        float(r.motion.vibration.lost_in_film.sum()),
    ],
    "peak stress: bending, axial, twist, equivalent": lambda r: [
        float(r.stress.bending.max()),
        float(r.stress.axial.max()),
        float(r.stress.torsion.max()),
        r.stress.peak,
    ],
}


def finer(scenario: Scenario) -> Scenario:
    return replace(scenario, spacing=scenario.spacing / FINER)


def test_numbers_of_motion_hold_against_a_frame_four_times_finer(
    report_table: ReportTable, validation: Validation
) -> None:
    assert number("motion.spacing").si == preset("straight, axial").spacing
    worst: dict[str, list[tuple[float, str]]] = defaultdict(list)
    places: list[tuple[float, str]] = []
    doubtful: list[str] = []
    for id in catalogue().needles:
        for kind in KINDS:
            scenario = preset(f"{id}, {kind}")
            coarse, fine = solve(scenario), solve(finer(scenario))
            for what, numbers in NUMBERS.items():
                a, b = np.array(numbers(coarse)), np.array(numbers(fine))
                least = 0.01 * fine.motion.end_stroke if what == STRETCH else 0.0
                gap = float((np.abs(a - b) / np.maximum(np.abs(b), max(least, ROUNDING))).max())
                worst[what].append((gap, scenario.name))
            some, others = coarse.motion.still_points, fine.motion.still_points
            if len(some) == len(others):
                pairs = zip(some, others, strict=True)
                places += [(abs(p - q), scenario.name) for p, q in pairs]
            else:
                doubtful.append(scenario.name)
    count = len(catalogue().needles) * len(KINDS)
    report_table(
        f"{count} presets against nodes {FINER} times as dense, worst of each",
        [f"{what:<50} {max(gaps)[0]:.2%}  {max(gaps)[1]}" for what, gaps in worst.items()]
        + [f"{'still points':<50} {max(places)[0] * 1e3:.2f} mm  {max(places)[1]}"]
        + [f"a still point more or less: {name}" for name in doubtful],
    )
    for what, gaps in worst.items():
        assert max(gaps)[0] < ALLOWED, (what, max(gaps))
        validation(
            f"every needle and drive, {what}",
            f"nodes {FINER} times as dense",
            within(gap for gap, _ in gaps),
            "0.5 %",
            "our own frame, refined",
        )
    assert max(places)[0] < OF_PLACES, max(places)
    # One that is hardly stiller than the line at which it counts may be seen by one frame only.
    assert len(doubtful) <= count / 8
    validation(
        "every needle and drive, places of still points",
        f"nodes {FINER} times as dense",
        f"within {np.ceil(max(places)[0] * 1e5) / 100:g} mm",
        "0.15 mm",
        "our own frame, refined",
    )


def test_a_coarse_frame_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    """With nodes eight times as far apart as usual the marker near a still point is off by more."""
    name = "counter-bent-medium, torsional"
    exact = solve(finer(preset(name))).motion.markers[4].stroke
    stations = Needle.stations
    monkeypatch.setattr(Needle, "stations", lambda n, h, at=(): stations(n, 8 * h, at))
    coarse = solve(replace(preset(name), spacing=0.21e-3)).motion.markers[4].stroke
    assert abs(coarse / exact - 1) > ALLOWED
