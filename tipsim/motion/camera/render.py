"""Pictures of a moving needle: bright metal with dark marks, on a dim background.

Brightness is that of a matt tube lit from the camera. Edges are softened over one pixel, so that a
pixel's value is the share of it that is covered, and a shift by a tenth of a pixel can be seen.

The metal is drawn by pulling the resting needle's picture along with the motion of the nearest
point of its middle line, which is right to first order in motion over length; marks are drawn
where they are.
"""

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from tipsim.motion.camera.view import Dot, Scene
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described

Singles = NDArray[np.float32]
Counts = NDArray[np.intp]
T = TypeVar("T", np.float64, np.complex128)

BACKGROUND, EDGE, RIDGE, DOT = 0.24, 0.5, 0.95, 0.03
"""Brightness, of full light, of the background, the metal's rim and ridge, and a mark."""
STEP = 0.75
"""Pixels by which the fastest point may move from one drawn phase to the next."""
LEAST_PHASES, MOST_PHASES = 32, 256
_CHUNK = 4096


@described(eq=False)
class _Map:
    """For every pixel that the metal may touch: where it lies on the resting needle."""

    where: Counts = about("Numbers of the pixels in a flattened picture, shape (p,).")
    aside: Singles = about(
        "Distance to the left of the middle line, and beyond the end along it [pixels], shape (p,)."
    )
    past: Singles
    radius: Singles = about("Outer radius there [pixels], shape (p,).")
    aside_moves: NDArray[np.complex64] = about(
        "Amplitudes across and along the middle line [pixels], shape (p,)."
    )
    past_moves: NDArray[np.complex64]


def phase_count(scene: Scene) -> int:
    """Return the number of phases of a cycle that are drawn."""
    amplitude = np.linalg.norm(scene.moves, axis=1).max()
    needed = 2 * np.pi * float(amplitude) / scene.pixel / STEP
    return int(np.clip(np.ceil(needed), LEAST_PHASES, MOST_PHASES))


def render(scene: Scene, weights: Floats) -> tuple[Singles, Singles]:
    """Compute pictures, each a weighted sum over the phases of a cycle, and the needle at rest.

    Parameters
    ----------
    weights : (f, m) array
        Weight of each of m equally spaced phases in each picture.

    Returns
    -------
    (f, rows, columns), (rows, columns) float32 arrays
        Brightness, 1 in full light.
    """
    used = np.flatnonzero(weights.any(axis=0))
    angle = 2 * np.pi * used / weights.shape[1]
    mix = weights[:, used].astype(np.float32)
    turn = np.stack([np.cos(angle), -np.sin(angle)], axis=1).astype(np.float32)
    mapped = _map(scene)
    rest = np.zeros((1, 2), np.float32), np.ones((1, 1), np.float32)
    return _render(scene, mapped, turn, mix), _render(scene, mapped, *rest)[0]


def _render(scene: Scene, mapped: _Map, turn: Singles, mix: Singles) -> Singles:
    """Compute pictures from (m, 2) factors of the amplitudes' real and imaginary parts."""
    rows, columns = scene.shape
    out = np.full((len(mix), rows * columns), BACKGROUND, np.float32)
    for begin in range(0, len(mapped.where), _CHUNK):
        part = slice(begin, begin + _CHUNK)
        light = _metal(mapped, part, turn, scene.cut, scene.pixel)
        for dot in scene.dots:
            _darken(light, mapped.where[part], dot, turn, scene)
        out[:, mapped.where[part]] = mix @ light
    return out.reshape(-1, rows, columns)


def _moved(moves: NDArray[np.complex64], turn: Singles) -> Singles:
    """Return real displacements (m, p) of p amplitudes at m phases."""
    return turn @ np.stack([moves.real, moves.imag])


def _metal(
    mapped: _Map, part: slice, turn: Singles, cut: tuple[float, float], pixel: float
) -> Singles:
    radius = mapped.radius[part]
    aside = mapped.aside[part] - _moved(mapped.aside_moves[part], turn)
    ratio = aside / radius
    square = np.minimum(ratio * ratio, 1)
    light = EDGE - BACKGROUND + (RIDGE - EDGE) * np.sqrt(1 - square)
    light *= np.clip(radius + 0.5 - np.abs(aside), 0, 1)
    rim, bulge = (np.float32(reach / pixel) for reach in cut)
    near = np.flatnonzero(mapped.past[part] > -2 * radius.max() - abs(rim))
    if near.size:
        past = mapped.past[part][near] - _moved(mapped.past_moves[part][near], turn)
        end = rim * ratio[:, near] + bulge * np.sqrt(1 - square[:, near])
        light[:, near] *= np.clip(end - past + 0.5, 0, 1)
    light += BACKGROUND
    return np.asarray(light, dtype=np.float32)


