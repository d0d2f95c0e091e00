"""Checking items: every variant has an answer, and only the wrong ones are wrong."""

from tipsim.lesson.ask import Asked, ask_variant, variants
from tipsim.lesson.check_missed import check_missed
from tipsim.lesson.faults import Faults, quoted
from tipsim.lesson.format import Item, Lesson, Place
from tipsim.lesson.kinds import kind_of, texts_of
from tipsim.lesson.quantities import solved
from tipsim.setup.errors import BadInput

LENGTH_SHARE = 0.5
"""Most of a lesson's choice items in which the right choice may be the longest (shortest)."""


def check_item(lesson: Lesson, item: Item, faults: Faults) -> None:
    """Check an item in every variant; a fault names the variant it was first found in."""
    for name in kind_of(item).sides(item):
        if name not in lesson.bench_of(item).whole():
            faults.add(item.place, "on", quoted(name), "a side of the item's bench")
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
        check_missed(asked, faults)
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
        for place, field, value, allowed in kind_of(item).complaints(item, asked):
            faults.add(place, f"{field} ({_variant(item, index)})", value, allowed)
    except BadInput as bad:
        faults.bad(item.place, f"{item.id}, {_variant(item, index)}", bad)


def _check_fills(asked: Asked, faults: Faults) -> None:
    for text in texts_of(asked.item):
        try:
            asked.fill(text)
        except BadInput as bad:
            faults.bad(text.place, "text", bad)


def check_lengths(lesson: Lesson, faults: Faults) -> None:
    """Check that neither "take the longest" nor "take the shortest" does well in a lesson."""
    try:
        every = [
            (item, {kind_of(item).length_of_right(item, a) for a in variants(lesson, item)})
            for item in lesson.items.values()
        ]
    except (BadInput, ValueError):  # Told by check_item.
        return
    lengths = [(item, kinds) for item, kinds in every if kinds != {None}]
    for kind in ("longest", "shortest"):
        found = [item for item, kinds in lengths if kinds == {kind}]
        if len(lengths) >= 2 and len(found) > LENGTH_SHARE * len(lengths):
            value = f"{len(found)} of {len(lengths)} ({', '.join(i.id for i in found)})"
            allowed = "at most half, so that length tells nothing"
            faults.add(found[0].place, f"items whose {kind} choice is right", value, allowed)
