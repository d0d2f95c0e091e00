"""A film of the thermal camera with its truth and what was read from it, ready to be written."""

import numpy as np
from numpy.typing import NDArray

from tipsim.heat.camera.reading import Shown, shown
from tipsim.heat.camera.thermogram import Thermogram, true_profile
from tipsim.motion.sections import Floats
from tipsim.saved import Column, Levels, Saved, Stack
from tipsim.saved.card import NO_FILM, Card, Instrument, card
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import CELSIUS, KELVIN, MM, SECOND

STEP = 0.01
"""Temperature of one level [K]."""
UNCONTROLLED = (
    "drying of water on sleeve and needle",
    "drift of the camera, and draughts of air",
)


def methods(scenario: Scenario, found: Thermogram | None, colours: str = "") -> Card:
    """Return the methods card of a film.

    Parameters
    ----------
    found : Thermogram or None
        The film; None where none could be taken.
    colours : str
        How a screen shows it: palette, and temperatures that it spans.
    """
    camera = scenario.thermal_camera
    pixel = f"one pixel is {MM.show(camera.pixel)} at the needle"
    return card(
        scenario,
        Instrument("a thermal camera", camera),
        scale="; ".join(filter(None, (pixel, colours))),
        runs=f"1 film of {len(found.film.time)} pictures" if found else NO_FILM,
        uncontrolled=UNCONTROLLED,
    )


def saved(scenario: Scenario, found: Thermogram) -> Saved:
    """Return all that is saved of a film.

    Parameters
    ----------
    scenario : Scenario
        The bench that was filmed.
    """
    film = found.film
    return Saved(
        name="thermal-camera",
        scenario=scenario,
        instrument=film.camera,
        film=Stack("film", "What the program reads, tip at the right.", _levels(found)),
        levels=Levels("what the program reads", STEP, 0.0, "K"),
        time=film.time,
        pixel=film.camera.pixel,
        card=methods(scenario, found),
        truth=_truth(found),
        readings=(*_readings("whole", found.whole), *_readings("region", found.in_region)[2:]),
    )


def _levels(found: Thermogram) -> NDArray[np.uint16]:
    """Return the pictures as they are drawn: row 0 is the top, the tip is at the right."""
    kelvin = shown(found.film.camera, found.film.signal)[:, ::-1, ::-1]
    levels = np.clip(np.rint(kelvin / STEP), 0, 65535)
    return np.asarray(levels.astype(np.uint16))


def _truth(found: Thermogram) -> tuple[Column, ...]:
    """Return a row for each picture and column of pixels: the truth along the middle line."""
    film = found.film
    count, wide = len(film.time), len(film.x)
    true = np.concatenate([true_profile(film, 0.0, i) for i in range(count)])
    around = np.concatenate([_hottest_around(found, float(t)) for t in film.time])
    return (
        Column("picture", "number of the picture, from 1", np.repeat(np.arange(count) + 1, wide)),
        Column("time", "when it is read out", np.repeat(film.time, wide), SECOND),
        Column(
            "column",
            "of the pixel, 0 at the left",
            np.tile(np.arange(wide)[::-1], count),
        ),
        Column("distance", "from the tip along the needle", np.tile(film.x, count), MM),
        Column(
            "true", "surface in the middle of the picture; empty beside the needle", true, CELSIUS
        ),
        Column("true_hottest", "the hottest all around there, seen or not", around, CELSIUS),
    )


def _hottest_around(found: Thermogram, time: float) -> Floats:
    skin, x = found.film.skin, found.film.x
    at = np.searchsorted(skin.edges, x, side="right") - 1
    on = (at >= 0) & (at < len(skin.radius))
    here = skin.at(time).max(axis=1)
    return np.where(on, here[np.clip(at, 0, len(here) - 1)], np.nan)


def _readings(name: str, read: Shown) -> tuple[Column, ...]:
    """Return a row for each picture."""
    return (
        Column("picture", "number of the picture, from 1", np.arange(len(read.time)) + 1),
        Column("time", "when it is read out", read.time, SECOND),
        Column(f"{name}_read", f"hottest pixel, {name}", read.hottest, CELSIUS),
        Column(f"{name}_error_bar", "of it, either way, 95 %", read.bar, KELVIN),
        Column(f"{name}_true", "hottest true on the side that is seen", read.true, CELSIUS),
        Column(f"{name}_mean_read", f"mean of the pixels, {name}", read.mean, CELSIUS),
        Column(f"{name}_mean_true", "true mean of the side that is seen", read.true_mean, CELSIUS),
    )
