"""Checking items: every variant has an answer, and only the wrong ones are wrong."""

import itertools
from collections.abc import Callable, Iterator, Mapping

from tipsim.lesson import curves
from tipsim.lesson.ask import Asked, ask_variant, solution_of
from tipsim.lesson.faults import Faults, quoted
from tipsim.lesson.format import (
    ChoiceItem,
    GoalItem,
    Item,
    Lesson,
    MatchItem,
    NumberItem,
    OrderItem,
    Place,
    PlaceItem,
    SketchItem,
    Text,
)
from tipsim.lesson.goals import set_by
from tipsim.lesson.item_texts import texts_of
from tipsim.lesson.quantities import solved
from tipsim.lesson.score import near
from tipsim.setup.errors import BadInput

LENGTH_SHARE = 0.5
"""Most of a lesson's choice items in which the right choice may be the longest (shortest)."""
_LONGER = 1.1
"""A choice counts as the longest (shortest) when it is a tenth longer (shorter) than all others."""
Complaint = tuple[Place, str, str, str]


def variants(lesson: Lesson, item: Item, seed: int = 0) -> Iterator[Asked]:
    """Give an item in every variant."""
    return (ask_variant(lesson, item, i, seed) for i in range(len(item.variants)))


def check_item(lesson: Lesson, item: Item, faults: Faults) -> None:
    """Check an item in every variant; a fault names the variant it was first found in."""
    if isinstance(item, PlaceItem | SketchItem) and item.on not in lesson.bench_of(item).whole():
        faults.add(item.place, "on", quoted(item.on), "a side of the item's bench")
        return
    for index in range(len(item.variants)):
        before = len(faults)
        try:
            asked = ask_variant(lesson, item, index)
            for side in asked.values.sides.values():
                solved(side)
        except BadInput as bad:
            faults.bad(_bench_place(item), f"{item.id}, {_variant(item, index)}", bad)
            return
        _check_kind(asked, index, faults)
        _check_fills(asked, faults)
        if len(faults) > before:
            return


def _bench_place(item: Item) -> Place:
    return item.bench.place if item.bench else item.place


def _variant(item: Item, index: int) -> str:
    shown = (
        f"{k}: {v:g}" if isinstance(v, float) else f"{k}: {v}"
        for k, v in item.variants[index].items()
    )
    return f"variant {', '.join(shown)}" if item.variants[index] else "bench"


def _check_kind(asked: Asked, index: int, faults: Faults) -> None:
    item = asked.item
    try:
        for place, field, value, allowed in _KINDS[item.kind](asked):
            faults.add(place, f"{field} ({_variant(item, index)})", value, allowed)
    except BadInput as bad:
        faults.bad(item.place, f"{item.id}, {_variant(item, index)}", bad)


def _check_fills(asked: Asked, faults: Faults) -> None:
    for text in texts_of(asked.item):
        try:
            asked.fill(text)
        except BadInput as bad:
            faults.bad(text.place, "text", bad)


def _choices(asked: Asked) -> Iterator[Complaint]:
    item = asked.item
    assert isinstance(item, ChoiceItem)
    for choice in item.choices:
        try:
            asked.holds(choice.right)
        except BadInput as bad:
            yield choice.right.place, f"right: {bad.field}", bad.value, bad.allowed
            return
    count = len(asked.right_choices)
    if item.kind == "one" and count != 1:
        yield item.place, "right choices", f"{count}", "exactly one, in every variant"
    if item.kind == "several" and count == 0:
        yield item.place, "right choices", "none", "one or more, in every variant"
    texts = [asked.fill(c.text) for c in item.choices]
    yield from _differ(item, "choices", texts)


def _differ(item: Item, field: str, texts: list[str]) -> Iterator[Complaint]:
    twice = sorted({t for t in texts if texts.count(t) > 1})
    if twice:
        yield item.place, field, f"{quoted(twice[0])} twice", "different texts, in every variant"


def _number(asked: Asked) -> Iterator[Complaint]:
    item = asked.item
    assert isinstance(item, NumberItem)
    assert asked.truth is not None
    if asked.tolerance(item.tolerance, asked.truth) <= 0:
        yield item.place, "tolerance", "0", "more than 0: a share of a truth of 0 is nothing"
    yield from _wrong(asked, item, [asked.truth])


def _place(asked: Asked) -> Iterator[Complaint]:
    item = asked.item
    assert isinstance(item, PlaceItem)
    length = float(solved(asked.values.sides[item.on]).from_end[0])
    for truth in asked.truths:
        if not 0 <= truth <= length:
            allowed = f"0 to {length:.4g} mm, from the end"
            yield item.place, "truth", f"{truth:.4g} mm", allowed
    yield from _wrong(asked, item, list(asked.truths))


