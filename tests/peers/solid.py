"""A dry needle in scikit-fem as a solid: hexahedra of second order, curved along the bent tube.

No beam appears: a section may warp, turn oval and lean, and the mass of a bend lies where it lies.
Motion in the plane of the bends and out of it are solved apart, each on half of the tube (symmetric
or antisymmetric). The hub's face moves as a rigid disc. Without loss.
"""

from functools import cached_property
from itertools import pairwise
from typing import Any

import numpy as np
from scipy.sparse.linalg import eigsh, splu

from tests.peers.bars import Floats
from tipsim.setup.needle import Needle

AROUND, ALONG, BEND = 4, 0.6e-3, np.radians(14)
"""Elements around half of the tube, and the most that one spans along it [m, rad]."""


class Solid:
    """Stiffness and mass of half a needle."""

    def __init__(self, needle: Needle) -> None:
        import skfem
        from skfem.helpers import ddot, dot, sym_grad, trace

        self.needle = needle
        metal = needle.material
        shear = metal.young / 2 / (1 + metal.poisson)
        bulk = 2 * shear * metal.poisson / (1 - 2 * metal.poisson)
        basis = skfem.Basis(self._mesh(), skfem.ElementVector(skfem.ElementHex2()), intorder=4)

        def stiffness(u: Any, v: Any, w: Any) -> Any:
            a, b = sym_grad(u), sym_grad(v)
            return bulk * trace(a) * trace(b) + 2 * shear * ddot(a, b)

        def mass(u: Any, v: Any, w: Any) -> Any:
            return metal.density * dot(u, v)

        self.stiffness, self.mass = (
            skfem.BilinearForm(f).assemble(basis).tocsc() for f in (stiffness, mass)
        )
        self.places = basis.doflocs
        self.way = np.empty(self.places.shape[1], dtype=int)
        """Which of x, y, z each freedom moves along."""
        for dofs in (basis.nodal_dofs, basis.edge_dofs, basis.facet_dofs, basis.interior_dofs):
            for k in range(3):
                self.way[dofs[k::3].ravel()] = k

    def _mesh(self) -> Any:
        import skfem

        needle = self.needle
        marks = np.unique([*needle.joints, needle.taper_length])
        steps = [np.zeros(1)]
        for a, b in pairwise(marks):
            turn = np.ptp(np.interp([a, b], needle.joints, self._headings))
            count = max(1, int(np.ceil((b - a) / ALONG)), int(np.ceil(turn / BEND)))
            steps.append(np.linspace(a, b, count + 1)[1:])
        flat = skfem.MeshHex.init_tensor(
            np.concatenate(steps), np.linspace(0, np.pi, AROUND + 1), np.linspace(0, 1, 2)
        )
        mesh = skfem.MeshHex2.from_mesh(flat)
        s, angle, share = mesh.doflocs
        heading = np.interp(s, needle.joints, self._headings)
        outer, inner = needle.radii_at(s)
        radius = inner + share * (outer - inner)
        aside = np.stack([-np.sin(heading), np.cos(heading), 0 * heading])
        places = needle.points_at(s).T + radius * np.cos(angle) * aside
        places[2] += radius * np.sin(angle)
        return skfem.MeshHex2(places, mesh.t)

    @property
    def _headings(self) -> Floats:
        return np.concatenate([[0.0], np.cumsum([p.turn for p in self.needle.pieces])])

    @cached_property
    def hub(self) -> Floats:
        """Which freedoms lie on the hub's face."""
        return np.abs(self.places[0]) < 1e-9

    def held(self, out_of_plane: bool) -> Floats:
        """Which freedoms symmetry keeps still, on the plane of the bends."""
        aside = self.way == 2
        return (np.abs(self.places[2]) < 1e-9) & (~aside if out_of_plane else aside)

    def frequencies(self, out_of_plane: bool, count: int) -> Floats:
        """Lowest natural frequencies, hub clamped [Hz]."""
        free = ~(self.held(out_of_plane) | self.hub)
        k, m = (a[free][:, free] for a in (self.stiffness, self.mass))
        start = np.random.default_rng(0).standard_normal(k.shape[0])
        found = eigsh(k, count, M=m, sigma=0, v0=start, return_eigenvectors=False)
        return np.sqrt(np.sort(found)) / (2 * np.pi)

    def tip(self, hertz: float, base: Floats, out_of_plane: bool) -> Floats:
        """Motion of the tip's face as a rigid disc, (6,), for a hub that moves by (6,) [m, rad]."""
        u = np.zeros(len(self.way))
        u[self.hub] = _rigid(self.places[:, self.hub], self.way[self.hub], np.zeros(3)) @ base
        held = self.held(out_of_plane) | self.hub
        dynamic = (self.stiffness - (2 * np.pi * hertz) ** 2 * self.mass).tocsc()
        right = -(dynamic[~held][:, held] @ u[held])
        u[~held] = splu(dynamic[~held][:, ~held]).solve(right)
        end = self.needle.points_at([self.needle.length])[0]
        along = self.needle.tangents_at([self.needle.length])[0]
        face = np.abs((self.places.T - end) @ along) < 1e-9
        ways = _rigid(self.places[:, face], self.way[face], end)
        return np.linalg.lstsq(ways, u[face], rcond=None)[0]


def _rigid(places: Floats, way: Floats, about: Floats) -> Floats:
    """How six rigid motions about a point move freedoms, (k, 6)."""
    arm, each = places.T - about, np.arange(len(way))
    turns = [np.cross(axis[None], arm)[each, way] for axis in np.eye(3)]
    return np.column_stack([*(way == k for k in range(3)), *turns]).astype(float)
