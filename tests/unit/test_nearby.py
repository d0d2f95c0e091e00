"""Natural frequencies near the drive: found, and told apart by whether the drive excites them."""

from dataclasses import replace

import numpy as np
import pytest

from tipsim.motion.nearby import near_modes
from tipsim.motion.response import natural_modes, response
from tipsim.setup.scenario import Scenario


def at(scenario: Scenario, frequency: float) -> Scenario:
    return replace(scenario, drive=replace(scenario.drive, frequency=frequency))


@pytest.mark.parametrize("shape", ["single-bend", "counter-bent", "straight"])
@pytest.mark.parametrize("drive", ["torsional", "axial"])
def test_a_driven_mode_is_one_at_which_the_needle_resonates(shape: str, drive: str) -> None:
    """A resonance takes power in a sharp peak; what is not driven lets the flanks of others be."""
    scenario = replace(Scenario.preset(f"{shape}, {drive}"), loss_factor=5e-4)
    modes = natural_modes(scenario).frequency
    seen = []
    for f in modes[modes > 10.5e3]:
        power = response(scenario, f * np.linspace(0.99, 1.01, 201)).power
        rises = bool(power[60:141].max() > 1.2 * max(power[0], power[-1]))
        mode = min(near_modes(at(scenario, f), 5.0), key=lambda m: abs(m.frequency - f))
        assert mode.driven == rises, f"{f:.0f} Hz"
        seen.append(rises)
    # A straight needle that is pushed has only bending modes in this range.
    assert set(seen) == ({False} if (shape, drive) == ("straight", "axial") else {True, False})


def test_a_hub_at_rest_drives_nothing() -> None:
    scenario = Scenario.preset("counter-bent, torsional")
    still = at(replace(scenario, drive=replace(scenario.drive, power=0.0)), 43e3)
    assert [m.driven for m in near_modes(still, 4e3)] == [False] * 3


def test_a_twist_leaves_the_plane_of_the_bends_alone_and_a_push_stays_in_it() -> None:
    modes = natural_modes(Scenario.preset("counter-bent, torsional"))
    energy = (modes.shape[:, :, :3] ** 2).sum(axis=1)
    out_of_plane = energy[:, 2] > 0.5 * energy.sum(axis=1)
    for kind, driven in (("torsional", out_of_plane), ("axial", ~out_of_plane)):
        for f, expected in zip(modes.frequency, driven, strict=True):
            here = at(Scenario.preset(f"counter-bent, {kind}"), max(10e3, f))
            found = [m.driven for m in near_modes(here, 8e3) if abs(m.frequency - f) < 1.0]
            assert found == [expected], (kind, f)


def test_nearest_first_and_nothing_beyond() -> None:
    scenario = at(Scenario.preset("counter-bent, torsional"), 43e3)
    found = near_modes(scenario, 4e3)
    away = [abs(m.frequency - 43e3) for m in found]
    assert len(found) == 3 and away == sorted(away) and max(away) <= 4e3
    assert near_modes(scenario, 1.0) == ()
