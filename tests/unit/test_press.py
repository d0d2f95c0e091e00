"""A load on the sleeve: a spring that only pushes, and what it loses."""

import numpy as np
import pytest

from tipsim.flow.circuit import circuit
from tipsim.heat.sources import IN_MOTION, heat_sources
from tipsim.motion.assembly import press_of
from tipsim.motion.press import touching
from tipsim.motion.run import run
from tipsim.setup.presets import preset
from tipsim.setup.thermal import Press
from tipsim.solve import solve

SINGLE = preset("single-bend, torsional")
PLACE = {"place": 6e-3, "length": 4e-3}


def first_harmonic(mean: float, swing: float) -> float:
    """Amplitude of the force in phase with x = swing cos(phi) on a unit spring that only pushes.

    By bisection for the offset at which the mean force is `mean`, on a million phases.
    """
    phi = (np.arange(200_000) + 0.5) * np.pi / 200_000
    x = swing * np.cos(phi)
    low, high = -swing, mean + swing
    for _ in range(80):
        offset = (low + high) / 2
        if np.maximum(offset + x, 0).mean() > mean:
            high = offset
        else:
            low = offset
    force = np.maximum(offset + x, 0)
    return float(2 * (force * np.cos(phi)).mean())


@pytest.mark.parametrize("swing", [0.3, 0.999, 1.5, 3.0, 30.0])
def test_a_spring_that_only_pushes(swing: float) -> None:
    """Harmonic balance by brute force, at a static squeeze of 1."""
    ours = float(touching(1.0, np.array([swing]))[0])
    assert ours * swing == pytest.approx(first_harmonic(1.0, swing), rel=2e-4)


def test_the_springs_of_a_load_by_hand() -> None:
    """E a / t ∫ n n' over the arc: 1.285 E a / t towards the load over 90°, 0.285 across it."""
    bench = SINGLE.with_(press=Press(**PLACE, side=0.0, arc=np.pi / 2))
    found = press_of(bench)
    assert found is not None
    total = found.stiffness.sum(axis=0)[:3, :3]
    assert bench.sleeve is not None
    one = bench.squeeze.modulus * 0.45e-3 / bench.sleeve.wall * 4e-3
    arc = np.pi / 4
    # Over a bend the directions turn a little; across the plane nothing turns.
    assert total[2, 2] == pytest.approx((arc - 0.5) * one, rel=1e-6)
    assert np.trace(total) == pytest.approx(2 * arc * one, rel=1e-6)
    assert found.squeeze == pytest.approx(bench.press.force / (arc + 0.5) / one, rel=1e-6)  # type: ignore[union-attr]


@pytest.mark.parametrize("side", [0.0, np.pi / 2])
def test_what_the_hub_puts_in_is_found_again_as_heat(side: float) -> None:
    bench = SINGLE.with_(press=Press(**PLACE, side=side))
    motion = run(bench)
    found = heat_sources(bench, motion, np.linspace(0, bench.needle.length, 81))
    assert sum(found.total(c) for c in IN_MOTION) == pytest.approx(motion.power, rel=1e-9)
    assert found.total("squeezing") > 0
    assert found.total("lens") == pytest.approx(0.0, abs=1e-12)


def test_squeezing_is_half_the_stiffness_times_loss_and_square() -> None:
    """Under a heavy load nothing lets go: ½ w tan(delta) u' k u, from the motion itself."""
    bench = SINGLE.with_(press=Press(force=1.9, side=np.pi / 2, **PLACE), power=0.02)
    motion, found = run(bench), press_of(bench)
    assert found is not None and motion.squeezed is not None
    u = motion.displacement[:, :3]
    work = np.einsum("ni,nij,nj->", u.conj(), found.stiffness[:, :3, :3], u).real
    by_hand = 0.5 * 2 * np.pi * 32e3 * bench.squeeze.loss * work
    assert motion.squeezed.sum() == pytest.approx(by_hand, rel=1e-9)


def test_a_light_load_lets_go_and_loses_less() -> None:
    """Full drive under 30 g: the shaft swings several times as far as the weight squeezes."""
    strong = SINGLE.with_(press=Press(side=np.pi / 2, **PLACE))
    gentle = strong.with_(power=0.02)
    full, small = (run(s).squeezed for s in (strong, gentle))
    assert full is not None and small is not None
    assert full.sum() < 0.9 * 2500 * small.sum()


def test_a_load_is_no_load_where_no_sleeve_is() -> None:
    bare = SINGLE.with_(sleeve=None)
    assert press_of(bare.with_(press=Press(**PLACE))) is None
    pressed = run(bare.with_(press=Press(**PLACE)))
    assert pressed.end_stroke == pytest.approx(run(bare).end_stroke, rel=1e-12)


def test_what_is_without_the_load_is_the_bench_without_it() -> None:
    bench = SINGLE.with_(press=Press(**PLACE))
    free = run(bench).free
    assert free is not None
    unloaded = run(SINGLE)
    assert np.allclose(free.displacement, unloaded.displacement, rtol=1e-12, atol=0)


def test_a_load_narrows_the_gap_for_the_irrigation() -> None:
    """A quarter of the circumference shut over 4 mm: there a third more resistance, by hand."""
    free = circuit(SINGLE).supply.linear
    pressed = circuit(SINGLE.with_(press=Press(**PLACE, arc=np.pi / 2))).supply.linear
    a, b = 0.45e-3, 0.65e-3
    gap = b**4 - a**4 - (b**2 - a**2) ** 2 / np.log(b / a)
    open_gap = 8 * SINGLE.fluid.viscosity * 4e-3 / (np.pi * gap)
    assert pressed - free == pytest.approx(open_gap / 3, rel=1e-6)


def test_a_load_that_shuts_half_the_gap_lets_the_chamber_sink() -> None:
    pressure = [
        solve(SINGLE.with_(press=press))["flow.chamber"]
        for press in (None, Press(length=8e-3, place=6e-3, arc=np.pi))
    ]
    assert pressure[1] < pressure[0]
