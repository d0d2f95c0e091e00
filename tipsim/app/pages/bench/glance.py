"""The bench at a glance: who swings, who whips, and three strokes."""

from __future__ import annotations

from tipsim.app.framework.belief import beyond_belief, outside, uncompared
from tipsim.app.framework.glance import Glance, number
from tipsim.app.framework.stage.stage import StageState
from tipsim.app.framework.words import SILENT, character_word, micro
from tipsim.solve import Result


def at_a_glance(state: StageState) -> Glance:
    """Return the headline and the three numbers of both needles."""
    a, b = state.results
    return Glance(
        headline(a, b),
        [
            number("motion.end_stroke", a, b),
            number("motion.shaft_stroke", a, b, "Shaft, sideways"),
            number("motion.end_speed", a, b),
        ],
        " ".join(beyond_belief(a, b)),
    )


def in_words(a: Result, b: Result) -> str:
    """Return without any number how the two move.

    >>> from tipsim import Scenario, solve
    >>> pair = (Scenario.preset(f"{s}, torsional") for s in ("single-bend", "counter-bent"))
    >>> in_words(*map(solve, pair))
    "Same drive. A's whole shaft swings; B's shaft stays quiet and its tip whips."
    """
    words = {
        "pendular": "'s whole shaft swings",
        "whip-like": "'s shaft stays quiet and its tip whips",
    }
    said = [f"{k}{words.get(character_word(r.motion), ' moves')}" for k, r in (("A", a), ("B", b))]
    return f"Same drive. {'; '.join(said)}."


def headline(a: Result, b: Result) -> str:
    r"""Return in a sentence how the two move.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> pair = (Scenario.preset(f"{s}, torsional") for s in ("single-bend", "straight"))
    >>> headline(*map(solve, pair)).split("; ")[1]
    'B only turns about its own axis.'
    """
    if outside(a) or outside(b):
        return uncompared(a, b)
    drives = [(r.scenario.drive.kind, r.scenario.drive.frequency) for r in (a, b)]
    powers = [r.scenario.drive.power for r in (a, b)]
    same = drives[0] == drives[1]
    front = "Different drives." if not same else "Same drive."
    if same and powers[0] != powers[1]:
        front = "Same drive, different power."
    parts = [_one(key, r) for key, r in (("A", a), ("B", b))]
    if parts[0][1:] == parts[1][1:]:
        return f"{front} Both move alike: {_plain(parts[0])}."
    return f"{front} {parts[0]}; {parts[1]}."


def _plain(words: str) -> str:
    return words.replace("A's", "the", 1).replace("A ", "each ", 1)


def _one(key: str, r: Result) -> str:
    m = r.motion
    if outside(r):
        return f"{key} is outside of what the model can tell"
    if m.end_stroke < SILENT:
        turns = "only turns about its own axis" if m.edge_stroke >= SILENT else "stands still"
        return f"{key} {turns}"
    strokes = (m.end_stroke, m.character.shaft_stroke)
    end, shaft = (f"{micro(v)}\N{NO-BREAK SPACE}µm" for v in strokes)
    if m.character.pendular_share is None or m.character.shaft_stroke < SILENT:
        return f"{key}'s tip moves {end} and its shaft stays straight"
    if character_word(m) == "pendular":
        return f"{key}'s shaft swings {shaft}"
    return f"{key}'s shaft moves {shaft} and its tip whips {end}"
