"""Where the endoscope is, and where it sees sleeve, mark and iris."""

import numpy as np

from tipsim.motion.lumped import Complexes
from tipsim.motion.run import Motion
from tipsim.motion.sections import Floats
from tipsim.motion.travel import cross, stroke
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario
from tipsim.tissue.endoscope.lens import Lens, lens
from tipsim.tissue.touch import carried

STATIONS = 30
"""Points of the needle's middle line that are projected."""
SHOWN = 17e-3
"""Length of needle and sleeve that is drawn, from the tip [m]."""


@described(eq=False)
class View:
    """An endoscope at its place; lengths in metres, places in the picture in pixels."""

    lens: Lens
    origin: Floats = about("Middle line of the sleeve where the endoscope is aimed (3,) [m].")
    basis: Floats = about(
        "Rows in space: towards the tip along the sleeve, away from the iris, across (3, 3)."
    )
    place: Floats = about("The lens, and rows right, down, forward, in space.")
    axes: Floats
    radius: float = about("Outer radius of the sleeve where it is aimed [m].")

    def seen(self, points: Floats) -> Floats:
        """Return points in space (..., 3) as the lens has them: right, down, forward [m]."""
        return np.asarray((points - self.place) @ self.axes.T)

    def project(self, points: Floats) -> Floats:
        """Return columns and rows of points in space (..., 3)."""
        return self.lens.project(self.seen(points))

    def jacobian(self, point: Floats) -> Floats:
        """Return how columns and rows change with a point in space (2, 3) [pixels/m]."""
        step = 1e-6
        moved = point + step * np.concatenate([np.eye(3), -np.eye(3)])
        at = self.project(moved)
        return np.asarray((at[:3] - at[3:]).T / (2 * step))

    def in_needle(self, points: Floats) -> Floats:
        """Return points in space by the needle: towards the tip, away from the iris, across."""
        return np.asarray((points - self.origin) @ self.basis.T)

    def in_space(self, places: Floats) -> Floats:
        """Return places by the needle as points in space: the way back of `in_needle`."""
        return np.asarray(self.origin + places @ self.basis)


@described(eq=False)
class Mark:
    """The mark on the sleeve."""

    place: Floats = about("In space (3,) [m], and in the picture: column and row (2,).")
    spot: Floats
    moves: Complexes = about("Amplitudes in space (3,) [m], and in the picture (2,) [pixels].")
    shifts: Complexes
    shape: Floats = about(
        "From pixels off its middle to metres on the surface, along and around (2, 2)."
    )
    across: float = about("Stroke across the line of sight, peak to peak [m].")

    @property
    def stroke(self) -> float:
        """Stroke of the sleeve's surface there, peak to peak [m]."""
        return float(stroke(self.moves))

    @property
    def shift(self) -> float:
        """The same in the picture [pixels]."""
        return float(stroke(self.shifts))

    @property
    def scale(self) -> float:
        """Pixels per metre across the line of sight at the mark, along its stroke."""
        return self.shift / self.across if self.across > 0 else 0.0


def view(scenario: Scenario) -> View:
    """Return the endoscope of a scenario at its place.

    >>> one = view(Scenario.preset("single-bend, torsional"))
    >>> bool(np.allclose(one.project(one.place + one.axes[2]), one.lens.middle))
    True
    """
    setting, length = scenario.endoscope, scenario.needle.length
    s = np.array([length - min(setting.aim, length)])
    origin, along = scenario.needle.points_at(s)[0], scenario.needle.tangents_at(s)[0]
    radius = float(outer_radius(scenario, s)[0])
    towards = _side(along, scenario.eye.iris_side)
    across = np.cross(along, towards)
    basis = np.stack([along, -towards, across])
    out = -np.cos(setting.around) * towards + np.sin(setting.around) * across
    target = origin + radius * out
    turn = setting.angle
    place = target + setting.distance * (np.cos(turn) * along + np.sin(turn) * out)
    forward = (target - place) / np.linalg.norm(target - place)
    right = np.cross(forward, -towards)
    right /= np.linalg.norm(right)
    axes = np.stack([right, np.cross(forward, right), forward])
    return View(lens(setting), origin, basis, place, axes, radius)


def _side(tangent: Floats, angle: float) -> Floats:
    """Return the direction in space of a side of the needle: 0 where the bend points."""
    out_of_plane = np.array([0.0, 0.0, 1.0])
    in_plane = np.cross(out_of_plane, tangent)
    return np.asarray(np.cos(angle) * in_plane + np.sin(angle) * out_of_plane)


def outer_radius(scenario: Scenario, s: Floats) -> Floats:
    """Return the outer radius of sleeve or bare needle at distances from the hub [m]."""
    bare = scenario.needle.radii_at(s)[0]
    if scenario.sleeve is None:
        return np.asarray(bare)
    wide = np.maximum(scenario.sleeve.outer_radius, bare)
    return np.where(s < scenario.sleeve_end, wide, bare)


def stations(scenario: Scenario) -> Floats:
    """Return distances from the hub of the points that are projected, the tip last [m]."""
    length = scenario.needle.length
    start = length - min(SHOWN, length)
    s = np.linspace(start, length, STATIONS)
    end = scenario.sleeve_end
    if scenario.sleeve is not None and start < end < length:
        s = np.sort(np.concatenate([s, [end - 1e-7, end + 1e-7]]))
    return s


def mark(scenario: Scenario, motion: Motion, look: View) -> Mark:
    """Return the mark on the side of the sleeve that faces the lens, with its motion."""
    length = scenario.needle.length
    s = np.array([max(length - scenario.endoscope.mark, 0.0)])
    middle = scenario.needle.points_at(s)[0]
    along = scenario.needle.tangents_at(s)[0]
    facing = look.place - middle
    facing = facing - (facing @ along) * along
    facing = facing / np.linalg.norm(facing)
    lever = float(outer_radius(scenario, s)[0]) * facing
    moved, turned = (a[0] for a in carried(scenario, motion, s))
    moves = moved + cross(turned, lever)
    place = middle + lever
    jacobian = look.jacobian(place)
    surface = np.stack([along, np.cross(along, facing)], axis=1)
    sight = look.seen(place)
    sight = (sight / np.linalg.norm(sight)) @ look.axes
    return Mark(
        place,
        look.project(place),
        moves,
        np.asarray(jacobian @ moves),
        np.linalg.inv(jacobian @ surface),
        float(stroke(moves - (moves @ sight) * sight)),
    )
