"""Pictures: sleeve and mark blurred by the drive, the iris at its gap, specks in front of both.

Brightness is 1 for white. The light is taken to be even; shades are those of a drawing.
"""

import numpy as np
from numpy.typing import NDArray
from scipy import special
from scipy.ndimage import gaussian_filter

from tipsim.motion.camera.exposure import phase_weights
from tipsim.motion.lumped import Complexes
from tipsim.motion.run import Motion
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario
from tipsim.tissue.endoscope.specks import ROOT
from tipsim.tissue.endoscope.view import Mark, View, outer_radius, stations
from tipsim.tissue.touch import carried

Singles = NDArray[np.float32]
PHASES = 12
"""Moments of a cycle that are drawn; between them pictures are blended."""
LEVELS = 16
"""Heights of the iris that are drawn; between them pictures are blended."""
SLEEVE, SKIN, MARK, PUPIL, WALL = 0.8, 0.42, 0.12, 0.62, 0.3
"""Brightness of sleeve, iris, mark, pupil and the chamber's far wall; a choice of the drawing."""
STREAKS, STREAK_SHARE = 44, 0.06
"""Streaks of the iris around the pupil, and by how much they differ."""
PIXEL = 12**-0.5
"""Standard deviation of a pixel's width, in pixels."""
BLUREST = 6.0
"""Widest blur that is drawn, standard deviation in pixels."""


@described(eq=False)
class Body:
    """Needle, sleeve and mark at some phases of a cycle, and last at rest."""

    cover: Singles = about("Share of each pixel that they cover, shape (PHASES + 1, h, w).")
    shade: Singles = about("Their brightness there, times that share.")
    depth: Floats = about("Distance from the lens to the sleeve's surface [m]; shape (h, w).")


def pixels(look: View) -> Floats:
    """Return columns and rows of all pixels, shape (h, w, 2)."""
    rows, columns = look.lens.shape
    y, x = np.mgrid[:rows, :columns].astype(np.float64)
    return np.stack([x, y], axis=-1)


def defocus(scenario: Scenario, look: View, distance: Floats) -> Floats:
    """Return the blur at distances from the lens [m], standard deviation in pixels.

    A point out of focus becomes a disc whose angle is the lens's opening times the difference of
    1 / distance; a disc's standard deviation along a line is a quarter of its width.
    """
    setting = scenario.endoscope
    focus = setting.focus or setting.distance
    disc = setting.aperture * np.abs(1 / np.maximum(distance, 1e-4) - 1 / focus)
    out = np.hypot(setting.sharpness, look.lens.focal * disc / 4)
    return np.asarray(np.minimum(out, BLUREST))


def body(scenario: Scenario, motion: Motion, look: View, spot: Mark, phases: int = PHASES) -> Body:
    """Draw needle, sleeve and mark at each of some phases, and last at rest."""
    s = stations(scenario)
    line = scenario.needle.points_at(s)
    moves = carried(scenario, motion, s)[0]
    at, depth = look.project(line), np.linalg.norm(look.seen(line), axis=1)
    shifts = np.einsum("nij,nj->ni", np.array([look.jacobian(p) for p in line]), moves)
    # In the picture a radius is as wide as the scale there makes it, seen square to the line.
    wide = look.lens.focal * outer_radius(scenario, s) / depth
    grid = pixels(look)
    near, far, side, share = _nearest(grid, at, wide)
    turn = np.append(np.exp(2j * np.pi * np.arange(phases) / max(phases, 1)), 0)
    shift = _along(shifts, near, share)
    across = (shift * side).sum(axis=-1)
    width = _along(wide, near, share)
    tint = np.where(s < scenario.sleeve_end, SLEEVE, 0.55)[near] if scenario.sleeve else 0.55
    distance = far[..., None] - (across[..., None] * turn).real
    cover = np.clip(0.5 + width[..., None] - distance, 0, 1)
    lit = tint[..., None] if isinstance(tint, np.ndarray) else np.array([tint])
    round_ = np.sqrt(np.clip(1 - (distance / width[..., None]) ** 2, 0.05, 1))
    shade = lit * (0.55 + 0.45 * round_)
    surface = _along(depth - outer_radius(scenario, s), near, share)
    order = (2, 0, 1)
    full = np.ascontiguousarray(cover.transpose(order), dtype=np.float32)
    dark = np.ascontiguousarray((cover * shade).transpose(order), dtype=np.float32)
    blur = float(defocus(scenario, look, np.array(scenario.endoscope.distance)))
    soft = [gaussian_filter(a, (0, blur, blur), mode="nearest") for a in (full, dark)]
    blot = _blot(grid, spot, turn, scenario.endoscope.mark_radius, blur).transpose(order)
    marked = soft[1] * (1 - blot) + MARK * blot * soft[0]
    return Body(soft[0], np.asarray(marked, dtype=np.float32), surface)


def _along(values: Floats | Complexes, near: NDArray[np.intp], share: Floats) -> Floats:
    """Return values between stations."""
    k = share[..., None] if values.ndim > 1 else share
    return np.asarray(values[near] * (1 - k) + values[near + 1] * k)


