"""Judging answers: right, partly or wrong, and what each answer tells."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from tipsim.lesson import curves, goals
from tipsim.lesson.ask import Asked
from tipsim.lesson.format import (
    ChoiceItem,
    GoalItem,
    Item,
    MatchItem,
    NumberItem,
    OrderItem,
    PlaceItem,
    SketchItem,
    Text,
    Tolerance,
    Wrong,
)
from tipsim.lesson.quantities import solved
from tipsim.lesson.units import read_number
from tipsim.setup.errors import BadInput

RIGHT, PARTLY, WRONG = "right", "partly", "wrong"
VERDICTS = (RIGHT, PARTLY, WRONG)
_EDGE = 1e-9
"""Share by which a number may lie beyond its tolerance: rounding of floats, no more."""


@dataclass(frozen=True)
class Judged:
    """What an answer is worth.

    Attributes
    ----------
    verdict : str
        One of `VERDICTS`.
    feedback : tuple of str
        Markdown, the most telling first.
    """

    verdict: str
    feedback: tuple[str, ...]


def score(asked: Asked, given: Any) -> Judged:
    """Judge an answer.

    Parameters
    ----------
    asked : Asked
    given : plain data, by kind
        ``one``: id of a choice. ``several``: list of ids. ``number``: text or number.
        ``order``: list of the entries' ids. ``match``: id of a right side by pair. ``place``: mm
        from the end. ``sketch``: list of [mm from the end, height]. ``goal``: settings by side,
        as links hold them.

    Returns
    -------
    Judged

    Raises
    ------
    BadInput
        When it is no answer at all: nothing is to be stored then, and the learner told.

    Examples
    --------
    >>> from tipsim.lesson.ask import ask
    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["drive-to-stroke"]
    >>> asked = ask(lesson, lesson.items["stroke-power-number"], 1)
    >>> score(asked, f"{asked.truth} µm").verdict, score(asked, 2 * asked.truth).verdict
    ('right', 'wrong')
    """
    return _KINDS[asked.item.kind](asked, asked.item, given)


def _one(asked: Asked, item: Item, given: Any) -> Judged:
    assert isinstance(item, ChoiceItem)
    choice = next((c for c in item.choices if c.id == given), None)
    if choice is None:
        raise BadInput("answer", "none of the choices", "one of the choices")
    right = choice.id in asked.right_choices
    return _judged(asked, right, False, [choice.feedback], own=True)


def _several(asked: Asked, item: Item, given: Any) -> Judged:
    assert isinstance(item, ChoiceItem)
    known = {c.id for c in item.choices}
    if not isinstance(given, list) or not given or not set(map(str, given)) <= known:
        raise BadInput("answer", "none of the choices", "one or more of the choices")
    ticked, right = set(given), asked.right_choices
    off = [c.feedback for c in item.choices if (c.id in ticked) != (c.id in right)]
    hits = len(ticked & right) - len(ticked - right)
    return _judged(asked, not off, hits > 0, off)


def _number(asked: Asked, item: Item, given: Any) -> Judged:
    assert isinstance(item, NumberItem)
    assert asked.truth is not None
    value = read_number(_typed(given), item.unit)
    if near(asked, value, asked.truth, item.tolerance):
        return _judged(asked, True, False, [])
    return _judged(
        asked, False, False, [_telling(asked, value, item.wrong, item.otherwise, item.tolerance)]
    )


def _typed(given: Any) -> str:
    if isinstance(given, bool) or not isinstance(given, int | float | str):
        raise BadInput("answer", "missing", "a number")
    return given if isinstance(given, str) else f"{given:.15g}"


def _place(asked: Asked, item: Item, given: Any) -> Judged:
    assert isinstance(item, PlaceItem)
    value = read_number(_typed(given), "mm")
    nearest = min(asked.truths, key=lambda t: abs(t - value))
    if near(asked, value, nearest, item.tolerance):
        return _judged(asked, True, False, [])
    return _judged(
        asked, False, False, [_telling(asked, value, item.wrong, item.otherwise, item.tolerance)]
    )


def near(asked: Asked, value: float, truth: float, tolerance: Tolerance) -> bool:
    """Tell whether a value is within the tolerance of a truth; the edge is within."""
    allowed = asked.tolerance(tolerance, truth)
    return abs(value - truth) <= allowed + _EDGE * max(allowed, abs(truth))


def _telling(
    asked: Asked, value: float, wrong: Iterable[Wrong], otherwise: Text, tolerance: Tolerance
) -> Text:
    """Give the feedback of the first typical wrong value that this one is, or the general one."""
    for each in wrong:
        if near(asked, value, asked.number(each.value, asked.truth), tolerance):
            return each.feedback
    return otherwise


def _order(asked: Asked, item: Item, given: Any) -> Judged:
    assert isinstance(item, OrderItem)
    right = asked.right_order
    if not isinstance(given, list) or sorted(map(str, given)) != sorted(right):
        raise BadInput("answer", "not all in order", "every entry, once")
    off = [id for id, wanted in zip(given, right, strict=True) if id != wanted]
    first = [e.feedback for e in item.entries if off and e.id == off[0]]
    # One swap of neighbours is nearly right: two entries are off, side by side.
    places = [i for i, (g, r) in enumerate(zip(given, right, strict=True)) if g != r]
    swap = len(places) == 2 and places[1] - places[0] == 1
    return _judged(asked, not off, swap, first)


def _match(asked: Asked, item: Item, given: Any) -> Judged:
    assert isinstance(item, MatchItem)
    texts = dict(asked.rights)
    if not isinstance(given, Mapping) or {str(k) for k in given} != {p.id for p in item.pairs}:
        raise BadInput("answer", "not complete", "a partner for every one")
    if not all(isinstance(v, str) and v in texts for v in given.values()):
        raise BadInput("answer", "not one of the partners", "a partner for every one")
    off = [p.feedback for p in item.pairs if texts[given[p.id]] != asked.fill(p.right)]
    return _judged(asked, not off, len(off) * 2 <= len(item.pairs), off)


def _sketch(asked: Asked, item: Item, given: Any) -> Judged:
    assert isinstance(item, SketchItem)
    side = solved(asked.values.sides[item.on])
    drawn = curves.read_sketch(given, float(side.from_end[0]))
    off = [c.feedback for c in item.criteria if not curves.meets(c, drawn, side, item.of)]
    return _judged(asked, not off, len(off) < len(item.criteria), off)


def _goal(asked: Asked, item: Item, given: Any) -> Judged:
    assert isinstance(item, GoalItem)
    set_up = goals.set_by(asked, item, given)
    off = [c.feedback for c in item.conditions if not set_up.holds(c.that)]
    return _judged(set_up, not off, len(off) < len(item.conditions), off)


def _judged(
    asked: Asked, right: bool, partly: bool, telling: Iterable[Text], own: bool = False
) -> Judged:
    """Join verdict and feedback; `own`: the feedback of a choice stands before the item's."""
    verdict = RIGHT if right else PARTLY if partly else WRONG
    texts = [*telling] if not right or own else []
    if right and asked.item.right:
        texts.append(asked.item.right)
    return Judged(verdict, tuple(asked.fill(t) for t in texts if t))


_KINDS: Mapping[str, Callable[[Asked, Item, Any], Judged]] = {
    "one": _one,
    "several": _several,
    "number": _number,
    "order": _order,
    "match": _match,
    "place": _place,
    "sketch": _sketch,
    "goal": _goal,
}
