"""May these pictures be believed? Verdicts, each cause with its computed size, and readings."""

from __future__ import annotations

from typing import Any

from tipsim.app.framework.belief import not_drawn
from tipsim.app.framework.numbers import rows
from tipsim.app.pages.thermal.glance import differ, off, turned
from tipsim.app.pages.thermal.state import ThermalState
from tipsim.heat.camera import Causes, Thermogram
from tipsim.quantities import figures

CAUSES = {
    "emissivity": (
        "Emissivity",
        "The program takes {e} for all it sees. What is set too low reads too hot.",
    ),
    "angle": ("Angle of view", "Toward the edge of a round sleeve the surface radiates less."),
    "reflection": (
        "Reflection",
        "The surface mirrors {mirrored}; the program takes {set}.",
    ),
    "water": ("Film of water", "A wet surface radiates as water does, shining metal as well."),
    "blur": (
        "Blur and pixels",
        "A pixel covers {pixel}, the lens blurs over {blur}: what is narrower reads too low.",
    ),
    "lag": ("Time lag", "The detector follows within {lag}."),
    "noise": ("Noise", "{noise} in each pixel; the hottest of many reads a little high."),
}
"""Title and words of each cause."""
READINGS = (
    *("thermogram.point_seen", "thermogram.point_true", "thermogram.line_max"),
    *("thermogram.region_mean", "thermogram.region_true", "thermogram.region_max"),
)
OTHERS = ("thermogram.hidden_max", "thermogram.error", "thermogram.bar")
SMALL = 0.05
"""Errors below this are written as none [K]."""


def content(state: ThermalState) -> dict[str, Any]:
    """Return the names that `believe.html` uses."""
    a, b = state.films
    results = state.results
    return {
        "held": [words for r in results if (words := not_drawn(r))],
        "moved": state.moved,
        "verdicts": verdicts(state, a, b),
        "causes": _causes(state, a, b),
        "means": _means(a, b),
        "readings": rows(READINGS, *results),
        "others": rows(OTHERS, *results),
    }


def verdicts(
    state: ThermalState, a: Thermogram | None, b: Thermogram | None
) -> list[tuple[str, str, str]]:
    """Return what is asked of the pictures, "good" or "bad", and few words."""
    if a is None or b is None:
        return []
    wide = [abs(off(film)) > film.bar for film in (a, b)]
    beyond = {0: "within both error bars", 2: "beyond both error bars"}
    which = "beyond A's error bar" if wide[0] else "beyond B's error bar"
    scales = differ(state)
    away = max(film.hidden_max - film.true_max for film in (a, b))
    return [
        (
            "Highest reading",
            "bad" if any(wide) else "good",
            f"off by {_signed(off(a))} and {_signed(off(b))} °C, {beyond.get(sum(wide), which)}",
        ),
        (
            "Which is hotter",
            "bad" if turned(a, b) else "good",
            "the other one than in truth" if turned(a, b) else "as in truth",
        ),
        (
            "Colours",
            "bad" if scales else "good",
            "two scales: compare numbers, not colours" if scales else "one scale for both",
        ),
        (
            "Hot side",
            "bad" if away > 1 else "good",
            f"{figures(away, decimals=1)} °C more on a side that is not seen"
            if away > 1
            else "faces the camera",
        ),
    ]


def _causes(state: ThermalState, a: Thermogram | None, b: Thermogram | None) -> list[Any]:
    """Return a row for each cause: title, A, B, words."""
    whys = [film.why[0] if film else None for film in (a, b)]
    said = _said(state)
    found = [
        (title, *(_of(why, name) for why in whys), words.format(**said))
        for name, (title, words) in CAUSES.items()
    ]
    total = [_signed(why.total) if why else "–" for why in whys]
    return [*found, ("Together", *total, "Reading less truth in that picture.")]


def _said(state: ThermalState) -> dict[str, str]:
    """Return the settings that words of causes name; those of A where the two differ."""
    c = state.sides[0].thermal_camera
    celsius = [f"{t - 273.15:.0f} °C" for t in (c.mirrored, c.set_mirrored)]
    return {
        "e": f"{c.set_emissivity:g}",
        "mirrored": celsius[0],
        "set": celsius[1],
        "pixel": f"{c.pixel * 1e3:g} mm",
        "blur": f"{c.blur * 1e3:g} mm",
        "lag": f"{c.time_constant * 1e3:g} ms",
        "noise": f"{c.noise * 1e3:g} mK",
    }


def _means(a: Thermogram | None, b: Thermogram | None) -> list[tuple[str, ...]]:
    """Return the causes of the error of the region's mean: title, A, B."""
    whys = [film.why[1] if film else None for film in (a, b)]
    found = [(title, *(_of(w, name) for w in whys)) for name, (title, _) in CAUSES.items()]
    return [*found, ("Together", *(_signed(w.total) if w else "–" for w in whys))]


def _of(why: Causes | None, name: str) -> str:
    return "–" if why is None else _signed(getattr(why, name))


def _signed(kelvin: float) -> str:
    """Return a difference with its sign.

    >>> _signed(1.26), _signed(-0.31), _signed(0.01)
    ('+1.3', '−0.3', '0.0')
    """
    if abs(kelvin) < SMALL:
        return "0.0"
    return ("+" if kelvin > 0 else "") + figures(kelvin, decimals=1)
