"""Every item of every lesson, answered right and wrong in all its variants."""

import json
import math
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from tests.conftest import ReportTable
from tests.lessons.answers import all_items, items_of, wrong_answers
from tests.lessons.record import recorded, values
from tipsim.lesson.ask import Asked, ask, ask_variant, variants
from tipsim.lesson.check import check_folder
from tipsim.lesson.format import Formula, Item
from tipsim.lesson.kinds import KINDS, RIGHT, in_words, kind_of, right_answer, score, texts_of
from tipsim.lesson.show import revealed, shown
from tipsim.paths import lessons_folder

WATER = 60 / 4.18
"""Temperature rise [K] of 1 mL/min of water by 1 W: 4.18 J heat 1 g (1 mL) by 1 K."""
MMHG = 980.665 / 10 / 133.322
"""Pressure of 1 cm of water [mmHg]: rho g h with 1000 kg/m^3 and 9.80665 m/s^2."""
HAND: dict[str, float] = {
    # Stroke is in proportion to power: 130 um at 100 % for the bent needle at 32 kHz, 90 um for
    # the straight one at 40 kHz. Peak speed is pi f S; power goes as the square of the stroke.
    "stroke-seen-number": 0.60 * 130,
    "stroke-seen-double": 80 / 40,
    "stroke-seen-watts": (80 / 40) ** 2,
    "stroke-worked-speed": math.pi * 40e3 * 90e-6,
    "stroke-power-number": 0.80 * 130,
    "stroke-speed-number": math.pi * 32e3 * 0.60 * 130e-6,
    "stroke-amplitude-number": 0.40 * 130 / 2,
    "study-worked-speed": math.pi * 32e3 * 2 * 120e-6,
    "iris-speed-example": math.pi * 32e3 * 20e-6 * 0.30,
    # What a film shows of 32 kHz is the distance to the nearest multiple of its rate [kHz].
    "film-seen-frequency": 35.2 - 32,
    "film-rate-quiz": 32 - 30,
    "film-both-sides": 130,
    "film-worked-smear": math.pi * 32e3 * 130 * 1e-6,
    # Heat carried by a flow; cumulative minutes at 43 C double with each degree.
    "heat-rise-example": 0.5 * WATER / 4,
    "heat-rise-number": 1.5 * WATER / 3,
    "burn-dose-number": 30 / 60 * 2 ** (44 - 43),
    # Cutting goes by the share of time that the drive is on, and by power.
    "cut-worked-duty": 100 * 5 / (5 + 15),
    "cut-double": 80 / 20,
    "surge-bottle-example": 60 * MMHG,
    "surge-bottle-number": 15 * MMHG,
    "study-rise": 45 - 22,
}
"""Truths of first variants in the item's unit, worked out by hand."""


def test_every_lesson_is_without_mistakes(report_table: ReportTable) -> None:
    school, faults = check_folder(lessons_folder())
    items = [item for lesson in school.lessons.values() for item in lesson.items.values()]
    kinds = Counter(item.kind for item in items)
    cases = sum(len(item.variants) for item in items)
    report_table(
        "Lessons",
        [
            f"{len(school.lessons)} lessons, {len(items)} items in {cases} variants",
            ", ".join(f"{kinds[kind]} {kind}" for kind in KINDS),
        ],
    )
    assert school.lessons
    assert not [str(fault) for fault in faults]


# ---- right and wrong ----


def test_numbers_are_those_worked_out_by_hand() -> None:
    items = {item.id: (lesson, item) for lesson, item in items_of("number")}
    truths = {id: ask_variant(*items[id], 0).truth for id in HAND}
    assert truths == pytest.approx(HAND, rel=0.01)


def test_right_answers_and_their_numbers_are_those_recorded() -> None:
    """Of all variants; see tests/lessons/record.py."""
    known = recorded()
    assert set(known) == {item.id for _, item in all_items()}
    off = {}
    for lesson, item in all_items():
        for asked, wanted in zip(variants(lesson, item), known[item.id], strict=True):
            if not _alike(values(asked), wanted):
                off[item.id] = values(asked), wanted
    assert off == {}


def _alike(found: list[Any], wanted: list[Any]) -> bool:
    """Whether ids are the same and numbers within 2 %, or a last digit of rounding."""
    return len(found) == len(wanted) and all(
        one == other if isinstance(other, str) else one == pytest.approx(other, rel=0.02, abs=0.011)
        for one, other in zip(found, wanted, strict=True)
    )


def test_right_answers_are_right(subtests: pytest.Subtests) -> None:
    for lesson, item in all_items():
        with subtests.test(item.id):
            for asked in variants(lesson, item):
                answer = right_answer(asked)
                judged = score(asked, answer)
                assert judged.verdict == RIGHT, asked.variant
                assert judged.feedback
                assert in_words(asked, answer)


def test_wrong_answers_are_wrong_and_each_has_its_feedback(subtests: pytest.Subtests) -> None:
    for lesson, item in all_items():
        with subtests.test(item.id):
            for asked in variants(lesson, item):
                tried = list(wrong_answers(asked))
                assert tried
                for off in tried:
                    judged = score(asked, off.given)
                    assert judged.verdict != RIGHT, (asked.variant, off)
                    assert off.verdict in ("", judged.verdict), (asked.variant, off)
                    assert judged.feedback, (asked.variant, off)
                    assert off.feedback in ("", *judged.feedback), (asked.variant, off)


