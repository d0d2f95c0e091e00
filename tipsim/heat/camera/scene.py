"""Where the surface lies in the picture, and what each pixel gathers of it after the lens."""

import numpy as np
import scipy
from numpy.typing import NDArray

from tipsim.heat.camera.emission import of_bare, of_sleeve
from tipsim.heat.camera.surface import Skin
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.thermal_camera import ThermalCamera

MARGIN = 0.5e-3
"""Background shown around the needle [m]."""
FULL_WIDTH = float(np.sqrt(8 * np.log(2)))
"""Width at half height of a Gaussian over its standard deviation."""
STRIPS = 48
"""Strips along the needle that its width is cut into."""


@described(eq=False)
class Scene:
    """The surface as the camera sees it: slices along the needle, strips across it."""

    x: Floats = about("Middles of the pixels' columns, distance from the tip [m], shape (w,).")
    y: Floats = about("Middles of their rows, height over the middle line [m], shape (h,).")
    edges: Floats = about("Edges of the slices [m], shape (n+1,), and of the strips, shape (b+1,).")
    strips: Floats
    on: Floats = about("Share of each strip's width that the needle fills, shape (b, n).")
    cosine: Floats = about("Cosine of the angle of view, 0 beside the needle, shape (b, n).")
    left: NDArray[np.intp] = about("Sector before each point, and the share of the next one.")
    share: Floats
    emissivity: Floats = about("Of the surface at this angle, shape (b, n).")
    along: Floats = about("Share of each slice in what a column gathers, shape (w, n).")
    across: Floats = about("Share of each strip in what a row gathers, shape (h, b).")


def scene(skin: Skin, camera: ThermalCamera) -> Scene:
    """Lay a surface before a camera.

    Examples
    --------
    All that a pixel gathers adds up; far beside the needle it gathers nothing of it:

    >>> stick = Skin(np.array([0.0, 5e-3]), np.array([0.8e-3]), np.ones(1, bool), np.zeros(1),
    ...     np.zeros(1), np.full((1, 1, 1), 300.0))
    >>> seen = scene(stick, ThermalCamera())
    >>> bool(np.isclose(seen.along[seen.along.shape[0] // 2].sum(), 1.0))
    True
    >>> bool(seen.across[0].sum() < 0.01)
    True
    """
    reach, pixel = float(skin.radius.max()), camera.pixel
    columns = int(np.ceil((skin.edges[-1] + 2 * MARGIN) / pixel))
    rows = 2 * int(np.ceil((reach + MARGIN) / pixel)) + 1
    x = np.asarray(-MARGIN + (np.arange(columns) + 0.5) * pixel, dtype=np.float64)
    y = np.asarray((np.arange(rows) + 0.5 - rows / 2) * pixel, dtype=np.float64)
    strips = np.linspace(-reach, reach, STRIPS + 1)
    middle, half = (strips[1:] + strips[:-1])[:, None] / 2, reach / STRIPS
    on = np.clip((skin.radius - np.abs(middle)) / (2 * half) + 0.5, 0.0, 1.0)
    sine = np.clip(middle / skin.radius, -1.0, 1.0)
    cosine = np.where(on > 0, np.sqrt(1 - sine**2), 0.0)
    left, share = sectors(skin, camera.side + np.arcsin(sine))
    e = np.where(skin.covered, of_sleeve(camera, cosine), of_bare(camera, cosine, skin.film))
    spread = camera.blur / FULL_WIDTH
    return Scene(
        x,
        y,
        skin.edges,
        strips,
        np.asarray(on),
        cosine,
        left,
        share,
        e,
        gathered(x, pixel, skin.edges, spread),
        gathered(y, pixel, strips, spread),
    )


def gathered(middle: Floats, pixel: float, edges: Floats, spread: float) -> Floats:
    """Return how much each pixel gathers of each stretch, after a Gaussian blur, exactly.

    The blurred stretch is ndtr((x - a)/s) - ndtr((x - b)/s); its mean over the pixel follows from
    G(u) = u ndtr(u) + phi(u), whose slope is ndtr

    Parameters
    ----------
    middle : (w,) array
        Middles of the pixels [m].
    pixel : float
        Their width [m].
    edges : (n+1,) array
        Of the stretches [m].
    spread : float
        Standard deviation of the blur [m].

    Returns
    -------
    (w, n) array

    Examples
    --------
    >>> edges = np.array([0.0, 0.5, 2.0])
    >>> gathered(np.array([0.5]), 1.0, edges, 0.0).tolist()
    [[0.5, 0.5]]
    """
    ends = middle[:, None, None] + np.array([-0.5, 0.5]) * pixel - edges[:, None]
    if spread > 0:
        u = ends / spread
        rising = spread * (u * scipy.special.ndtr(u) + np.exp(-(u**2) / 2) / np.sqrt(2 * np.pi))
    else:
        rising = np.maximum(ends, 0.0)
    below = (rising[..., 1] - rising[..., 0]) / pixel
    return np.asarray(below[:, :-1] - below[:, 1:])


def sectors(skin: Skin, angle: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Return between which sectors angles lie; the half that is not computed mirrors the other."""
    folded = np.abs((angle + np.pi) % (2 * np.pi) - np.pi)
    if len(skin.angles) == 1:
        return np.zeros(angle.shape, dtype=np.intp), np.zeros(angle.shape)
    place = folded / np.pi * (len(skin.angles) - 1)
    left = np.minimum(place.astype(np.intp), len(skin.angles) - 2)
    return left, place - left


def surface_temperature(skin: Skin, seen: Scene, time: float) -> Floats:
    """Return the true temperature of the side that is seen, (b, n) [K]; NaN beside the needle."""
    here = skin.at(time)
    column = np.arange(here.shape[0])[None, :]
    near = here[column, seen.left]
    if here.shape[1] > 1:
        near = near + seen.share * (here[column, seen.left + 1] - near)
    return np.where(seen.on > 0, near, np.nan)
