"""Every item of every lesson, answered right and wrong in all its variants."""

from collections import Counter
from collections.abc import Callable, Iterable
from itertools import pairwise

import pytest

from tests.conftest import ReportTable
from tests.lessons.answers import all_items, every_variant, wrong_answers
from tipsim.lesson import expression
from tipsim.lesson.answer import in_words, right_answer
from tipsim.lesson.ask import Asked, ask, ask_variant
from tipsim.lesson.check import check_folder
from tipsim.lesson.check_items import length_of_right
from tipsim.lesson.format import (
    ITEM_KINDS,
    ChoiceItem,
    Item,
    Lesson,
    NumberItem,
    OrderItem,
    PlaceItem,
)
from tipsim.lesson.quantities import Values, part_of, read_path
from tipsim.lesson.score import RIGHT, score
from tipsim.lesson.show import revealed, shown
from tipsim.paths import lessons_folder
from tipsim.setup.link import from_items
from tipsim.solve import Result, solve


def each(*kinds: str) -> pytest.MarkDecorator:
    found = [
        pytest.param(lesson, item, id=item.id)
        for lesson, item in all_items()
        if not kinds or item.kind in kinds
    ]
    return pytest.mark.parametrize(("lesson", "item"), found)


each_item, each_number, each_measured = each(), each("number"), each("number", "place")


def test_every_lesson_is_without_mistakes(report_table: ReportTable) -> None:
    school, faults = check_folder(lessons_folder())
    items = [item for lesson in school.lessons.values() for item in lesson.items.values()]
    kinds = Counter(item.kind for item in items)
    variants = sum(len(item.variants) for item in items)
    report_table(
        "Lessons",
        [
            f"{len(school.lessons)} lessons, {len(items)} items in {variants} variants",
            ", ".join(f"{kinds[kind]} {kind}" for kind in ITEM_KINDS),
        ],
    )
    assert school.lessons
    assert not [str(fault) for fault in faults]


@each_item
def test_the_right_answer_is_right(lesson: Lesson, item: Item) -> None:
    for asked in every_variant(lesson, item):
        answer = right_answer(asked)
        judged = score(asked, answer)
        assert judged.verdict == RIGHT, asked.variant
        assert judged.feedback
        assert in_words(asked, answer)


@each_item
def test_wrong_answers_are_wrong_and_each_is_told_why(lesson: Lesson, item: Item) -> None:
    for asked in every_variant(lesson, item):
        tried = list(wrong_answers(asked))
        assert tried
        for off in tried:
            judged = score(asked, off.given)
            assert judged.verdict != RIGHT, (asked.variant, off)
            assert off.verdict in ("", judged.verdict), (asked.variant, off)
            assert judged.feedback, (asked.variant, off)
            assert off.feedback in ("", *judged.feedback), (asked.variant, off)


@each_measured
def test_tolerance_includes_its_edges(lesson: Lesson, item: NumberItem | PlaceItem) -> None:
    for asked in every_variant(lesson, item):
        truths = asked.truths if isinstance(item, PlaceItem) else [asked.truth]
        for truth in truths:
            assert truth is not None
            edge = asked.tolerance(item.tolerance, truth)
            for value in (truth - edge, truth + edge):
                assert score(asked, value).verdict == RIGHT
                typed = f"{value:.15g}".replace(".", ",")
                # One digit more, so that no three behind the comma look like thousands.
                typed += "0" * (len(typed.partition(",")[2]) == 3)
                assert score(asked, f" {typed} ").verdict == RIGHT


@each_item
def test_a_seed_asks_the_same_and_tells_nothing(lesson: Lesson, item: Item) -> None:
    one, other = (shown(ask(lesson, item, 7)) for _ in range(2))
    assert one == other
    asked = ask(lesson, item, 7)
    told = revealed(asked)
    assert not set(told) & (set(one) - {"worked"})
    if isinstance(item, NumberItem):
        assert len(told["worked"]) == len(item.worked) >= len(one["worked"]) == item.shown


