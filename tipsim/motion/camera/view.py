"""What stands before the camera: the needle and its marks in the plane of the picture."""

import numpy as np

from tipsim.motion.camera.settings import Camera
from tipsim.motion.lumped import Complexes
from tipsim.motion.run import Motion
from tipsim.motion.sections import Floats
from tipsim.motion.travel import at, stroke
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput
from tipsim.setup.needle import Needle

SENSOR = (200, 480)
"""Rows and columns of the sensor; what is not needed is not read out."""
END_FIELD, CLOSE_FIELD = 6e-3, 2.4e-3
"""Widest picture of the needle's end, and around one marker [m]."""
MARGIN = 0.2e-3
"""Left free around needle and marks [m]."""
STATION = 0.15e-3
"""Greatest distance between the points through which the needle is drawn [m]."""

# Rows: right, up and toward the camera, in space axes. Edge-on from the side of the bevel's long
# lip: there the metal reaches to the end, and a mark can be printed on it.
AXES = {
    "edge-on": np.array([[1.0, 0, 0], [0, 0, -1], [0, 1, 0]]),
    "flat": np.array([[1.0, 0, 0], [0, 1, 0], [0, 0, 1]]),
}


@described(eq=False)
class Dot:
    """A mark on the needle, in the plane of the picture."""

    number: int = about("As on the bench: 1 is the first of the scenario's markers.")
    distance: float = about("From the end along the centreline [m].")
    place: Floats = about("At rest: right, up [m], shape (2,).")
    moves: Complexes = about("Amplitudes of the mark: right, up [m], shape (2,).")
    amplitude: Complexes = about(
        "Of the needle's middle line there, in space [m]: what the bench calls the marker's "
        "motion, shape (3,)."
    )

    @property
    def axis(self) -> Floats:
        """Direction of the long axis of the mark's path, right and up (2,); up if it is still."""
        re, im = self.moves.real, self.moves.imag
        spread = np.outer(re, re) + np.outer(im, im)
        if not spread.any():
            return np.array([0.0, 1.0])
        axis = np.linalg.eigh(spread)[1][:, -1]
        # Adding 0 turns a minus zero into a plain one.
        return np.asarray(axis * np.sign(axis[np.argmax(np.abs(axis))]) + 0.0)

    @property
    def loops(self) -> bool:
        """Whether the path is a loop: area over pi above 5 % of mean square; a convention."""
        area = abs(float((self.moves[0] * self.moves[1].conjugate()).imag))
        return area > 0.05 * float((np.abs(self.moves) ** 2).sum())

    @property
    def stroke(self) -> float:
        """Peak-to-peak travel of the middle line, in space [m]."""
        return float(stroke(self.amplitude))

    @property
    def stroke_in_view(self) -> float:
        """Peak-to-peak travel of the mark, in the plane of the picture [m]."""
        return float(stroke(self.moves))


@described(eq=False)
class Scene:
    """Needle and marks as seen from one side, and what part of them the sensor holds."""

    pixel: float = about("Width of a pixel at the needle [m].")
    shape: tuple[int, int] = about("Rows and columns of a picture.")
    left: float = about("Outer edges of the first column and row: right and up [m].")
    top: float
    line: Floats = about("Centreline at rest: right, up [m]; the end last. Shape (n, 2).")
    radius: Floats = about("Outer radius [m], shape (n,).")
    moves: Complexes = about("Amplitudes: right, up [m], shape (n, 2).")
    cut: tuple[float, float] = about(
        "Shape of the mouth: how far it reaches beyond the middle at its left rim [m], and how "
        "far it bulges in the middle [m]."
    )
    dots: tuple[Dot, ...]
    dot_radius: float = about("[m].")

    def to_pixels(self, places: Floats) -> Floats:
        """Return column and row of places (..., 2) [m], 0 in the middle of the first pixel."""
        right, up = places[..., 0], places[..., 1]
        column, row = (right - self.left) / self.pixel, (self.top - up) / self.pixel
        return np.stack([column - 0.5, row - 0.5], axis=-1)

    def holds(self, dot: Dot, margin: float) -> bool:
        """Return whether a mark at rest lies in the picture, with a margin [m] around it."""
        column, row = self.to_pixels(dot.place)
        edge = margin / self.pixel
        return bool(
            edge <= column + 0.5 <= self.shape[1] - edge
            and edge <= row + 0.5 <= self.shape[0] - edge
        )


