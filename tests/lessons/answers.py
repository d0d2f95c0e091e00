"""Answers that must be wrong, for any item, and what is known of each."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from tipsim.lesson.ask import Asked
from tipsim.lesson.faults import Faults
from tipsim.lesson.format import Item, Lesson, School
from tipsim.lesson.kinds import right_answer
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


def items_of(*kinds: str) -> list[tuple[Lesson, Any]]:
    """Every item of some kinds; never none."""
    out = [(lesson, item) for lesson, item in all_items() if item.kind in kinds]
    assert out
    return out


def wrong_answers(asked: Asked) -> Iterator[Off]:
    yield from MAKERS[asked.item.kind](asked.item, asked)


def _one(item: Any, asked: Asked) -> Iterator[Off]:
    for choice in item.choices:
        if choice.id not in item.right_choices(asked):
            yield Off(choice.id, "wrong", asked.fill(choice.feedback))


def _several(item: Any, asked: Asked) -> Iterator[Off]:
    right = item.right_choices(asked)
    others = [c.id for c in item.choices if c.id not in right]
    if others:
        yield Off(others, "wrong")
        yield Off([*right, others[0]], "partly" if len(right) > 1 else "wrong")
        yield Off([min(right), others[0]], "wrong")
    for left_out in right:
        rest = sorted(right - {left_out})
        if rest:
            told = next(c.feedback for c in item.choices if c.id == left_out)
            yield Off(rest, "partly", asked.fill(told))


def _number(item: Any, asked: Asked) -> Iterator[Off]:
    truth = asked.truths[0]
    beyond = item.tolerance.around(truth) * 1.001
    for value in (truth + beyond, truth - beyond, f"{truth + beyond:.15g} {item.unit}".rstrip()):
        yield Off(value, "wrong")
    for each in item.wrong:
        yield Off(asked.number(each.value, truth), "wrong", asked.fill(each.feedback))


def _place(item: Any, asked: Asked) -> Iterator[Off]:
    within = item.tolerance.around
    for truth in asked.truths:
        for sign in (-1, 1):
            value = truth + sign * within(truth) * 1.001
            if all(abs(value - t) > within(t) for t in asked.truths):
                yield Off(value, "wrong")
    for each in item.wrong:
        yield Off(asked.number(each.value, asked.truth), "wrong", asked.fill(each.feedback))


def _order(item: Any, asked: Asked) -> Iterator[Off]:
    right = list(item.right_order(asked))
    yield Off(right[::-1], "wrong")
    yield Off(list(item.order(asked)))
    for i in range(len(right) - 1):
        yield Off([*right[:i], right[i + 1], right[i], *right[i + 2 :]], "partly")


def _match(item: Any, asked: Asked) -> Iterator[Off]:
    right = right_answer(asked)
    pairs = [p.id for p in item.pairs]
    turned = [right[p] for p in (*pairs[1:], pairs[0])]
    yield Off(dict(zip(pairs, turned, strict=True)), "wrong")
    swapped = {**right, pairs[0]: right[pairs[1]]}
    yield Off(swapped, "partly", asked.fill(item.pairs[0].feedback))


def _sketch(_item: Any, asked: Asked) -> Iterator[Off]:
    curve = right_answer(asked)
    length = max(x for x, _ in curve)
    yield Off([[0, 1], [length / 2, 1], [length, 1]], "wrong")
    yield Off([[length - x, y] for x, y in curve])


def _goal(_item: Any, asked: Asked) -> Iterator[Off]:
    yield Off({})
    yield Off({side: dict(items) for side, items in asked.values.sides.items()})


MAKERS = {
    "one": _one,
    "several": _several,
    "number": _number,
    "order": _order,
    "match": _match,
    "place": _place,
    "sketch": _sketch,
    "goal": _goal,
}
