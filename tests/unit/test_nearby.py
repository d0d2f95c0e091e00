"""Natural frequencies near the drive: found, and told apart by whether the drive excites them."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import find_peaks

from tipsim.motion.nearby import near_modes
from tipsim.motion.response import natural_modes, response
from tipsim.setup.scenario import Scenario


def at(scenario: Scenario, frequency: float) -> Scenario:
    return replace(scenario, drive=replace(scenario.drive, frequency=frequency))


@pytest.mark.parametrize("shape", ["single-bend", "counter-bent", "straight"])
@pytest.mark.parametrize("drive", ["torsional", "axial"])
def test_a_driven_mode_is_one_at_which_the_needle_resonates(shape: str, drive: str) -> None:
    """The curve of power peaks at driven modes, each within 0.6 % of its own, and nowhere else."""
    scenario = replace(Scenario.preset(f"{shape}, {drive}"), loss_factor=5e-4)
    modes = natural_modes(scenario).frequency
    modes = modes[modes > 10.5e3]
    hertz = np.geomspace(10.3e3, 1.01 * modes[-1], 3500)
    tops, _ = find_peaks(np.log(response(scenario, hertz).power), prominence=np.log(1.2))
    # Two modes may lie closer than a window around each: a peak belongs to the nearest.
    owners = {int(np.argmin(np.abs(modes - f))): f for f in hertz[tops]}
    assert len(owners) == len(tops)
    seen = []
    for i, f in enumerate(modes):
        mode = min(near_modes(at(scenario, f), 5.0), key=lambda m: abs(m.frequency - f))
        assert mode.driven == (i in owners), f"{f:.0f} Hz"
        assert i not in owners or owners[i] == pytest.approx(f, rel=6e-3)
        seen.append(i in owners)
    # A straight needle that is pushed has only bending modes in this range.
    assert set(seen) == ({False} if (shape, drive) == ("straight", "axial") else {True, False})


def test_a_hub_at_rest_drives_nothing() -> None:
    scenario = Scenario.preset("counter-bent, torsional")
    still = at(replace(scenario, drive=replace(scenario.drive, power=0.0)), 43e3)
    assert [m.driven for m in near_modes(still, 6e3)] == [False] * 3


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
    found = near_modes(scenario, 6e3)
    away = [abs(m.frequency - 43e3) for m in found]
    assert len(found) == 3 and away == sorted(away) and max(away) <= 6e3
    assert len(near_modes(scenario, 4e3)) == 2  # The third lies 5.4 kHz away.
    assert near_modes(scenario, 0.1) == ()
