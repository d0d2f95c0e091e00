"""Needle and centreline: where it runs, how thick it is, and what cannot be made."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from tipsim.setup import centreline
from tipsim.setup.catalogue import needle
from tipsim.setup.errors import BadInput
from tipsim.setup.needle import Needle, Piece

MM = 1e-3
BASE = needle("straight-medium")


def bent(*pieces: tuple[float, float], **more: float) -> Needle:
    """A needle out of (length mm, turn degrees)."""
    made = tuple(Piece(length * MM, np.radians(turn)) for length, turn in pieces)
    return replace(BASE, pieces=made, **more)


def test_an_arc_is_a_circle() -> None:
    n = bent((6, 0), (3, 60), (3, -120), (2, 0))
    s = np.linspace(6, 9, 7) * MM
    radius = 3 * MM / np.radians(60)
    centre = np.array([6 * MM, radius, 0])
    assert np.linalg.norm(n.points_at(s) - centre, axis=1) == pytest.approx(np.full(7, radius))
    # Steps along the centreline are as long as told, and the end points where the turns add up to.
    fine = np.linspace(0, n.length, 4001)
    steps = np.linalg.norm(np.diff(n.points_at(fine), axis=0), axis=1)
    assert steps == pytest.approx(np.full(4000, n.length / 4000), rel=1e-4)
    last = np.diff(n.points_at([n.length - MM, n.length]), axis=0)[0] / MM
    assert last == pytest.approx([np.cos(np.radians(-60)), np.sin(np.radians(-60)), 0])


def test_a_turn_to_the_left_goes_to_plus_y_and_stays_in_the_plane() -> None:
    points = bent((6, 0), (2, 20), (2, 0)).points_at([0, 6 * MM, 10 * MM])
    assert points[0] == pytest.approx([0, 0, 0])
    assert points[1] == pytest.approx([6 * MM, 0, 0])
    assert points[2, 1] > 0
    assert (points[:, 2] == 0).all()


def test_lengths_turns_and_first_bend() -> None:
    n = bent((6, 0), (2, -20), (4, 50), (1, 0))
    assert n.joints == pytest.approx(np.array([0, 6, 8, 12, 13]) * MM)
    assert n.length == pytest.approx(13 * MM)
    assert n.total_turn == pytest.approx(np.radians(30))
    assert n.first_bend == pytest.approx(6 * MM)
    assert BASE.first_bend == BASE.length


def test_radii_follow_the_taper_and_the_cones() -> None:
    n = replace(
        BASE,
        hub_radius=1.2 * MM,
        taper_length=4 * MM,
        outer_radius=0.4 * MM,
        inner_radius=0.3 * MM,
        pieces=(
            Piece(8 * MM),
            Piece(2 * MM, outer_radius=0.5 * MM, inner_radius=0.42 * MM),
            Piece(2 * MM),
        ),
    )
    outer, inner = n.radii_at(np.array([0, 2, 4, 8, 9, 10, 12]) * MM)
    assert outer == pytest.approx(np.array([1.2, 0.8, 0.4, 0.4, 0.45, 0.5, 0.5]) * MM)
    assert inner == pytest.approx(np.array([0.3, 0.3, 0.3, 0.3, 0.36, 0.42, 0.42]) * MM)
    square_cut = replace(n, bevel=0.0)
    assert square_cut.mouth_area == pytest.approx(np.pi * (0.42 * MM) ** 2)
    # A cut at 60° opens an ellipse twice as long.
    assert replace(n, bevel=np.radians(60)).mouth_area == pytest.approx(2 * square_cut.mouth_area)


def test_nodes_hit_every_joint_taper_end_and_break() -> None:
    n = bent((6, 0), (2, 20), (4.31, 0), taper_length=3.07 * MM)
    s = n.stations(0.25 * MM, (11.123 * MM,))
    for place in (0, 3.07, 6, 8, 11.123, 12.31):
        assert np.abs(s - place * MM).min() < 1e-12
    assert (np.diff(s) > 0).all()
    assert np.diff(s).max() <= 0.25 * MM * (1 + 1e-9)
    # As few as will do: each stretch has the fewest equal steps.
    assert len(s) == 1 + sum(
        int(np.ceil(stretch / 0.25 - 1e-9)) for stretch in (3.07, 2.93, 2, 3.123, 1.187)
    )


def test_breaks_that_almost_meet_count_once() -> None:
    s = centreline.stations([0, 1, 1 + 1e-6, 2], 0.5)
    assert s == pytest.approx([0, 0.5, 1, 1.5, 2], abs=2e-6)
    assert centreline.stations([0, 1, 2 - 1e-6, 2], 0.5)[-1] == 2


def test_closest_approach() -> None:
    # Two straight limbs side by side, 1 mm apart: the gap is that less both radii.
    there = np.linspace(0, 6, 61) * MM
    line = np.concatenate(
        [
            np.stack([there, 0 * there, 0 * there], axis=1),
            np.stack([there[::-1], 0 * there + 1 * MM, 0 * there], axis=1),
        ]
    )
    gap = centreline.closest_approach(line, np.full(len(line), 0.4 * MM))
    assert gap == pytest.approx(0.2 * MM)
    short = line[:5]
    assert centreline.closest_approach(short, np.full(5, 0.4 * MM)) == float("inf")


def test_an_arc_of_a_full_turn_ends_where_it_began() -> None:
    ring = [SimpleNamespace(length=1.0, turn=2 * np.pi)]
    assert centreline.points_at(ring, [1.0])[0] == pytest.approx([0, 0, 0], abs=1e-15)


REFUSED = {
    "wall under 0.05 mm": (
        lambda: replace(BASE, inner_radius=0.401 * MM),
        r"^wall \(outer_radius_mm less inner_radius_mm\) is 0\.049 mm at 5 mm from the hub; a",
    ),
    "wall under 0.05 mm in a cone": (
        lambda: replace(BASE, pieces=(Piece(10 * MM), Piece(2 * MM, outer_radius=0.34 * MM))),
        r"^wall .* is 0\.04 mm at 12 mm from the hub; allowed: 0\.05 mm or more\.$",
    ),
    "bore wider than the tube": (
        lambda: replace(BASE, inner_radius=0.5 * MM),
        r"^wall .* is -0\.05 mm at",
    ),
    "needle that crosses itself": (
        lambda: bent((8, 0), (4, 150), (4, 150), (8, 0)),
        r"^pieces is a needle that crosses itself; allowed: turns that keep it apart\.$",
    ),
    "bend tighter than the tube": (
        lambda: bent((8, 0), (0.15, 20), (4, 0)),
        r"^pieces\[1\] is a bend of radius 0\.43 mm; allowed: more than the tube's own 0\.45 mm\.$",
    ),
    "bend in the hub's thick part": (
        lambda: bent((1, 40), (9, 0), hub_radius=1.5 * MM),
        r"^pieces\[0\] is a bend of radius 1\.43 mm; allowed: more than the tube's own 1\.5 mm\.$",
    ),
    "too short": (
        lambda: bent((4.9, 0), taper_length=1 * MM),
        r"^pieces is 4\.9 mm long in all; allowed: 5 to 40 mm in all\.$",
    ),
    "too long": (
        lambda: bent((30, 0), (10.1, 0)),
        r"^pieces is 40\.1 mm long in all; allowed: 5 to 40 mm in all\.$",
    ),
    "taper as long as the needle": (
        lambda: bent((10, 0), taper_length=10 * MM),
        r"^taper_length_mm is 10 mm; allowed: less than the needle\.$",
    ),
    "no piece": (
        lambda: replace(BASE, pieces=()),
        r"^pieces is 0 pieces; allowed: 1 to 24 pieces\.$",
    ),
    "25 pieces": (
        lambda: bent(*[(0.5, 0)] * 25),
        r"^pieces is 25 pieces; allowed: 1 to 24 pieces\.$",
    ),
    "bypass hole beyond the mouth": (
        lambda: replace(BASE, bypass_diameter=0.2 * MM, bypass_distance=19 * MM),
        r"^bypass_distance_mm is 19 mm; allowed: between hub and mouth, 0 to 17\.7 mm\.$",
    ),
    "bypass hole at the hub": (
        lambda: replace(BASE, bypass_diameter=0.2 * MM),
        r"^bypass_distance_mm is 0 mm; allowed: between",
    ),
    "unknown shape": (
        lambda: replace(BASE, shape="single bend"),
        r'^shape is "single bend"; allowed: straight, .*, other \(nearest: "single-bend"\)\.$',
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_made_is_refused(case: str) -> None:
    make, sentence = REFUSED[case]
    with pytest.raises(BadInput, match=sentence):
        make()


ALLOWED = {
    "a wall of just 0.05 mm": lambda: replace(BASE, inner_radius=0.4 * MM),
    "a hook that keeps clear": lambda: bent((8, 0), (4, 150), (4, 0)),
    "24 pieces": lambda: bent(*[(0.5, 0)] * 24),
    "just 5 mm": lambda: bent((5, 0), taper_length=1 * MM),
    "a bypass hole": lambda: replace(BASE, bypass_diameter=0.2 * MM, bypass_distance=16 * MM),
    "no bypass hole, wherever": lambda: replace(BASE, bypass_distance=30 * MM),
    "no taper": lambda: replace(BASE, taper_length=0.0),
}


@pytest.mark.parametrize("case", ALLOWED)
def test_what_just_can_be_made_is_taken(case: str) -> None:
    """So that the limits above are not simply met by refusing everything."""
    assert isinstance(ALLOWED[case](), Needle)