def _wrong(asked: Asked, item: NumberItem | PlaceItem, truths: list[float]) -> Iterator[Complaint]:
    """Check that no typical wrong value would be taken for right, or for an earlier one."""
    before: list[float] = []
    for each in item.wrong:
        try:
            value = asked.number(each.value, asked.truth)
        except BadInput as bad:
            yield each.value.place, f"value: {bad.field}", bad.value, bad.allowed
            continue
        if any(near(asked, value, truth, item.tolerance) for truth in truths):
            allowed = "a value beyond the tolerance of the truth"
            yield each.value.place, "wrong value", f"{value:.4g}", allowed
        if any(near(asked, value, v, item.tolerance) for v in before):
            allowed = "a value that no earlier wrong value covers"
            yield each.value.place, "wrong value", f"{value:.4g}", allowed
        before.append(value)


def _order(asked: Asked) -> Iterator[Complaint]:
    item = asked.item
    assert isinstance(item, OrderItem)
    yield from _differ(item, "entries", [asked.fill(e.text) for e in item.entries])
    if item.entries and all(e.value is not None for e in item.entries):
        values = sorted(asked.entry_value(e) for e in item.entries)
        widest = max(map(abs, values))
        for one, other in itertools.pairwise(values):
            if other - one <= 0.02 * widest:
                allowed = "values at least 2 % of the largest apart"
                yield item.place, "entries", f"{one:.4g} and {other:.4g}", allowed


def _match(asked: Asked) -> Iterator[Complaint]:
    item = asked.item
    assert isinstance(item, MatchItem)
    yield from _differ(item, "pairs", [asked.fill(p.left) for p in item.pairs])
    rights: list[Text] = [*(p.right for p in item.pairs), *item.also]
    yield from _differ(item, "right sides", [asked.fill(t) for t in rights])


def _sketch(asked: Asked) -> Iterator[Complaint]:
    item = asked.item
    assert isinstance(item, SketchItem)
    side = solved(asked.values.sides[item.on])
    model = curves.model_curve(side, item.of)
    for each in item.criteria:
        if not curves.meets(each, model, side, item.of):
            allowed = "criteria that the model's own curve meets"
            yield each.feedback.place, f"criterion {each.kind}", "not met", allowed


def _goal(asked: Asked) -> Iterator[Complaint]:
    item = asked.item
    assert isinstance(item, GoalItem)
    if all(asked.holds(c.that) for c in item.conditions):
        yield item.place, "goal", "met at the start", "something left to do"
    done = solution_of(asked, item.solution)
    for condition in item.conditions:
        if not done.holds(condition.that):
            at = item.solution.place
            yield at, "solution", f"without {quoted(condition.that.source)}", "all conditions met"
    taken = set_by(asked, item, done.values.sides)
    if not all(taken.holds(c.that) for c in item.conditions):
        yield item.solution.place, "solution", "with other fields", f"only {', '.join(item.free)}"


_KINDS: Mapping[str, Callable[[Asked], Iterator[Complaint]]] = {
    "one": _choices,
    "several": _choices,
    "number": _number,
    "order": _order,
    "match": _match,
    "place": _place,
    "sketch": _sketch,
    "goal": _goal,
}


def length_of_right(asked: Asked) -> str:
    """Tell how the right choice of a "one" item stands out: "longest", "shortest", or not ("")."""
    item = asked.item
    assert isinstance(item, ChoiceItem)
    lengths = {c.id: len(asked.fill(c.text)) for c in item.choices}
    (right,) = asked.right_choices
    others = [n for id, n in lengths.items() if id != right]
    if lengths[right] > _LONGER * max(others):
        return "longest"
    return "shortest" if _LONGER * lengths[right] < min(others) else ""


def check_lengths(lesson: Lesson, faults: Faults) -> None:
    """Check that neither "take the longest" nor "take the shortest" does well in a lesson."""
    ones = [i for i in lesson.items.values() if i.kind == "one"]
    try:
        lengths = [(i, {length_of_right(a) for a in variants(lesson, i)}) for i in ones]
    except (BadInput, ValueError):  # Told by check_item.
        return
    for kind in ("longest", "shortest"):
        found = [i for i, kinds in lengths if kinds == {kind}]
        if len(ones) >= 2 and len(found) > LENGTH_SHARE * len(ones):
            value = f"{len(found)} of {len(ones)} ({', '.join(i.id for i in found)})"
            allowed = "at most half, so that length tells nothing"
            faults.add(found[0].place, f"items whose {kind} choice is right", value, allowed)
