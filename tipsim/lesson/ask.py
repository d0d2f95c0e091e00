"""An item made ready to be asked: a variant drawn by a seed, values computed, choices shuffled."""

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property

from tipsim.lesson import expression
from tipsim.lesson.draws import agrees
from tipsim.lesson.faults import quoted
from tipsim.lesson.fill import fill
from tipsim.lesson.format import SIDES, Bench, Formula, Item, Lesson, Text, Value
from tipsim.lesson.quantities import Values
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.link import from_items, pair_to_query


@described()
class Asked:
    """One item in one variant."""

    lesson: Lesson
    item: Item
    seed: int = about("What variant and order were drawn from.")
    variant: Mapping[str, Value] = about("Values by name.")
    values: Values = about("Where expressions look names up.")

    def fill(self, text: Text, truth: float | None = None) -> str:
        """Return a text with the values in it."""
        return fill(text.source, self.scope(truth))

    def number(self, formula: Formula, truth: float | None = None) -> float:
        """Return the value of a formula."""
        return expression.number(formula.source, self.scope(truth))

    def holds(self, formula: Formula) -> bool:
        """Return whether a condition is met."""
        return expression.holds(formula.source, self.values)

    def scope(self, truth: float | None = None) -> Values:
        """Return the values, with the item's truth where it has one or one is given."""
        truth = self.truth if truth is None else truth
        return self.values if truth is None else self.values.with_own(truth=truth)

    @cached_property
    def truths(self) -> tuple[float, ...]:
        """Right values of the item: none for a kind that asks for no number."""
        return tuple(expression.number(f.source, self.values) for f in self.item.truths())

    @property
    def truth(self) -> float | None:
        """The first right value, which texts may name; None for a kind without one."""
        return self.truths[0] if self.truths else None

    def shuffled(self, of: Sequence[str]) -> tuple[str, ...]:
        """Return a sequence in the order that this item's seed draws."""
        order = list(of)
        random.Random(f"{self.item.id}, order {self.seed}").shuffle(order)
        return tuple(order)


def ask(lesson: Lesson, item: Item, seed: int) -> Asked:
    """Draw a variant of an item.

    Parameters
    ----------
    lesson : Lesson
        The item's.
    seed : int
        The same seed gives the same question on every machine.

    Raises
    ------
    BadInput
        For a bench that cannot be.

    Examples
    --------
    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["drive-to-stroke"]
    >>> item = lesson.items["stroke-power-number"]
    >>> ask(lesson, item, 3).variant == ask(lesson, item, 3).variant
    True
    """
    return ask_variant(lesson, item, _index(item, seed), seed)


def _index(item: Item, seed: int) -> int:
    return random.Random(f"{item.id}, variant {seed}").randrange(len(item.variants))


def seed_within(lesson: Lesson, item: Item, seed: int) -> int:
    """Return the first seed, from one on, whose variant agrees with what the lesson has drawn.

    Examples
    --------
    >>> from tipsim.lesson.draws import in_every_draw
    >>> from tipsim.lesson.read import school
    >>> for lesson in in_every_draw(school().lessons["bench-study"]):
    ...     item = lesson.items["bench-order"]
    ...     asked = ask(lesson, item, seed_within(lesson, item, 5))
    ...     assert asked.variant == lesson.draw
    """
    while not agrees(lesson, item.variants[_index(item, seed)]):
        seed += 1
    return seed


def ask_variant(lesson: Lesson, item: Item, index: int, seed: int = 0) -> Asked:
    """Return one variant of an item by its number, from 0."""
    variant = item.variants[index]
    own = {**lesson.draw, **variant}
    sides = filled_bench(lesson.bench_of(item), own)
    return Asked(lesson, item, seed, variant, Values(sides, own))


def variants(lesson: Lesson, item: Item, seed: int = 0) -> Iterator[Asked]:
    """Return an item in every variant."""
    return (ask_variant(lesson, item, i, seed) for i in range(len(item.variants)))


def filled_bench(bench: Bench, variant: Mapping[str, Value]) -> dict[str, dict[str, str]]:
    """Return each side with the variant's values put in for ``$name``."""
    return {
        side: {k: _put(v, variant, f"{side}.{k}") for k, v in items.items()}
        for side, items in bench.whole().items()
        if side in SIDES
    }


def _put(text: str, variant: Mapping[str, Value], key: str) -> str:
    if not text.startswith("$"):
        return text
    if text[1:] not in variant:
        allowed = f"$ and one of {', '.join(variant) or 'the variants (there are none)'}"
        raise BadInput(key, quoted(text), allowed + nearest(text[1:], variant))
    value = variant[text[1:]]
    return f"{value:.10g}" if isinstance(value, float) else value


def lesson_values(lesson: Lesson, over: Bench | None = None) -> Values:
    """Return the values of a lesson's own bench, for its texts and claims."""
    bench = lesson.bench if over is None else lesson.bench.under(over)
    return Values(filled_bench(bench, lesson.draw), lesson.draw)


def solution_of(asked: Asked, over: Bench) -> Asked:
    """Return an item with another bench laid over its own, such as a goal's solution."""
    bench = Bench(asked.values.sides).under(over)
    own = asked.values.own
    values = Values(filled_bench(bench, own), own)
    return replace(asked, values=values)


def values_query(values: Values, view: Mapping[str, str] | None = None) -> str:
    """Return the link of the sides a and b of some values; without a side b, b is as a.

    Examples
    --------
    >>> values_query(Values({"a": {"needle": "straight", "power": "40"}}, {}), {"apart": "1"})
    'needle=straight&drive=torsional&power=40&view.apart=1'
    """
    a = values.sides.get("a", {})
    pair = from_items(a), from_items(values.sides.get("b", a))
    return pair_to_query(*pair, {f"view.{k}": v for k, v in (view or {}).items()})
