"""Beam segments between nodes, written without local axes.

A round section has no preferred sideways direction, so what a segment does follows from its
tangent t alone: tt' (along), I - tt' (sideways) and the cross product [t]x. No local triad, no
angle to choose. A segment may be an arc and a cone.
"""

import numpy as np

from tipsim.motion.arcs import Arcs
from tipsim.motion.sections import Floats, Sections
from tipsim.setup.described import about, described

POINTS, WEIGHTS = (np.polynomial.legendre.leggauss(3)[0] + 1) / 2, np.array([5, 8, 5]) / 18
"""Places in a segment, 0 to 1, where sections are taken, and their shares (Gauss)."""

_ACROSS = np.cross(np.eye(3)[:, None], np.eye(3)).transpose(0, 2, 1).reshape(3, 9)
"""[t]x of the three unit vectors, a row each."""


def along(tangent: Floats) -> Floats:
    """Return the projector on the tangent, tt', shape (..., 3, 3)."""
    return np.asarray(tangent[..., :, None] * tangent[..., None, :])


def cross_matrix(tangent: Floats) -> Floats:
    """Return [t]x, shape (..., 3, 3), so that [t]x a = t x a."""
    return np.asarray((tangent @ _ACROSS).reshape(*tangent.shape, 3))


@described(eq=False)
class Courses:
    """Arcs as they run at `POINTS` (q of them), for stiffness and inertia alike."""

    arcs: Arcs = about("The arcs, m of them.")
    tangent: Floats = about("Unit tangents, (q, m, 3); tt', (q, m, 3, 3).")
    tt: Floats
    place: Floats = about("From the first node [m], (q, m, 3).")
    chord: Floats = about("[chord]x [m], (m, 3, 3).")


def courses(arcs: Arcs) -> Courses:
    """Return how arcs run at `POINTS`."""
    tangent = arcs.tangent(POINTS)
    return Courses(arcs, tangent, along(tangent), arcs.place(POINTS), cross_matrix(arcs.chord))


def stiffness(
    course: Courses, section: Sections, young: float, poisson: float, shear: bool, softness: Floats
) -> Floats:
    """Return the stiffness of each segment in space axes, exact for end loads.

    Parameters
    ----------
    section : Sections
        Round sections at `POINTS` of each segment, shape (q, m).
    young, poisson : float
        Young's modulus [Pa] and Poisson's ratio.
    shear : bool
        Whether the segment yields in shear (Timoshenko) or not (Euler-Bernoulli).
    softness : (m,) array
        How many times as much a segment bends as a straight one would; see
        `tipsim.motion.ovalisation`.

    Returns
    -------
    (m, 12, 12) array
        Order of freedoms: three displacements [m] and three rotations [rad] of the first node,
        then of the second. Forces in N, moments in N m.

    Notes
    -----
    Force method: with the first node clamped, force and moment at the second are carried to each
    section, what that yields is summed along the arc, and the flexibility is inverted. For a
    uniform, straight segment this is the matrix of J. S. Przemieniecki, Theory of Matrix Structural
    Analysis, 1968, section 5.6 (from memory); held against closed forms in tests/published.
    """
    arcs, tt = course.arcs, course.tt
    g = young / (2 * (1 + poisson))
    share = arcs.length * WEIGHTS[:, None]
    stretch, twist = share / (young * section.area), share / (g * section.polar_moment)
    bend = softness * share / (young * section.second_moment)
    slide = np.zeros_like(bend)
    if shear:
        slide = share / (section.shear_coefficient(poisson) * g * section.area)
    lever = course.chord - cross_matrix(course.place)
    yields = _mix(twist, bend, tt)
    carried = yields @ lever
    # The shear that a section has to take, of a force and of a moment at the second node.
    of_moment = -leaning(arcs, section)[..., None, None] * cross_matrix(course.tangent)
    of_force = np.eye(3) - tt + of_moment @ lever
    slid = slide[..., None, None] * of_moment.swapaxes(-1, -2)
    flexible = np.empty((len(arcs.length), 6, 6))
    flexible[:, :3, :3] = (
        stretch[..., None, None] * tt
        + slide[..., None, None] * (of_force.swapaxes(-1, -2) @ of_force)
        - lever @ carried
    ).sum(axis=0)
    flexible[:, 3:, :3] = (carried + slid @ of_force).sum(axis=0)
    flexible[:, :3, 3:] = flexible[:, 3:, :3].swapaxes(1, 2)
    flexible[:, 3:, 3:] = (yields + slid @ of_moment).sum(axis=0)
    second = np.linalg.inv(flexible)
    # Balance: what the first node gives when the second gives a force and a moment.
    balance = np.broadcast_to(-np.eye(6), second.shape).copy()
    balance[:, 3:, :3] = -course.chord
    k = np.empty((len(second), 12, 12))
    k[:, 6:, 6:] = (second + second.swapaxes(1, 2)) / 2
    k[:, :6, 6:] = balance @ k[:, 6:, 6:]
    k[:, 6:, :6] = k[:, :6, 6:].swapaxes(1, 2)
    own = k[:, :6, 6:] @ balance.swapaxes(1, 2)
    k[:, :6, :6] = (own + own.swapaxes(1, 2)) / 2
    return k


