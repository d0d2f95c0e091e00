"""From a scenario to its frame: nodes, water, lens and support."""

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from tipsim.motion import Frame, Surroundings
from tipsim.motion.assembly import assemble, coverage, held_lengths, water_around
from tipsim.motion.contact import lens_matrices, support_matrices
from tipsim.motion.run import hub_motion, run
from tipsim.motion.sleeve import borders
from tipsim.setup.load import LensLoad, Support
from tipsim.setup.needle import Needle
from tipsim.setup.scenario import Scenario
from tipsim.solve import solve

SINGLE = Scenario.preset("single-bend, torsional")
COUNTER = Scenario.preset("counter-bent, torsional")


def per_metre(scenario: Scenario, place: float) -> dict[str, float]:
    """The water's coefficients at a distance from the hub [m]."""
    around = water_around(coverage(scenario, np.array([place])))
    names = ("sideways_mass", "film_sideways", "film_along", "film_twist")
    return {name: float(np.asarray(getattr(around, name))[0]) for name in names}


def test_nodes_stand_where_something_changes() -> None:
    frame = assemble(COUNTER)
    for place in (*COUNTER.needle.joints, COUNTER.needle.taper_length, COUNTER.sleeve_end):
        assert np.abs(frame.s - place).min() < 5e-6
    assert frame.length.max() <= COUNTER.spacing * (1 + 1e-9)
    # Chords of arcs are a little shorter than the arcs.
    assert frame.s[-1] == pytest.approx(COUNTER.needle.length, rel=1e-3)
    assert frame.loss_factor == COUNTER.loss_factor


def test_the_sleeve_ends_between_two_segments() -> None:
    """Else one segment would be half inside, and a shift of the end would jump."""
    strokes = []
    for exposed in (1.25e-3, 1.2501e-3):
        assert SINGLE.sleeve is not None
        sleeve = replace(SINGLE.sleeve, exposed=exposed)
        strokes.append(solve(replace(SINGLE, sleeve=sleeve)).motion.end_stroke)
    assert strokes[1] == pytest.approx(strokes[0], rel=1e-3)
    assert strokes[1] != strokes[0]


def test_water_in_bore_sleeve_and_open() -> None:
    needle, sleeve = SINGLE.needle, SINGLE.sleeve
    assert sleeve is not None
    rho, a, c = SINGLE.fluid.density, needle.outer_radius, needle.inner_radius
    bore, displaced = rho * np.pi * c**2, rho * np.pi * a**2
    bare = per_metre(SINGLE.with_(sleeve=None, outside="chamber"), 10e-3)
    assert bare["sideways_mass"] == pytest.approx(bore + displaced)
    # In air a free surface at 0.55 mm lets the fluid follow: (0.55² - a²)/(0.55² + a²).
    in_air = per_metre(SINGLE.with_(sleeve=None, outside="air"), 10e-3)
    assert in_air["sideways_mass"] == pytest.approx(bore + 0.19802 * displaced, rel=1e-4)
    # What is outside a sleeve of 0.65 mm lets it follow by 0.508 or 0.345 (facts, by hand): the
    # added mass is (2.841 - coupling x 2 b²/(b² - a²)) times the displaced fluid's.
    covered = per_metre(SINGLE, 10e-3)
    for kind, factor in (("air", 0.890), ("chamber", 1.516)):
        here = per_metre(SINGLE.with_(outside=kind), 10e-3)
        assert here["sideways_mass"] == pytest.approx(bore + factor * displaced, rel=2e-3)
    held = per_metre(replace(SINGLE, sleeve=replace(sleeve, mobility=0.0)), 10e-3)
    assert held["sideways_mass"] == pytest.approx(bore + 2.841 * displaced, rel=1e-3)
    # Friction of a held sleeve: (a s_a² + b s_b²) / 2a with the slip at both walls.
    b = sleeve.inner_radius
    slips = 2 * b**2 / (b**2 - a**2), 2 * a**2 / (b**2 - a**2)
    share = (a * slips[0] ** 2 + b * slips[1] ** 2) / (2 * a)
    assert held["film_sideways"] / bare["film_sideways"] == pytest.approx(share / 2)
    for name in ("film_along", "film_twist"):
        assert held[name] == bare[name] == covered[name]


