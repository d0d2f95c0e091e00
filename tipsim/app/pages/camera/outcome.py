"""What stands beside the film: verdicts, measured and true strokes, what follows by formula."""

from __future__ import annotations

from typing import Any

from tipsim.app.pages.camera.state import CameraState
from tipsim.app.pages.camera.words import (
    bar_text,
    change,
    hertz,
    percent,
    reasons,
    verdicts,
)
from tipsim.app.words import micro
from tipsim.motion.camera import Film, Measurement, Reading, Take
from tipsim.motion.camera.tracking import UPSAMPLING
from tipsim.motion.camera.verdict import ALLOWED_MISS, SHORT, facts, is_right
from tipsim.quantities.declare import figures

Data = dict[str, Any]


def expected(state: CameraState) -> Data:
    """Return what the film should show, for `outcome.html`."""
    return content(*state.ahead)


def filmed(state: CameraState) -> Data:
    """Return what the film shows, for `outcome.html`."""
    return content(*state.film)


def content(film: Take, measured: Measurement) -> Data:
    """Return the names that `outcome.html` uses; without pictures they are a preview."""
    return {
        "preview": not isinstance(film, Film),
        "smeared": facts(film).exposed_cycles >= SHORT,
        "verdicts": verdicts(film, measured),
        "reasons": reasons(film, measured),
        "rows": [_row(r) for r in measured.readings],
        "facts": [{"label": k, "value": v, "why": why} for k, v, why in _facts(film, measured)],
    }


def _row(reading: Reading) -> Data:
    return {
        "number": reading.dot.number,
        "true": micro(reading.true),
        "seen": "lost" if reading.seen is None else micro(reading.seen),
        "bar": "" if reading.seen is None else bar_text(reading),
        "fitted": "–" if reading.fitted is None else micro(reading.fitted),
        "error": "–" if reading.error is None else change(reading.error),
        "off": reading.error is not None and not is_right(reading),
        "direction": reading.direction,
        "true_direction": reading.true_direction,
        "outcome": reading.outcome,
    }


def _facts(film: Take, measured: Measurement) -> list[tuple[str, str, str]]:
    f, seems = facts(film), measured.frequency
    miss = percent(ALLOWED_MISS)
    shown = "not filmed yet" if not isinstance(film, Film) else "–" if seems is None else hertz(seems)
    return [
        (
            "Pictures in a cycle",
            f"{f.per_cycle:.3g}",
            "Frame rate over the drive's frequency. More than 2 are needed to tell a frequency "
            "from a slower one (Nyquist).",
        ),
        (
            "Predicted apparent frequency",
            hertz(f.apparent),
            "|f − k fs|, with the whole number k that makes it least (Shannon 1949).",
        ),
        ("Measured apparent frequency", shown, "The sine that fits all tracks best."),
        ("Cycles in an exposure", f"{f.exposed_cycles:.2g}", "Frequency times exposure."),
        (
            "Longest smear",
            f"{micro(f.smear)} µm",
            "Travel of the fastest mark in one exposure, at worst: stroke × sin(π f t), the whole "
            "stroke from half a cycle on.",
        ),
        (
            "Largest stroke in pixels",
            f"{f.pixels:.3g}",
            f"Marks are followed in steps of 1/{UPSAMPLING} of a pixel.",
        ),
        (
            f"Rate to miss at most {miss}",
            f"{figures(round(f.wanted_rate, -3), decimals=0)} /s",
            f"π f / arccos(1 − {ALLOWED_MISS:g}): so many pictures that a single cycle loses at "
            f"most {miss} of its stroke between them.",
        ),
        (
            "Light, compared with 1 ms",
            f"× {figures(f.light, 2)}",
            "For as clear a picture as in an exposure of a millisecond, the lamp must be so much "
            "brighter.",
        ),
    ]
