"""A frame of lumped masses and beam segments along any line in space."""

from collections.abc import Mapping, Sequence
from copy import copy
from functools import cached_property, partial
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipsim.motion import band, segments
from tipsim.motion.arcs import arcs
from tipsim.motion.hub import HubSprings, Ways, ways
from tipsim.motion.sections import Floats, Sections
from tipsim.motion.system import IN_PLANE, OUT_OF_PLANE, System, mixes
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput
from tipsim.setup.material import Material

Complexes = NDArray[np.complex128]
AtNodes = Mapping[int, ArrayLike]
ALIKE = 1e-13
"""Segments that differ by less of their largest number differ by rounding."""


@described()
class Surroundings:
    """What clings to each segment beside its own metal, per metre of length."""

    sideways_mass: ArrayLike = about(
        "Mass that follows sideways motion only [kg/m]: fluid in the bore, added mass around, "
        "shape (m,).",
        default=0.0,
    )
    film_sideways: ArrayLike = about(
        "Stokes-layer coefficients: at angular frequency w the layer resists with (1 + i) "
        "sqrt(w) times this, per metre [N s^1.5/m² for motion, N s^1.5 for twist], shape (m,).",
        default=0.0,
    )
    film_along: ArrayLike = 0.0
    film_twist: ArrayLike = 0.0


