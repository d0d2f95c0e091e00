"""Sentences that compare two needles, and two natural modes drawn in step."""

from types import SimpleNamespace
from typing import Any

import pytest

from tipsim.app.framework.packet import decode
from tipsim.app.framework.stage.packet import stage_packet
from tipsim.app.framework.words import comparison_sentences
from tipsim.setup.scenario import Scenario
from tipsim.solve import solve


def moving(end: float, shaft: float) -> Any:
    """What a result says of its strokes, in µm, within all limits of the model."""
    character = SimpleNamespace(shaft_stroke=shaft * 1e-6)
    motion = SimpleNamespace(end_stroke=end * 1e-6, character=character)
    return SimpleNamespace(motion=motion, limits=())


@pytest.mark.parametrize(
    ("a", "b", "sentences"),
    [
        ((100, 30), (250, 30), ["B's tip moves 2.5 times as far as A's.", "about as far"]),
        ((100, 30), (30, 6), ["A's tip moves 3.3 times as far as B's.", "A's shaft moves"]),
        # Within 5 % they count as alike, from either side.
        (
            (100, 30),
            (104.9, 29),
            ["B's tip moves about as far", "B's shaft moves sideways about"],
        ),
        ((100, 30), (95.2, 31), ["B's tip moves about as far", "B's shaft moves sideways about"]),
        (
            (100, 30),
            (106, 28.3),
            ["B's tip moves 1.1 times", "A's shaft moves sideways 1.1 times"],
        ),
        # What does not move is not compared.
        ((100, 0), (200, 30), ["B's tip moves 2 times as far as A's."]),
        ((100, 30), (0.04, 90), ["B's shaft moves sideways 3 times as far as A's."]),
    ],
)
def test_the_larger_stroke_is_named_with_a_number_above_one(
    a: tuple[float, float], b: tuple[float, float], sentences: list[str]
) -> None:
    lines = comparison_sentences(moving(*a), moving(*b))
    assert len(lines) == len(sentences)
    for line, part in zip(lines, sentences, strict=True):
        assert part in line


def test_two_modes_are_drawn_in_step_and_each_says_its_own_frequency() -> None:
    a, b = (solve(Scenario.preset(f"{s}, torsional")) for s in ("single-bend", "counter-bent"))
    for k in (1, 3):
        one, two = decode(stage_packet((a, b), k))["sides"]
        own = [result.motion.frame.modes(k).frequency[k - 1] for result in (a, b)]
        assert abs(own[0] - own[1]) > 1  # else nothing could drift
        # One clock draws both: with two frequencies one needle would run ahead of the other.
        assert one["frequency_hz"] == two["frequency_hz"] == pytest.approx(own[0], rel=1e-6)
        for side, frequency in zip((one, two), own, strict=True):
            assert side["said"] == f"natural mode {k}, {frequency / 1e3:.1f} kHz"