@pytest.mark.parametrize("kind", ["air", "chamber", "wound"])
def test_in_the_eye_the_needle_is_in_fluid_in_the_incision_and_in_air(kind: str) -> None:
    """Bare metal behind the incision is in air, in front of it in fluid."""
    bench = SINGLE.with_(sleeve=None, outside=kind)
    masses = {
        name: per_metre(bench, bench.needle.length - from_tip)["sideways_mass"]
        for name, from_tip in (("chamber", 3e-3), ("incision", 7e-3), ("hub", 9e-3))
    }
    fluid = per_metre(SINGLE.with_(sleeve=None, outside="chamber"), 10e-3)["sideways_mass"]
    air = per_metre(SINGLE.with_(sleeve=None, outside="air"), 10e-3)["sideways_mass"]
    assert masses["chamber"] == pytest.approx(air if kind == "air" else fluid)
    assert masses["hub"] == pytest.approx(fluid if kind == "chamber" else air)


def test_water_beyond_the_sleeve_knows_no_sleeve() -> None:
    bare = replace(SINGLE, sleeve=None)
    for place, same in ((SINGLE.sleeve_end + 1e-5, True), (SINGLE.sleeve_end - 1e-5, False)):
        inside, outside = per_metre(SINGLE, place), per_metre(bare, place)
        assert (inside["film_sideways"] == outside["film_sideways"]) == same


def test_over_the_hub_s_taper_the_gap_stays_the_shaft_s() -> None:
    """The wide sleeve around a wide hub: the gap of the shaft, not one that closes."""
    assert SINGLE.sleeve is not None
    held = replace(SINGLE, sleeve=replace(SINGLE.sleeve, mobility=0.0))
    a = float(SINGLE.needle.radii_at([2e-3])[0][0])
    b = a + SINGLE.sleeve.inner_radius - SINGLE.needle.outer_radius
    factor = (b**2 + a**2) / (b**2 - a**2)
    bore = np.pi * SINGLE.needle.inner_radius**2
    assert per_metre(held, 2e-3)["sideways_mass"] == pytest.approx(
        SINGLE.fluid.density * (bore + factor * np.pi * a**2)
    )


def test_warmer_water_rubs_less() -> None:
    warm = replace(SINGLE, fluid=replace(SINGLE.fluid, temperature=310.15))
    ratio = per_metre(warm, 10e-3)["film_twist"] / per_metre(SINGLE, 10e-3)["film_twist"]
    assert ratio == pytest.approx((warm.fluid.viscosity / SINGLE.fluid.viscosity) ** 0.5)


@pytest.mark.parametrize("sleeved", [True, False])
def test_outside_a_dry_needle_only_the_sleeve_holds_fluid(sleeved: bool) -> None:
    """Frequencies of a dry bare needle are those of metal with bore fluid, whose mass is known."""
    needle = SINGLE.needle
    dry = replace(SINGLE, outside=replace(SINGLE.outside, kind="dry"))
    dry = dry if sleeved else replace(dry, sleeve=None)
    here = per_metre(dry, needle.length - 0.5e-3)
    bore = dry.fluid.density * np.pi * needle.inner_radius**2
    assert here["sideways_mass"] == pytest.approx(bore)
    assert here["film_sideways"] == 0
    # Films left are those of the bore: 2 pi c R along, 2 pi c^3 R in twist.
    layer = (dry.fluid.density * dry.fluid.viscosity / 2) ** 0.5
    for power, name in ((1, "film_along"), (3, "film_twist")):
        assert here[name] == pytest.approx(2 * np.pi * needle.inner_radius**power * layer)
    if sleeved:
        assert per_metre(dry, 10e-3) == per_metre(SINGLE.with_(outside="air"), 10e-3)
    else:
        metal = Frame(
            (frame := assemble(dry)).points,
            *needle.radii_at(frame.s),
            needle.material,
            directions=needle.tangents_at(frame.s),
            softness=frame.softness,
            around=Surroundings(sideways_mass=bore),
            hub=frame.hub,
        )
        assert frame.modes(6).frequency == pytest.approx(metal.modes(6).frequency, rel=1e-9)
        assert frame.modes(6).frequency[0] > 1.05 * assemble(SINGLE).modes(6).frequency[0]


