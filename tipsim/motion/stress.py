"""Stress along a vibrating needle, and how near it comes to fatigue.

Sections: nominal stress of a round tube, sigma = N/A + M r/I and tau = T r/J (any handbook of
strength of materials), joined by von Mises; no stress concentration at bends, mouth or thread.
"""

import numpy as np

from tipsim.motion.lumped import Complexes
from tipsim.motion.sections import Floats
from tipsim.motion.steady import Vibration
from tipsim.setup.described import about, described

DIRECTIONS = 36
"""Places around the circumference where stress is computed."""


@described(eq=False)
class Stress:
    """Peak stress in each segment over a cycle and around the circumference."""

    s: Floats = about("Middle of each segment, from the hub [m], shape (m,).")
    bending: Floats = about(
        "Peak bending and axial normal stress and peak shear stress at the surface [Pa], shape "
        "(m,)."
    )
    axial: Floats
    torsion: Floats
    equivalent: Floats = about(
        "Peak von Mises stress at the surface [Pa]; an amplitude about zero. Shape (m,)."
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

    Returns
    -------
    tuple of (m, 2, 3) arrays
        Force [N] and moment [N m] amplitudes in space axes.
    """
    frame, u = vibration.frame, vibration.displacement
    ends = np.concatenate([u[:-1], u[1:]], axis=1)
    f = (1 + 1j * frame.loss_factor) * np.einsum("mij,mj->mi", frame.segment_stiffness, ends)
    force = np.stack([-f[:, 0:3], f[:, 6:9]], axis=1)
    moment = np.stack([-f[:, 3:6], f[:, 9:12]], axis=1)
    return force, moment


def stress(vibration: Vibration) -> Stress:
    """Compute the peak stress along a vibrating needle.

    Examples
    --------
    A rod driven in its length far from resonance, its free end loaded by its own inertia only:
    the stress at the base is rho w² L u.

    >>> from tipsim.motion.frame import Frame
    >>> from tipsim.setup.material import Material
    >>> metal = Material(name="rod", young=113.8e9, poisson=0.342, density=4430.0)
    >>> rod = Frame(np.outer(np.linspace(0, 10e-3, 201), [1, 0, 0]), 0.45e-3, 0.0, metal)
    >>> peak = stress(rod.respond(1000.0, base={"axial": 1e-6})).peak
    >>> round(peak / (4430 * (2 * np.pi * 1000) ** 2 * 10e-3 * 1e-6), 2)
    1.0
    """
    frame = vibration.frame
    force, moment = section_forces(vibration)
    t, section = frame.tangent, frame.section
    normal = np.einsum("mek,mk->me", force, t) / section.area[:, None]
    twist = np.einsum("mek,mk->me", moment, t)
    shear = twist * (section.outer / section.polar_moment)[:, None]
    bend = moment - twist[:, :, None] * t[:, None, :]
    one, two = _across(t)
    angle = np.linspace(0, 2 * np.pi, DIRECTIONS, endpoint=False)
    around = np.cos(angle)[:, None, None] * one + np.sin(angle)[:, None, None] * two
    # Fibre at direction d is stretched by (moment x d) . t, which is moment . (d x t).
    lever = np.cross(around, t[None])
    fibre = (
        np.einsum("mek,dmk->dme", bend, lever) * (section.outer / section.second_moment)[:, None]
    )
    total = normal[None] + fibre
    squared = _peak_squared(total, shear[None])
    worst = np.sqrt(squared.max(axis=(0, 2)))
    return Stress(
        (frame.s[1:] + frame.s[:-1]) / 2,
        np.abs(fibre).max(axis=(0, 2)),
        np.abs(normal).max(axis=1),
        np.abs(shear).max(axis=1),
        worst,
    )


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
