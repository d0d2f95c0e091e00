"""Natural frequencies near the drive's, and whether this drive sets them swinging."""

import numpy as np

from tipsim.motion.assembly import assemble
from tipsim.motion.eigen import modes
from tipsim.motion.response import HIGH, natural_modes
from tipsim.motion.run import hub_motion
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario

UNMOVED = 1e-6
"""A mode that follows the hub's motion by less than this share at rest is not driven: the rest is
rounding."""


@described()
class NearMode:
    """A natural frequency."""

    frequency: float = about("Natural frequency, hub held, fluid with it [Hz].")
    driven: bool = about(
        "Whether the hub's motion excites it: a torsional drive leaves what swings in the plane "
        "of the bends alone."
    )


def near_modes(scenario: Scenario, within: float) -> tuple[NearMode, ...]:
    """Return the natural frequencies that lie near the drive's, nearest first.

    Parameters
    ----------
    within : float
        Greatest distance from the drive's frequency [Hz].

    Notes
    -----
    The moving hub acts on the needle through the first segment: a mode is pushed by the work that
    this segment's end force F does on the mode's shape phi at the first node. It would move the
    needle by phi (phi . F) / w² (one mode's share of the response at rest).

    Examples
    --------
    >>> near_modes(Scenario.preset("single-bend, torsional"), 1e3)
    ()
    >>> [m.driven for m in near_modes(Scenario.preset("single-bend, torsional"), 9e3)]
    [True]
    """
    drive = scenario.drive.frequency
    natural = natural_modes(scenario, max(HIGH, drive + within))
    frame = assemble(scenario)
    hub = np.zeros(6, dtype=complex)
    tangent = frame.node_tangent[0]
    motion = hub_motion(scenario)
    hub[:3] = motion.get("axial", 0) * tangent
    hub[3:] = motion.get("twist", 0) * tangent
    push = np.abs(natural.shape[:, 1, :] @ frame.segment_stiffness[0][6:, :6] @ hub)
    # Turning counts by what it moves of the surface.
    size = np.repeat([1.0, frame.section.outer[0]], 3)
    moved = push * np.abs(natural.shape * size).max(axis=(1, 2), initial=0)
    driven = moved > UNMOVED * (2 * np.pi * natural.frequency) ** 2 * np.linalg.norm(hub * size)
    found = [
        NearMode(float(f), bool(d))
        for f, d in zip(natural.frequency, driven, strict=True)
        if abs(f - drive) <= within
    ]
    return tuple(sorted(found, key=lambda m: abs(m.frequency - drive)))


def nearest_resonance(scenario: Scenario) -> float:
    """Return the natural frequency nearest to the drive, of motion out of the bends' plane [Hz].

    That motion is what a twisting hub drives. Loss and films are left out.
    """
    lowest = modes(assemble(scenario), 7)
    share = (lowest.shape[:, :, :3] ** 2).sum(axis=1)
    aside = lowest.frequency[share[:, 2] > share.sum(axis=1) / 2]
    return float(aside[np.argmin(np.abs(aside - scenario.drive.frequency))])