class Lumped:
    """Lumped masses at nodes, joined by round beam segments.

    Each node carries its share of its neighbours' metal mass, polar and cross inertia and whatever
    clings to them (`tipsim.motion.segments.inertia`); segments carry axial, torsion, bending and
    shear stiffness.

    Parameters
    ----------
    points : (n, 3) array_like
        Nodes in space, in order [m]; any polyline without repeated points.
    outer_radius, inner_radius : array_like
        Radii [m]: one number, one per node (n,), or one per segment (n-1,). With one per node
        a segment is a cone. Inner 0 is a rod.
    material : Material
        Elastic constants, density and loss factor.
    shear, rotary : bool
        Whether segments yield in shear and nodes carry cross inertia. Both off: slender beam.
    softness : array_like
        How many times as much each segment bends as a straight tube would, (n-1,) or one number.
    directions : (n, 3) array_like, optional
        Unit tangents at the nodes, of the arcs that join them. When absent, segments are straight,
        and a node's tangent is the mean of its neighbours'.
    loss_factor : float, optional
        Hysteretic loss factor eta in E(1 + i eta), G(1 + i eta); the material's when absent.
    around : Surroundings, optional
        Fluid that moves along.
    masses, springs, dampers : mapping of node to array_like, optional
        Extras at nodes: a number (the three displacements alike), six numbers (the diagonal) or
        a 6 x 6 matrix; kg and kg m², N/m and N m/rad, N s/m and N m s/rad.
    hub : HubSprings, optional
        What holds the first node across its axis where it is driven or clamped; absent: rigid.

    Raises
    ------
    BadInput
        When a shape does not fit or a radius, length or node is impossible.

    Attributes
    ----------
    node_masses, node_springs, node_dampers : (n, 6, 6) arrays
        The extras at nodes.
    """

    def __init__(
        self,
        points: ArrayLike,
        outer_radius: ArrayLike,
        inner_radius: ArrayLike,
        material: Material,
        *,
        shear: bool = True,
        rotary: bool = True,
        softness: ArrayLike = 1.0,
        directions: ArrayLike | None = None,
        loss_factor: float | None = None,
        around: Surroundings | None = None,
        masses: AtNodes | None = None,
        springs: AtNodes | None = None,
        dampers: AtNodes | None = None,
        hub: HubSprings | None = None,
    ) -> None:
        self.points = _points(points)
        self.n = len(self.points)
        self.arcs = arcs(self.points, directions)
        self.length = self.arcs.length
        self.tangent = self.arcs.chord / np.linalg.norm(self.arcs.chord, axis=1)[:, None]
        self.outer_ends = _per_segment(outer_radius, self.n, "outer_radius")
        self.inner_ends = _per_segment(inner_radius, self.n, "inner_radius")
        for end in (0, 1):
            _check_radii(self.section_at(end))
        self.section = self.section_at(0.5)
        self.material = material
        self.shear, self.rotary = shear, rotary
        self.softness = np.broadcast_to(np.asarray(softness, float), self.length.shape)
        if directions is not None:
            self.node_tangent = np.array(directions, dtype=np.float64)
        self.loss_factor = material.loss_factor if loss_factor is None else loss_factor
        self.around = around or Surroundings()
        self.hub = hub
        self._bands: dict[tuple[int, ...], Floats] = {}
        self.node_masses = self._at_nodes(masses, "masses")
        self.node_springs = self._at_nodes(springs, "springs")
        self.node_dampers = self._at_nodes(dampers, "dampers")

    def __repr__(self) -> str:
        """Return size and length in words."""
        size = f"{self.n} nodes, {self.length.sum() * 1e3:.2f} mm"
        return f"{type(self).__name__}({size}, {self.material.name})"

    def section_at(self, x: float | Floats) -> Sections:
        """Return the sections at a share of each segment's length, 0 to 1; many: (q, 1)."""
        (a, b), (c, d) = self.outer_ends, self.inner_ends
        return Sections(a + x * (b - a), c + x * (d - c))

    @cached_property
    def s(self) -> Floats:
        """Distance along the line from the first node [m], shape (n,)."""
        return np.concatenate([[0.0], np.cumsum(self.length)])

    @cached_property
    def node_tangent(self) -> Floats:
        """Unit tangent at each node, shape (n, 3)."""
        mean = np.zeros((self.n, 3))
        mean[:-1] += self.tangent
        mean[1:] += self.tangent
        return np.asarray(mean / np.linalg.norm(mean, axis=1)[:, None])

    @cached_property
    def segment_stiffness(self) -> Floats:
        """Stiffness of each segment in space axes, shape (n-1, 12, 12) [N/m, N, N m]."""
        m = self.material
        which, where = self._unlike
        found = segments.stiffness(
            self._courses,
            self._sections,
            m.young,
            m.poisson,
            self.shear,
            self.softness[which],
        )
        return found[where]

    @cached_property
    def _courses(self) -> segments.Courses:
        """Of the segments that are unlike the one before them."""
        return segments.courses(self.arcs.of(self._unlike[0]))

    @cached_property
    def _sections(self) -> Sections:
        """Of the segments that are unlike the one before them."""
        which = self._unlike[0]
        every = self.section_at(segments.POINTS[:, None])
        return Sections(every.outer[:, which], every.inner[:, which])

    @cached_property
    def _unlike(self) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Return the segments that are unlike the one before, and for each its place among them.

        Along a straight shaft segments are alike, and are worked out once.
        """
        rows = np.vstack(
            [self.arcs.chord.T, self.arcs.begin.T, self.arcs.turn, self.outer_ends]
            + [self.inner_ends, self.softness]
        )
        steps = np.abs(np.diff(rows, axis=1)).max(axis=0)
        first = np.concatenate([[True], steps > ALIKE * np.abs(rows[:, 1:]).max(axis=0)])
        return np.flatnonzero(first), np.cumsum(first) - 1

    @cached_property
    def stiffness(self) -> Floats:
        """Stiffness of the segments as a band, shape (23, 6n)."""
        return band.from_segments(self.segment_stiffness, self.n)

    @cached_property
    def mass(self) -> Floats:
        """Lumped mass as a band, shape (23, 6n)."""
        return band.from_nodes(self.node_mass)

    @property
    def segment_mass(self) -> tuple[Floats, Floats]:
        """Inertia of each segment at its first and second node, (n-1, 6, 6) [kg, kg m, kg m²]."""
        around = np.broadcast_to(np.asarray(self.around.sideways_mass, float), self.length.shape)
        metal, fluid = self._inertia
        first, second = (m + around[:, None, None] * f for m, f in zip(metal, fluid, strict=True))
        return first, second

    @cached_property
    def _inertia(self) -> tuple[tuple[Floats, Floats], tuple[Floats, Floats]]:
        """Of the metal, and of 1 kg/m around it; worked out once for all copies."""
        where = self._unlike[1]
        metal, fluid = segments.inertia(
            self._courses, self._sections, self.material.density, self.rotary
        )
        return (metal[0][where], metal[1][where]), (fluid[0][where], fluid[1][where])

    @cached_property
    def node_mass(self) -> Floats:
        """Mass lumped at nodes, extras included, shape (n, 6, 6) [kg, kg m, kg m²]."""
        out = np.zeros((self.n, 6, 6))
        first, second = self.segment_mass
        out[:-1] += first
        out[1:] += second
        return segments.without_negative(out) + self.node_masses

    @cached_property
    def node_film(self) -> Floats:
        """Stokes-layer coefficients lumped at nodes, shape (n, 6, 6) [N s^1.5/m, N m s^1.5]."""
        shape = self.length.shape
        around = self.around
        along, side, twist = (
            np.broadcast_to(np.asarray(c, float), shape)
            for c in (around.film_along, around.film_sideways, around.film_twist)
        )
        return self.lumped(along, side, twist, np.zeros(shape))

    @cached_property
    def systems(self) -> tuple[System, ...]:
        """The equations of motion, split where they fall apart; see `tipsim.motion.system`."""
        flat = np.ptp(self.points[:, 2]) <= 1e-12 * self.length.sum()
        extras = (self.node_masses, self.node_springs, self.node_dampers)
        split = bool(flat) and not any(mixes(m) for m in extras)
        return tuple(
            System(
                which,
                partial(self._stiffness_of, which),
                self.node_springs,
                self.node_mass,
                self.node_film,
                self.node_dampers,
                self.loss_factor,
            )
            for which in ((IN_PLANE, OUT_OF_PLANE) if split else (tuple(range(6)),))
        )

    def _stiffness_of(self, which: tuple[int, ...]) -> Floats:
        """Return the band of some freedoms of each node; worked out once for all copies."""
        if which not in self._bands:
            both = np.ix_(*[[*which, *(6 + k for k in which)]] * 2)
            parts = self.segment_stiffness[:, both[0], both[1]]
            self._bands[which] = band.from_segments(np.ascontiguousarray(parts), self.n)
        return self._bands[which]

    def hub_ways(self, system: System) -> Ways | None:
        """Return how the hub moves among a system's freedoms; None for a rigid one."""
        return self.hub_ways_of(system.freedoms[: system.width])

    def hub_ways_of(self, freedoms: NDArray[np.intp]) -> Ways | None:
        """Return the same among some freedoms of the first node."""
        return None if self.hub is None else ways(self.hub, self.node_tangent[0], freedoms)

    def surrounded(
        self,
        around: Surroundings,
        springs: AtNodes,
        dampers: AtNodes,
        loss_factor: float,
        hub: HubSprings | None,
    ) -> Self:
        """Return the same metal in other surroundings; what only it decides is not worked out anew.

        The parameters are those of the class.
        """
        # Worked out before the copy, so that copies to come have them too.
        _ = self.segment_stiffness, self._inertia, self.s
        out = copy(self)
        for name in ("systems", "node_mass", "node_film", "mass"):
            out.__dict__.pop(name, None)
        out.around, out.loss_factor, out.hub = around, loss_factor, hub
        out.node_springs = self._at_nodes(springs, "springs")
        out.node_dampers = self._at_nodes(dampers, "dampers")
        return out

    def unloaded(self) -> Self:
        """Return the same frame without springs and dampers at its nodes."""
        out = copy(self)
        out.__dict__.pop("systems", None)
        out.node_springs = out.node_dampers = np.zeros((self.n, 6, 6))
        return out

    def loaded(self, springs: Floats, dampers: Floats) -> Self:
        """Return the same frame with more springs and dampers at its nodes, (n, 6, 6) each."""
        out = copy(self)
        out.__dict__.pop("systems", None)
        out.node_springs = self.node_springs + springs
        out.node_dampers = self.node_dampers + dampers
        return out

    def freedoms(self, nodes: Sequence[int]) -> NDArray[np.intp]:
        """Return the numbers of the six freedoms of each node, shape (6k,)."""
        which = np.asarray(nodes, dtype=np.intp)
        if which.size and not (-self.n <= which.min() and which.max() < self.n):
            raise BadInput("fixed", str(list(nodes)), f"nodes from 0 to {self.n - 1}")
        return (6 * (which[:, None] % self.n) + np.arange(6)).ravel()

    def lumped(self, along: Floats, side: Floats, polar: Floats, cross: Floats) -> Floats:
        """Return per-metre properties of segments shared between their end nodes, (n, 6, 6)."""
        tt = segments.along(self.tangent)
        across = np.eye(3) - tt
        half = (self.length / 2)[:, None, None]
        out = np.zeros((self.n, 6, 6))
        for block, lengthwise, sideways in (
            (slice(0, 3), along, side),
            (slice(3, 6), polar, cross),
        ):
            share = half * (lengthwise[:, None, None] * tt + sideways[:, None, None] * across)
            out[:-1, block, block] += share
            out[1:, block, block] += share
        return out

    def _at_nodes(self, extras: AtNodes | None, name: str) -> Floats:
        out = np.zeros((self.n, 6, 6))
        for node, value in (extras or {}).items():
            if not -self.n <= node < self.n:
                raise BadInput(name, f"node {node}", f"a node from 0 to {self.n - 1}")
            a = np.asarray(value, dtype=np.float64)
            if a.shape == ():
                a = np.repeat([float(a), 0.0], 3)
            if a.shape not in ((6,), (6, 6)):
                raise BadInput(
                    name, f"shape {a.shape}", "one number, six numbers or a 6 x 6 matrix"
                )
            out[node] += a if a.ndim == 2 else np.diag(a)
        return out


