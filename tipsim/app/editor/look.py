"""What the needle would do: a quick look with the model, in numbers and words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from tipsim import store
from tipsim.app.editor.put import trial
from tipsim.app.words import character_word, micro
from tipsim.motion.nearby import NearMode, near_modes
from tipsim.setup import catalogue
from tipsim.setup.errors import BadInput
from tipsim.setup.material import titanium
from tipsim.setup.needle import Needle
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.solve import Result

Data = dict[str, Any]

NEAR = 1e3
"""Distance to a natural frequency that is warned of [Hz]; a convention."""
STILL = 1e-9
"""An end stroke below this is rounding, not motion [m]."""


def _near(scenario: Scenario) -> tuple[NearMode, ...]:
    key = store.Key("near modes", store.key(scenario, "motion"))
    return store.keep(key, lambda: near_modes(scenario, NEAR))


def look(needle: Needle, thorough: bool = False) -> Data:
    """Solve a needle under the torsional drive of the catalogue.

    Parameters
    ----------
    needle : Needle
    thorough : bool
        Also how delicate it is and what natural frequencies are near: ten times as long.

    Returns
    -------
    dict
        ``setting``, ``standing`` ("predicted", "fitted") and ``standing_why``; ``rows`` of ``id``,
        ``label``, ``value``, ``note``, ``warning``; ``thorough``: one more row, or None when it was
        not asked for.

    Examples
    --------
    >>> found = look(catalogue.needle("counter-bent-0.9"))
    >>> found["standing"], found["rows"][0]["value"]
    ('fitted', '193 µm')
    """
    # The same needle under another name need not be solved again.
    scenario, sleeve = trial(replace(needle, id="tried", title="tried"))
    try:
        result = store.result(scenario)
        rows = _rows(result)
        deeper = _deeper(result) if thorough else None
    except (BadInput, np.linalg.LinAlgError) as error:
        return {"trouble": f"This needle cannot be solved: {error}"}
    standing, why = _standing(needle)
    drive = scenario.drive
    return {
        "setting": f"{drive.frequency / 1e3:g} kHz torsional drive, full power. {sleeve}",
        "standing": standing,
        "standing_why": why,
        "rows": rows,
        "thorough": deeper,
    }


def _rows(r: Result) -> list[Data]:
    c = r.motion.character
    share = ""
    if c.pendular_share is not None and c.whip_share is not None:
        share = f"{c.pendular_share:.0%} in the shaft, {c.whip_share:.0%} beyond the first bend"
    return [
        _row("end", "End stroke", f"{micro(r.motion.end_stroke)} µm", "peak to peak", _too_fast(r)),
        _row("shaft", "Shaft, sideways", f"{micro(c.shaft_stroke)} µm", "largest, peak to peak"),
        _row("character", "Character", character_word(r.motion), share),
        _row("stress", "Peak stress", f"{r.stress.peak / 1e6:.0f} MPa", *_fatigue(r)),
    ]


def _row(id: str, label: str, value: str, note: str, warning: str = "") -> Data:
    return {"id": id, "label": label, "value": value, "note": note, "warning": warning}


def _too_fast(r: Result) -> str:
    top = number("published.top_speed")
    if r.motion.end_speed <= top.si:
        return ""
    return f"{r.motion.end_speed:.0f} m/s: faster than the {top.value:g} m/s quoted for any needle"


def _fatigue(r: Result) -> tuple[str, str]:
    """Give the share of the fatigue strength, and a warning where the metal would not last."""
    if r.scenario.needle.material.name != titanium().name:
        return "fatigue strength known for titanium only", ""
    strength = number("fatigue.smooth")
    peak = r.stress.peak / strength.unit.to_si(1)
    low, high = peak / strength.high, peak / strength.low
    note = f"{peak / strength.value:.0%} of fatigue strength ({low:.0%} to {high:.0%})"
    return (
        note,
        "above it: could crack within minutes at full power" if peak > strength.value else "",
    )


def _deeper(r: Result) -> Data:
    """Say how delicate the end stroke is, and what natural frequency is near."""
    if r.motion.end_stroke < STILL:
        return _row("delicate", "If 1 % is off", "–", "the end stands still", _resonance(r))
    found = r.sensitivity
    worst = max(found.effects, key=lambda e: e.largest)
    word = "delicate" if found.delicate else "steady"
    note = f"{worst.what}: changes the end stroke by up to {worst.largest:.0%}"
    return _row("delicate", "If 1 % is off", word, note, _resonance(r))


def _resonance(r: Result) -> str:
    """Warn of the nearest natural frequency that this drive excites."""
    drive = r.scenario.drive.frequency
    for mode in _near(r.scenario):
        if mode.driven:
            away = abs(mode.frequency - drive) / 1e3
            return (
                f"natural frequency at {mode.frequency / 1e3:.1f} kHz, {away:.1f} kHz from the "
                "drive: near a resonance strokes are not to be trusted"
            )
    return ""


def _standing(needle: Needle) -> tuple[str, str]:
    """Tell whether the numbers were fitted: the default pair's geometry was chosen on them."""
    c = catalogue.catalogue()
    for shape in ("single-bend", "counter-bent"):
        known = c.needles[c.main[shape]]
        if needle == replace(known, id=needle.id, title=needle.title):
            return "fitted", (
                f"This is still the catalogue's {shape} needle, which was chosen on these strokes: "
                "fitted, not predicted."
            )
    return "predicted", (
        "The hub's motion is the catalogue's: fitted once, on the single-bend 20° needle."
    )
