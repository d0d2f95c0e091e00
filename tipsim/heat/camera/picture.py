"""From surface temperatures to the radiance that each pixel measures."""

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from tipsim.heat.camera.emission import emissivity
from tipsim.heat.camera.planck import quick_radiance
from tipsim.heat.camera.settings import ThermalCamera
from tipsim.heat.camera.surface import Skin
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described

MARGIN = 1e-3
"""Background shown around the needle [m]."""
FULL_WIDTH = float(np.sqrt(8 * np.log(2)))
"""Width at half height of a Gaussian over its standard deviation."""
NOISE_AT = 303.15
"""Temperature at which cameras state their noise [K]."""
FINEST = 10
"""Most parts that a pixel is cut into along each axis."""


@described(eq=False)
class Grid:
    """Points of a picture, finer than its pixels."""

    x: Floats = about("Distance from the tip of each fine column [m], shape (a,).")
    y: Floats = about("Height over the middle line of each fine row [m], shape (b,).")
    parts: int = about("Fine columns and rows in a pixel.")
    slice_of: NDArray[np.intp] = about("Slice of each fine column; -1 beside it, shape (a,).")
    on: NDArray[np.bool_] = about("Where the needle is, shape (b, a).")
    cosine: Floats = about("Cosine of the angle of view, 0 beside the needle, shape (b, a).")
    left: NDArray[np.intp] = about("Sector before each point, and the share of the next one.")
    share: Floats


@described(eq=False)
class Recording:
    """Pictures as the detector gives them."""

    camera: ThermalCamera
    skin: Skin
    x: Floats = about("Middles of the columns, distance from the tip [m], shape (w,).")
    y: Floats = about("Middles of the rows, height over the middle line [m], shape (h,).")
    time: Floats = about("When each picture is read out [s], shape (p,).")
    signal: Floats = about("Radiance of each pixel within the band [W/m²/sr], shape (p, h, w).")
    noise: float = about("Standard deviation of the noise in `signal` [W/m²/sr].")


def grid(skin: Skin, camera: ThermalCamera) -> Grid:
    """Cut the picture of a surface into fine points."""
    step = np.diff(skin.edges)
    wanted = camera.pixel / min(step.min(), skin.radius.min() / 8, max(camera.blur, 2e-5))
    parts = int(np.clip(np.ceil(wanted), 4, FINEST))
    columns = int(np.ceil((skin.edges[-1] + 2 * MARGIN) / camera.pixel))
    rows = 2 * int(np.ceil((skin.radius.max() + MARGIN) / camera.pixel)) + 1
    fine = camera.pixel / parts
    x = np.asarray(-MARGIN + (np.arange(columns * parts) + 0.5) * fine, dtype=np.float64)
    y = np.asarray((np.arange(rows * parts) + 0.5 - rows * parts / 2) * fine, dtype=np.float64)
    slice_of = np.searchsorted(skin.edges, x, side="right") - 1
    slice_of[(slice_of < 0) | (slice_of >= len(step))] = -1
    radius = np.where(slice_of >= 0, skin.radius[slice_of], 0.0)
    on = np.abs(y)[:, None] < radius
    sine = np.where(on, y[:, None] / np.where(radius > 0, radius, 1.0), 0.0)
    cosine = np.where(on, np.sqrt(1 - sine**2), 0.0)
    left, share = _sectors(skin, camera.side + np.arcsin(sine))
    return Grid(x, y, parts, slice_of, on, cosine, left, share)


