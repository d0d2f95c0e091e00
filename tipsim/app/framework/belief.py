"""What screens show of a motion that is not to be believed: one sentence, and a needle at rest."""

from __future__ import annotations

from dataclasses import replace

from tipsim.motion.ceilings import sentence
from tipsim.motion.markers import track
from tipsim.motion.run import Motion
from tipsim.quantities.declare import NONE
from tipsim.setup.errors import BadInput
from tipsim.solve import Result

KEYS = "ABCD"
"""Letters of the needles that can stand side by side."""
HELD_PARTS = ("motion", "stress", "sensitivity", "heat", "thermogram", "iris", "cutting", "wound")
"""Outputs that say nothing once the motion is outside the model's range."""


def outside(result: Result, whose: str = "This motion") -> str:
    """Return in one sentence which limits a motion passes; "" where it can be believed.

    >>> from tipsim import Scenario, solve
    >>> one = Scenario.preset("single-bend, torsional")
    >>> outside(solve(one))
    ''
    >>> outside(solve(one.with_(**{"ceilings.speed": 5.0})), "A's motion")[:62]
    "A's motion is outside the range of the linear model: tip speed"
    """
    return sentence(tuple(c for c in result.limits if c.passed), whose)


def beyond_belief(*results: Result) -> list[str]:
    """Return a warning for each needle whose motion is outside the range of the model.

    >>> from tipsim import Scenario, solve
    >>> one = Scenario.preset("single-bend, torsional").with_(**{"ceilings.speed": 5.0})
    >>> beyond_belief(solve(one), solve(Scenario.preset("straight, torsional")))[0][:33]
    "A's motion is outside the range o"
    """
    each = (outside(r, f"{key}'s motion") for key, r in zip(KEYS, results, strict=False))
    return [f"{text} {WHY}" for text in each if text]


WHY = (
    "As a rule it is near a resonance. Picture and numbers are held back; less power, another "
    "frequency or other settings bring them back."
)


def withheld(result: Result, name: str) -> bool:
    """Return whether an output says nothing, since the motion is outside the model's range."""
    return name.partition(".")[0] in HELD_PARTS and bool(outside(result))


def shown(result: Result, name: str, text: str) -> str:
    """Return the text of an output as screens show it: withheld where it says nothing."""
    return NONE if withheld(result, name) else text


def uncompared(*results: Result) -> str:
    """Return a headline for needles of which a motion is outside the range; "" where none is.

    >>> from tipsim import Scenario, solve
    >>> one = Scenario.preset("single-bend, torsional").with_(**{"ceilings.speed": 5.0})
    >>> uncompared(solve(one), solve(one))
    "Not compared: A's and B's motion is outside the range of the linear model."
    """
    over = [f"{key}'s" for key, r in zip(KEYS, results, strict=False) if outside(r)]
    whose = " and ".join(filter(None, [", ".join(over[:-1]), *over[-1:]]))
    return whose and f"Not compared: {whose} motion is outside the range of the linear model."


def believed(result: Result) -> Motion:
    """Return the motion as pictures show it: at rest where it is outside the model's range."""
    motion = result.motion
    if not outside(result):
        return motion
    still = motion.vibration.scaled(0.0)
    return replace(
        motion,
        vibration=still,
        markers=track(still, result.scenario.markers),
        still_points=(),
        edge_stroke=0.0,
    )


def not_drawn(result: Result) -> str:
    """Return what stands over a picture that is held back; "" where the motion can be believed.

    >>> from tipsim import Scenario, solve
    >>> one = Scenario.preset("single-bend, torsional").with_(**{"ceilings.speed": 5.0})
    >>> not_drawn(solve(one))[:21]
    'Not drawn: tip speed '
    """
    over = ", ".join(c.words for c in result.limits if c.passed)
    return over and f"Not drawn: {over}."


def check_filmed(result: Result, key: str) -> None:
    """Refuse to save a film of a motion that is not to be believed: it would show another one.

    Parameters
    ----------
    key : str
        The needle's letter.

    Raises
    ------
    BadInput
        Saying which limits the motion passes.
    """
    if outside(result):
        allowed = "a motion within the range of the model"
        raise BadInput(f"{key.upper()}'s film", not_drawn(result), allowed)


def bubbles(result: Result, whose: str = "") -> list[str]:
    """Return a warning where bubbles are likely, in a sentence for film and tip together.

    >>> from tipsim import Scenario, solve
    >>> bubbles(solve(Scenario.preset("straight, torsional")))
    []
    >>> one = solve(Scenario.preset("single-bend, torsional"))
    >>> bubbles(one, "A")[0].startswith("A: bubbles are likely in ")
    True
    """
    found = result.cavitation
    if outside(result) or not (found.in_film or found.at_tip):
        return []
    where, doubt = [], ""
    if found.in_film:
        share = result.text("cavitation.film_share")
        where.append(f"in {share} of the sleeve's length (up to {_pressure(result, 'film')})")
        doubt = " There the film's law, and the heat that follows from it, is doubtful."
    if found.at_tip:
        where.append(f"at the tip ({_pressure(result, 'tip')})")
    bears = _pressure(result, "threshold")
    start = f"{whose}: bubbles" if whose else "Bubbles"
    return [f"{start} are likely {' and '.join(where)}; the fluid bears {bears}.{doubt}"]


def _pressure(result: Result, name: str) -> str:
    return result.text(f"cavitation.{name}").removesuffix(" amplitude")


def bubble_words(*results: Result) -> list[str]:
    """Return the warnings of all needles."""
    return [text for key, r in zip(KEYS, results, strict=False) for text in bubbles(r, key)]
