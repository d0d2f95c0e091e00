"""Marks in one's own film: proposed at corners, and followed to a fraction of a pixel.

Following is that of the camera bench (`tipsim.motion.camera.tracking`). A film from outside has no
pictures at rest, so the pattern of a mark is first taken where it was pointed at, then from the
mean of all pictures, each shifted back; the whole is followed once more with that.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence

import numpy as np
from scipy import ndimage

from tipsim.measured.tracks import MOST_MARKS
from tipsim.motion.camera.render import Singles
from tipsim.motion.camera.tracking import LEAST_LIKENESS, best_places, fine
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput

CHUNK = 64
"""Pictures that are held at once."""

Film = Callable[[], Iterable[Singles]]
"""Begins the film anew each time it is called."""


@described(eq=False)
class Followed:
    """The path of one mark."""

    mark: tuple[float, float] = about("Column and row where it was pointed at.")
    places: Floats = about(
        "Column and row in each picture, from the middle of the left top pixel; NaN where it was "
        "not found. Shape (f, 2)."
    )
    likeness: Floats = about("Correlation with its pattern, at most 1, shape (f,).")

    @property
    def doubtful(self) -> int:
        """Pictures in which it was not found."""
        return int(np.isnan(self.places[:, 0]).sum())


def corners(picture: Singles, count: int, apart: int = 10) -> tuple[tuple[int, int], ...]:
    """Return the places that can be followed best: column, row, best first.

    The smaller eigenvalue of the gradients' tensor: J. Shi and C. Tomasi, "Good features to track",
    CVPR 1994.

    Parameters
    ----------
    apart : int
        Least distance between two of them, and from the border [pixels].

    Examples
    --------
    >>> square = np.zeros((60, 80), dtype=np.float32)
    >>> square[20:40, 30:50] = 200
    >>> sorted((round(c / 10), round(r / 10)) for c, r in corners(square, 4))
    [(3, 2), (3, 4), (5, 2), (5, 4)]
    """
    down, right = (ndimage.gaussian_filter(picture, 1.0, order=o) for o in ((1, 0), (0, 1)))
    rr, cc, rc = (ndimage.gaussian_filter(x, 2.0) for x in (down**2, right**2, down * right))
    least = (rr + cc) / 2 - np.sqrt(((rr - cc) / 2) ** 2 + rc**2)
    peak = (least == ndimage.maximum_filter(least, 2 * apart + 1)) & (least > 0.01 * least.max())
    peak[:apart] = peak[-apart:] = False
    peak[:, :apart] = peak[:, -apart:] = False
    rows, columns = np.nonzero(peak)
    order = np.argsort(-least[rows, columns])[:count]
    return tuple((int(columns[i]), int(rows[i])) for i in order)


def follow(
    film: Film, marks: Sequence[tuple[float, float]], half: int = 8, reach: int = 30
) -> tuple[Followed, ...]:
    """Follow marks through a film.

    Parameters
    ----------
    film : callable
        Returns the film's pictures from the first on; called twice.
    marks : sequence of (column, row)
        Where they are in the first picture.
    half : int
        Half width of a mark's pattern [pixels].
    reach : int
        How far a mark is looked for from where it was pointed at [pixels].

    Raises
    ------
    BadInput
        When a mark lies too near the border, or there is nothing to follow.
    """
    if not 1 <= len(marks) <= MOST_MARKS:
        raise BadInput("marks", str(len(marks)), f"1 to {MOST_MARKS}")
    if not 3 <= half <= 60:
        raise BadInput("half width of the pattern", f"{half} pixels", "3 to 60 pixels")
    if not 1 <= reach <= 400:
        raise BadInput("reach", f"{reach} pixels", "1 to 400 pixels")
    first = next(iter(film()))
    areas = [_Area.around(first, mark, half, reach) for mark in marks]
    patterns = [a.pattern(first) for a in areas]
    for mark, pattern in zip(marks, patterns, strict=True):
        if np.ptp(pattern) == 0:
            raise BadInput(f"mark at {_said(mark)}", "a uniform patch", "a place with a pattern")
    rough = list(_pass(film, areas, patterns))
    better = _means(film, areas, rough, patterns)
    found = list(_pass(film, areas, better))
    return tuple(
        Followed((float(mark[0]), float(mark[1])), *_settled(a, one))
        for mark, a, one in zip(marks, areas, found, strict=True)
    )


@described()
class _Area:
    """Where a mark is looked for."""

    column: int
    row: int
    left: int
    top: int
    right: int
    bottom: int
    half: int

    @classmethod
    def around(cls, picture: Singles, mark: tuple[float, float], half: int, reach: int) -> "_Area":
        rows, columns = picture.shape
        column, row = round(mark[0]), round(mark[1])
        if not (half <= column < columns - half and half <= row < rows - half):
            inside = f"{half} to {columns - half - 1}, {half} to {rows - half - 1}"
            raise BadInput("mark", _said(mark), f"inside the picture with its pattern: {inside}")
        far = half + reach
        return cls(
            column, row, max(0, column - far), max(0, row - far),
            min(columns, column + far + 1), min(rows, row + far + 1), half,
        )  # fmt: skip

    def of(self, pictures: Singles) -> Singles:
        return pictures[..., self.top : self.bottom, self.left : self.right]

    def pattern(self, picture: Singles) -> Singles:
        h = self.half
        return picture[self.row - h : self.row + h + 1, self.column - h : self.column + h + 1]


_Steps = tuple[Floats, Floats, Floats]
"""First row and column of the best whole place (f, 2), fraction (f, 2), likeness (f,)."""


def _chunks(film: Film) -> Iterator[Singles]:
    held: list[Singles] = []
    for picture in film():
        held.append(picture)
        if len(held) == CHUNK:
            yield np.stack(held)
            held = []
    if held:
        yield np.stack(held)


def _pass(film: Film, areas: list[_Area], patterns: list[Singles]) -> Iterator[_Steps]:
    found: list[list[_Steps]] = [[] for _ in areas]
    for chunk in _chunks(film):
        for area, pattern, steps in zip(areas, patterns, found, strict=True):
            part = area.of(chunk)
            whole, likeness = best_places(part, pattern)
            steps.append((whole.astype(float), fine(part, pattern, whole), likeness))
    for steps in found:
        yield (
            np.concatenate([s[0] for s in steps]),
            np.concatenate([s[1] for s in steps]),
            np.concatenate([s[2] for s in steps]),
        )


def _means(
    film: Film, areas: list[_Area], rough: list[_Steps], first: list[Singles]
) -> list[Singles]:
    """Return each mark's mean pattern, every picture shifted back to where it was found."""
    sums = [np.zeros(p.shape, dtype=np.float64) for p in first]
    counts = [0] * len(areas)
    at = 0
    for chunk in _chunks(film):
        for i, (area, (whole, rest, likeness)) in enumerate(zip(areas, rough, strict=True)):
            for j, part in enumerate(area.of(chunk)):
                if likeness[at + j] >= LEAST_LIKENESS:
                    back = ndimage.shift(part, -rest[at + j], order=3, mode="nearest")
                    r, c = whole[at + j].astype(int)
                    n = 2 * area.half + 1
                    sums[i] += back[r : r + n, c : c + n]
                    counts[i] += 1
        at += len(chunk)
    return [
        (s / n).astype(np.float32) if n > 1 else p
        for s, n, p in zip(sums, counts, first, strict=True)
    ]


def _settled(area: _Area, steps: _Steps) -> tuple[Floats, Floats]:
    whole, rest, likeness = steps
    middle = whole + rest + [area.top + area.half, area.left + area.half]
    size = 2 * area.half + 1
    far = np.array([area.bottom - area.top - size, area.right - area.left - size])
    # Best at the edge of the search means that it may be better beyond.
    edge = (whole == 0).any(axis=1) | (whole == far).any(axis=1)
    middle[(likeness < LEAST_LIKENESS) | edge] = np.nan
    return np.stack([middle[:, 1], middle[:, 0]], axis=1), likeness


def _said(mark: tuple[float, float]) -> str:
    return f"{mark[0]:g},{mark[1]:g}"
