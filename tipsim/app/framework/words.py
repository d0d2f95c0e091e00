"""The motion of both needles in plain sentences, for those who cannot see it and for all others."""

from __future__ import annotations

from tipsim.app.framework.belief import outside
from tipsim.motion.markers import ACROSS, AGAINST, STILL, WITH, Marker
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


def percent(share: float) -> str:
    """Write a share in whole per cent.

    >>> percent(0.254)
    '25 %'
    """
    return f"{share * 100:.0f} %"


def motion_words(result: Result) -> list[str]:
    """Return how one needle moves, in short sentences.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> for line in motion_words(solve(Scenario.preset("straight, axial"))):
    ...     print(line)
    The tip moves 90.0 µm peak to peak, at most 11.3 m/s.
    All markers move in step with the tip.
    The shaft does not move sideways.
    """
    scenario, m = result.scenario, result.motion
    over = outside(result)
    if over:
        return [over, "Picture and numbers are held back."]
    if m.end_stroke < SILENT and m.edge_stroke < SILENT:
        return [f"Nothing moves at {scenario.drive.power * 100:g} % power."]
    if m.end_stroke < SILENT:
        edge = micro(m.edge_stroke)
        return [f"It only turns about its own axis; the edge of the opening moves {edge} µm."]
    return [
        f"The tip moves {micro(m.end_stroke)} µm peak to peak, at most {m.end_speed:.1f} m/s.",
        marker_words(m.markers),
        *_shaft(scenario, m),
        *still_words(m.still_points),
    ]


def way_words(direction: str) -> str:
    """Return which way a marker moves, as it is said on screen.

    >>> way_words(AGAINST)
    'out of step with the tip'
    """
    return _WAYS[direction]


_WAYS = {
    WITH: "in step with the tip",
    AGAINST: "out of step with the tip",
    ACROSS: "across the tip's motion",
    STILL: "still",
}


def marker_words(markers: tuple[Marker, ...]) -> str:
    """Return which markers move which way."""
    ways: dict[str, list[str]] = {}
    for i, k in enumerate(markers, 1):
        ways.setdefault(way_words(k.direction), []).append(str(i))
    if list(ways) == [way_words(WITH)]:
        return "All markers move in step with the tip."
    parts = [f"{listed(numbers)} {way}" for way, numbers in ways.items()]
    return f"Markers, counted from the tip: {'; '.join(parts)}."


def still_words(places: tuple[float, ...]) -> list[str]:
    """Return where there is no sideways motion; nothing where it is everywhere."""
    if not places:
        return []
    return [f"No sideways motion {listed([f'{n * 1e3:.1f}' for n in places])} mm from the tip."]


def _shaft(scenario: Scenario, m: Motion) -> list[str]:
    c = m.character
    if c.pendular_share is None:
        return ["The shaft does not move sideways."]
    size = f"The shaft moves sideways by up to {micro(c.shaft_stroke)} µm."
    if scenario.needle.first_bend == scenario.needle.length:
        return [size]
    word = {"pendular": "The shaft swings (pendulum)", "whip-like": "The tip whips"}
    share = f"{percent(c.pendular_share)} of the sideways energy in the shaft."
    return [size, f"{word[character_word(m)]}: {share}"]


def comparison_sentences(a: Result, b: Result) -> list[str]:
    """Return how the two differ, in a sentence for each stroke that both have.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> one, other = Scenario.preset("single-bend, torsional"), Scenario.preset("straight, axial")
    >>> comparison_sentences(solve(one), solve(other))
    ["A's tip moves 1.4 times as far as B's."]
    """
    ma, mb = a.motion, b.motion
    if outside(a) or outside(b):
        return ["Not compared: a motion outside the range of the model has no numbers."]
    strokes = (
        ("tip moves", ma.end_stroke, mb.end_stroke),
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
