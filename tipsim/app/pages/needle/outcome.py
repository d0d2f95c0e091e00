"""What the needle would do by the model, and what it measures: for two texts of the page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from tipsim import store
from tipsim.app.framework.belief import outside
from tipsim.app.framework.numbers import MOTION, sources
from tipsim.app.pages.needle.state import NeedleState
from tipsim.motion.nearby import NearMode, near_modes
from tipsim.motion.sensitivity import DELICATE
from tipsim.quantities import quantity
from tipsim.quantities.declare import NONE
from tipsim.setup import catalogue
from tipsim.setup.errors import BadInput
from tipsim.setup.material import titanium
from tipsim.setup.measures import least_bend_radius, least_wall, metal_mass
from tipsim.setup.needle import Needle
from tipsim.setup.presets import fitting_sleeve, preset
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import DEG, MM
from tipsim.solve import Result

Row = dict[str, str]
NEAR = 1e3
"""Distance to a natural frequency that is warned of [Hz]; a convention."""
TOLERANCE = (
    "The tip stroke is computed again with frequency, stiffness and length 1 % smaller and larger, "
    f"one at a time. Over {100 * DELICATE:g} % is called sensitive: a convention of ours."
)
"""Where the row on tolerance comes from."""
OWN = "drawn"
"""Id of a needle that the catalogue does not have."""
DRAWN = {
    "what": "Your needle: pieces, walls and opening",
    "value": "as drawn",
    "status": "set here",
    "source": "Drawn or typed on this page, or read from a file.",
}
STILL = 1e-9
"""A tip stroke below this is rounding, not motion [m]."""


def trial(needle: Needle) -> tuple[Scenario, str]:
    """Return a needle under the catalogue's torsional drive, and a sentence on its sleeve."""
    sleeve, said = fitting_sleeve(needle)
    usual = preset("straight, torsional")
    name = f"{needle.id}, torsional"
    return replace(usual, name=name, needle=needle, sleeve=sleeve, markers=(0.0,)), said


def outcome(state: NeedleState, thorough: bool = False) -> dict[str, Any]:
    """Solve the needle and say what it would do.

    Parameters
    ----------
    state : NeedleState
    thorough : bool
        Also how sensitive it is and what natural frequencies are near: ten times as long.

    Returns
    -------
    dict
        For the template: ``rows`` of label, value, note, warning; or ``trouble``, a sentence.

    Examples
    --------
    >>> found = outcome(NeedleState.read({"edit": "b"})[0])
    >>> found["standing"], found["rows"][0]["value"]
    ('fitted', '178 µm peak to peak')
    """
    needle = state.shown
    # The same needle under another name need not be solved again.
    scenario, sleeve = trial(replace(needle, id="tried", title="tried"))
    common = {"possible": state.possible, "rows": [], "trouble": ""}
    try:
        result = store.result(scenario)
        rows = [*_rows(result), _tolerance(result) if thorough else _off("…")]
    except (BadInput, np.linalg.LinAlgError) as error:
        return common | {"trouble": f"This needle cannot be solved: {error}"}
    standing, why = _standing(needle)
    khz = f"{scenario.drive.frequency / 1e3:g} kHz"
    setting = f"{khz} torsional drive, full power. {sleeve}"
    return common | {"rows": rows, "standing": standing, "why": why, "setting": setting}


def _rows(r: Result) -> list[Row]:
    shares = [quantity(f"motion.{name}_share") for name in ("pendular", "whip")]
    note = "; ".join(f"{q.label.lower()} {r.text(q.name)}" for q in shares if q.get(r) is not None)
    over = outside(r)
    if over:
        names = ("motion.end_stroke", "motion.shaft_stroke", "motion.character", "stress.peak")
        first, *others = (_row(name, NONE) for name in names)
        return [first | {"warning": f"{over} Numbers are held back."}, *others]
    return [
        _row("motion.end_stroke", r.text("motion.end_stroke")),
        _row("motion.shaft_stroke", r.text("motion.shaft_stroke")),
        _row("motion.character", r.text("motion.character"), note),
        _row("stress.peak", r.text("stress.peak"), *_fatigue(r)),
    ]


def _row(name: str, value: str, note: str = "", warning: str = "") -> Row:
    """Return the row of an output."""
    q = quantity(name)
    return _off(value, note, warning) | {"id": q.name, "label": q.label, "why": q.meaning}


def _off(value: str, note: str = "", warning: str = "") -> Row:
    """Return the row of what happens if something is off."""
    words = {"id": "tolerance", "label": "1 % tolerance", "why": TOLERANCE}
    return words | {"value": value, "note": note, "warning": warning}


