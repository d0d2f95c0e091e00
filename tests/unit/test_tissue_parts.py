"""Parts of tissue by hand: motion of a touched surface, cutting over power and hardness."""

import numpy as np
import pytest

from tipsim.motion.run import run
from tipsim.setup.catalogue import lens_grades
from tipsim.setup.presets import preset
from tipsim.setup.sourced import number
from tipsim.setup.tissue import Tissue
from tipsim.tissue.nucleus import efficiency_range, mouth, rate_at, softness, softness_band
from tipsim.tissue.touch import _surface


def test_a_surface_moves_by_displacement_and_rotation_times_its_lever() -> None:
    """Lean, twist and axial motion together, in the needle's axes, against a cross product."""
    moved = np.array([1.0 + 2.0j, -0.5, 3.0j]) * 1e-6
    turned = np.array([0.02, 0.05 - 0.01j, -0.03]) * 1e-3
    radius = 0.6e-3
    for angle in np.linspace(-3, 3, 7):
        cos, sin = np.cos(angle), np.sin(angle)
        lever = radius * np.array([cos, sin, 0.0])
        whole = moved + np.cross(turned, lever)
        towards, path = _surface(
            moved, turned, np.array([radius]), np.array([cos]), np.array([sin])
        )
        assert towards[0] == pytest.approx(whole @ [cos, sin, 0.0])
        assert path[0] == pytest.approx([whole[2], whole @ [-sin, cos, 0.0]])


def test_a_combined_drive_follows_the_axial_course_forwards_and_power_sideways() -> None:
    """At 15 % power: halfway between the published values at 10 and 20 %; twist 15 %."""
    bench = preset("single-bend, elliptical")
    m, own = mouth(bench, run(bench)), bench.tissue.cutting
    forwards = (own.share_at_knee / own.jump + own.share_at_knee) / 2
    n, s = m.sweep.normal, own.sideways_weight * m.sweep.sideways
    ratio = float(rate_at(m, 0.15, {})[0] / rate_at(m, 1.0, {})[0])
    assert ratio == pytest.approx((forwards * n + 0.15 * s) / (n + s), rel=1e-9)
    assert abs(forwards - 0.15) > 0.01


def test_softness_is_a_power_of_the_modulus_over_that_of_medium_lens() -> None:
    medium = float(softness(1.0, 1.0))
    assert float(softness(4 * medium, 0.5)) == pytest.approx(0.5)
    assert float(softness(medium / 8, 1 / 3)) == pytest.approx(2.0)


def test_the_range_of_the_course_with_power_by_hand() -> None:
    """At 10 %: the value at the knee over the gain, at their ends; at full power always 1."""
    own = Tissue().cutting
    knee, jump = number("cutting.share_at_knee"), number("cutting.jump")
    least, usual, most = efficiency_range(np.array([0.1, 1.0]), own)
    low, high = (knee.unit.to_si(v) for v in (knee.low, knee.high))
    assert least == pytest.approx([low / jump.high, 1.0])
    assert usual == pytest.approx([own.share_at_knee / own.jump, 1.0])
    assert most == pytest.approx([high / jump.low, 1.0])


def test_the_range_of_softness_by_hand() -> None:
    """Ends: the softest and the hardest lens of a grade, with the exponent that counts most."""
    n, grade = number("cutting.hardness_exponent"), lens_grades()["soft"]
    medium = lens_grades()["medium"].modulus
    band = softness_band(grade, Tissue().cutting)
    corners = [
        (modulus / medium) ** -exponent
        for modulus in (grade.low, grade.high)
        for exponent in (n.low, n.high)
    ]
    assert (band.low, band.high) == pytest.approx((min(corners), max(corners)))
    assert band.usual == pytest.approx((grade.modulus / medium) ** -n.value)
    assert set(band.alone) == {"lens.modulus", "cutting.hardness_exponent"}
