"""A needle and its sleeve as two beams along one bent line, joined by the fluid between them.

Out of the plane of the bends: w, turn about x, turn about y at each node. Slender beams with
consistent stiffness (Przemieniecki 1968, from memory), lumped mass; the fluid joins the beams by
masses alone (Fritz 1972): m_a, m_b on each and -m_c between. Written apart from `tipsim.motion`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import solve

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@dataclass(frozen=True)
class Tube:
    """Outer and inner radius of each element [m], modulus [Pa], Poisson's ratio, loss factor."""

    outer: Floats
    inner: Floats
    young: float
    poisson: float
    loss: float

    @property
    def second_moment(self) -> Floats:
        return np.asarray(np.pi / 4 * (self.outer**4 - self.inner**4))


def stiffness(points: Floats, tube: Tube) -> Complexes:
    """Stiffness of a bent tube for motion across its plane, (3n, 3n)."""
    step = np.diff(points, axis=0)
    n = len(points)
    out = np.zeros((3 * n, 3 * n), dtype=complex)
    for i, (d, bend) in enumerate(zip(step, tube.second_moment, strict=True)):
        length = np.hypot(*d)
        t = d / length
        e = tube.young * (1 + 1j * tube.loss)
        # In the element's axes: w, twist about t, slope turn about the normal.
        a, b, c = 12 * e * bend / length**3, 6 * e * bend / length**2, 2 * e * bend / length
        twist = e / (2 * (1 + tube.poisson)) * 2 * bend / length
        k = np.zeros((6, 6), dtype=complex)
        k[np.ix_([0, 2, 3, 5], [0, 2, 3, 5])] = [
            [a, -b, -a, -b],
            [-b, 2 * c, b, c],
            [-a, b, a, b],
            [-b, c, b, 2 * c],
        ]
        k[np.ix_([1, 4], [1, 4])] = [[twist, -twist], [-twist, twist]]
        turn = np.eye(3)
        turn[1:, 1:] = [[t[0], t[1]], [-t[1], t[0]]]
        full = np.kron(np.eye(2), turn)
        where = slice(3 * i, 3 * i + 6)
        out[where, where] += full.T @ k @ full
    return out


@dataclass(frozen=True)
class Coupled:
    """Masses per length of each element [kg/m, kg m]: needle, its turning, and those of fluid."""

    points: Floats
    needle: Tube
    sleeve: Tube
    own: Floats
    polar: Floats
    cross: Floats
    on_needle: Floats
    on_sleeve: Floats
    between: Floats


def tip(bench: Coupled, sleeved: int, twist: complex, angular: float, follows: bool) -> float:
    """Amplitude of the tip across the plane for a twist of the hub [m].

    Parameters
    ----------
    sleeved : int
        Elements from the hub that the sleeve covers.
    follows : bool
        The sleeve without stiffness, by its masses; False: as a beam held at the hub.
    """
    points, length = bench.points, np.hypot(*np.diff(bench.points, axis=0).T)
    n, m = len(points), 0 if follows else sleeved + 1
    size = 3 * (n + m)
    k = np.zeros((size, size), dtype=complex)
    k[: 3 * n, : 3 * n] = stiffness(points, bench.needle)
    mass = np.zeros((size, size))
    on_needle = bench.own + bench.on_needle
    if follows:
        on_needle = on_needle - np.divide(
            bench.between**2,
            bench.on_sleeve,
            out=np.zeros_like(on_needle),
            where=bench.on_sleeve > 0,
        )
    tangent = np.diff(points, axis=0) / length[:, None]
    for i, (d, t) in enumerate(zip(length, tangent, strict=True)):
        for node in (i, i + 1):
            mass[3 * node, 3 * node] += on_needle[i] * d / 2
            tt = np.outer(t, t)
            turning = bench.polar[i] * tt + bench.cross[i] * (np.eye(2) - tt)
            mass[3 * node + 1 : 3 * node + 3, 3 * node + 1 : 3 * node + 3] += turning * d / 2
    if not follows:
        part = Tube(
            bench.sleeve.outer[:sleeved],
            bench.sleeve.inner[:sleeved],
            bench.sleeve.young,
            bench.sleeve.poisson,
            bench.sleeve.loss,
        )
        k[3 * n :, 3 * n :] = stiffness(points[:m], part)
        for i, d in enumerate(length[:sleeved]):
            for node in (i, i + 1):
                w, v = 3 * node, 3 * (n + node)
                mass[v, v] += bench.on_sleeve[i] * d / 2
                mass[w, v] -= bench.between[i] * d / 2
                mass[v, w] -= bench.between[i] * d / 2
    dynamic = k - angular**2 * mass
    fixed = [0, 1, 2] + ([] if follows else [3 * n, 3 * n + 1, 3 * n + 2])
    free = np.setdiff1d(np.arange(size), fixed)
    # The hub turns about its axis, which points along the first element.
    hub = np.zeros(size, dtype=complex)
    hub[1:3] = twist * tangent[0]
    matrix = dynamic[np.ix_(free, free)]
    # Metal and silicone, metres and radians: brought to one scale before solving.
    scale = 1 / np.sqrt(np.abs(k[free, free]))
    scaled = scale[:, None] * matrix * scale
    found = scale * solve(scaled, -scale * (dynamic @ hub)[free])
    whole = hub.copy()
    whole[free] = found
    return float(abs(whole[3 * (n - 1)]))