def _nearest(
    grid: Floats, at: Floats, wide: Floats
) -> tuple[NDArray[np.intp], Floats, Floats, Floats]:
    """Return for each pixel the stretch of line whose surface is nearest, and where on it.

    Number of the stretch, distance from its middle line [pixels], direction from there to the
    pixel (h, w, 2), and the share of the stretch that is passed.
    """
    best = np.full(grid.shape[:2], np.inf)
    near = np.zeros(grid.shape[:2], dtype=np.intp)
    share = np.zeros(grid.shape[:2])
    for i in range(len(at) - 1):
        a, b = at[i], at[i + 1]
        if not (np.isfinite(a).all() and np.isfinite(b).all()):
            continue
        step = b - a
        t = np.clip(((grid - a) @ step) / max(float(step @ step), 1e-12), 0, 1)
        foot_x, foot_y = a[0] + t * step[0], a[1] + t * step[1]
        off = np.hypot(grid[..., 0] - foot_x, grid[..., 1] - foot_y)
        over = off - (wide[i] + t * (wide[i + 1] - wide[i]))
        closer = over < best
        best = np.where(closer, over, best)
        near, share = np.where(closer, i, near), np.where(closer, t, share)
    foot = _along(np.nan_to_num(at), near, share)
    way = grid - foot
    far = np.linalg.norm(way, axis=-1)
    return near, far, way / np.maximum(far, 1e-9)[..., None], share


def _blot(grid: Floats, spot: Mark, turn: Complexes, radius: float, blur: float) -> Floats:
    """Return the share of each pixel that the mark covers at each phase, (h, w, PHASES + 1).

    Lens and pixel blur its edge (standard deviation `blur` [pixels]) before it is sampled: the
    mark moves by a fraction of a pixel, which a sharp edge would show in steps.
    """
    out = np.zeros((*grid.shape[:2], len(turn)))
    if not np.isfinite(spot.spot).all():
        return out
    at = spot.spot + (spot.shifts * turn[:, None]).real
    reach = radius * np.linalg.norm(np.linalg.inv(spot.shape), axis=1) + spot.shift / 2 + 4 * blur
    near = (np.abs(grid - spot.spot) <= reach).all(axis=-1)
    off = (grid[near][:, None] - at) @ spot.shape.T
    far = np.maximum(np.linalg.norm(off, axis=-1), 1e-9)
    slope = np.linalg.norm((off / far[..., None]) @ spot.shape, axis=-1)
    out[near] = special.ndtr((radius - far) / (slope * np.hypot(blur, PIXEL)))
    return out


def backgrounds(scenario: Scenario, look: View, gaps: Floats) -> Singles:
    """Draw iris, pupil and wall with the iris at some gaps [m], shape (k, h, w)."""
    setting, numbers, eye = scenario.endoscope, scenario.tissue.iris, scenario.eye
    rays = look.lens.directions(pixels(look)) @ look.axes @ look.basis.T
    start = look.in_needle(look.place)
    place = scenario.iris_place
    root = place + ROOT * numbers.length
    edge = place - numbers.length / 2
    pixel = setting.distance / look.lens.focal
    out = []
    for gap in gaps:
        # The sheet: y = -(radius + mean gap + (gap - mean) (root - d) / (root - place)).
        tilt = (max(float(gap), 0.0) - eye.iris_gap) / (root - place)
        level = -(look.radius + eye.iris_gap + tilt * (root - setting.aim))
        below = start[1] - level + tilt * start[0]
        fall = rays[..., 1] + tilt * rays[..., 0]
        far = np.where(fall < -1e-3, -below / np.minimum(fall, -1e-3), np.inf)
        hit = np.isfinite(far) & (far > 0) & (far < 0.02)
        way = np.where(hit, far, 0.0)
        x, z = start[0] + way * rays[..., 0], start[2] + way * rays[..., 2]
        from_middle = setting.aim - x - (edge - setting.pupil)
        off = np.hypot(from_middle, z) - setting.pupil
        skin = np.clip(0.5 + off / np.maximum(pixel * way / setting.distance, 1e-6), 0, 1)
        streaks = 1 + STREAK_SHARE * np.sin(STREAKS * np.arctan2(z, from_middle))
        seen = PUPIL + skin * (SKIN * streaks - PUPIL)
        out.append(np.where(hit, seen, WALL))
    blur = float(defocus(scenario, look, np.array(setting.distance)))
    stack = np.array(out, dtype=np.float32)
    return np.asarray(gaussian_filter(stack, (0, blur, blur), mode="nearest"))


def blended(stack: Singles, levels: Floats, at: Floats) -> Singles:
    """Return pictures between those of a stack that belongs to rising levels, shape (f, h, w)."""
    if len(levels) == 1:
        return np.repeat(stack, len(at), axis=0)
    step = np.clip(np.interp(at, levels, np.arange(len(levels))), 0, len(levels) - 1 - 1e-9)
    low = step.astype(np.intp)
    share = (step - low).astype(np.float32)[:, None, None]
    out = stack[low] * (1 - share)
    out += stack[low + 1] * share
    return np.asarray(out)


def exposed(drawn: Body, frequency: float, start: Floats, exposure: float) -> tuple[Singles, ...]:
    """Return cover and shade of the body in each picture, (f, h, w) each."""
    cycles = np.mod(frequency * start, 1)
    weights = phase_weights(cycles, frequency * exposure, PHASES).astype(np.float32)
    return tuple(
        np.tensordot(weights, layer[:PHASES], axes=(1, 0)) for layer in (drawn.cover, drawn.shade)
    )
