"""The shear coefficient of a hollow circle.

Source
[1] G. R. Cowper, The shear coefficient in Timoshenko's beam theory, J Appl Mech 33 (1966) 335.
    Formula from memory, values worked out from it.

Normalisation: shear stiffness is kappa G A; the bore ratio is inner over outer radius.
Tolerance: half of the last digit quoted. Left out: Hutchinson (2001), who gives 0.925 for a solid
circle at nu = 0.3, 4 % more; the frame uses Cowper's.
"""

import numpy as np
import pytest

from tests.published.bars import METAL, Validation
from tipsim.motion import Frame
from tipsim.motion.sections import Sections, cowper

COWPER = {0.0: 0.886, 0.5: 0.620, 0.778: 0.544, 1.0: 0.531}  # at nu = 0.3


def test_cowper_at_poisson_0_3(validation: Validation) -> None:
    ours = [float(cowper(ratio, 0.3)) for ratio in COWPER]
    assert ours == pytest.approx(list(COWPER.values()), abs=5.1e-4)
    validation(
        "shear coefficient of a tube, bore ratio 0, 0.5, 0.778, 1",
        "0.886, 0.620, 0.544, 0.531",
        ", ".join(f"{kappa:.4f}" for kappa in ours),
        "half of the last digit",
        "Cowper 1966 (from memory)",
    )


@pytest.mark.parametrize(("poisson", "kappa"), [(0.0, 6 / 7), (0.5, 0.9)])
def test_cowper_of_a_solid_circle_at_the_ends_of_poisson(poisson: float, kappa: float) -> None:
    """6(1 + nu) / (7 + 6 nu)."""
    assert float(cowper(0.0, poisson)) == pytest.approx(kappa, rel=1e-12)


@pytest.mark.parametrize(("ratio", "kappa"), list(COWPER.items())[:3])
def test_a_segment_so_short_that_only_shear_yields(ratio: float, kappa: float) -> None:
    """The frame uses the coefficient of its own tube: slide is P L / kappa G A."""
    outer, length, force = 2e-3, 1e-5, 10.0
    frame = Frame([[0, 0, 0], [length, 0, 0]], outer, ratio * outer, METAL, loss_factor=0.0)
    slide = frame.respond(1.0, forces={1: [0, force, 0, 0, 0, 0]}).displacement[1, 1].real
    area = np.pi * outer**2 * (1 - ratio**2)
    assert force * length / (slide * METAL.shear * area) == pytest.approx(kappa, abs=1e-3)


def test_moments_of_a_tube() -> None:
    """Handbook values of a 0.9/0.7 mm tube: area, second and polar moment."""
    tube = Sections(np.array([0.45e-3]), np.array([0.35e-3]))
    assert tube.area == pytest.approx([0.2513274e-6], rel=1e-6)
    assert tube.second_moment == pytest.approx([2.042035e-14], rel=1e-6)
    assert tube.polar_moment == pytest.approx([4.084070e-14], rel=1e-6)
