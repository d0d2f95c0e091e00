"""A needle's motion taken apart: as if rigid, and what bending, twist and stretch add to it."""

from functools import cached_property

import numpy as np

from tipsim.motion.lumped import Complexes
from tipsim.motion.sections import Floats
from tipsim.motion.steady import Vibration
from tipsim.motion.travel import stroke
from tipsim.setup.described import about, described

NAMES = ("rigid", "bending", "twist", "stretch")


@described(eq=False)
class Parts:
    """Displacement amplitudes (half of the stroke) by cause; they add up to the motion."""

    rigid: Complexes = about(
        "As the hub moves and turns the needle if it cannot deform, shape (n, 3) [m]."
    )
    bending: Complexes = about(
        "What bending (shear included) between the hub and each node adds, shape (n, 3) [m]."
    )
    twist: Complexes = about(
        "What twist of the stretch behind a bend adds: it swings all that lies beyond, shape "
        "(n, 3) [m]."
    )
    stretch: Complexes = about("What stretch along the needle adds, shape (n, 3) [m].")

    @property
    def total(self) -> Complexes:
        """The motion itself, shape (n, 3) [m]."""
        return np.asarray(self.rigid + self.bending + self.twist + self.stretch)

    @cached_property
    def rigid_stroke(self) -> Floats:
        """Stroke at each node of a needle that cannot deform, peak to peak [m], shape (n,)."""
        return stroke(self.rigid)

    def shares(self) -> dict[str, Floats]:
        """Return each part's share of the motion at each node, shape (n,); NaN where it is still.

        Re(part · total*) / |total|²: how much of a part goes along with the motion. Shares add up
        to 1; a part that works against the motion has one below 0.
        """
        whole = self.total
        size = np.sum(np.abs(whole) ** 2, axis=1)
        with np.errstate(invalid="ignore", divide="ignore"):
            return {
                name: np.real(np.sum(getattr(self, name) * whole.conj(), axis=1)) / size
                for name in NAMES
            }


def take_apart(vibration: Vibration) -> Parts:
    """Return the parts of a vibration's motion.

    u(s) = u0 + r0 x (p - p0) + sum over the segments before s of
    (change of rotation) x (p - end of segment) + (change within the segment)

    Parameters
    ----------
    vibration : Vibration
        Hub first. Rotation that changes along a segment's own direction is twist, across it
        bending.

    Examples
    --------
    A straight rod that is pushed along its axis only stretches:

    >>> import numpy as np
    >>> from tipsim.motion.lumped import Lumped
    >>> from tipsim.motion.steady import respond
    >>> from tipsim.setup.material import Material
    >>> metal = Material(name="rod", young=113.8e9, poisson=0.342, density=4430.0)
    >>> rod = Lumped(np.outer(np.linspace(0, 20e-3, 21), [1, 0, 0]), 0.45e-3, 0.0, metal)
    >>> apart = take_apart(respond(rod, 40e3, base={"axial": 1e-6}))
    >>> [round(float(abs(part[-1, 0])) * 1e6, 3) for part in (apart.rigid, apart.bending)]
    [1.0, 0.0]
    """
    frame = vibration.frame
    p, t = frame.points, frame.tangent
    u, r = vibration.displacement[:, :3], vibration.displacement[:, 3:]
    rigid = u[0] + np.cross(r[0], p - p[0])
    change = np.diff(r, axis=0)
    along = np.sum(change * t, axis=1)[:, None] * t
    step = np.diff(p, axis=0)
    moved = np.diff(u, axis=0)
    longer = np.sum(moved * t, axis=1)[:, None] * t
    within = moved - np.cross(r[:-1], step) - longer
    bending = _swung(change - along, p) + _summed(within)
    return Parts(rigid, bending, _swung(along, p), _summed(longer))


def _summed(steps: Complexes) -> Complexes:
    """Return sums from the hub on of what each segment (m, 3) adds, shape (m+1, 3)."""
    return np.concatenate([np.zeros((1, 3)), np.cumsum(steps, axis=0)])


def _swung(turns: Complexes, p: Floats) -> Complexes:
    """Return how turns (m, 3) at the ends of segments move all that lies beyond, (m+1, 3)."""
    whole, offset = _summed(turns), _summed(np.cross(turns, p[1:]))
    return np.asarray(np.cross(whole, p) - offset)
