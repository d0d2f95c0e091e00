"""The camera page at a glance: may this film be believed, and three numbers beside the truth."""

from __future__ import annotations

from dataclasses import replace

from tipsim.app.framework.glance import Glance, Number
from tipsim.app.framework.words import listed, micro
from tipsim.app.pages.camera.outcome import hertz, verdicts
from tipsim.app.pages.camera.state import CameraState
from tipsim.motion.camera import Measurement, Take
from tipsim.motion.camera.measure import BAD, GOOD
from tipsim.motion.camera.verdict import largest

NONE = "–"


def expected(state: CameraState) -> Glance:
    """Return what the film should show."""
    return replace(of_film(*state.ahead), warning=state.held)


def filmed(state: CameraState) -> Glance:
    """Return what the film shows."""
    return replace(of_film(*state.film), warning=state.held)


def of_film(film: Take, measured: Measurement) -> Glance:
    """Return the headline and the three numbers of a film beside the truth."""
    reading, seems = largest(measured), measured.frequency
    others = measured.readings[1:]
    seen = micro(reading.seen) if reading is not None and reading.seen is not None else NONE
    right = sum(r.outcome == GOOD for r in others)
    return Glance(
        headline(verdicts(film, measured)),
        [
            Number(
                "stroke", "Largest stroke", "µm peak to peak",
                {"film": seen, "true": micro(reading.true) if reading is not None else NONE},
            ),
            Number(
                "frequency", "Frequency", "",
                {"film": NONE if seems is None else hertz(seems), "true": hertz(film.frequency)},
            ),
            Number("ways", "Directions that are right", "", {"": part(right, len(others))}),
        ],
    )  # fmt: skip


def part(right: int, all: int) -> str:
    """Return in words how many of some are right.

    >>> part(4, 4), part(0, 4), part(3, 4)
    ('all', 'none', '3 of 4')
    """
    return f"{right} of {all}" if 0 < right < all else "all" if right else "none"


def headline(found: list[tuple[str, str, str]]) -> str:
    """Return in a sentence what of a film can be believed.

    >>> headline([("Stroke", "good", ""), ("Frequency", "bad", ""), ("Direction", "good", "")])
    'This film shows stroke and direction as they are; its frequency is wrong.'
    >>> headline([("Stroke", "open", "no marker in the picture")])
    'This film tells nothing of the motion: no marker in the picture.'
    """
    good, bad = (
        [about.lower() for about, outcome, _ in found if outcome == which] for which in (GOOD, BAD)
    )
    if not good and not bad:
        return f"This film tells nothing of the motion: {found[0][2]}."
    they = "as they are" if len(good) > 1 else "as it is"
    right = f"This film shows {listed(good)} {they}" if good else "Do not believe this film"
    wrong = f"its {listed(bad)} {'are' if len(bad) > 1 else 'is'} wrong" if bad else ""
    return f"{right}{'; ' if good and wrong else ': ' if wrong else ''}{wrong}."
