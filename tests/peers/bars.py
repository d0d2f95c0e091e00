"""Tubes that every peer gets: plain numbers, so that nothing of our frame leaks into theirs."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from tests.published.bars import polyline
from tipsim.motion import Frame
from tipsim.setup.catalogue import needle
from tipsim.setup.material import Material, titanium

Floats = np.ndarray
OUTER, INNER = 0.45e-3, 0.35e-3
LENGTH = 20e-3


@dataclass(frozen=True, eq=False)
class Bar:
    """A round tube along a polyline, in air.

    Attributes
    ----------
    points : (n, 3) array
        Nodes [m].
    outer, inner : (n,) arrays
        Radii at the nodes [m].
    young, poisson, density : float
        Of the metal [Pa, no unit, kg/m³].
    shear, rotary : bool
        Whether it yields in shear and its sections resist being tilted.
    """

    points: Floats
    outer: Floats
    inner: Floats
    young: float
    poisson: float
    density: float
    shear: bool = True
    rotary: bool = True

    @property
    def n(self) -> int:
        """Number of nodes."""
        return len(self.points)

    @property
    def rigidity(self) -> float:
        """Shear modulus [Pa]."""
        return self.young / (2 * (1 + self.poisson))

    @property
    def length(self) -> Floats:
        """Lengths of the segments [m]."""
        return np.linalg.norm(np.diff(self.points, axis=0), axis=1)

    @property
    def tangent(self) -> Floats:
        """Unit tangents of the segments, (n-1, 3)."""
        return np.diff(self.points, axis=0) / self.length[:, None]

    def frame(self, stepped: bool = False, **more: object) -> Frame:
        """Our frame of it; stepped: of uniform segments, as most codes have them, not cones."""
        radii: tuple[Floats, ...] = (self.outer, self.inner)
        if stepped:
            radii = tuple((r[1:] + r[:-1]) / 2 for r in radii)
        return Frame(
            self.points,
            *radii,
            Material("metal", self.young, self.poisson, self.density),
            shear=self.shear,
            rotary=self.rotary,
            **more,  # type: ignore[arg-type]
        )

    def lumped(self, **more: object) -> Frame:
        """Our frame of uniform segments that carries half of each one's mass right at its nodes.

        That is what OpenSees's nodal masses are; ours lie a sixth of the segment inwards.
        """
        instead = self._node_masses() - self.frame(stepped=True).node_mass
        return self.frame(stepped=True, masses=dict(enumerate(instead)), **more)

    def _node_masses(self) -> Floats:
        b, a = ((r[1:] + r[:-1]) / 2 for r in (self.outer, self.inner))
        half = self.density * np.pi * (b**2 - a**2) * self.length / 2
        polar = half * (b**2 + a**2) / 2
        tt = self.tangent[:, :, None] * self.tangent[:, None, :]
        each = np.zeros((self.n - 1, 6, 6))
        each[:, :3, :3] = half[:, None, None] * np.eye(3)
        tilted = polar / 2 * self.rotary
        each[:, 3:, 3:] = polar[:, None, None] * tt + tilted[:, None, None] * (np.eye(3) - tt)
        out = np.zeros((self.n, 6, 6))
        out[:-1] += each
        out[1:] += each
        return out

    def slender(self) -> "Bar":
        """The same without shear and rotary inertia."""
        return replace(self, shear=False, rotary=False)

    def turned(self, axis: Sequence[float], angle: float) -> "Bar":
        """The same, turned in space about an axis by an angle [rad]."""
        a = np.asarray(axis, float) / np.linalg.norm(axis)
        k = np.cross(np.eye(3), -a)
        turn = np.eye(3) + np.sin(angle) * k + (1 - np.cos(angle)) * k @ k
        return replace(self, points=self.points @ turn.T)


def tube(points: Floats, outer: object = OUTER, inner: object = INNER) -> Bar:
    """A tube of the needle's metal."""
    metal = titanium()
    n = len(points)
    radii = (np.broadcast_to(np.asarray(r, float), (n,)).copy() for r in (outer, inner))
    return Bar(points, *radii, metal.young, metal.poisson, metal.density)


def straight(steps: int) -> Bar:
    """20 mm of 0.9/0.7 mm tube along x."""
    return tube(polyline([[0, 0, 0], [LENGTH, 0, 0]], [steps]))


def tapered(steps: int) -> Bar:
    """The same, its outside falling from 2.4 to 0.9 mm over the whole length."""
    return tube(straight(steps).points, np.linspace(1.2e-3, OUTER, steps + 1))


def elbow(steps: int) -> Bar:
    """Two legs of 10 mm at a right angle."""
    half = LENGTH / 2
    return tube(polyline([[0, 0, 0], [half, 0, 0], [half, half, 0]], [steps // 2, steps // 2]))


def from_catalogue(id: str, spacing: float) -> Bar:
    """A needle of the catalogue without any fluid; spacing of its nodes [m]."""
    n = needle(id)
    s = n.stations(spacing)
    return tube(n.points_at(s), *n.radii_at(s))
