"""The motion of both needles in plain sentences, for those who cannot see it and for all others."""

from __future__ import annotations

from tipsim.motion.markers import AGAINST, WITH
from tipsim.motion.run import Motion
from tipsim.quantities.motion import character_word as character_word
from tipsim.setup.scenario import Scenario
from tipsim.solve import Result

SILENT = 0.05e-6
"""Strokes below this are not worth a sentence [m]."""


def listed(items: list[str]) -> str:
    """Join words as one says them.

    >>> listed(["1", "2", "3"]), listed(["1"]), listed([])
    ('1, 2 and 3', '1', '')
    """
    return f"{', '.join(items[:-1])} and {items[-1]}" if len(items) > 1 else "".join(items)


def micro(value: float) -> str:
    """Write a length in micrometres, two figures more than one can tell apart by eye."""
    return f"{value * 1e6:.0f}" if value >= 99.5e-6 else f"{value * 1e6:.1f}"


def side_sentences(result: Result) -> list[str]:
    """Tell how one needle moves, in short sentences.

    Parameters
    ----------
    result : Result

    Returns
    -------
    list of str
        Sentences.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> for line in side_sentences(solve(Scenario.preset("straight, axial"))):
    ...     print(line)
    The end travels 90.0 µm peak to peak, at most 11.3 m/s.
    All markers move with the end.
    The shaft does not move sideways.
    """
    scenario, m = result.scenario, result.motion
    if m.end_stroke < SILENT and m.edge_stroke < SILENT:
        return [f"Nothing moves at {scenario.drive.power * 100:g} % power."]
    if m.end_stroke < SILENT:
        return [f"It only turns about its own axis; the mouth's edge by {micro(m.edge_stroke)} µm."]
    out = [f"The end travels {micro(m.end_stroke)} µm peak to peak, at most {m.end_speed:.1f} m/s."]
    out += _markers(m)
    out += _shaft(scenario, m)
    if m.still_points:
        places = listed([f"{n * 1e3:.1f}" for n in m.still_points])
        out.append(f"It stands still sideways {places} mm from the end.")
    return out


def _markers(m: Motion) -> list[str]:
    ways: dict[str, list[str]] = {}
    for i, k in enumerate(m.markers, 1):
        ways.setdefault(k.direction, []).append(str(i))
    if set(ways) <= {WITH}:
        return ["All markers move with the end."]
    words = {WITH: "with the end", AGAINST: "against it"}
    parts = [f"{listed(numbers)} {words.get(way, way)}" for way, numbers in ways.items()]
    return [f"Markers, counted from the end: {'; '.join(parts)}."]


def _shaft(scenario: Scenario, m: Motion) -> list[str]:
    c = m.character
    if c.pendular_share is None:
        return ["The shaft does not move sideways."]
    if scenario.needle.first_bend == scenario.needle.length:
        return [f"The shaft moves sideways by up to {micro(c.shaft_stroke)} µm."]
    return [
        f"The shaft moves sideways by up to {micro(c.shaft_stroke)} µm.",
        f"It is {character_word(m)}: {c.pendular_share:.0%} of the sideways energy in the shaft.",
    ]


def comparison_sentences(a: Result, b: Result) -> list[str]:
    """Return how the two differ, in a sentence for each stroke that both have.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> one, other = Scenario.preset("single-bend, torsional"), Scenario.preset("straight, axial")
    >>> comparison_sentences(solve(one), solve(other))
    ["A's end travels 1.4 times as far as B's."]
    """
    ma, mb = a.motion, b.motion
    strokes = (
        ("end travels", ma.end_stroke, mb.end_stroke),
        ("shaft moves sideways", ma.character.shaft_stroke, mb.character.shaft_stroke),
    )
    return [_times(what, x, y) for what, x, y in strokes if min(x, y) > SILENT]


def _times(what: str, a: float, b: float) -> str:
    """Return which moves farther, by how many times: a number above one is easier to read."""
    if 0.95 < b / a < 1.05:
        return f"B's {what} about as far as A's."
    if b > a:
        return f"B's {what} {b / a:.2g} times as far as A's."
    return f"A's {what} {a / b:.2g} times as far as B's."