@pytest.mark.parametrize("load", [False, True])
def test_the_needle_s_geometry_is_worked_out_once(
    load: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Stations, points and radii once each for a needle, and its radius at the tip each time.

    Under a load there is a second frame: the needle without it, with nodes elsewhere.
    """
    # Another spacing than any other test's: what is kept of a needle must not hide what it costs.
    bench = replace(SINGLE, spacing=0.2123e-3 if load else 0.2124e-3)
    counts = Counter[str]()

    def counted(name: str) -> None:
        work = getattr(Needle, name)

        def walk(*args: object) -> object:
            counts[name] += 1
            return work(*args)

        monkeypatch.setattr(Needle, name, walk)

    loaded = replace(bench, lens=LensLoad("hard", 1e6, 0.5), support=Support(6e-3, 2e-3, 1e6, 0.1))
    for name in ("stations", "points_at", "radii_at"):
        counted(name)
    run(loaded if load else bench)
    frames = 1 + load
    assert counts == {"stations": frames, "points_at": frames, "radii_at": 2 * frames}
    again = replace(loaded if load else bench, loss_factor=0.02)
    before = counts["radii_at"]
    run(again)
    assert counts == {"stations": frames, "points_at": frames, "radii_at": before + frames}


def test_hub_motion_is_half_of_the_strokes() -> None:
    drive = Scenario.preset("single-bend, elliptical").drive
    scenario = replace(SINGLE, drive=replace(drive, power=0.5, phase=np.pi / 3))
    hub = hub_motion(scenario)
    assert hub["axial"] == pytest.approx(0.5 * drive.axial_stroke / 2)
    assert hub["twist"] == pytest.approx(0.25 * drive.twist_stroke * np.exp(1j * np.pi / 3))
    assert set(hub_motion(SINGLE)) == {"twist"}
    # A phase means nothing without both.
    turned = replace(SINGLE, drive=replace(SINGLE.drive, phase=1.0))
    assert hub_motion(turned) == hub_motion(SINGLE)


# Lens and support ---------------------------------------------------------------------------------

ALONG = np.array([0.6, 0.0, 0.8])


def test_lens_against_the_mouth_is_a_disc_on_a_half_space() -> None:
    """Gazetas 1991, chapter 15 (from memory), worked out by hand for G = 1 MPa, a = 0.5 mm."""
    k, c = lens_matrices(LensLoad("x", 1e6, 1.0), 0.5e-3, np.array([1.0, 0, 0]))
    assert np.diag(k)[:3] == pytest.approx([3921.57, 2649.01, 2649.01], rel=1e-5)
    assert np.diag(k)[3:] == pytest.approx([6.66667e-4, 6.53595e-4, 6.53595e-4], rel=1e-5)
    # Density 1100: shear wave 30.1511 m/s; pushed, 3.4 / (pi 0.51) times as fast.
    area, wave = np.pi * 0.25e-6, 30.1511
    aside = 1100 * wave * area
    assert np.diag(c)[:3] == pytest.approx([aside * 2.12207, aside, aside], rel=1e-4)
    assert c[3, 3] == pytest.approx(1100 * wave * np.pi * 0.5e-3**4 / 2, rel=1e-4)
    for m in (k, c):
        assert m == pytest.approx(np.diag(np.diag(m)))


def test_lens_matrices_turn_with_the_mouth_and_shrink_with_contact() -> None:
    whole = lens_matrices(LensLoad("x", 1e5, 1.0), 0.45e-3, ALONG)
    part = lens_matrices(LensLoad("x", 1e5, 0.3), 0.45e-3, ALONG)
    flat = lens_matrices(LensLoad("x", 1e5, 1.0), 0.45e-3, np.array([1.0, 0, 0]))
    for a, b, straight in zip(whole, part, flat, strict=True):
        assert b == pytest.approx(0.3 * a)
        assert ALONG @ a[:3, :3] @ ALONG == pytest.approx(straight[0, 0])
        assert np.linalg.eigvalsh(a) == pytest.approx(np.linalg.eigvalsh(straight))


@pytest.mark.parametrize("place", [3.3e-3, 6e-3, 9.17e-3])
@pytest.mark.parametrize("length", [0.5e-3, 2e-3, 4e-3])
def test_a_support_is_as_stiff_as_its_length_says(place: float, length: float) -> None:
    """However its ends fall between nodes; and only sideways."""
    support = Support(place, length, 3e6, 0.25)
    frame = assemble(replace(SINGLE, support=support))
    bare = assemble(SINGLE)
    k = (frame.node_springs.sum(axis=0) - bare.node_springs.sum(axis=0))[:3, :3]
    assert np.trace(k) == pytest.approx(2 * 3e6 * length, rel=1e-3)
    w = 2 * np.pi * SINGLE.drive.frequency
    c = (frame.node_dampers.sum(axis=0) - bare.node_dampers.sum(axis=0))[:3, :3]
    assert c == pytest.approx(0.25 * k / w)
    s = SINGLE.needle.stations(SINGLE.spacing, borders(replace(SINGLE, support=support)))
    along_line = SINGLE.needle.tangents_at(s)
    along = np.einsum("nij,nj->ni", frame.node_springs[:, :3, :3], along_line)
    assert np.abs(along).max() <= 1e-9 * np.abs(frame.node_springs).max()


def test_a_support_lies_where_it_is_put() -> None:
    s = np.linspace(0, 20e-3, 201)
    support = Support(6e-3, 2e-3, 1e6, 0.0)
    held = held_lengths(SINGLE, support, s)
    assert held.sum() == pytest.approx(2e-3)
    k, _ = support_matrices(support, held, np.tile(ALONG, (201, 1)), 1e5)
    touched = (s[-1] - s)[k.any(axis=(1, 2))]
    assert touched.min() == pytest.approx(5e-3, abs=0.06e-3)
    assert touched.max() == pytest.approx(7e-3, abs=0.06e-3)


def test_a_hard_lens_holds_the_mouth() -> None:
    free = run(COUNTER)
    against = run(replace(COUNTER, lens=LensLoad("stone", 1e8, 1.0)))
    assert against.end_stroke < 0.8 * free.end_stroke
    # What does not touch does nothing.
    none = run(replace(COUNTER, lens=LensLoad("stone", 1e8, 0.0)))
    assert none.end_stroke == pytest.approx(free.end_stroke, rel=1e-12)


def test_what_the_load_does_is_told_against_the_free_needle() -> None:
    lens = LensLoad("hard", 1e6, 0.5)
    for holds in ("motion", "power"):
        loaded = replace(COUNTER, lens=lens, drive=replace(COUNTER.drive, holds=holds))
        m, free = solve(loaded), solve(COUNTER)
        told = m.to_dict()["motion"]["under_load"]
        ratio = m.motion.end_stroke / free.motion.end_stroke
        assert told["end_stroke_over_free"] == pytest.approx(ratio, rel=1e-5)
        assert told["power_over_free"] == pytest.approx(
            m.motion.power / free.motion.power, rel=1e-5
        )
        assert (holds == "power") == (told["power_over_free"] == pytest.approx(1, rel=1e-6))
    assert solve(COUNTER).to_dict()["motion"]["under_load"] is None