def scene(motion: Motion, needle: Needle, camera: Camera) -> Scene:
    """Return what a camera sees of a moving needle.

    Parameters
    ----------
    motion : Motion
        With its markers.
    needle : Needle
        The needle that moves.

    Raises
    ------
    BadInput
        When the camera is aimed at a marker that is not there.
    """
    axes = AXES[camera.view]
    length = needle.length
    s = _stations(length)
    line = needle.points_at(s) @ axes[:2].T
    radius = needle.radii_at(s)[0]
    moves = at(motion.frame, motion.displacement, s)[:, :3] @ axes[:2].T
    dots = _dots(motion, needle, camera, axes)
    cut = _cut(needle, camera.view, float(radius[-1]))
    shape, left, top = _field(camera, line, radius, dots, cut)
    distances = sorted(d.distance for d in dots)
    closest = min(np.diff(distances), default=1.0)
    dot_radius = float(min(camera.mark_radius, max(closest / 3, 2 * camera.pixel)))
    return Scene(camera.pixel, shape, left, top, line, radius, moves, cut, dots, dot_radius)


def _stations(length: float) -> Floats:
    """Return distances from the hub of the drawn points: the part that a picture may hold."""
    shown = min(length, END_FIELD + CLOSE_FIELD)
    return np.linspace(length - shown, length, int(np.ceil(shown / STATION)) + 1)


def _dots(motion: Motion, needle: Needle, camera: Camera, axes: Floats) -> tuple[Dot, ...]:
    length = needle.length
    s = np.array([length - m.distance for m in motion.markers])
    places = needle.points_at(s)
    amplitude = at(motion.frame, motion.displacement, s)
    moves = amplitude[:, :3]
    if camera.marks == "surface":
        tangent = np.stack([np.interp(s, motion.frame.s, t) for t in motion.frame.node_tangent.T])
        toward = axes[2] - (tangent.T @ axes[2])[:, None] * tangent.T
        toward *= (needle.radii_at(s)[0] / np.linalg.norm(toward, axis=1))[:, None]
        places = places + toward
        moves = moves + np.cross(amplitude[:, 3:], toward)
    return tuple(
        Dot(i + 1, m.distance, axes[:2] @ places[i], axes[:2] @ moves[i], m.amplitude)
        for i, m in enumerate(motion.markers)
    )


def _cut(needle: Needle, view: str, radius: float) -> tuple[float, float]:
    slope = np.tan(needle.bevel)
    if view == "flat":
        return float(radius * slope), 0.0
    # Seen edge-on the rim is an ellipse: tilted by the bend and by the bevel.
    turn = needle.total_turn
    return 0.0, float(radius * abs(np.cos(turn) * slope - np.sin(turn)))


def _field(
    camera: Camera, line: Floats, radius: Floats, dots: tuple[Dot, ...], cut: tuple[float, float]
) -> tuple[tuple[int, int], float, float]:
    """Return rows, columns, left and top edge of the picture."""
    pixel = camera.pixel
    if camera.aim == "end":
        columns = min(SENSOR[1], round(END_FIELD / pixel))
        beyond = float(line[-1, 0]) + max(abs(cut[0]), cut[1], camera.mark_radius) + 1.5 * MARGIN
        left = beyond - columns * pixel
        middle = None
    else:
        number = int(camera.aim)
        if number > len(dots):
            raise BadInput("aim", f"marker {number}", f"end, or a marker from 1 to {len(dots)}")
        columns = min(SENSOR[1], round(CLOSE_FIELD / pixel))
        place = dots[number - 1].place
        left = float(place[0]) - columns * pixel / 2
        middle = float(place[1])
    seen = (line[:, 0] > left) & (line[:, 0] < left + columns * pixel)
    low = float((line[seen, 1] - radius[seen]).min()) - MARGIN
    high = float((line[seen, 1] + radius[seen]).max()) + MARGIN
    rows = min(SENSOR[0], round((high - low) / pixel))
    if middle is None or rows < SENSOR[0]:
        middle = (high + low) / 2
    return (rows, columns), left, middle + rows * pixel / 2
