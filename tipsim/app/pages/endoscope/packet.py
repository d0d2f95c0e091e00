"""Two films and what was read from them for the browser, as plain data with arrays."""

from __future__ import annotations

from typing import Any

import numpy as np

from tipsim.app.framework.films import address
from tipsim.app.framework.packet import encode
from tipsim.app.pages.endoscope.state import EXAMPLES, EndoscopeState
from tipsim.setup.scenario import Scenario
from tipsim.tissue.endoscope import Study

Data = dict[str, Any]


def glimpsed(state: EndoscopeState) -> bytes:
    """Return one picture of each needle: what is there before the films are."""
    pictures = [p[None] for p in state.glimpses]
    return encode(_frame(state) | {"sides": _sides(state, pictures)})


def filmed(state: EndoscopeState) -> bytes:
    """Return both films with what the program read and what is true."""
    studies = state.studies
    sides = _sides(state, [study.film.pictures for study in studies])
    whole = [side | _read(study) for side, study in zip(sides, studies, strict=True)]
    return encode(_frame(state) | {"sides": whole, "filmed": True})


def _frame(state: EndoscopeState) -> Data:
    return {
        "example": state.example,
        "examples": [{"id": e.id, "title": e.title, "words": e.words} for e in EXAMPLES.values()],
        "zips": {side: f"{address('endoscope', state)}&film={side}" for side in "ab"},
        "filmed": False,
    }


def _sides(state: EndoscopeState, pictures: list[Any]) -> list[Data]:
    each = zip("ab", state.sides, pictures, strict=True)
    return [_side(key, scenario, seen) for key, scenario, seen in each]


def _side(key: str, scenario: Scenario, pictures: Any) -> Data:
    setting = scenario.endoscope
    return {
        "key": key,
        "title": scenario.needle.title.split(",")[0],
        "shape": list(pictures.shape),
        "pictures": pictures,
        "rate": setting.frame_rate,
        "region": [setting.region_x, setting.region_y, setting.region_size],
        "words": f"View of needle {key.upper()} along its sleeve: the sleeve bright with a dark "
        "mark, the edge of the iris below it; dark dots are specks.",
    }


def _read(study: Study) -> Data:
    film, count, light = study.film, study.count, study.brightness
    cut = np.cumsum([0, *count.found.each]).astype(np.int32)
    return {
        "time": film.time,
        "seen": count.seen,
        "low": np.maximum(count.seen - count.bar, 0),
        "high": count.seen + count.bar,
        "true": count.true,
        "spots": count.found.place,
        "cut": cut,
        "darker": 100 * light.seen,
        "pigment": 100 * light.true,
        "rest": light.level,
    }
