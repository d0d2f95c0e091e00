"""The right answer of an item, and any answer in words."""

from collections.abc import Callable, Mapping
from typing import Any

from tipsim.lesson import curves
from tipsim.lesson.ask import Asked, solution_of
from tipsim.lesson.fill import show_number
from tipsim.lesson.format import (
    ChoiceItem,
    GoalItem,
    MatchItem,
    NumberItem,
    OrderItem,
    PlaceItem,
    SketchItem,
)
from tipsim.lesson.quantities import solved

_CURVE = {"stroke": "the stroke", "sideways": "the sideways stroke"}


def right_answer(asked: Asked) -> Any:
    """Give a right answer, as `score` takes answers.

    Examples
    --------
    >>> from tipsim.lesson.ask import ask
    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["drive-to-stroke"]
    >>> right_answer(ask(lesson, lesson.items["stroke-paper"], 0))
    'c3'
    """
    item = asked.item
    if isinstance(item, ChoiceItem):
        ids = [c for c in asked.choices if c in asked.right_choices]
        return ids[0] if item.kind == "one" else ids
    if isinstance(item, NumberItem | PlaceItem):
        return asked.truth
    if isinstance(item, OrderItem):
        return list(asked.right_order)
    if isinstance(item, MatchItem):
        by_text = {text: id for id, text in asked.rights}
        return {p.id: by_text[asked.fill(p.right)] for p in item.pairs}
    if isinstance(item, SketchItem):
        side = solved(asked.values.sides[item.on])
        return curves.as_points(curves.model_curve(side, item.of), float(side.from_end[0]))
    assert isinstance(item, GoalItem)
    return solution_of(asked, item.solution).values.sides


def in_words(asked: Asked, given: Any) -> str:
    """Write an answer that `score` has taken as Markdown, such as "130 µm peak to peak".

    Examples
    --------
    >>> from tipsim.lesson.ask import ask
    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["drive-to-stroke"]
    >>> asked = ask(lesson, lesson.items["stroke-seen-straight"], 0)
    >>> in_words(asked, right_answer(asked))
    'It stayed in its place and turned.'
    """
    return _WORDS[asked.item.kind](asked, given)


def _choice(asked: Asked, given: Any) -> str:
    assert isinstance(asked.item, ChoiceItem)
    ticked = given if isinstance(given, list) else [given]
    texts = {c.id: c.text for c in asked.item.choices}
    return "; ".join(asked.fill(texts[c]) for c in asked.choices if c in ticked)


def _number(asked: Asked, given: Any) -> str:
    item = asked.item
    assert isinstance(item, NumberItem)
    if isinstance(given, str):
        return given.strip()
    return " ".join(filter(None, (show_number(given, ".4g"), item.unit, item.means)))


def _place(_asked: Asked, given: Any) -> str:
    number = given if isinstance(given, str) else show_number(given, ".2f")
    return f"{number} mm from the end"


def _order(asked: Asked, given: Any) -> str:
    assert isinstance(asked.item, OrderItem)
    texts = {e.id: asked.fill(e.text) for e in asked.item.entries}
    return "; ".join(f"{i}. {texts[id]}" for i, id in enumerate(given, 1))


def _match(asked: Asked, given: Any) -> str:
    assert isinstance(asked.item, MatchItem)
    texts = dict(asked.rights)
    pairs = asked.item.pairs
    return "; ".join(f"{asked.fill(p.left)}: {texts[given[p.id]]}" for p in pairs)


def _sketch(asked: Asked, given: Any) -> str:
    item = asked.item
    assert isinstance(item, SketchItem)
    length = float(solved(asked.values.sides[item.on]).from_end[0])
    drawn = curves.read_sketch(given, length)
    place = show_number(int(drawn.argmax()) * length / (curves.PLACES - 1), ".1f")
    return f"a curve of {_CURVE[item.of]}, highest {place} mm from the end"


def _goal(asked: Asked, given: Mapping[str, Mapping[str, str]]) -> str:
    item = asked.item
    assert isinstance(item, GoalItem)
    shown = [
        f"{side.upper()}: {name} {given[side][name]}"
        for side in given
        for name in item.free
        if name in given[side]
    ]
    return ", ".join(shown) or "the bench as it was"


_WORDS: Mapping[str, Callable[[Asked, Any], str]] = {
    "one": _choice,
    "several": _choice,
    "number": _number,
    "order": _order,
    "match": _match,
    "place": _place,
    "sketch": _sketch,
    "goal": _goal,
}
