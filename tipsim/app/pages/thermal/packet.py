"""Both films for the browser: every reading, the truth behind it, and ranges of colours."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipsim import store
from tipsim.app.framework.belief import not_drawn
from tipsim.app.framework.films import address
from tipsim.app.framework.packet import encode
from tipsim.app.pages.thermal.examples import CURSORS, EXAMPLES
from tipsim.app.pages.thermal.palettes import table
from tipsim.app.pages.thermal.state import FULL, PALETTES, ROUGH, SCALES, ThermalState
from tipsim.heat.camera import Thermogram
from tipsim.heat.camera.reading import shown
from tipsim.motion.sections import Floats
from tipsim.setup.inputs import inputs
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import CELSIUS, DEG, MM

Data = dict[str, Any]
Range = tuple[float, float]
BUDGET = 150_000
"""Pixels of all pictures of a side that are sent; of longer films every second, third ..."""
HUNDREDTHS = 100
"""Temperatures are sent in hundredths of a kelvin."""
LEAST_SPAN = 2.0
"""A range that fits a picture is at least so wide [°C]."""
PREVIEW = 8
"""Pictures of a preview."""


def packet(state: ThermalState) -> bytes:
    """Return both films as a packet; see `contents`."""
    films = state.films
    return encode(contents(state, films) | {"rough": False, "zips": zips(state)})


def preview(state: ThermalState) -> bytes:
    """Return a quick first packet: few pictures of a coarse run."""
    films = tuple(
        None if not_drawn(r) else _rough(s) for s, r in zip(state.sides, state.results, strict=True)
    )
    return encode(contents(state, films) | {"rough": True, "zips": zips(state)})


def _rough(scenario: Scenario) -> Thermogram | None:
    camera = scenario.thermal_camera
    last = min(camera.last, scenario.duration)
    rate = max(0.1, (PREVIEW - 1) / max(last - camera.start, 1e-3))
    few = replace(camera, frame_rate=min(camera.frame_rate, rate))
    found: Thermogram | None = store.get(replace(scenario, thermal_camera=few), "thermogram", ROUGH)
    return found


def contents(state: ThermalState, films: tuple[Thermogram | None, ...]) -> Data:
    """Return what the scene draws: temperatures in hundredths of a kelvin, lengths in mm."""
    ranges = scales(films)
    sides = [
        _side(key, scenario, film, not_drawn(result), ranges[k])
        for k, (key, scenario, film, result) in enumerate(
            zip("ab", state.sides, films, state.results, strict=True)
        )
    ]
    return {
        "sides": sides,
        "end": max((s["times"][-1] for s in sides if "times" in s), default=0.0),
        "palettes": {name: table(name) for name in PALETTES},
        "examples": [{"id": e.id, "title": e.title, "words": e.words} for e in EXAMPLES.values()],
        "said": {path: _options(path) for path in ("scale_a",)},
        "moved": state.moved,
    }


def zips(state: ThermalState) -> list[str]:
    """Return where each side's film is, to be saved."""
    base = address("thermal-camera", state)
    return [f"{base}&{SIDE}={key}" for key in "ab"]


SIDE = "side"
"""Item of a film's address that says whose it is."""


def _options(path: str) -> list[list[str]]:
    one = inputs(ThermalState)[path]
    return [[o, one.said(o)] for o in one.options]


def looks(state: ThermalState) -> Data:
    """Return how the pictures are coloured, and where their cursors are [mm]."""
    return {
        "palettes": [state.palette_a, state.palette_b],
        "scales": [state.scale_a, state.scale_b],
        "example": state.example,
        "cursors": [
            {name: float(MM.from_si(getattr(s.thermal_camera, name))) for name in CURSORS}
            for s in state.sides
        ],
    }


def scales(films: tuple[Thermogram | None, ...]) -> tuple[dict[str, Range], ...]:
    """Return the range of colours for each choice and side [°C]."""
    own = [_own(film) for film in films]
    there = [r for r in own if r is not None] or [(20.0, 40.0)]
    both = (min(low for low, _ in there), max(high for _, high in there))
    fixed = {name: _fixed(name) for name in SCALES[2:]}
    return tuple({"both": both, "own": r or both, **fixed} for r in own)


def _fixed(name: str) -> Range:
    low, _, high = name.partition(" to ")
    return float(low), float(high)


def _own(film: Thermogram | None) -> Range | None:
    if film is None:
        return None
    one = film.film
    ends = [one.signal.min(), one.signal.max()]
    low, high = (float(CELSIUS.from_si(t)) for t in shown(one.camera, np.array(ends)))
    low = float(np.floor(low))
    return low, max(float(np.ceil(high)), low + LEAST_SPAN)


def _side(key: str, s: Scenario, film: Thermogram | None, held: str, ranges: Any) -> Data:
    head = {"key": key, "title": s.needle.title, "held": held, "scales": ranges}
    if film is None:
        return head
    one = film.film
    count, rows, columns = one.signal.shape
    every = -(-count * rows * columns // BUDGET)
    skin, camera = one.skin, one.camera
    times = one.time[::every]
    return head | {
        "every": every,
        "shape": [len(times), rows, columns],
        "times": times,
        "pixel": camera.pixel * 1e3,
        "x0": float(one.x[0]) * 1e3,
        "y0": float(one.y[0]) * 1e3,
        "pictures": _sent(shown(camera, one.signal[::every])),
        "warm": _sent(np.array([skin.at(float(t)) for t in times])),
        "edges": skin.edges * 1e3,
        "radius": skin.radius * 1e3,
        "angles": len(skin.angles),
        "side": camera.side,
        "setting": _setting(s),
        "curves": _curves(film),
        "boiled": _boiled(s),
    }


def _boiled(s: Scenario) -> float | None:
    return store.result(s).heat.boiled if store.known(s, "heat", FULL) else None


def _sent(kelvin: Floats) -> NDArray[np.uint16]:
    hundredths = np.clip(np.rint(kelvin * HUNDREDTHS), 0, 65535)
    return np.asarray(hundredths.astype(np.uint16))


def _curves(film: Thermogram) -> Data:
    zero = float(CELSIUS.offset)
    whole = film.whole
    return {
        "x": whole.time,
        "seen": whole.hottest - zero,
        "low": whole.hottest - whole.bar - zero,
        "high": whole.hottest + whole.bar - zero,
        "true": whole.true - zero,
    }


def _setting(s: Scenario) -> str:
    camera = s.thermal_camera
    side = float(DEG.from_si(camera.side))
    where = {0.0: "from the side under load", 180.0: "from behind"}.get(side, f"from {side:.0f}°")
    return (
        f"{s.needle.title}, seen {where}, {MM.show(camera.pixel)} a pixel, emissivity set to "
        f"{camera.set_emissivity:g}"
    )