@each_number
def test_numbers_come_from_the_model(lesson: Lesson, item: NumberItem) -> None:
    """A fresh solve of each bench, past every memory, gives the truth once more."""
    asked = ask_variant(lesson, item, 0)
    assert expression.number(item.truth.source, _Fresh(asked.values)) == asked.truth


class _Fresh:
    """Looks names up as always, but in sides that are solved anew."""

    def __init__(self, values: Values) -> None:
        self.values, self.functions = values, values.functions
        self.results: dict[str, Result] = {}

    def look_up(self, path: expression.Path) -> object:
        name = str(path[0])
        if name not in self.values.sides or not path[1:]:
            return self.values.look_up(path)
        if name not in self.results:
            self.results[name] = solve(from_items(self.values.sides[name]))
        return read_path(lambda part: part_of(self.results[name], part), path[1:])


@each("order")
def test_the_right_order_is_by_the_models_values(lesson: Lesson, item: OrderItem) -> None:
    for asked in every_variant(lesson, item):
        entries = {e.id: e for e in item.entries}
        found = [entries[id].value for id in asked.right_order]
        if None in found:
            assert asked.right_order == tuple(entries)
            continue
        values = [asked.number(formula) for formula in found if formula is not None]
        assert all((one < other) == item.rising for one, other in pairwise(values))


@each("order")
def test_entries_are_never_shown_in_the_right_order(lesson: Lesson, item: Item) -> None:
    for seed in range(30):
        asked = ask(lesson, item, seed)
        assert sorted(asked.entries) == sorted(asked.right_order)
        assert asked.entries != asked.right_order


def test_right_choices_are_spread_over_the_places(report_table: ReportTable) -> None:
    """Over many seeds each place of shuffled choices is right about equally often."""
    lines = []
    counts: dict[int, Counter[int]] = {}
    for lesson, item in all_items():
        if not isinstance(item, ChoiceItem) or item.kind != "one" or item.keep_order:
            continue
        for seed in range(60):
            asked = ask(lesson, item, seed)
            (right,) = asked.right_choices
            place = asked.choices.index(right)
            counts.setdefault(len(item.choices), Counter())[place] += 1
    for size, found in sorted(counts.items()):
        total = found.total()
        shares = [found[place] / total for place in range(size)]
        lines.append(f"{size} choices: " + ", ".join(f"{s:.0%}" for s in shares))
        assert all(0.6 / size < s < 1.5 / size for s in shares), (size, shares)
    report_table("Places of right choices, shuffled by 60 seeds an item", lines)


def test_scales_do_not_always_have_the_right_choice_in_one_place() -> None:
    """Items that keep their order do not all hold the right choice in the same place."""
    places = Counter[float]()
    for lesson, item in all_items():
        if isinstance(item, ChoiceItem) and item.kind == "one" and item.keep_order:
            asked = ask(lesson, item, 0)
            (right,) = asked.right_choices
            places[asked.choices.index(right)] += 1
    total = places.total()
    if total >= 8:
        assert max(places.values()) <= 0.7 * total, places


def test_length_is_not_a_good_guess(report_table: ReportTable) -> None:
    ones = [(x, i) for x, i in all_items() if i.kind == "one"]
    asked = [ask(lesson, item, 0) for lesson, item in ones]
    standing_out = Counter(length_of_right(a) for a in asked)
    longest, shortest = (sum(_is_at_the_edge(a, edge) for a in asked) for edge in (max, min))
    report_table(
        "Right choices by length",
        [
            f"longest in {longest} of {len(ones)}, by a tenth or more in {standing_out['longest']}",
            f"shortest in {shortest}, by a tenth or more in {standing_out['shortest']}",
        ],
    )
    assert max(longest, shortest) <= 0.6 * len(ones)


def _is_at_the_edge(asked: Asked, edge: Callable[[Iterable[int]], int]) -> bool:
    assert isinstance(asked.item, ChoiceItem)
    (right,) = asked.right_choices
    lengths = {c.id: len(asked.fill(c.text)) for c in asked.item.choices}
    return lengths[right] == edge(lengths.values())
