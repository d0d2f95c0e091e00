"""Stress along a vibrating needle, and how near it comes to fatigue.

Sections: nominal stress of a round tube, sigma = N/A + M r/I and tau = T r/J (any handbook of
strength of materials), joined by von Mises; no stress concentration at bends, mouth or thread.
"""

import numpy as np

from tipsim.motion.lumped import Complexes
from tipsim.motion.sections import Floats, Sections
from tipsim.motion.steady import Vibration
from tipsim.setup.described import about, described

DIRECTIONS = 36
"""Places around the circumference where stress is computed."""


@described(eq=False)
class Stress:
    """Peak stress at each node over a cycle and around the circumference."""

    s: Floats = about("Distance of the nodes from the hub [m], shape (n,).")
    bending: Floats = about(
        "Peak bending and axial normal stress and peak shear stress at the surface [Pa], shape "
        "(n,)."
    )
    axial: Floats
    torsion: Floats
    equivalent: Floats = about(
        "Peak von Mises stress at the surface [Pa]; an amplitude about zero. Shape (n,)."
    )

    @property
    def peak(self) -> float:
        """Largest equivalent stress [Pa]."""
        return float(self.equivalent.max())

    @property
    def peak_place(self) -> float:
        """Where it is, from the hub [m]."""
        return float(self.s[int(np.argmax(self.equivalent))])


def section_forces(vibration: Vibration) -> tuple[Complexes, Complexes]:
    """Return force and moment inside each segment at both of its ends.

    What an end's stiffness takes less what its share of the inertia needs, so that they join from
    segment to segment.

    Returns
    -------
    tuple of (m, 2, 3) arrays
        Force [N] and moment [N m] amplitudes in space axes.
    """
    frame, u, squared = vibration.frame, vibration.displacement, vibration.angular**2
    ends = np.concatenate([u[:-1], u[1:]], axis=1)
    f = (1 + 1j * frame.loss_factor) * (frame.segment_stiffness @ ends[:, :, None])[:, :, 0]
    first, second = frame.segment_mass
    near = f[:, :6] - squared * (first @ u[:-1, :, None])[:, :, 0]
    far = f[:, 6:] - squared * (second @ u[1:, :, None])[:, :, 0]
    both = np.stack([-near, far], axis=1)
    return both[..., :3], both[..., 3:]


def stress(vibration: Vibration) -> Stress:
    """Compute the peak stress along a vibrating needle.

    Examples
    --------
    A rod driven in its length far from resonance, its free end loaded by its own inertia only:
    the stress at the base is rho w² L u.

    >>> from tipsim.motion.frame import Frame
    >>> from tipsim.setup.material import Material
    >>> metal = Material(name="rod", young=113.8e9, poisson=0.342, density=4430.0)
    >>> rod = Frame(np.outer(np.linspace(0, 10e-3, 21), [1, 0, 0]), 0.45e-3, 0.0, metal)
    >>> peak = stress(rod.respond(1000.0, base={"axial": 1e-6})).peak
    >>> round(peak / (4430 * (2 * np.pi * 1000) ** 2 * 10e-3 * 1e-6), 3)
    1.0
    """
    frame = vibration.frame
    force, moment = section_forces(vibration)
    parts = [
        _stress(force[:, k], moment[:, k], t, frame.section_at(k))
        for k, t in enumerate((frame.arcs.begin, frame.arcs.end))
    ]
    # Segments on both sides of a node share it; where they differ the worse counts.
    at_nodes = np.zeros((4, frame.n))
    np.maximum(at_nodes[:, :-1], parts[0], out=at_nodes[:, :-1])
    np.maximum(at_nodes[:, 1:], parts[1], out=at_nodes[:, 1:])
    return Stress(frame.s, *at_nodes)


def _stress(force: Complexes, moment: Complexes, t: Floats, section: Sections) -> Floats:
    """Return bending, axial, shear and equivalent peak stress of sections (4, m) [Pa]."""
    normal = (force * t).sum(axis=1) / section.area
    twist = (moment * t).sum(axis=1)
    shear = twist * section.outer / section.polar_moment
    one, two = _across(t)
    angle = np.linspace(0, 2 * np.pi, DIRECTIONS, endpoint=False)[:, None]
    # Fibre at direction d is stretched by (moment x d) . t, which is moment . (d x t).
    fibre = np.cos(angle) * (moment * np.cross(one, t)).sum(axis=1)
    fibre = fibre + np.sin(angle) * (moment * np.cross(two, t)).sum(axis=1)
    fibre = fibre * section.outer / section.second_moment
    worst = np.sqrt(_peak_squared(normal + fibre, shear).max(axis=0))
    return np.array([np.abs(fibre).max(axis=0), np.abs(normal), np.abs(shear), worst])


def _peak_squared(normal: Complexes, shear: Complexes) -> Floats:
    """Return the largest sigma² + 3 tau² over a cycle of two complex amplitudes."""
    mean = np.abs(normal) ** 2 + 3 * np.abs(shear) ** 2
    swing = np.abs(normal**2 + 3 * shear**2)
    return np.asarray((mean + swing) / 2)


def _across(tangent: Floats) -> tuple[Floats, Floats]:
    """Return two unit vectors across each tangent."""
    helper = np.where(np.abs(tangent[:, 2:3]) < 0.9, [[0.0, 0.0, 1.0]], [[1.0, 0.0, 0.0]])
    one = np.cross(tangent, helper)
    one /= np.linalg.norm(one, axis=1)[:, None]
    return one, np.cross(tangent, one)
