"""A sweep against one frequency at a time: driven anywhere, held anywhere, near any resonance."""

from collections.abc import Sequence

import numpy as np
import pytest

from tests.published.bars import polyline
from tipsim.motion import Frame
from tipsim.motion.elimination import fold
from tipsim.motion.lumped import AtNodes
from tipsim.setup.material import titanium

HERTZ = np.linspace(5e3, 60e3, 7)
BASE = {"axial": 10e-6, "twist": 0.02j, "y": 5e-6}
LAST = 30
POINTS = polyline([[0, 0, 0], [12e-3, 0, 0], [18e-3, 3e-3, 0]], [20, 10])


def bent(
    points: np.ndarray = POINTS,
    loss: float = 0.005,
    springs: AtNodes | None = None,
    dampers: AtNodes | None = None,
) -> Frame:
    return Frame(
        points, 0.45e-3, 0.35e-3, titanium(), loss_factor=loss, springs=springs, dampers=dampers
    )


def off(frame: Frame, hertz: Sequence[float] | np.ndarray, fixed: Sequence[int]) -> float:
    """Largest difference from single solves, motion and hub's force, over the largest there is."""
    swept, worst = frame.sweep(hertz, BASE, fixed), 0.0
    for i, f in enumerate(hertz):
        one = frame.respond(f, base=BASE, fixed=fixed)
        pairs = [
            (swept.displacement[i], one.displacement),
            (swept.reaction[i], one.reaction[fixed[0]]),
        ]
        for ours, same in pairs:
            for part in (slice(0, 3), slice(3, 6)):
                scale = np.abs(same[..., part]).max()
                worst = max(worst, np.abs((ours - same)[..., part]).max() / scale)
    return worst


@pytest.mark.parametrize(
    "fixed",
    [[0], [LAST], [-1], [15], [15, 0], [15, LAST], [12, 2, 25, 28], [3, 4], [7, 7]],
    ids=str,
)
def test_any_node_may_drive_and_any_others_stand(fixed: list[int]) -> None:
    frame = bent()
    assert off(frame, HERTZ, fixed) < 1e-9
    swept = frame.sweep(HERTZ, BASE, fixed)
    still = [k for k in fixed[1:] if k != fixed[0]]
    assert (swept.displacement[:, still] == 0).all()


@pytest.mark.parametrize("fixed", [[0], [15, 0]], ids=str)
def test_frames_that_do_not_fall_into_two_symmetric_halves(fixed: list[int]) -> None:
    turn = np.linalg.qr(np.arange(9.0).reshape(3, 3) ** 2 + np.eye(3))[0]
    in_space = bent(POINTS @ turn.T)
    assert len(in_space.systems) == 1
    assert off(in_space, HERTZ, fixed) < 1e-9
    gyroscopic = np.zeros((6, 6))
    gyroscopic[0, 1], gyroscopic[1, 0] = 0.5, -0.5
    lopsided = bent(springs={20: 1e4}, dampers={25: gyroscopic, 10: 0.1})
    assert len(lopsided.systems) == 2
    assert off(lopsided, HERTZ, fixed) < 1e-9


@pytest.mark.parametrize("start", [10, 20, 29])
@pytest.mark.parametrize("near", [0.0, 1e-12, 1e-6, 1e-3])
def test_a_resonance_of_what_hangs_on_a_node_costs_no_digits(start: int, near: float) -> None:
    """Without loss and with the node before held, that part has no stiffness to divide by."""
    part = bent(POINTS[start - 1 :], loss=0.0)
    hertz = part.modes(4).frequency * (1 + near)
    assert off(bent(loss=0.0), hertz, [0]) < 1e-8


def test_the_growth_tells_where_digits_are_lost() -> None:
    """One node, 3 N/m to the ground and 1 N/m to the driven one, 1 kg: it resonates at w² = 4."""
    own = np.array([np.eye(3) * [[[1]], [[4]]], np.eye(3) * [[[0]], [[1]]]])
    squares = np.array([0.0, 3.0, 4.0 - 1e-9, 4.0])
    factors = np.array([np.ones(4), -squares], dtype=complex)
    chain = fold(own, -np.eye(3)[None], factors)
    assert chain.motion(np.ones(3))[1, 0, :3] == pytest.approx(1 / (4 - squares[:3]))
    assert chain.growth[:3] == pytest.approx(4 / (4 - squares[:3]))
    assert not chain.growth[3] < np.inf
