"""What a lesson draws once for each learner, such as which needle is P and which is Q."""

import random
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from tipsim.lesson.format import Bench, Item, Lesson, Value

Draw = Mapping[str, Value]


def drawn(lesson: Lesson, key: str) -> Lesson:
    """Return a lesson with what a key draws; the same key gives the same on every machine.

    Examples
    --------
    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["bench-study"]
    >>> drawn(lesson, "one learner").draw == drawn(lesson, "one learner").draw
    True
    >>> len({str(drawn(lesson, f"learner {i}").draw) for i in range(40)}) == len(lesson.draws)
    True
    """
    return replace(lesson, draw=random.Random(f"{lesson.id}, drawn {key}").choice(lesson.draws))


def in_every_draw(lesson: Lesson) -> Iterator[Lesson]:
    """Return a lesson once for each of its draws."""
    return (replace(lesson, draw=draw) for draw in lesson.draws)


def agreeing(lesson: Lesson, item: Item) -> int:
    """Return how many variants of an item fit what the lesson has drawn."""
    return sum(agrees(lesson, variant) for variant in item.variants)


def agrees(lesson: Lesson, variant: Draw) -> bool:
    """Return whether a variant says nothing else than what the lesson has drawn."""
    return all(variant.get(name, value) == value for name, value in lesson.draw.items())


def multiplied(item: Item, bench: Bench, draws: Sequence[Draw]) -> Item:
    """Return an item in every draw of its lesson, where its question depends on that.

    Each draw becomes a variant. So a stored answer carries what was drawn, and whatever tries
    every variant tries every draw.
    """
    if not depends(item, bench, [name for draw in draws for name in draw]):
        return item
    variants = tuple({**draw, **variant} for draw in draws for variant in item.variants)
    return replace(item, variants=variants)


def depends(item: Item, bench: Bench, names: Sequence[str]) -> bool:
    """Return whether an item names a drawn value, or a side on which one is set."""
    whole = (bench if item.bench is None else bench.under(item.bench)).whole()
    given = {f"${name}" for name in names}
    sides = "|".join(s for s, items in whole.items() if given & set(items.values()))
    words = repr(replace(item, bench=None))
    asked = bool(names) and re.search(rf"\{{(?:{'|'.join(map(re.escape, names))})\b", words)
    return bool(
        asked or (sides and re.search(rf"\b(?:{sides})\.\w|\((?:{sides}),|on='(?:{sides})'", words))
    )
