"""From surface temperatures to the radiance that each pixel measures."""

from itertools import pairwise

import numpy as np

from tipsim.heat.camera.planck import quick_radiance
from tipsim.heat.camera.scene import Scene, scene, surface_temperature
from tipsim.heat.camera.surface import Skin
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.thermal_camera import ThermalCamera

NOISE_AT = 303.15
"""Temperature at which cameras state their noise [K]."""
MOST_VALUES = 3_000_000
"""Pixels of all pictures together, at most: a finer or longer film ends earlier."""


@described(eq=False)
class Recording:
    """Pictures as the detector gives them."""

    camera: ThermalCamera
    skin: Skin
    scene: Scene
    time: Floats = about("When each picture is read out [s], shape (p,).")
    signal: Floats = about("Radiance of each pixel within the band [W/m²/sr], shape (p, h, w).")
    noise: float = about("Standard deviation of the noise in `signal` [W/m²/sr].")

    @property
    def x(self) -> Floats:
        """Middles of the columns, distance from the tip [m], shape (w,)."""
        return self.scene.x

    @property
    def y(self) -> Floats:
        """Middles of the rows, height over the middle line [m], shape (h,)."""
        return self.scene.y


def times(skin: Skin, camera: ThermalCamera, size: int) -> Floats:
    """Return when the pictures of a film are taken: as many as are wanted, and fit into the run.

    Parameters
    ----------
    size : int
        Pixels of a picture.
    """
    end = float(skin.time[-1])
    start = min(camera.start, end)
    fit = int((end - start) * camera.frame_rate * (1 + 1e-12)) + 1
    count = min(int(camera.pictures), fit, max(1, MOST_VALUES // size))
    return np.asarray(start + np.arange(count) / camera.frame_rate)


def emitted(camera: ThermalCamera, skin: Skin, seen: Scene, time: float) -> Floats:
    """Return the radiance that comes from each point, what it mirrors included, (b, n)."""
    band = camera.wavelengths
    mirrored = float(quick_radiance(camera.mirrored, band))
    true = surface_temperature(skin, seen, time)
    own = quick_radiance(np.where(seen.on > 0, true, camera.mirrored), band)
    return np.asarray(mirrored + seen.emissivity * (own - mirrored))


def focused(camera: ThermalCamera, seen: Scene, points: Floats) -> Floats:
    """Return what the pixels gather (h, w) of points (b, n), after the lens has blurred them.

    Beside the needle lies what it mirrors.
    """
    beside = float(quick_radiance(camera.mirrored, camera.wavelengths))
    return np.asarray(beside + seen.across @ (seen.on * (points - beside)) @ seen.along.T)


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
    >>> seen = skin(heat_run(Scenario.preset("straight, axial"), 3.0))
    >>> record(seen, ThermalCamera(pictures=3, pixel=0.3e-3)).signal.shape
    (3, 15, 63)
    """
    seen = scene(skin, camera)
    time = times(skin, camera, len(seen.x) * len(seen.y))
    light = [focused(camera, seen, emitted(camera, skin, seen, float(t))) for t in time]
    shown = [light[0]]
    for before, now in pairwise(light):
        step = 1 / camera.frame_rate
        shown.append(lagged(before, now, shown[-1], step, camera.time_constant))
    noise = camera.noise * _slope(camera)
    chance = np.random.default_rng(int(camera.seed))
    signal = np.array(shown)
    signal = signal + noise * chance.standard_normal(signal.shape)
    return Recording(camera, skin, seen, time, signal, noise)


def _slope(camera: ThermalCamera) -> float:
    """Return the change of radiance with temperature where noise is stated [W/m²/sr/K]."""
    near = quick_radiance([NOISE_AT - 0.5, NOISE_AT + 0.5], camera.wavelengths)
    return float(near[1] - near[0])
