"""The drawing board at a glance: what the needle would do, in a sentence and three numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tipsim import store
from tipsim.app.framework.belief import outside, shown
from tipsim.app.framework.glance import Glance, Number
from tipsim.app.framework.words import character_word
from tipsim.app.pages.needle.outcome import STILL, trial
from tipsim.app.pages.needle.state import NeedleState
from tipsim.quantities import quantity
from tipsim.setup.errors import BadInput
from tipsim.solve import Result

WORDS = {"pendular": "swings its whole shaft", "whip-like": "keeps its shaft quiet and whips"}
NUMBERS = {
    "motion.end_stroke": "Tip stroke",
    "motion.shaft_stroke": "Shaft, sideways",
    "stress.share_of_strength": "Share of the fatigue strength",
}


def at_a_glance(state: NeedleState) -> Glance:
    """Return the headline and three numbers of the needle that is drawn."""
    scenario, _ = trial(replace(state.shown, id="tried", title="tried"))
    try:
        result = store.result(scenario)
        numbers = [_number(name, label, result) for name, label in NUMBERS.items()]
        said = headline(result)
    except (BadInput, np.linalg.LinAlgError):
        said = "This needle cannot be computed: change a piece."
        numbers = [
            Number(n.replace(".", "-"), label, "", {"": "–"}) for n, label in NUMBERS.items()
        ]
    old = "" if state.possible else "Of the last needle that can be made: fix what is marked."
    return Glance(said, numbers, old)


def headline(r: Result) -> str:
    """Return in a sentence what a needle would do.

    Examples
    --------
    >>> found = at_a_glance(NeedleState.read({"edit": "b"})[0])
    >>> found.headline
    'Under torsional drive this needle keeps its shaft quiet and whips.'
    """
    if outside(r):
        return "Under torsional drive this needle's motion is outside the range of the model."
    if r.motion.end_stroke < STILL:
        return "Under torsional drive this needle only turns about its own axis."
    does = WORDS.get(character_word(r.motion), "moves without bending")
    over = r["stress.share_of_strength"] > 1
    more = " It would not last: its stress is above the fatigue strength." if over else ""
    return f"Under torsional drive this needle {does}.{more}"


def _number(name: str, label: str, r: Result) -> Number:
    q = quantity(name)
    return Number(name.replace(".", "-"), label, q.units, {"": shown(r, name, q.number(q.get(r)))})
