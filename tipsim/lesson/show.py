"""Items and lessons as plain data with HTML, for a page or a print; answers only on request."""

from collections.abc import Mapping
from typing import Any

from tipsim.lesson import curves
from tipsim.lesson.answer import in_words, right_answer
from tipsim.lesson.ask import Asked, lesson_values
from tipsim.lesson.fill import fill
from tipsim.lesson.format import (
    ChoiceItem,
    GoalItem,
    Item,
    Lesson,
    MatchItem,
    NumberItem,
    OrderItem,
    PlaceItem,
    SketchItem,
    Text,
)
from tipsim.lesson.markdown import html, line
from tipsim.lesson.quantities import Values, solved
from tipsim.setup.link import from_items, pair_to_query

PICTURES = "./lesson-files/"
"""Where a page finds the pictures: this, the lesson's id, a slash and the file."""


def lesson_html(lesson: Lesson, text: str) -> str:
    """Turn a filled text of a lesson into HTML, with its pictures and sources."""
    sources = {s.id: i for i, s in enumerate(lesson.sources, 1)}
    return html(text, f"{PICTURES}{lesson.id}/", sources)


def key_points(lesson: Lesson) -> list[str]:
    """Give the key points as HTML."""
    return [
        lesson_html(lesson, fill(c.text.source, lesson_values(lesson, c.bench)))
        for c in lesson.key_points
    ]


def values_query(values: Values, view: Mapping[str, str] | None = None) -> str:
    """Give the link of the sides a and b of some values; b is as a where there is none.

    Examples
    --------
    >>> values_query(Values({"a": {"needle": "straight", "power": "40"}}, {}), {"apart": "1"})
    'needle=straight&drive=torsional&power=40&view.apart=1'
    """
    a = values.sides.get("a", {})
    pair = from_items(a), from_items(values.sides.get("b", a))
    return pair_to_query(*pair, {f"view.{k}": v for k, v in (view or {}).items()})


def shown(asked: Asked) -> dict[str, Any]:
    """Give all that a learner sees of an item before the answer; nothing tells the answer.

    Returns
    -------
    dict
        ``id``, ``kind``, ``seed``, ``html`` (the question), ``query`` (the item's bench), and by
        kind: ``choices`` (id, html) for one and several; ``unit``, ``means``, ``worked`` (lines
        given) for number; ``entries`` (id, html) for order; ``lefts``, ``rights`` (id, html) for
        match; ``on``, ``length_mm``, ``bend_mm`` (place of the first bend from the end) for place
        and sketch, with ``of`` for sketch; ``free``, ``conditions`` (html) for goal.

    Examples
    --------
    >>> from tipsim.lesson.ask import ask
    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["drive-to-stroke"]
    >>> shown(ask(lesson, lesson.items["stroke-seen-number"], 0))["unit"]
    'µm'
    """
    item = asked.item
    return {
        "id": item.id,
        "kind": item.kind,
        "seed": asked.seed,
        "html": _html(asked, item.text),
        "query": values_query(asked.values),
        **_by_kind(asked, item),
    }


def _html(asked: Asked, text: Text) -> str:
    return lesson_html(asked.lesson, asked.fill(text))


def _line(asked: Asked, text: Text) -> str:
    return line(asked.fill(text))


def _by_kind(asked: Asked, item: Item) -> dict[str, Any]:
    if isinstance(item, ChoiceItem):
        choices = {c.id: c.text for c in item.choices}
        return {"choices": _pairs((id, _line(asked, choices[id])) for id in asked.choices)}
    if isinstance(item, NumberItem):
        worked = [_line(asked, t) for t in item.worked[: item.shown]]
        return {"unit": item.unit, "means": item.means, "worked": worked}
    if isinstance(item, OrderItem):
        entries = {e.id: e.text for e in item.entries}
        return {"entries": _pairs((id, _line(asked, entries[id])) for id in asked.entries)}
    if isinstance(item, MatchItem):
        lefts = _pairs((p.id, _line(asked, p.left)) for p in item.pairs)
        return {"lefts": lefts, "rights": _pairs((id, line(t)) for id, t in asked.rights)}
    if isinstance(item, PlaceItem | SketchItem):
        side = solved(asked.values.sides[item.on])
        needle = side.result.scenario.needle
        bend = round((needle.length - needle.first_bend) * 1e3, 4)
        out = {"on": item.on, "length_mm": round(float(side.from_end[0]), 4), "bend_mm": bend}
        return {**out, "of": item.of} if isinstance(item, SketchItem) else out
    assert isinstance(item, GoalItem)
    conditions = [_line(asked, c.text) for c in item.conditions]
    return {"free": list(item.free), "conditions": conditions}


def _pairs(found: Any) -> list[dict[str, str]]:
    return [{"id": id, "html": text} for id, text in found]


def revealed(asked: Asked) -> dict[str, Any]:
    """Give what may be shown once an answer is stored.

    Returns
    -------
    dict
        ``answer`` (as `score` takes it), ``words`` (the same as HTML), and ``worked`` (every
        line, as HTML) for number, ``truths`` and ``tolerance`` [mm] for place, ``curve`` (points
        of the model) for sketch.

    Examples
    --------
    >>> from tipsim.lesson.ask import ask
    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["drive-to-stroke"]
    >>> revealed(ask(lesson, lesson.items["stroke-seen-straight"], 0))["words"]
    'It stayed in its place and turned.'
    """
    item, answer = asked.item, right_answer(asked)
    out: dict[str, Any] = {"answer": answer, "words": line(in_words(asked, answer))}
    if isinstance(item, NumberItem):
        out["worked"] = [_line(asked, t) for t in item.worked]
    elif isinstance(item, PlaceItem):
        out["truths"] = list(asked.truths)
        out["tolerance"] = [asked.tolerance(item.tolerance, t) for t in asked.truths]
    elif isinstance(item, SketchItem):
        side = solved(asked.values.sides[item.on])
        model = curves.model_curve(side, item.of)
        out["curve"] = curves.as_points(model, float(side.from_end[0]))
    return out
