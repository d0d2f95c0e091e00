"""Temperatures as a program reads them from pictures, beside the true ones."""

from dataclasses import replace

import numpy as np

from tipsim.heat.camera.picture import (
    Recording,
    emitted,
    focused,
    grid,
    record,
    surface_temperature,
)
from tipsim.heat.camera.planck import quick_radiance, temperature
from tipsim.heat.camera.settings import ThermalCamera
from tipsim.heat.camera.surface import Skin
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput


@described()
class Region:
    """A rectangle at the needle, of which a program gives the hottest pixel."""

    near: float = about("Distances from the tip between which it lies [m].")
    far: float
    low: float = about("Heights over the middle line between which it lies [m].", default=-1.0)
    high: float = 1.0


@described(eq=False)
class Shown:
    """What a program shows of a region through time."""

    time: Floats = about("Times [s], shape (p,).")
    hottest: Floats = about("Reading of the hottest pixel [K], shape (p,).")
    mean: Floats = about("Mean of all pixels of the region [K], shape (p,).")
    true: Floats = about(
        "Hottest true temperature within the region, on the side that faces the camera [K]. "
        "Shape (p,)."
    )
    hidden: Floats = about("The same all around, seen or not [K], shape (p,).")
    noise: float = about("Standard error of one pixel's reading, from noise [K].")


def shown(camera: ThermalCamera, light: Floats) -> Floats:
    """Return temperatures as the program works them out of radiance [W/m²/sr], same shape [K].

    L = e L_black(T) + (1 - e) L_black(mirrored), solved for T with the settings of the program
    """
    e = camera.set_emissivity
    mirrored = float(quick_radiance(camera.set_mirrored, camera.wavelengths))
    return temperature((light - (1 - e) * mirrored) / e, camera.wavelengths)


def read(film: Recording, region: Region) -> Shown:
    """Read a region of a film.

    Raises
    ------
    BadInput
        For a region without a pixel.
    """
    columns = (film.x >= region.near) & (film.x <= region.far)
    rows = (film.y >= region.low) & (film.y <= region.high)
    if not (columns.any() and rows.any()):
        raise BadInput("region", "holds no pixel", "a region within the picture")
    inside = shown(film.camera, film.signal[:, rows][:, :, columns])
    true, hidden = _truth(film, region)
    return Shown(
        film.time,
        inside.max(axis=(1, 2)),
        inside.mean(axis=(1, 2)),
        true,
        hidden,
        _error_of_noise(film, float(inside.max())),
    )


def _truth(film: Recording, region: Region) -> tuple[Floats, Floats]:
    points = grid(film.skin, film.camera)
    columns = (points.x >= region.near) & (points.x <= region.far)
    rows = (points.y >= region.low) & (points.y <= region.high)
    slices = np.unique(points.slice_of[columns & (points.slice_of >= 0)])
    seen, around = [], []
    for t in film.time:
        here = surface_temperature(film.skin, points, float(t))[rows][:, columns]
        seen.append(np.nanmax(here) if np.isfinite(here).any() else np.nan)
        around.append(film.skin.at(float(t))[slices].max() if len(slices) else np.nan)
    return np.array(seen), np.array(around)


def _error_of_noise(film: Recording, at: float) -> float:
    """Return the standard error of a reading at a temperature [K]."""
    near = quick_radiance([at - 0.5, at + 0.5], film.camera.wavelengths)
    return float(film.noise / film.camera.set_emissivity / (near[1] - near[0]))


@described()
class Causes:
    """How far a reading is off, cause by cause, each taken away in turn [K]."""

    surface: float = about("Wrong emissivity, view along the surface, and what it mirrors.")
    blur: float = about("Lens and pixels wider than what is hot.")
    lag: float = about("The detector's time constant.")
    total: float = about(
        "All of it, noise apart: the reading less the truth that faces the camera."
    )


def causes(skin: Skin, camera: ThermalCamera, region: Region, time: float) -> Causes:
    """Return why the hottest reading of a region is off at a time [s]; noise is left out.

    The picture is computed again without each cause, from the truth on; parts add up to the whole.
    """
    quiet = replace(camera, noise=0.0)
    points = grid(skin, quiet)
    columns = (points.x >= region.near) & (points.x <= region.far)
    rows = (points.y >= region.low) & (points.y <= region.high)
    true = float(np.nanmax(surface_temperature(skin, points, time)[rows][:, columns]))
    fine = emitted(quiet, skin, points, time)
    sharp = float(shown(quiet, fine[rows][:, columns]).max())
    x, y = (a.reshape(-1, points.parts).mean(axis=1) for a in (points.x, points.y))
    c, r = (x >= region.near) & (x <= region.far), (y >= region.low) & (y <= region.high)
    blurred = float(shown(quiet, focused(quiet, points, fine)[r][:, c]).max())
    last = max(1, round((time - quiet.start) * quiet.frame_rate) + 1)
    film = record(skin, replace(quiet, pictures=last))
    last_shown = float(read(film, region).hottest[-1])
    return Causes(sharp - true, blurred - sharp, last_shown - blurred, last_shown - true)