def _sectors(skin: Skin, angle: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Return between which sectors angles lie; the half that is not computed mirrors the other."""
    folded = np.abs((angle + np.pi) % (2 * np.pi) - np.pi)
    if len(skin.angles) == 1:
        return np.zeros(angle.shape, dtype=np.intp), np.zeros(angle.shape)
    place = folded / np.pi * (len(skin.angles) - 1)
    left = np.minimum(place.astype(np.intp), len(skin.angles) - 2)
    return left, place - left


def surface_temperature(skin: Skin, grid: Grid, time: float) -> Floats:
    """Return the true temperature at each fine point (b, a) [K]; NaN beside the needle."""
    here = skin.at(time)
    column = np.maximum(grid.slice_of, 0)[None, :]
    near = here[column, grid.left]
    if here.shape[1] > 1:
        near = near + grid.share * (here[column, grid.left + 1] - near)
    return np.where(grid.on, near, np.nan)


def emitted(camera: ThermalCamera, skin: Skin, grid: Grid, time: float) -> Floats:
    """Return the radiance that comes from each fine point, what it mirrors included, (b, a)."""
    band = camera.wavelengths
    mirrored = float(quick_radiance(camera.mirrored, band))
    true = surface_temperature(skin, grid, time)
    own = quick_radiance(np.where(grid.on, true, camera.mirrored), band)
    covered = skin.covered[np.maximum(grid.slice_of, 0)][None, :]
    e = np.where(
        covered,
        emissivity(grid.cosine, camera.sleeve_index),
        emissivity(grid.cosine, camera.bare_index),
    )
    return np.where(grid.on, mirrored + e * (own - mirrored), mirrored)


def focused(camera: ThermalCamera, grid: Grid, fine: Floats) -> Floats:
    """Return what the pixels gather of a fine picture (b, a), after the lens has blurred it."""
    spread = camera.blur / FULL_WIDTH / camera.pixel * grid.parts
    if spread > 0:
        fine = gaussian_filter(fine, spread, mode="nearest")
    k = grid.parts
    return np.asarray(fine.reshape(fine.shape[0] // k, k, fine.shape[1] // k, k).mean(axis=(1, 3)))


def lagged(before: Floats, now: Floats, last: Floats, step: float, constant: float) -> Floats:
    """Return what a detector of first order shows, where its light went from one value to another.

    y = now - (now - before) c/h (1 - q) + (last - before) q with q = exp(-h/c), exact for light
    that changes steadily over the step h

    Parameters
    ----------
    before, now : arrays
        Light at the beginning and at the end of the step.
    last : array
        What the detector showed at its beginning.
    step, constant : float
        Step and time constant [s].

    Examples
    --------
    Long after a jump nothing of the lag is left; steady light is shown as it is:

    >>> one, two = np.array([1.0]), np.array([2.0])
    >>> lagged(two, two, one, 1.0, 0.01).round(6), lagged(one, one, one, 1.0, 9.0)
    (array([2.]), array([1.]))
    """
    if constant <= 0 or step <= 0:
        return now
    q = np.exp(-step / constant)
    slope = (now - before) * (constant / step)
    return np.asarray(now - slope * (1 - q) + (last - before) * q)


def record(skin: Skin, camera: ThermalCamera) -> Recording:
    """Film a surface.

    Parameters
    ----------
    skin : Skin
        What is looked at.
    camera : ThermalCamera
        From where, and with what.

    Examples
    --------
    >>> from tipsim.heat.timeline import heat_run
    >>> from tipsim.setup.scenario import Scenario
    >>> from tipsim.heat.camera.surface import skin
    >>> seen = skin(heat_run(Scenario.preset("straight, axial"), 1.0))
    >>> record(seen, ThermalCamera(pictures=3, pixel=0.3e-3)).signal.shape
    (3, 19, 66)
    """
    points = grid(skin, camera)
    time = camera.start + np.arange(int(camera.pictures)) / camera.frame_rate
    light = [focused(camera, points, emitted(camera, skin, points, float(t))) for t in time]
    shown = [light[0]]
    for before, now in pairwise(light):
        step = 1 / camera.frame_rate
        shown.append(lagged(before, now, shown[-1], step, camera.time_constant))
    noise = camera.noise * _slope(camera)
    chance = np.random.default_rng(int(camera.seed))
    signal = np.array(shown)
    signal = signal + noise * chance.standard_normal(signal.shape)
    k = points.parts
    x, y = (a.reshape(-1, k).mean(axis=1) for a in (points.x, points.y))
    return Recording(camera, skin, x, y, time, signal, noise)


def _slope(camera: ThermalCamera) -> float:
    """Return the change of radiance with temperature where noise is stated [W/m²/sr/K]."""
    near = quick_radiance([NOISE_AT - 0.5, NOISE_AT + 0.5], camera.wavelengths)
    return float(near[1] - near[0])
