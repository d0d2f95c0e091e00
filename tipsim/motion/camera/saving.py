"""A high-speed film with its truth and what was measured in it, ready to be written."""

from collections.abc import Callable, Sequence

import numpy as np

from tipsim.motion.camera.film import FULL_LIGHT, Film
from tipsim.motion.camera.measure import Measurement, Reading
from tipsim.motion.camera.settings import Camera
from tipsim.motion.sections import Floats
from tipsim.saved import Column, Levels, Saved, Stack
from tipsim.saved.card import NO_FILM, Card, Instrument, card
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import DEG, MM, ONE, SECOND, UM

OF_NOISE = ("signal_to_noise", "read_noise", "seed")
"""Settings that count only while there is noise."""
UNCONTROLLED = (
    "light and focus, which are taken to be even",
    "the sleeve, which is taken as clear",
)


def methods(scenario: Scenario, camera: Camera, *, taken: bool = True) -> Card:
    """Return the methods card of a film, or of none where none could be taken."""
    hidden = () if camera.noise == "on" else OF_NOISE
    return card(
        scenario,
        Instrument("a high-speed camera", camera, hidden),
        scale=f"one pixel is {UM.show(camera.pixel)} at the needle",
        runs=f"1 film of {camera.count} pictures, once the motion is steady" if taken else NO_FILM,
        uncontrolled=UNCONTROLLED,
    )


def saved(scenario: Scenario, film: Film, measured: Measurement) -> Saved:
    """Return all that is saved of a film.

    Parameters
    ----------
    scenario : Scenario
        The bench that was filmed.
    """
    readings = measured.readings
    return Saved(
        name="high-speed-camera",
        scenario=scenario,
        instrument=film.camera,
        film=Stack("film", "The moving needle.", film.pictures),
        more=(Stack("rest", "The needle at rest, drive off.", film.stills),),
        levels=Levels(f"brightness; {FULL_LIGHT} is full light, 255 the most"),
        time=film.times,
        pixel=film.camera.pixel,
        card=methods(scenario, film.camera),
        truth=_truth(film, readings),
        readings=_readings(readings) if readings else (),
    )


def _truth(film: Film, readings: Sequence[Reading]) -> tuple[Column, ...]:
    """Return a row for each picture and mark."""
    count = len(film.times)
    pictures = np.repeat(np.arange(1, count + 1), len(readings))
    seen = [film.truth(r.dot) for r in readings]
    moved = np.stack(seen, axis=1).reshape(-1, 2) if seen else np.zeros((0, 2))
    tracks = [r.track.places for r in readings]
    read = np.stack(tracks, axis=1).reshape(-1, 2) if tracks else np.zeros((0, 2))

    def of_mark(value: Callable[[Reading], float]) -> Floats:
        return np.tile([value(r) for r in readings], count)

    phase = np.repeat(np.mod(film.phases, 2 * np.pi), len(readings))
    return (
        Column("picture", "number of the picture, from 1", pictures),
        Column("time", "middle of its exposure", np.repeat(film.times, len(readings)), SECOND),
        Column("phase", "phase of the drive then", phase, DEG),
        Column("mark", "number of the mark, from the tip", of_mark(lambda r: r.dot.number)),
        Column(
            "column",
            "its place at rest, 0 in the middle of the first pixel",
            np.tile([film.scene.to_pixels(r.dot.place)[0] for r in readings], count),
        ),
        Column(
            "row",
            "the same downward",
            np.tile([film.scene.to_pixels(r.dot.place)[1] for r in readings], count),
        ),
        Column("x_true", "true place from rest, to the right", moved[:, 0], UM),
        Column("y_true", "true place from rest, upward", moved[:, 1], UM),
        Column("x_read", "place as measured in the film; empty where not found", read[:, 0], UM),
        Column("y_read", "the same upward", read[:, 1], UM),
        Column(
            "standard_error",
            "of a place, from pictures at rest",
            of_mark(lambda r: r.track.scatter),
            UM,
        ),
    )


def _readings(readings: Sequence[Reading]) -> tuple[Column, ...]:
    """Return a row for each mark."""

    def each(value: Callable[[Reading], float | None]) -> Floats:
        found = [value(r) for r in readings]
        return np.array([np.nan if v is None else v for v in found], dtype=np.float64)

    return (
        Column("mark", "number of the mark, from the tip", each(lambda r: r.dot.number)),
        Column("distance", "from the tip along the needle", each(lambda r: r.dot.distance), MM),
        Column("stroke_read", "peak to peak, as measured in the film", each(lambda r: r.seen), UM),
        Column("error_bar", "of it, either way, 95 %, from noise", each(lambda r: r.bar), UM),
        Column(
            "stroke_true", "peak to peak of the middle line, in space", each(lambda r: r.true), UM
        ),
        Column("direction_read", "against the first mark", [r.direction for r in readings], ONE),
        Column("direction_true", "the same, true", [r.true_direction for r in readings], ONE),
    )
