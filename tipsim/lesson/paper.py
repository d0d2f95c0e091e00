"""Drawings for paper: a needle to mark a place on, and axes to sketch a curve in."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

Data = dict[str, Any]
Points = Sequence[Sequence[float]]
_PX = 30.0
"""Width of a millimetre of the needle."""


def needle_drawing(needle: Data, places: Iterable[float] = ()) -> str:
    """Draw a needle from the side of its bends, with a ruler, and marks at some places.

    Parameters
    ----------
    needle : dict
        What `tipsim.lesson.kinds.place.drawn` returns.
    places : iterable of float
        Distances from the end to mark [mm].
    """
    points, radii, from_end = needle["points"], needle["radii"], needle["from_end"]
    left = min(x for x, _ in points) - 0.5
    top = min(-y for _, y in points) - 1.6
    width = max(x for x, _ in points) + 1.2 - left
    height = max(-y for _, y in points) + 1.6 - top
    edges = [_edge(points, radii, i, side) for side in (1, -1) for i in _order(len(points), side)]
    outline = "M" + "L".join(f"{x:.2f} {-y:.2f}" for x, y in edges) + "Z"
    middle = "M" + "L".join(f"{x:.2f} {-y:.2f}" for x, y in points)
    ticks = [_across(points, radii, from_end, mm, 0.25) for mm in range(int(from_end[0]) + 1)]
    marks = "".join(_mark(points, radii, from_end, mm) for mm in places)
    return (
        f'<svg class="paper-needle" role="img" aria-label="{needle["title"]}, millimetres from the '
        f'end marked" viewBox="{left:.2f} {top:.2f} {width:.2f} {height:.2f}" '
        f'style="width:{width * _PX:.0f}px"><path class="metal" d="{outline}"/>'
        f'<path class="middle" d="{middle}"/>{"".join(ticks)}{marks}</svg>'
    )


def _order(n: int, side: int) -> range:
    return range(n) if side > 0 else range(n - 1, -1, -1)


def _normal(points: Points, i: int) -> tuple[float, float]:
    (ax, ay), (bx, by) = points[max(i - 1, 0)], points[min(i + 1, len(points) - 1)]
    size = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5 or 1.0
    return -(by - ay) / size, (bx - ax) / size


def _edge(points: Points, radii: Sequence[float], i: int, side: int) -> tuple[float, float]:
    nx, ny = _normal(points, i)
    return points[i][0] + side * nx * radii[i], points[i][1] + side * ny * radii[i]


def _nearest(from_end: Sequence[float], mm: float) -> int:
    return min(range(len(from_end)), key=lambda i: abs(from_end[i] - mm))


def _across(
    points: Points, radii: Sequence[float], from_end: Sequence[float], mm: float, size: float
) -> str:
    """Draw a tick below the needle; every fifth is long and carries its number."""
    i = _nearest(from_end, mm)
    nx, ny = _normal(points, i)
    fifth = mm % 5 == 0
    x, y = points[i]
    reach = radii[i]
    far = reach + (2 * size if fifth else size)
    line = (
        f'<path class="tick" d="M{x - nx * reach:.2f} {-(y - ny * reach):.2f}'
        f'L{x - nx * far:.2f} {-(y - ny * far):.2f}"/>'
    )
    spot = far + 0.45
    number = f'<text x="{x - nx * spot:.2f}" y="{-(y - ny * spot) + 0.15:.2f}">{mm:g}</text>'
    return line + (number if fifth else "")


def _mark(points: Points, radii: Sequence[float], from_end: Sequence[float], mm: float) -> str:
    i = _nearest(from_end, mm)
    nx, ny = _normal(points, i)
    x, y = points[i]
    far = radii[i] + 0.9
    return (
        f'<path class="truth" d="M{x - nx * radii[i]:.2f} {-(y - ny * radii[i]):.2f}'
        f'L{x + nx * far:.2f} {-(y + ny * far):.2f}"/>'
    )


def sketch_drawing(length: float, title: str, curve: Points = ()) -> str:
    """Draw empty axes along a needle [mm], or with the model's curve in them."""
    wide, high, left, bottom = 620, 190, 46, 34
    right_edge = wide - 10

    def x(mm: float) -> float:
        return left + (1 - mm / length) * (right_edge - left)

    def y(height: float) -> float:
        return 10 + (1 - height) * (high - bottom - 10)

    ticks = "".join(
        f'<text x="{x(mm):.1f}" y="{high - bottom + 15}">{mm}</text>'
        for mm in range(0, int(length) + 1, 2)
    )
    line = "M" + "L".join(f"{x(mm):.1f} {y(h):.1f}" for mm, h in curve) if curve else ""
    drawn = f'<path class="truth" d="{line}"/>' if curve else ""
    return (
        f'<svg class="paper-sketch" role="img" aria-label="{title}" viewBox="0 0 {wide} {high}">'
        f'<path class="axis" d="M{left} 10V{high - bottom}H{right_edge}"/>{ticks}'
        f'<text x="{(left + right_edge) / 2:.0f}" y="{high - 4}">mm from the end</text>'
        f'<text x="{left - 6}" y="20" class="side">most</text>'
        f'<text x="{left - 6}" y="{high - bottom}" class="side">still</text>{drawn}</svg>'
    )