def inertia(
    course: Courses, section: Sections, density: float, rotary: bool
) -> tuple[tuple[Floats, Floats], tuple[Floats, Floats]]:
    """Return the inertia of each segment as it acts at its first and at its second node.

    A segment's mass is not put down at its ends but a sixth of the segment inwards, so that an even
    motion, and a turning, get their force and moment exactly; a node on its own then carries mass
    and rotation together, but nodes stay apart, and frequencies converge with the fourth power of
    the spacing wherever bending rules.

    Parameters
    ----------
    section : Sections
        At `POINTS`, shape (q, m).
    density : float
        Of the metal [kg/m³].
    rotary : bool
        Whether sections resist being tilted.

    Returns
    -------
    tuple of two pairs of (m, 6, 6) arrays
        Of the metal [kg, kg m, kg m²], and of 1 kg/m that follows sideways motion only, each at the
        first node and at the second.

    Notes
    -----
    Force and moment at an end are those of a clamped segment under an even inertia (the cubic
    shape functions). Tilted about its middle, such a pair of masses has the inertia of the segment.
    """
    arcs, x = course.arcs, POINTS[:, None]
    share = arcs.length * WEIGHTS[:, None]
    metal = share * density * section.area
    polar = share * density * section.polar_moment
    bulge = cross_matrix(course.place - x[..., None] * arcs.chord)
    # All four at once: metal and fluid (e), at the first node and at the second (f).
    y = np.stack([x, 1 - x])
    linear, cubic = 1 - y, (1 - y) ** 2 * (1 + 2 * y)
    slope = np.array([1.0, -1.0])[:, None, None] * y * (1 - y) ** 2
    mass = np.stack([metal, share])[:, None]
    lengthwise = np.stack([metal, np.zeros_like(metal)])[:, None]
    offset = np.stack([bulge + cross_matrix(eccentricity(arcs, section)), bulge])
    m = np.zeros((2, 2, len(arcs.length), 6, 6))
    m[..., :3, :3] = _mix(lengthwise * linear, mass * cubic, course.tt).sum(axis=2)
    turning = polar * linear
    m[0, :, :, 3:, 3:] = _mix(turning, turning / 2 * rotary, course.tt).sum(axis=1)
    m[..., 3:, :3] = np.einsum("efqm,eqmij->efmij", mass * linear, offset)
    m[..., 3:, :3] += (mass * slope).sum(axis=2)[..., None, None] * course.chord
    m[..., :3, 3:] = -m[..., 3:, :3]
    return (m[0, 0], m[0, 1]), (m[1, 0], m[1, 1])


def without_negative(mass: Floats) -> Floats:
    """Return matrices of masses at nodes (n, 6, 6) without negative directions.

    At the end of a line whose segments are long beside their width, a mass that lies inwards of its
    node would have more than all of the node's tilting inertia; there the node gets that much more.
    """
    offset, tilting = mass[:, 3:, :3], mass[:, 3:, 3:]
    heavy = np.trace(mass[:, :3, :3], axis1=1, axis2=2)
    light = (offset**2).sum(axis=(1, 2)) * 10 > heavy * np.trace(tilting, axis1=1, axis2=2)
    out = mass.copy()
    for i in np.flatnonzero(light):
        out[i, 3:, 3:] += offset[i] @ np.linalg.solve(mass[i, :3, :3], offset[i].T)
    return out


def leaning(arcs: Arcs, section: Sections) -> Floats:
    """Return the part of the shear force that leaning fibres of a cone take, per moment [1/m].

    Fibres of a cone under bending stress My/I lean by its slope, and so push sideways; a solid cone
    loaded at its apex needs no shear stress at all. Slopes run from the bore's to the outside's.
    Worked out from balance; tests/peers/test_solid.py holds it. Shape (q, m).
    """
    b, a = section.outer, section.inner
    slope = (b[-1] - b[0]) / ((POINTS[-1] - POINTS[0]) * arcs.length)
    outer, inner = slope, (a[-1] - a[0]) / ((POINTS[-1] - POINTS[0]) * arcs.length)
    fourth, third = (b**4 - a**4) / 4, (b**3 - a**3) / 3
    # Integral of rho² times a slope that is linear in rho from bore to outside.
    taken = ((outer - inner) * (fourth - a * third) + inner * (b - a) * third) / (b - a)
    return np.asarray(np.pi * taken / section.second_moment)


def eccentricity(arcs: Arcs, section: Sections) -> Floats:
    """Return how far the metal's centre of mass lies outside a bend's centreline [m], (q, m, 3).

    I/AR: there is more tube on the outside of a bend than on the inside.
    """
    gyration = section.second_moment / section.area
    outward = -(gyration * arcs.turn / arcs.length)
    return np.asarray(outward[..., None] * arcs.normal(POINTS))


def _mix(lengthwise: Floats, sideways: Floats, tt: Floats) -> Floats:
    """Return matrices (..., 3, 3) that are one number along the tangent and one across it."""
    out = (lengthwise - sideways)[..., None, None] * tt
    out += sideways[..., None, None] * np.eye(3)
    return np.asarray(out)