def _points(points: ArrayLike) -> Floats:
    out = np.array(points, dtype=np.float64)
    if out.ndim != 2 or out.shape[1] != 3 or len(out) < 2 or not np.isfinite(out).all():
        raise BadInput("points", f"shape {out.shape}", "(n, 3) finite numbers with n of 2 or more")
    apart = (np.diff(out, axis=0) ** 2).sum(axis=1) > 0
    if not apart.all():
        node = int(np.argmin(apart)) + 1
        raise BadInput("points", f"node {node}", "a place other than the node before it")
    return out


def _per_segment(radius: ArrayLike, n: int, name: str) -> Floats:
    """Return the radius at both ends of each segment, (2, n-1)."""
    r = np.asarray(radius, dtype=np.float64)
    if r.shape == (n,):
        return np.stack([r[:-1], r[1:]])
    if r.shape not in ((), (n - 1,)):
        raise BadInput(
            name, f"shape {r.shape}", f"one number, {n} at nodes or {n - 1} for segments"
        )
    return np.array(np.broadcast_to(r, (2, n - 1)))


def _check_radii(section: Sections) -> None:
    ok = (section.inner >= 0) & (section.outer > section.inner)
    if not ok.all():
        at = int(np.argmin(ok))
        raise BadInput(
            "outer_radius",
            f"{section.outer[at]:g} m around a bore of {section.inner[at]:g} m in segment {at}",
            "more than the inner radius, which is 0 or more",
        )