def _darken(light: Singles, where: Counts, dot: Dot, turn: Singles, scene: Scene) -> None:
    """Darken a part of the pictures by a mark, in place."""
    column, row = scene.to_pixels(dot.place)
    radius = scene.dot_radius / scene.pixel
    moves = (dot.moves / scene.pixel).astype(np.complex64)
    reach = radius + 1 + np.abs(moves)
    across, down = where % scene.shape[1] - column, where // scene.shape[1] - row
    near = np.flatnonzero((np.abs(across) <= reach[0]) & (np.abs(down) <= reach[1]))
    if not near.size:
        return
    right = across[near].astype(np.float32) - _moved(moves[:1], turn)
    up = -down[near].astype(np.float32) - _moved(moves[1:], turn)
    cover = np.clip(radius + 0.5 - np.hypot(right, up), 0, 1)
    light[:, near] += cover * (DOT - light[:, near])


def _map(scene: Scene) -> _Map:
    """Compute for each pixel the nearest point of the resting middle line."""
    rows, columns = scene.shape
    line = scene.to_pixels(scene.line) * (1, -1)  # Right and up, in pixels.
    radius, moves = scene.radius / scene.pixel, scene.moves / scene.pixel
    widest = float(radius.max() + np.abs(moves).max()) + 2
    margin = max(widest, scene.dot_radius / scene.pixel + 2)
    gap = np.full((rows, columns), np.inf)
    which = np.full((rows, columns), -1)
    share = np.zeros((rows, columns))
    last = len(line) - 2
    for i in range(len(line) - 1):
        low = np.minimum(line[i], line[i + 1]) - margin
        high = np.maximum(line[i], line[i + 1]) + margin
        right = np.arange(max(0, int(low[0])), min(columns, int(high[0]) + 2))
        down = np.arange(max(0, int(-high[1])), min(rows, int(-low[1]) + 2))
        if not right.size or not down.size:
            continue
        box = np.ix_(down, right)
        step = line[i + 1] - line[i]
        x, y = right[None, :] - line[i, 0], -down[:, None] - line[i, 1]
        along = (x * step[0] + y * step[1]) / (step @ step)
        along = np.clip(along, -np.inf if i == 0 else 0, np.inf if i == last else 1)
        distance = np.hypot(x - along * step[0], y - along * step[1])
        closer = distance < gap[box]
        for kept, fresh in ((gap, distance), (which, i), (share, along)):
            kept[box] = np.where(closer, fresh, kept[box])
    where = np.flatnonzero((which >= 0) & (gap <= margin))
    segment, along = which.ravel()[where], share.ravel()[where]
    step = np.diff(line, axis=0)[segment]
    tangent = step / np.linalg.norm(step, axis=1)[:, None]
    place = np.stack([where % columns, -(where // columns)], axis=1)
    off = place - line[segment]
    side = np.sign(tangent[:, 0] * off[:, 1] - tangent[:, 1] * off[:, 0])
    between = np.clip(along, 0, 1)
    pull = _between(moves, segment, between)
    normal = np.stack([-tangent[:, 1], tangent[:, 0]], axis=1)
    return _Map(
        where,
        (side * gap.ravel()[where]).astype(np.float32),
        ((place - line[-1]) @ tangent_at_end(line)).astype(np.float32),
        _between(radius[:, None], segment, between)[:, 0].astype(np.float32),
        (pull * normal).sum(axis=1).astype(np.complex64),
        (pull * tangent).sum(axis=1).astype(np.complex64),
    )


def _between(values: NDArray[T], segment: Counts, share: Floats) -> NDArray[T]:
    """Interpolate values (n, k) at points between, (p, k)."""
    w = share[:, None]
    out: NDArray[T] = (1 - w) * values[segment] + w * values[segment + 1]
    return out


def tangent_at_end(line: Floats) -> Floats:
    """Return the direction in which the drawn line ends, shape (2,)."""
    last = line[-1] - line[-2]
    return np.asarray(last / np.linalg.norm(last))
