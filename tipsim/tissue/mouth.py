"""What the mouth's rim sweeps in one cycle, from its orbit and the bevel."""

import numpy as np

from tipsim.motion.run import Motion
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario
from tipsim.tissue.bands import Floats

AROUND = 144
"""Points on the rim."""


@described()
class Sweep:
    """Areas that the outer edge of the mouth sweeps in one cycle."""

    normal: float = about("Swept along the normal of the mouth's plane, forward moves only [m²].")
    sideways: float = about("Swept in the mouth's plane across the edge, outward moves only [m²].")
    normal_speed: float = about(
        "Root-mean-square speed along the normal, over rim and cycle [m/s]."
    )


@described(eq=False)
class Rim:
    """The mouth's outer edge."""

    lever: Floats = about("From the mouth's centre to points on the edge [m], shape (m, 3).")
    along: Floats = about(
        "Unit vectors along the edge, and across it in the mouth's plane, shape (m, 3)."
    )
    across: Floats
    normal: Floats = about("Unit normal of the mouth's plane, shape (3,).")
    piece: Floats = about("Length of edge that each point stands for [m], shape (m,).")


def rim(scenario: Scenario, tangent: Floats) -> Rim:
    """Return the edge of a mouth whose bevel is turned in the bend plane.

    Parameters
    ----------
    tangent : (3,) array
        Direction of the needle's end.
    """
    needle = scenario.needle
    radius = float(needle.radii_at([needle.length])[0][0])
    slope = np.tan(needle.bevel)
    out_of_plane = np.array([0.0, 0.0, 1.0])
    aside = np.cross(out_of_plane, tangent)
    angle = (2 * np.pi / AROUND * np.arange(AROUND))[:, None]
    lean = aside + slope * tangent
    lever = radius * (np.cos(angle) * lean + np.sin(angle) * out_of_plane)
    way = radius * (-np.sin(angle) * lean + np.cos(angle) * out_of_plane)
    size = np.linalg.norm(way, axis=1)
    normal = (tangent - slope * aside) * np.cos(needle.bevel)
    along = way / size[:, None]
    return Rim(lever, along, np.cross(along, normal), normal, size * 2 * np.pi / AROUND)


def sweep(scenario: Scenario, motion: Motion) -> Sweep:
    """Return what the rim sweeps in one cycle.

    Parameters
    ----------
    motion : Motion
        Its solution.

    Returns
    -------
    Sweep
        Each point of the edge counts with its stroke, so a square mouth of radius R that moves
        by a stroke s sweeps 2 pi R s along its axis, or 4 R s sideways; one that turns about its
        own axis sweeps nothing.
    """
    edge = rim(scenario, motion.frame.node_tangent[-1])
    end = motion.displacement[-1]
    u = end[:3] + np.cross(end[3:], edge.lever)
    towards, aside = np.abs(u @ edge.normal), np.abs((u * edge.across).sum(axis=1))
    angular = 2 * np.pi * motion.frequency
    mean_square = float((towards**2 * edge.piece).sum() / edge.piece.sum())
    return Sweep(
        float((2 * towards * edge.piece).sum()),
        float((2 * aside * edge.piece).sum()),
        float(angular * np.sqrt(mean_square / 2)),
    )