def _fatigue(r: Result) -> tuple[str, str]:
    """Return the share of the fatigue strength, and a warning where the metal would not last."""
    if r.scenario.needle.material.name != titanium().name:
        return "fatigue strength known for titanium only", ""
    low, high = (f"{100 * share:.0f}" for share in r["stress.share_of_strength_range"])
    note = f"{r.text('stress.share_of_strength')} of fatigue strength ({low} to {high} %)"
    over = r["stress.share_of_strength"] > 1
    return note, "above it: could crack within minutes at full power" if over else ""


def _tolerance(r: Result) -> Row:
    """Return how sensitive the tip stroke is, and what natural frequency is near."""
    if outside(r):
        return _off(NONE, "", _resonance(r))
    if r.motion.end_stroke < STILL:
        return _off("–", "the tip does not move", _resonance(r))
    found = r.sensitivity
    worst = max(found.effects, key=lambda e: e.largest)
    word = "sensitive" if found.delicate else "steady"
    most = f"{100 * worst.largest:.0f}\N{NO-BREAK SPACE}%"
    note = f"1 % of {worst.what} changes the tip stroke by up to {most}"
    return _off(word, note, _resonance(r))


def _resonance(r: Result) -> str:
    """Warn of the nearest natural frequency that this drive excites."""
    drive = r.scenario.drive.frequency
    key = store.Key("near modes", store.key(r.scenario, "motion"))
    near: tuple[NearMode, ...] = store.keep(key, lambda: near_modes(r.scenario, NEAR))
    mode = next((mode for mode in near if mode.driven), None)
    if mode is None:
        return ""
    away = abs(mode.frequency - drive) / 1e3
    return (
        f"natural frequency at {mode.frequency / 1e3:.1f} kHz, {away:.1f} kHz from the drive: near "
        "a resonance strokes are not to be trusted"
    )


def _standing(needle: Needle) -> tuple[str, str]:
    """Return whether the numbers were fitted: the default pair's geometry was chosen on them."""
    main = catalogue.catalogue().main
    for shape in ("single-bend", "counter-bent"):
        if known_as(needle) == main[shape]:
            return "fitted", (
                f"This is still the catalogue's {shape} needle, which was chosen on these strokes: "
                "fitted, not predicted."
            )
    return "predicted", (
        "The hub's motion is the catalogue's: fitted once, on the single-bend 20° needle."
    )


def known_as(needle: Needle) -> str:
    """Return the id of the catalogue's needle that this one is, whatever it is called, or ""."""
    every = catalogue.catalogue().needles.items()
    return next(
        (id for id, n in every if needle == replace(n, id=needle.id, title=needle.title)), ""
    )


def origins(state: NeedleState) -> list[dict[str, str]]:
    """Return where the numbers of the needle and of its trial come from.

    Examples
    --------
    >>> origins(NeedleState.first().change("both", "draft.pieces.1.turn_deg", "25"))[0]["status"]
    'set here'
    """
    id = known_as(state.shown)
    needle = catalogue.needle(id) if id else replace(state.shown, id=OWN, title="Your needle")
    scenario, _ = trial(needle)
    rows = sources(scenario, groups=("fatigue.", "cavitation.", *MOTION))
    return rows if id else [DRAWN, *rows]


def summary(state: NeedleState) -> Mapping[str, Any]:
    """Return what the needle measures: rows of label and value.

    Examples
    --------
    >>> [value for _, value in summary(NeedleState.first())["rows"]][:4]
    ['single-bend', '17.7 mm', '20° to the left', '0.959 mm']
    """
    needle, metal = state.shown, state.draft.material
    bend = least_bend_radius(needle)
    aside = float(needle.points_at([needle.length])[0, 1])
    rows = [
        ("Shape", needle.shape),
        ("Length along the centreline", MM.show(needle.length)),
        ("Total turn", turned(needle.total_turn)),
        ("Tip off the hub's axis", MM.show(abs(aside), 3)),
        ("Thinnest wall", MM.show(least_wall(needle), 3)),
        ("Tightest bend, radius", MM.show(bend, 3) if bend else "none"),
        ("Mass of the metal", f"{metal_mass(needle) * 1e6:.3g} mg"),
        ("Metal", f"{metal.name}{'' if metal == titanium() else ', from the file'}"),
    ]
    return {"rows": rows, "possible": state.possible}


def turned(angle: float) -> str:
    """Return an angle [rad] and its side in words.

    >>> turned(0.0), turned(-0.34906585)
    ('none', '20° to the right')
    """
    if abs(angle) < 1e-9:
        return "none"
    return f"{DEG.show(abs(angle))} to the {'left' if angle > 0 else 'right'}"
