"""Answers that must be wrong, for any item, and what is known of each."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from tipsim.lesson.answer import right_answer
from tipsim.lesson.ask import Asked
from tipsim.lesson.check_items import variants
from tipsim.lesson.faults import Faults
from tipsim.lesson.format import (
    ChoiceItem,
    Item,
    Lesson,
    MatchItem,
    NumberItem,
    PlaceItem,
    School,
    SketchItem,
)
from tipsim.lesson.quantities import solved
from tipsim.lesson.read import read_school
from tipsim.paths import lessons_folder


@dataclass(frozen=True)
class Off:
    """An answer that is not right; `verdict` and `feedback` where they are known."""

    given: Any
    verdict: str = ""
    feedback: str = ""


@cache
def read() -> School:
    """Every lesson, only read: what is asked of each process that collects these tests."""
    return read_school(lessons_folder(), Faults())


def all_items() -> list[tuple[Lesson, Item]]:
    lessons = read().lessons.values()
    return [(lesson, item) for lesson in lessons for item in lesson.items.values()]


def every_variant(lesson: Lesson, item: Item, seed: int = 0) -> Iterator[Asked]:
    return variants(lesson, item, seed)


def wrong_answers(asked: Asked) -> Iterator[Off]:
    yield from _MAKERS[asked.item.kind](asked)


def _one(asked: Asked) -> Iterator[Off]:
    assert isinstance(asked.item, ChoiceItem)
    for choice in asked.item.choices:
        if choice.id not in asked.right_choices:
            yield Off(choice.id, "wrong", asked.fill(choice.feedback))


def _several(asked: Asked) -> Iterator[Off]:
    assert isinstance(asked.item, ChoiceItem)
    right = asked.right_choices
    others = [c.id for c in asked.item.choices if c.id not in right]
    if others:
        yield Off(others, "wrong")
        yield Off([*right, others[0]], "partly" if len(right) > 1 else "wrong")
        yield Off([min(right), others[0]], "wrong")
    for left_out in right:
        rest = sorted(right - {left_out})
        if rest:
            told = next(c.feedback for c in asked.item.choices if c.id == left_out)
            yield Off(rest, "partly", asked.fill(told))


def _number(asked: Asked) -> Iterator[Off]:
    item, truth = asked.item, asked.truth
    assert isinstance(item, NumberItem)
    assert truth is not None
    beyond = asked.tolerance(item.tolerance, truth) * 1.001
    for value in (truth + beyond, truth - beyond, f"{truth + beyond:.15g} {item.unit}".rstrip()):
        yield Off(value, "wrong")
    for each in item.wrong:
        value = asked.number(each.value, truth)
        yield Off(value, "wrong", asked.fill(each.feedback))


def _place(asked: Asked) -> Iterator[Off]:
    item = asked.item
    assert isinstance(item, PlaceItem)
    for truth in asked.truths:
        for sign in (-1, 1):
            value = truth + sign * asked.tolerance(item.tolerance, truth) * 1.001
            if all(abs(value - t) > asked.tolerance(item.tolerance, t) for t in asked.truths):
                yield Off(value, "wrong")
    for each in item.wrong:
        yield Off(asked.number(each.value, asked.truth), "wrong", asked.fill(each.feedback))


def _order(asked: Asked) -> Iterator[Off]:
    right = list(asked.right_order)
    yield Off(right[::-1], "wrong")
    yield Off(list(asked.entries))
    for i in range(len(right) - 1):
        swapped = [*right[:i], right[i + 1], right[i], *right[i + 2 :]]
        yield Off(swapped, "partly")


def _match(asked: Asked) -> Iterator[Off]:
    assert isinstance(asked.item, MatchItem)
    right = right_answer(asked)
    pairs = [p.id for p in asked.item.pairs]
    turned = [right[p] for p in (*pairs[1:], pairs[0])]
    yield Off(dict(zip(pairs, turned, strict=True)), "wrong")
    swapped = {**right, pairs[0]: right[pairs[1]]}
    told = asked.fill(asked.item.pairs[0].feedback)
    yield Off(swapped, "partly" if len(pairs) >= 2 else "wrong", told)


def _sketch(asked: Asked) -> Iterator[Off]:
    assert isinstance(asked.item, SketchItem)
    length = float(solved(asked.values.sides[asked.item.on]).from_end[0])
    yield Off([[0, 1], [length / 2, 1], [length, 1]], "wrong")
    yield Off([[length - x, y] for x, y in right_answer(asked)])


def _goal(asked: Asked) -> Iterator[Off]:
    yield Off({})
    yield Off({side: dict(items) for side, items in asked.values.sides.items()})


_MAKERS = {
    "one": _one,
    "several": _several,
    "number": _number,
    "order": _order,
    "match": _match,
    "place": _place,
    "sketch": _sketch,
    "goal": _goal,
}
