"""The hollow titanium needle."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property
from html import escape
from itertools import pairwise
from typing import ClassVar

import numpy as np
from numpy.typing import ArrayLike

from tipsim.setup import centreline
from tipsim.setup.centreline import Floats
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import Declared, choice, part, parts, quantity, words
from tipsim.setup.material import Material
from tipsim.setup.sourced import number
from tipsim.setup.units import DEG, MM

SHAPES = ("straight", "single-bend", "counter-bent", "other")
THINNEST_WALL = number("limits.wall").si
"""Thinnest wall that is accepted [m]."""
SMALLEST_HOLE = number("limits.hole").si
"""Smallest bypass hole that counts as one [m]."""


@dataclass(frozen=True)
class Piece(Declared):
    """One straight or curved piece of the needle.

    It turns to the left where the turn is positive. Its radii are reached as a cone; absent: as
    before.
    """

    length: float = quantity(
        MM, 0.02, 40, "length along the centreline", label="Length", slider=(0.02, 20, 0.02)
    )
    turn: float = quantity(
        DEG, -180, 180, "turn over the piece", default=0.0, label="Turn", slider=(-90, 90, 1)
    )
    outer_radius: float | None = quantity(MM, 0.1, 2, "outer radius at its end", default=None)
    inner_radius: float | None = quantity(MM, 0.05, 1.9, "inner radius at its end", default=None)


def shape_of(turns: Iterable[float]) -> str:
    """Return the word for a shape by the turns of its pieces.

    Straight: none. Single-bend: one bend, be it of several pieces in a row. Counter-bent: two, to
    opposite sides. Anything else is "other".

    >>> shape_of([0, -20, 25, 25, 0]), shape_of([25, 25, 0]), shape_of([0])
    ('counter-bent', 'single-bend', 'straight')
    """
    sides = [(turn > 0) - (turn < 0) for turn in turns]
    bends = [b for a, b in pairwise([0, *sides]) if b and b != a]
    if len(bends) < 2:
        return "single-bend" if bends else "straight"
    return "counter-bent" if len(bends) == 2 and bends[0] != bends[1] else "other"


@dataclass(frozen=True)
class Needle(Declared):
    """A hollow needle from hub to mouth.

    Raises
    ------
    BadInput
        For a wall too thin, a bend tighter than the tube, a needle that crosses itself, or a
        number out of range.

    Examples
    --------
    >>> from tipsim.setup.catalogue import needle
    >>> n = needle("single-bend-20-medium")
    >>> round(n.length * 1e3, 2), round(float(np.degrees(n.total_turn)))
    (17.7, 20)
    """

    id: str = words("short name, for links and files")
    title: str = words("name on screen")
    shape: str = choice(SHAPES, "shape")
    hub_radius: float = quantity(MM, 0.3, 3, "outer radius at the hub")
    taper_length: float = quantity(
        MM, 0, 20, "length over which the hub tapers to the shaft", label="Length of the taper"
    )
    outer_radius: float = quantity(MM, 0.2, 1.5, "outer radius of the shaft")
    inner_radius: float = quantity(MM, 0.1, 1.4, "inner radius of the shaft")
    bevel: float = quantity(DEG, 0, 60, "bevel of the opening", label="Bevel", slider=(0, 60, 5))
    material: Material = part(Material, "the metal")
    pieces: tuple[Piece, ...] = parts(
        Piece, "pieces from the hub on", most=24, least=1, label="Pieces"
    )
    bypass_diameter: float = quantity(
        MM,
        0,
        0.5,
        "small hole in the shaft, inside the sleeve, a short cut for fluid into the lumen; 0 for "
        "none",
        default=0.0,
        label="Diameter of the bypass hole",
        slider=(0, 0.4, 0.05),
    )
    bypass_distance: float = quantity(
        MM,
        0,
        40,
        "distance of the bypass hole from the hub",
        default=0.0,
    )

    def __post_init__(self) -> None:
        """Refuse what cannot be made."""
        super().__post_init__()
        self._check_length()
        self._check_wall()
        self._check_bends()
        self._check_bypass()

    from_pieces: ClassVar[Callable[..., "Needle"]]
    """The function `tipsim.setup.presets.needle_of_pieces`, which that module puts here."""

    def __repr__(self) -> str:
        what = f"{self.title}, {self.shape}, {len(self.pieces)} pieces"
        return f"Needle({self.id!r}: {what}, {MM.show(self.length)})"

    def _repr_html_(self) -> str:
        """Return the needle's drawing, from the side."""
        points = self.points_at(np.linspace(0, self.length, 120)) * 1e3
        x, y = points[:, 0] - points[:, 0].min(), points[:, 1].max() - points[:, 1]
        way = " ".join(f"{a + 1:.2f},{b + 1:.2f}" for a, b in zip(x, y, strict=True))
        wide, high = x.max() + 2, y.max() + 2
        return (
            f"<figure><svg viewBox='0 0 {wide:.2f} {high:.2f}' width='480'><polyline fill='none' "
            f"stroke='currentColor' stroke-width='{2e3 * self.outer_radius:.2f}' points='{way}'/>"
            f"</svg><figcaption>{escape(repr(self))}</figcaption></figure>"
        )

    @property
    def has_bypass(self) -> bool:
        """Whether there is a hole in the wall that lets anything through."""
        return self.bypass_diameter >= SMALLEST_HOLE

    @property
    def length(self) -> float:
        """Length along the centreline, hub to mouth [m]."""
        return float(self.joints[-1])

    @property
    def total_turn(self) -> float:
        """Sum of all turns [rad]."""
        return sum(p.turn for p in self.pieces)

    @cached_property
    def joints(self) -> Floats:
        """Where pieces begin, and the end, from the hub [m], shape (p+1,)."""
        return centreline.joints(self.pieces)

    @property
    def first_bend(self) -> float:
        """Distance from the hub to the first bend [m]; the needle's length when it is straight."""
        for start, p in zip(self.joints, self.pieces, strict=False):
            if p.turn:
                return float(start)
        return self.length

    @property
    def mouth_area(self) -> float:
        """Open area of the mouth in its own plane [m²]; a bevel makes it an ellipse."""
        bore = self.radii_at([self.length])[1][0]
        return float(np.pi * bore**2 / np.cos(self.bevel))

    def points_at(self, s: ArrayLike) -> Floats:
        """Return points of the centreline at distances from the hub [m], shape (n, 3)."""
        return centreline.points_at(self.pieces, s)

    def tangents_at(self, s: ArrayLike) -> Floats:
        """Return unit tangents of the centreline at distances from the hub [m], shape (n, 3)."""
        return centreline.tangents_at(self.pieces, s)

    def radii_at(self, s: ArrayLike) -> tuple[Floats, Floats]:
        """Return outer and inner radius at distances from the hub [m], each of shape (n,)."""
        s = np.asarray(s, dtype=np.float64)
        outer = np.interp(s, self.joints, self._joint_radii("outer_radius"))
        inner = np.interp(s, self.joints, self._joint_radii("inner_radius"))
        if self.taper_length > 0:
            part_done = np.clip(s / self.taper_length, 0, 1)
            outer = outer + (self.hub_radius - self.outer_radius) * (1 - part_done)
        return outer, inner

    def stations(self, spacing: float, breaks: tuple[float, ...] = ()) -> Floats:
        """Return node distances from the hub [m]: every joint, taper end and break is hit."""
        inside = (b for b in (self.taper_length, *breaks) if 0 < b < self.length)
        return centreline.stations([*self.joints, *inside], spacing)

    def _joint_radii(self, name: str) -> Floats:
        radii = [float(getattr(self, name))]
        for p in self.pieces:
            at_end = getattr(p, name)
            radii.append(radii[-1] if at_end is None else at_end)
        return np.array(radii)

    def _check_length(self) -> None:
        if not 5e-3 <= self.length <= 40e-3:
            raise BadInput("pieces", f"{MM.show(self.length)} long in all", "5 to 40 mm in all")
        if self.taper_length >= self.length:
            raise BadInput("taper_length_mm", MM.show(self.taper_length), "less than the needle")

    def _check_wall(self) -> None:
        s = np.unique(np.concatenate([self.joints, [self.taper_length]]))
        outer, inner = self.radii_at(s)
        wall = outer - inner
        thin = int(np.argmin(wall))
        # A hair of tolerance: 0.45 - 0.40 must count as 0.05.
        if wall[thin] < THINNEST_WALL - 1e-9:
            place = f"{MM.show(float(wall[thin]), 3)} at {MM.show(float(s[thin]))} from the hub"
            raise BadInput("wall (outer_radius_mm less inner_radius_mm)", place, "0.05 mm or more")

    def _check_bends(self) -> None:
        for i, ((start, end), p) in enumerate(zip(pairwise(self.joints), self.pieces, strict=True)):
            outer = float(self.radii_at([start, end])[0].max())
            if p.turn and p.length / abs(p.turn) <= outer:
                bend = f"a bend of radius {MM.show(p.length / abs(p.turn), 3)}"
                raise BadInput(f"pieces[{i}]", bend, f"more than the tube's own {MM.show(outer)}")
        if self.total_turn or any(p.turn for p in self.pieces):
            s = self.stations(0.2e-3)
            gap = centreline.closest_approach(self.points_at(s), self.radii_at(s)[0])
            if gap < 0:
                raise BadInput("pieces", "a needle that crosses itself", "turns that keep it apart")

    def _check_bypass(self) -> None:
        if self.bypass_diameter and not 0 < self.bypass_distance < self.length:
            allowed = f"between hub and mouth, 0 to {MM.show(self.length)}"
            raise BadInput("bypass_distance_mm", MM.show(self.bypass_distance), allowed)