def test_tolerance_includes_its_edges(subtests: pytest.Subtests) -> None:
    for lesson, item in items_of("number", "place"):
        with subtests.test(item.id):
            for asked in variants(lesson, item):
                assert asked.truths
                for truth in asked.truths:
                    edge = item.tolerance.share * abs(truth) or item.tolerance.distance
                    for value in (truth - edge, truth + edge):
                        assert score(asked, value).verdict == RIGHT
                        typed = f"{value:.15g}".replace(".", ",")
                        # One digit more, so that no three behind the comma look like thousands.
                        typed += "0" * (len(typed.partition(",")[2]) == 3)
                        assert score(asked, f" {typed} ").verdict == RIGHT


def test_the_right_order_is_by_value_or_as_written() -> None:
    by_value = 0
    for lesson, item in items_of("order"):
        for asked in variants(lesson, item):
            entries = {e.id: e for e in item.entries}
            order = [entries[id].value for id in item.right_order(asked)]
            if None in order:
                assert item.right_order(asked) == tuple(entries)
                continue
            by_value += 1
            found = [asked.number(formula) for formula in order]
            assert all((one < other) == item.rising for one, other in pairwise(found)), item.id
    assert by_value


# ---- what the browser gets before an answer ----


def other_answers(item: Any) -> Item:
    """An item with the same question and other answers."""
    if item.kind in ("one", "several"):
        turned = [*item.choices[1:], item.choices[0]]
        choices = zip(item.choices, turned, strict=True)
        return replace(item, choices=tuple(replace(c, right=t.right) for c, t in choices))
    if item.kind == "number":
        return replace(item, truth=Formula(f"1234567 + {item.truth.source}"))
    if item.kind == "place":
        return replace(item, places=(Formula("0.123"),))
    if item.kind == "sketch":
        return replace(item, criteria=item.criteria[:1])
    if item.kind == "goal":
        return replace(item, solution=replace(item.solution, sides={}))
    return item  # Of order and match the answer lies in the order, tested below.


def test_the_question_is_the_same_whatever_the_answer(subtests: pytest.Subtests) -> None:
    """So nothing in it can give the answer away."""
    compared = Counter[str]()
    for lesson, item in all_items():
        other = other_answers(item)
        compared[item.kind] += other is not item
        with subtests.test(item.id):
            assert shown(ask(lesson, other, 7)) == shown(ask(lesson, item, 7))
    assert {kind for kind, count in compared.items() if count} == set(KINDS) - {"order", "match"}


def test_a_question_holds_no_feedback_and_no_solution(subtests: pytest.Subtests) -> None:
    for lesson, item in all_items():
        with subtests.test(item.id):
            asked = ask(lesson, item, 7)
            told = json.dumps(shown(asked), ensure_ascii=False)
            asked_texts = {item.text.source, *_given(item)}
            secret = [asked.fill(t) for t in texts_of(item) if t.source not in asked_texts]
            assert secret
            assert [text for text in secret if text in told] == []
            after = revealed(asked)
            assert after["answer"] == right_answer(asked)
            if item.kind == "number":
                assert f"{asked.truths[0]:.6g}" not in told.split()
                assert len(after["worked"]) == len(kind_of(item).worked(item))


def _given(item: Any) -> list[str]:
    """Texts of an item that are given with the question."""
    lists = ("choices", "entries", "conditions")
    texts = [each.text.source for name in lists for each in getattr(item, name, ())]
    for pair in getattr(item, "pairs", ()):
        texts += [pair.left.source, pair.right.source]
    texts += [t.source for t in getattr(item, "also", ())]
    worked = getattr(item, "worked", ())
    return texts + [t.source for t in worked[: getattr(item, "shown", 0)]]


def test_entries_are_never_shown_in_the_right_order() -> None:
    for lesson, item in items_of("order"):
        for seed in range(30):
            asked = ask(lesson, item, seed)
            assert sorted(item.order(asked)) == sorted(e.id for e in item.entries)
            assert item.order(asked) != item.right_order(asked)


def test_partners_are_shuffled() -> None:
    """Over many seeds the partner of the first pair comes in every place."""
    for lesson, item in items_of("match"):
        places = {right_answer(ask(lesson, item, seed))[item.pairs[0].id] for seed in range(60)}
        assert len(places) == len(item.pairs) + len(item.also), item.id


def test_right_choices_are_spread_over_the_places(report_table: ReportTable) -> None:
    """Over many seeds each place of shuffled choices is right about equally often."""
    lines = []
    counts: dict[int, Counter[int]] = {}
    for lesson, item in items_of("one"):
        if item.keep_order:
            continue
        for seed in range(60):
            asked = ask(lesson, item, seed)
            place = item.order(asked).index(right_answer(asked))
            counts.setdefault(len(item.choices), Counter())[place] += 1
    assert counts
    for size, found in sorted(counts.items()):
        total = found.total()
        shares = [found[place] / total for place in range(size)]
        lines.append(f"{size} choices: " + ", ".join(f"{s:.0%}" for s in shares))
        assert all(0.6 / size < s < 1.5 / size for s in shares), (size, shares)
    report_table("Places of right choices, shuffled by 60 seeds an item", lines)


def test_scales_do_not_always_have_the_right_choice_in_one_place() -> None:
    """Items that keep their order do not all have the right choice in the same place."""
    places = Counter[int]()
    for lesson, item in items_of("one"):
        if item.keep_order:
            asked = ask(lesson, item, 0)
            places[item.order(asked).index(right_answer(asked))] += 1
    assert places.total() >= 8
    assert max(places.values()) <= 0.7 * places.total(), places


def test_length_is_not_a_good_guess(report_table: ReportTable) -> None:
    ones = items_of("one")
    asked = [ask(lesson, item, 0) for lesson, item in ones]
    standing_out = Counter(kind_of(a.item).length_of_right(a.item, a) for a in asked)
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
    item: Any = asked.item
    lengths = {c.id: len(asked.fill(c.text)) for c in item.choices}
    return lengths[right_answer(asked)] == edge(lengths.values())
