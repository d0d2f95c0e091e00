"""Temperatures as a program reads them from pictures, beside the true ones."""

import numpy as np
from numpy.typing import NDArray

from tipsim.heat.camera.picture import Recording
from tipsim.heat.camera.planck import quick_radiance, temperature
from tipsim.heat.camera.scene import Scene, surface_temperature
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput
from tipsim.setup.thermal_camera import ThermalCamera

SURE = 1.96
"""Standard errors of 95 %."""
Mask = NDArray[np.bool_]


@described()
class Region:
    """A rectangle at the needle, of which a program gives the hottest pixel and the mean."""

    near: float = about("Distances from the tip between which it lies [m].")
    far: float
    low: float = about("Heights over the middle line between which it lies [m].", default=-1.0)
    high: float = about("Its upper height [m].", default=1.0)

    def pixels(self, film: Recording) -> Mask:
        """Return which pixels lie in it with their middles, (h, w).

        Raises
        ------
        BadInput
            Where no pixel does.
        """
        seen = film.scene
        columns = (seen.x >= self.near) & (seen.x <= self.far)
        rows = (seen.y >= self.low) & (seen.y <= self.high)
        if not (columns.any() and rows.any()):
            raise BadInput("region", "holds no pixel", "a region within the picture")
        return np.asarray(rows[:, None] & columns)

    def weights(self, seen: Scene) -> Floats:
        """Return the area of each point of the surface within it, as seen, (b, n) [m²]."""
        wide = _overlap(seen.edges, self.near, self.far)
        high = _overlap(seen.strips, self.low, self.high)
        return np.asarray(seen.on * high[:, None] * wide)


EVERYWHERE = Region(-1.0, 1.0)


def _overlap(edges: Floats, low: float, high: float) -> Floats:
    return np.asarray(np.diff(np.clip(edges, low, high)))


@described(eq=False)
class Shown:
    """What a program shows of a region through time, and what is true there."""

    time: Floats = about("Times [s], shape (p,).")
    hottest: Floats = about("Reading of the hottest pixel [K], shape (p,).")
    mean: Floats = about("Mean of all pixels of the region [K], shape (p,).")
    bar: Floats = about("95 % error bar of the hottest pixel's reading [K], shape (p,).")
    true: Floats = about(
        "Hottest true temperature within the region, on the side that faces the camera [K]. "
        "Shape (p,)."
    )
    true_mean: Floats = about("Mean of the side that faces the camera, by area seen [K], (p,).")
    hidden: Floats = about("The hottest all around, seen or not [K], shape (p,).")
    noise: float = about("Standard error of one pixel's reading, from noise [K].")


def shown(camera: ThermalCamera, light: Floats, e: float | None = None) -> Floats:
    """Return temperatures as the program works them out of radiance [W/m²/sr], same shape [K].

    L = e L_black(T) + (1 - e) L_black(mirrored), solved for T with the settings of the program
    """
    e = camera.set_emissivity if e is None else e
    mirrored = float(quick_radiance(camera.set_mirrored, camera.wavelengths))
    return temperature((light - (1 - e) * mirrored) / e, camera.wavelengths)


def read(film: Recording, region: Region) -> Shown:
    """Read a region of a film.

    Raises
    ------
    BadInput
        For a region without a pixel.
    """
    inside = film.signal[:, region.pixels(film)]
    found = shown(film.camera, inside)
    true, mean, hidden = _truth(film, region)
    return Shown(
        film.time,
        found.max(axis=1),
        found.mean(axis=1),
        error_bar(film, inside.max(axis=1)),
        true,
        mean,
        hidden,
        _error_of_noise(film, float(found.max())),
    )


def _truth(film: Recording, region: Region) -> tuple[Floats, Floats, Floats]:
    weights = region.weights(film.scene)
    if not weights.any():
        nothing = np.full(len(film.time), np.nan)
        return nothing, nothing, nothing
    inside, slices = weights > 0, weights.any(axis=0)
    seen, mean, around = [], [], []
    for t in film.time:
        here = surface_temperature(film.skin, film.scene, float(t))
        seen.append(here[inside].max())
        mean.append(np.average(here[inside], weights=weights[inside]))
        around.append(film.skin.at(float(t))[slices].max())
    return np.array(seen), np.array(mean), np.array(around)


def _error_of_noise(film: Recording, at: float) -> float:
    """Return the standard error of a reading at a temperature [K]."""
    near = quick_radiance([at - 0.5, at + 0.5], film.camera.wavelengths)
    return float(film.noise / film.camera.set_emissivity / (near[1] - near[0]))


def error_bar(film: Recording, light: Floats) -> Floats:
    """Return the 95 % error bar that who filmed would give a reading [K], same shape.

    Noise, doubt about the emissivity and about the mirrored temperature, as a root of squares. It
    knows nothing of angle, blur, water or lag, which nobody sees in the picture.

    Parameters
    ----------
    light : array
        Radiance of the pixel [W/m²/sr].
    """
    camera, band = film.camera, film.camera.wavelengths
    e, doubt = camera.set_emissivity, camera.emissivity_doubt
    middle = shown(camera, light)
    slope = quick_radiance(middle + 0.5, band) - quick_radiance(middle - 0.5, band)
    by_noise = SURE * film.noise / e / slope
    lower, upper = (shown(camera, light, min(1.0, max(0.05, e + s * doubt))) for s in (-1, 1))
    apart = camera.mirrored_doubt
    room = [quick_radiance(camera.set_mirrored + s * apart, band) for s in (-1, 1)]
    by_mirrored = (1 - e) / e * (room[1] - room[0]) / 2 / slope
    return np.asarray(np.sqrt(by_noise**2 + ((lower - upper) / 2) ** 2 + by_mirrored**2))
