"""The bench at a glance: who swings, who whips, and three strokes."""

from __future__ import annotations

from collections.abc import Sequence

from tipsim.app.framework.belief import KEYS, beyond_belief, outside, uncompared
from tipsim.app.framework.glance import Glance, number
from tipsim.app.framework.words import SILENT, character_word, micro
from tipsim.app.pages.bench.state import BenchPageState
from tipsim.solve import Result


def at_a_glance(state: BenchPageState) -> Glance:
    """Return the headline and the three numbers of each needle."""
    every = state.every
    return Glance(
        of_several(every) if len(every) > 2 else headline(*every),
        [
            number("motion.end_stroke", *every),
            number("motion.shaft_stroke", *every, label="Shaft, sideways"),
            number("motion.end_speed", *every),
        ],
        " ".join(beyond_belief(*every)),
    )


def of_several(results: Sequence[Result]) -> str:
    r"""Return in a sentence which of three or four needles moves most, and which least.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> shapes = ("single-bend", "counter-bent", "straight")
    >>> said = of_several([solve(Scenario.preset(f"{s}, torsional")) for s in shapes])
    >>> said.replace("\N{NO-BREAK SPACE}", " ").partition(": ")[2]
    "A's shaft moves most, 84.8 µm, C's least; B's tip moves most, 178 µm."
    """
    if any(map(outside, results)):
        return uncompared(*results)
    drives = {
        (r.scenario.drive.kind, r.scenario.drive.frequency, r.scenario.drive.power) for r in results
    }
    count = {3: "Three needles", 4: "Four needles"}[len(results)]
    front = f"{count}, {'one drive' if len(drives) == 1 else 'not all driven alike'}"
    shafts = {k: r.motion.character.shaft_stroke for k, r in zip(KEYS, results, strict=False)}
    tips = {k: r.motion.end_stroke for k, r in zip(KEYS, results, strict=False)}
    if max(*shafts.values(), *tips.values()) < SILENT:
        return f"{front}: none moves sideways."
    most, least, tip = (
        max(shafts, key=shafts.__getitem__),
        min(shafts, key=shafts.__getitem__),
        max(tips, key=tips.__getitem__),
    )
    if shafts[most] - shafts[least] < SILENT:
        return f"{front}: the shafts move alike; {tip}'s tip moves most, {_um(tips[tip])}."
    return (
        f"{front}: {most}'s shaft moves most, {_um(shafts[most])}, {least}'s least; "
        f"{tip}'s tip moves most, {_um(tips[tip])}."
    )


def _um(value: float) -> str:
    return f"{micro(value)}\N{NO-BREAK SPACE}µm"


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
    end, shaft = map(_um, strokes)
    if m.character.pendular_share is None or m.character.shaft_stroke < SILENT:
        return f"{key}'s tip moves {end} and its shaft stays straight"
    if character_word(m) == "pendular":
        return f"{key}'s shaft swings {shaft}"
    return f"{key}'s shaft moves {shaft} and its tip whips {end}"
