"""A load that presses the sleeve onto the shaft: silicone between both as a lossy spring.

Per length of shaft, over the pressed arc: k = E a / t ∫ n n' dphi, with the silicone's modulus E at
ultrasonic frequency, wall t, radius a of the metal and its normals n. The load itself, a weight or
the edge of a wound, stands still at these frequencies.

Silicone only pushes. Where the shaft swings further than the load squeezes it (its static
squeeze), it loses touch for a part of each cycle, while the mean force stays the load's. The first
harmonic of that force is a spring of `touching` times the stiffness (harmonic balance), and loses
as much less.
"""

import numpy as np

from tipsim.motion.lumped import Complexes
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press

_ANGLES = np.linspace(1e-3, np.pi, 2000)
_GAP = (np.sin(_ANGLES) - _ANGLES * np.cos(_ANGLES)) / np.pi
_SHARE = (_ANGLES - np.sin(_ANGLES) * np.cos(_ANGLES)) / np.pi
"""By half of the phase over which they touch: static squeeze over swing, and `touching`."""


@described(eq=False)
class Pressed:
    """What a load does to the shaft, node by node, hub first."""

    stiffness: Floats = about("Springs of the silicone between [N/m], shape (n, 6, 6).")
    loss_factor: float = about("Of the silicone.")
    direction: Floats = about("Unit vector towards the load, shape (n, 3).")
    squeeze: float = about("How far the load squeezes the silicone at rest [m].")

    def touching(self, displacement: Complexes) -> Floats:
        """Return the share of the springs that is left where the sleeve loses touch, (n,)."""
        swing = np.abs((displacement[:, :3] * self.direction).sum(axis=1))
        return touching(self.squeeze, swing)

    def springs(self, share: Floats | float, angular: float) -> tuple[Floats, Floats]:
        """Return springs and dashpots (n, 6, 6) with a share of them in touch."""
        k = np.broadcast_to(np.asarray(share), self.stiffness.shape[:1])[:, None, None]
        stiffness = k * self.stiffness
        return stiffness, stiffness * self.loss_factor / angular


def touching(squeeze: float, swing: Floats) -> Floats:
    """Return the stiffness of a one-sided spring under a steady mean force, over its own.

    Parameters
    ----------
    squeeze : float
        Static squeeze under that force [m].
    swing : (n,) array
        Amplitude (half of the stroke) of a sinusoidal motion against it [m].

    Returns
    -------
    (n,) array
        1 while the swing is less than the squeeze; about 2 squeeze / swing where it is far more.

    Examples
    --------
    >>> touching(10e-6, np.array([5e-6, 10e-6, 31.4159e-6, 1e-3])).round(3).tolist()
    [1.0, 1.0, 0.5, 0.02]
    """
    moving = np.maximum(swing, 1e-30)
    return np.asarray(np.interp(squeeze / moving, _GAP, _SHARE))


def press_directions(press: Press, tangent: Floats, count: int = 5) -> Floats:
    """Return unit vectors across the needle, spread over the pressed arc, (count, n, 3)."""
    out_of_plane = np.array([0.0, 0.0, 1.0])
    in_plane = np.cross(out_of_plane, tangent)
    share = (np.arange(count) + 0.5) / count - 0.5
    angle = (press.side + share * press.arc)[:, None, None]
    return np.asarray(np.cos(angle) * in_plane[None] + np.sin(angle) * out_of_plane)


def pressed_at_nodes(
    scenario: Scenario, held: Floats, tangent: Floats, outer: Floats
) -> Pressed | None:
    """Return what a load does, node by node; None without a load on a sleeve.

    Parameters
    ----------
    held, tangent, outer : (n,), (n, 3), (n,) arrays
        Length that is pressed of what each node stands for, unit tangents and outer radii [m].
    """
    press, sleeve = scenario.press, scenario.sleeve
    if press is None or sleeve is None:
        return None
    towards = press_directions(press, tangent, 1)[0]
    across = np.cross(tangent, towards)
    # ∫ cos² and ∫ sin² over the arc: stiffness along the load and across it.
    arcs = [(press.arc + sign * np.sin(press.arc)) / 2 for sign in (1, -1)]
    per_arc = scenario.squeeze.modulus * outer / sleeve.wall * held
    stiffness = np.zeros((len(held), 6, 6))
    for arc, way in zip(arcs, (towards, across), strict=True):
        stiffness[:, :3, :3] += (per_arc * arc)[:, None, None] * way[:, :, None] * way[:, None, :]
    total = float((per_arc * arcs[0]).sum())
    squeeze = press.force / total if total > 0 else 0.0
    return Pressed(stiffness, scenario.squeeze.loss, towards, squeeze)
