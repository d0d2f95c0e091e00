"""An item made ready to be asked: a variant drawn by a seed, values computed, choices shuffled."""

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from tipsim.lesson import expression
from tipsim.lesson.faults import quoted
from tipsim.lesson.fill import fill
from tipsim.lesson.format import (
    SIDES,
    Bench,
    ChoiceItem,
    Entry,
    Formula,
    Item,
    Lesson,
    MatchItem,
    NumberItem,
    OrderItem,
    PlaceItem,
    Text,
    Tolerance,
    Value,
)
from tipsim.lesson.quantities import Values
from tipsim.setup.errors import BadInput, nearest


@dataclass(frozen=True)
class Asked:
    """One item in one variant.

    Attributes
    ----------
    lesson : Lesson
    item : Item
    seed : int
        What variant and order were drawn from.
    variant : Mapping
        Values by name.
    values : Values
        Where expressions look names up.
    """

    lesson: Lesson
    item: Item
    seed: int
    variant: Mapping[str, Value]
    values: Values

    def fill(self, text: Text, truth: float | None = None) -> str:
        """Put the values into a text."""
        return fill(text.source, self.scope(truth))

    def number(self, formula: Formula, truth: float | None = None) -> float:
        """Work out a number."""
        return expression.number(formula.source, self.scope(truth))

    def holds(self, formula: Formula) -> bool:
        """Work out a condition."""
        return expression.holds(formula.source, self.values)

    def scope(self, truth: float | None = None) -> Values:
        """Give the values, with the item's truth where it has one or one is given."""
        truth = self.truth if truth is None else truth
        return self.values if truth is None else self.values.with_own(truth=truth)

    @cached_property
    def truth(self) -> float | None:
        """The right number of a number item, or the first right place; None for other kinds."""
        item = self.item
        if isinstance(item, NumberItem):
            return expression.number(item.truth.source, self.values)
        if isinstance(item, PlaceItem):
            return self.truths[0]
        return None

    @cached_property
    def truths(self) -> tuple[float, ...]:
        """Every right place of a place item [mm from the end]."""
        assert isinstance(self.item, PlaceItem)
        return tuple(expression.number(f.source, self.values) for f in self.item.truths)

    @cached_property
    def choices(self) -> tuple[str, ...]:
        """Ids of the choices as they are shown."""
        assert isinstance(self.item, ChoiceItem)
        ids = [c.id for c in self.item.choices]
        return tuple(ids) if self.item.keep_order else self.shuffled(ids)

    @cached_property
    def right_choices(self) -> frozenset[str]:
        """Ids of the right choices."""
        assert isinstance(self.item, ChoiceItem)
        return frozenset(c.id for c in self.item.choices if self.holds(c.right))

    @cached_property
    def right_order(self) -> tuple[str, ...]:
        """Ids of the entries in the right order."""
        item = self.item
        assert isinstance(item, OrderItem)
        if any(e.value is None for e in item.entries):
            return tuple(e.id for e in item.entries)
        by_value = sorted(item.entries, key=self.entry_value, reverse=not item.rising)
        return tuple(e.id for e in by_value)

    def entry_value(self, entry: Entry) -> float:
        """Give what an entry is put in order by."""
        assert entry.value is not None
        return self.number(entry.value)

    @cached_property
    def entries(self) -> tuple[str, ...]:
        """Ids of the entries as they are shown: never in the right order."""
        shown = self.shuffled(sorted(self.right_order))
        return shown if shown != self.right_order else (*shown[1:], shown[0])

    @cached_property
    def rights(self) -> tuple[tuple[str, str], ...]:
        """Right sides of a match as they are shown: id and text; ids tell nothing."""
        item = self.item
        assert isinstance(item, MatchItem)
        texts = [self.fill(t) for t in (*(p.right for p in item.pairs), *item.also)]
        return tuple((f"r{i}", t) for i, t in enumerate(self.shuffled(texts), 1))

    def tolerance(self, tolerance: Tolerance, truth: float) -> float:
        """Give how far from a truth is still right, in the item's unit."""
        return max(tolerance.distance, tolerance.share * abs(truth))

    def shuffled(self, of: Sequence[str]) -> tuple[str, ...]:
        """Give a sequence in the order that this item's seed draws."""
        order = list(of)
        random.Random(f"{self.item.id}, order {self.seed}").shuffle(order)
        return tuple(order)


def ask(lesson: Lesson, item: Item, seed: int) -> Asked:
    """Draw a variant of an item.

    Parameters
    ----------
    lesson : Lesson
        The item's.
    item : Item
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
    drawn = random.Random(f"{item.id}, variant {seed}").randrange(len(item.variants))
    return ask_variant(lesson, item, drawn, seed)


def ask_variant(lesson: Lesson, item: Item, index: int, seed: int = 0) -> Asked:
    """Give one variant of an item by its number, from 0."""
    variant = item.variants[index]
    sides = filled_bench(lesson.bench_of(item), variant)
    return Asked(lesson, item, seed, variant, Values(sides, variant))


def filled_bench(bench: Bench, variant: Mapping[str, Value]) -> dict[str, dict[str, str]]:
    """Give each side with the variant's values put in for ``$name``."""
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
    """Give the values of a lesson's own bench, for its texts and claims."""
    bench = lesson.bench if over is None else lesson.bench.under(over)
    return Values(filled_bench(bench, {}), {})


def solution_of(asked: Asked, over: Bench) -> Asked:
    """Give an item with another bench laid over its own, such as a goal's solution."""
    bench = Bench(asked.values.sides).under(over)
    values = Values(filled_bench(bench, asked.variant), asked.variant)
    return replace(asked, values=values)
