"""Why a reading is off: the way from the truth to it, one cause after another."""

from dataclasses import replace

import numpy as np

from tipsim.heat.camera.emission import of_bare, of_sleeve
from tipsim.heat.camera.picture import Recording, emitted, focused, record
from tipsim.heat.camera.planck import quick_radiance
from tipsim.heat.camera.reading import Region, shown
from tipsim.heat.camera.scene import surface_temperature
from tipsim.heat.camera.surface import Skin
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.thermal_camera import ThermalCamera


@described()
class Causes:
    """How far a reading is off, cause by cause; they add up to reading less truth [K]."""

    emissivity: float = about("Another emissivity than the dry surface has, seen squarely.")
    water: float = about("Film of water on sleeve or metal.")
    angle: float = about("View along the surface, which radiates less there and mirrors more.")
    reflection: float = about("Other surroundings mirrored than the program takes.")
    blur: float = about("Lens and pixels wider than what is hot.")
    lag: float = about("Time constant of the detector.")
    noise: float = about("Noise; the hottest of many noisy pixels reads high.")

    @property
    def total(self) -> float:
        """Reading less truth [K]."""
        return sum(
            (self.emissivity, self.water, self.angle, self.reflection, self.blur, self.lag)
        ) + self.noise  # fmt: skip


def causes(film: Recording, region: Region, picture: int) -> tuple[Causes, Causes]:
    """Return why the hottest reading of a region is off in a picture, and why its mean is.

    The picture is computed again with one cause more each time, from the truth on.
    """
    camera, skin, seen = film.camera, film.skin, film.scene
    time, weights = float(film.time[picture]), region.weights(seen)
    true = surface_temperature(skin, seen, time)
    inside = weights > 0
    if not inside.any():
        nothing = Causes(*([float("nan")] * 7))
        return nothing, nothing
    pixels = region.pixels(film)

    def of_points(values: Floats) -> tuple[float, float]:
        return _both(values[inside], weights[inside])

    def read_points(e: Floats, mirrored: float) -> tuple[float, float]:
        return of_points(shown(camera, _light(camera, true, e, mirrored)))

    def of_pixels(light: Floats) -> tuple[float, float]:
        return _both(shown(camera, light[pixels]))

    blurred = focused(camera, seen, emitted(camera, skin, seen, time))
    chain = [
        of_points(true),
        read_points(_squarely(camera, skin, wet=False), camera.set_mirrored),
        read_points(_squarely(camera, skin, wet=True), camera.set_mirrored),
        read_points(seen.emissivity, camera.set_mirrored),
        read_points(seen.emissivity, camera.mirrored),
        of_pixels(blurred),
        of_pixels(_quiet(film, picture)),
        of_pixels(film.signal[picture]),
    ]
    steps = np.diff(np.array(chain), axis=0)
    return Causes(*steps[:, 0].tolist()), Causes(*steps[:, 1].tolist())


def _both(values: Floats, weights: Floats | None = None) -> tuple[float, float]:
    return float(values.max()), float(np.average(values, weights=weights))


def _light(camera: ThermalCamera, true: Floats, e: Floats, mirrored: float) -> Floats:
    band = camera.wavelengths
    beside = float(quick_radiance(mirrored, band))
    own = quick_radiance(np.where(np.isfinite(true), true, mirrored), band)
    return np.asarray(beside + e * (own - beside))


def _squarely(camera: ThermalCamera, skin: Skin, wet: bool) -> Floats:
    """Return the emissivity of each slice looked at squarely, (1, n)."""
    dry = camera
    if not wet and camera.surface == "wet silicone":
        dry = replace(camera, surface="dry silicone")
    film = skin.film if wet else 0.0
    e = np.where(skin.covered, of_sleeve(dry, 1.0), of_bare(dry, 1.0, film))
    return np.asarray(e[None, :])


def _quiet(film: Recording, picture: int) -> Floats:
    """Return a picture of the film without noise, with all that the detector's lag carries on."""
    last = replace(film.camera, noise=0.0, pictures=picture + 1)
    return np.asarray(record(film.skin, last).signal[picture])
