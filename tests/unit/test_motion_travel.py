"""Strokes, values between nodes, tracked points."""

import numpy as np
import pytest

from tipsim.motion import Frame
from tipsim.motion.markers import ACROSS, AGAINST, STILL, WITH, track
from tipsim.motion.steady import Vibration
from tipsim.motion.travel import at, sideways, stroke
from tipsim.setup.material import Material

METAL = Material("metal", 113.8e9, 0.342, 4430.0)
LINE = np.array([[0, 0, 0], [1, 0.2, 0], [1.7, 0.9, 0.3], [2.1, 1.9, 1.0]]) * 1e-3
FRAME = Frame(LINE, 0.4e-3, 0.3e-3, METAL)


def farthest(amplitude: np.ndarray) -> float:
    """Largest distance between any two places of the path, by trying them."""
    turn = np.exp(1j * np.linspace(0, 2 * np.pi, 720, endpoint=False))
    path = np.real(turn[:, None] * amplitude)
    # Opposite instants lie furthest apart on an ellipse; every pair is tried all the same.
    return float(np.linalg.norm(path[:, None] - path[None], axis=2).max())


@pytest.mark.parametrize("seed", range(6))
def test_stroke_is_the_longest_way_across_the_path(seed: int) -> None:
    rng = np.random.default_rng(seed)
    amplitude = rng.normal(size=3) + 1j * rng.normal(size=3)
    assert stroke(amplitude) == pytest.approx(farthest(amplitude), rel=1e-4)


@pytest.mark.parametrize(
    ("amplitude", "whole"),
    [
        ([3, 4, 0], 10),  # In step: a line.
        ([3, 4j, 0], 8),  # A quarter cycle apart: an ellipse, its long axis.
        ([1, 1j, 0], 2),  # A circle.
        ([3 - 3j, 0, 0], 6 * 2**0.5),
        ([0, 0, 0], 0),
    ],
)
def test_stroke_of_paths_known_by_heart(amplitude: list[complex], whole: float) -> None:
    assert stroke(np.array(amplitude)) == pytest.approx(whole, rel=1e-12, abs=1e-15)
    many = stroke(np.array([amplitude, amplitude]))
    assert many == pytest.approx([whole, whole], rel=1e-12, abs=1e-15)


def test_sideways_leaves_what_is_across() -> None:
    tangent = np.array([[0.6, 0.8, 0], [0, 0, 1.0]])
    amplitude = np.array([[1 + 2j, 0, 3], [1, 1j, 5]])
    left = sideways(amplitude, tangent)
    assert np.abs((left * tangent).sum(axis=1)).max() < 1e-15
    assert left[1] == pytest.approx([1, 1j, 0])
    assert left + (amplitude * tangent).sum(axis=1)[:, None] * tangent == pytest.approx(amplitude)


def test_between_nodes_a_cubic_is_exact() -> None:
    """Any cubic across a straight segment, with its slope as rotation, comes out as it is."""
    rng = np.random.default_rng(3)
    frame = Frame([[0, 0, 0], [1.2e-3, 0.5e-3, 0.9e-3]], 0.4e-3, 0.0, METAL)
    t, length = frame.tangent[0], frame.length[0]
    one = np.cross(t, [0.0, 0, 1])
    one /= np.linalg.norm(one)
    two = np.cross(t, one)
    cubics = [rng.normal(size=4) + 1j * rng.normal(size=4) for _ in range(2)]

    def exact(x: np.ndarray) -> np.ndarray:
        stretch = (0.3 + 0.2j + 0.5 * x / length)[:, None] * t
        across = sum(
            np.polyval(c, x / length)[:, None] * way
            for c, way in zip(cubics, (one, two), strict=True)
        )
        return np.asarray(stretch + across)

    ends = np.array([0.0, length])
    slopes = sum(
        np.polyval(np.polyder(c), ends / length)[:, None] / length * way
        for c, way in zip(cubics, (one, two), strict=True)
    )
    # Rotation r gives slope r x t; so r = t x slope, and any twist beside it.
    turned = np.cross(t, slopes) + np.array([[0.1], [0.4]]) * t
    u = np.concatenate([exact(ends), turned], axis=1)
    x = np.linspace(0, length, 23)
    found = at(frame, u, x)
    assert found[:, :3] == pytest.approx(exact(x), rel=1e-12, abs=1e-14)
    assert found[:, 3:] @ t == pytest.approx(0.1 + 0.3 * x / length, rel=1e-12)


def test_at_a_node_it_is_the_node_and_beyond_the_ends_it_goes_on() -> None:
    rng = np.random.default_rng(4)
    u = rng.normal(size=(4, 6)) + 1j * rng.normal(size=(4, 6))
    assert at(FRAME, u, FRAME.s) == pytest.approx(u, rel=1e-9, abs=1e-12)


def test_a_rigid_motion_stays_rigid_between_nodes() -> None:
    shift, turn = np.array([1.0, -2, 0.5]), np.array([0.3, 0.1, -0.7])
    move = np.concatenate([shift + np.cross(turn, LINE), np.tile(turn, (4, 1))], axis=1)
    s = np.linspace(0, FRAME.s[-1], 17)
    i = np.clip(np.searchsorted(FRAME.s, s, side="right") - 1, 0, 2)
    places = LINE[i] + (s - FRAME.s[i])[:, None] * FRAME.tangent[i]
    found = at(FRAME, move.astype(complex), s)
    assert found[:, :3] == pytest.approx(shift + np.cross(turn, places), rel=1e-12)
    assert found[:, 3:] == pytest.approx(np.tile(turn, (17, 1)), rel=1e-12)


def markers_of(ends: list[list[complex]]) -> list[tuple[float, float, str]]:
    """Track the nodes of FRAME when they move like this, from the end back."""
    u = np.zeros((4, 6), dtype=complex)
    u[:, :3] = ends
    v = Vibration(FRAME, 32e3, u, np.zeros_like(u))
    # A hair inside each segment's end, so that rounding does not matter.
    places = tuple(float(FRAME.s[-1] - s) for s in FRAME.s[::-1])
    return [(m.stroke, m.phase, m.direction) for m in track(v, places)]


def test_markers_say_how_they_move_against_the_end() -> None:
    found = markers_of([[0, 0, -2.0], [0, 1j, 0], [0, 0, 1e-3], [0, 0, 1.0]])
    assert [m[2] for m in found] == [WITH, STILL, ACROSS, AGAINST]
    assert [m[0] for m in found] == pytest.approx([2, 2e-3, 2, 4], rel=1e-9)
    assert found[0][1] == 0
    assert abs(found[3][1]) == pytest.approx(np.pi)


def test_the_phase_is_ahead_when_positive() -> None:
    found = markers_of([[0, 0, 0], [0, 0, 0], [0, 0, np.exp(0.6j)], [0, 0, 1.0]])
    assert found[1][1] == pytest.approx(0.6)
    assert found[1][2] == WITH
    late = markers_of([[0, 0, 0], [0, 0, 0], [0, 0, np.exp(-2.0j)], [0, 0, 1.0]])
    assert late[1][1] == pytest.approx(-2.0)
    assert late[1][2] == ACROSS


def test_when_the_end_stands_still_everything_counts_as_still() -> None:
    found = markers_of([[0, 0, 1], [0, 0, 1], [0, 0, 1], [0, 0, 0]])
    assert {m[2] for m in found} == {STILL}
    assert all(np.isfinite(m[0]) and m[1] == 0 for m in found)
