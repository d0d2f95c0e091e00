"""Reading the questions of a lesson."""

import itertools
from collections.abc import Callable, Mapping
from typing import Any

from tipsim.lesson.faults import quoted
from tipsim.lesson.format import (
    CRITERIA,
    CURVES,
    ITEM_KINDS,
    SIDES,
    Bench,
    Choice,
    ChoiceItem,
    Condition,
    Criterion,
    Entry,
    GoalItem,
    Item,
    MatchItem,
    NumberItem,
    OrderItem,
    Pair,
    PlaceItem,
    SketchItem,
    Tolerance,
    Value,
    Wrong,
)
from tipsim.lesson.sheet import Sheet
from tipsim.lesson.units import FAMILIES

MOST_VARIANTS = 48


def read_item(sheet: Sheet) -> Item | None:
    """Read one item; None, with a fault noted, where its kind is not known."""
    kind = sheet.one_of("kind", ITEM_KINDS)
    common: dict[str, Any] = {
        "id": sheet.id("id"),
        "objective": sheet.id("objective"),
        "kind": kind,
        "text": sheet.text("text"),
        "bench": sheet.bench("bench"),
        "variants": _variants(sheet),
        "right": sheet.text("right", needed=kind not in ("one", "")),
        "place": sheet.place,
    }
    if not kind:
        return None
    item = _READERS[kind](sheet, common)
    sheet.done()
    return item


def _variants(sheet: Sheet) -> tuple[Mapping[str, Value], ...]:
    """Give every combination of a table of lists, or a list of tables as it is."""
    found = sheet.tables("variants")
    if isinstance(found, list):
        cases: list[dict[str, str]] = found
        if len({frozenset(c) for c in cases}) > 1:
            sheet.fault("variants", "tables with different names", "the same names in each")
    else:
        cases = [dict(zip(found, each, strict=True)) for each in itertools.product(*found.values())]
    if len(cases) > MOST_VARIANTS:
        sheet.fault("variants", f"{len(cases)} in all", f"up to {MOST_VARIANTS}")
    reserved = {"truth", "sourced", "both", *SIDES}
    for name in {name for case in cases for name in case}:
        if not name.isidentifier() or name in reserved:
            allowed = f"a name of letters, digits and _, not {', '.join(sorted(reserved))}"
            sheet.fault("variants", quoted(name), allowed)
    out = [{name: _number_or_word(text) for name, text in case.items()} for case in cases]
    return tuple(out) or ({},)


def _number_or_word(text: str) -> Value:
    try:
        return float(text)
    except ValueError:
        return text


def _choices(sheet: Sheet, common: dict[str, Any]) -> Item:
    counter = itertools.count(1)

    def read(each: Sheet) -> Choice:
        id = each.id("id", f"c{next(counter)}")
        return Choice(id, each.text("text"), each.formula("right", "false"), each.text("feedback"))

    choices = sheet.each("choices", read, True, 2, 6)
    _differ(sheet, "choices", [c.id for c in choices])
    return ChoiceItem(**common, choices=choices, keep_order=sheet.yes("keep_order"))


def _wrong(sheet: Sheet) -> tuple[Wrong, ...]:
    def read(each: Sheet) -> Wrong:
        return Wrong(each.formula("value"), each.text("feedback"))

    return sheet.each("wrong", read, False)


def _tolerance(sheet: Sheet) -> Tolerance:
    allowed = "such as 10 % of the truth, or a number above 0 in the item's unit"
    text = sheet.words("tolerance", None, allowed)
    share = text.endswith("%")
    try:
        value = float(text.removesuffix("%"))
    except ValueError:
        value = 0.0
    if text and not 0 < value < (100 if share else 1e9):
        sheet.fault("tolerance", quoted(text), allowed)
    return Tolerance(share=value / 100) if share else Tolerance(distance=value)


def _number(sheet: Sheet, common: dict[str, Any]) -> Item:
    worked = sheet.texts("worked")
    return NumberItem(
        **common,
        unit=sheet.one_of("unit", tuple(FAMILIES)),
        means=sheet.words("means", ""),
        truth=sheet.formula("truth"),
        tolerance=_tolerance(sheet),
        wrong=_wrong(sheet),
        otherwise=sheet.text("otherwise"),
        worked=worked,
        shown=int(sheet.number("shown", 0, len(worked), 0)),
    )


def _order(sheet: Sheet, common: dict[str, Any]) -> Item:
    counter = itertools.count(1)

    def read(each: Sheet) -> Entry:
        value = each.formula("value") if each.has("value") else None
        return Entry(f"e{next(counter)}", each.text("text"), value, each.text("feedback"))

    entries = sheet.each("entries", read, True, 3, 6)
    valued = sum(e.value is not None for e in entries)
    if valued not in (0, len(entries)):
        sheet.fault("entries", f"{valued} of {len(entries)} with a value", "all or none")
    if valued and not sheet.has("rising"):
        sheet.fault("rising", "missing", "true (smallest first) or false, beside values")
    return OrderItem(**common, entries=entries, rising=not valued or sheet.yes("rising"))


def _match(sheet: Sheet, common: dict[str, Any]) -> Item:
    counter = itertools.count(1)

    def read(each: Sheet) -> Pair:
        id = f"p{next(counter)}"
        return Pair(id, each.text("left"), each.text("right"), each.text("feedback"))

    return MatchItem(
        **common, pairs=sheet.each("pairs", read, True, 2, 6), also=sheet.texts("also")
    )


def _place(sheet: Sheet, common: dict[str, Any]) -> Item:
    return PlaceItem(
        **common,
        on=sheet.one_of("on", SIDES),
        truths=sheet.formulas("truth"),
        tolerance=_tolerance(sheet),
        wrong=_wrong(sheet),
        otherwise=sheet.text("otherwise"),
    )


def _sketch(sheet: Sheet, common: dict[str, Any]) -> Item:
    def read(each: Sheet) -> Criterion:
        kind = each.one_of("kind", CRITERIA)
        limit = 0.0
        if kind in ("largest", "still"):
            limit = each.number("within_mm", 0.1, 20)
        elif kind == "alike":
            limit = each.number("least", 0.1, 0.99)
        return Criterion(kind, limit, each.text("feedback"))

    return SketchItem(
        **common,
        on=sheet.one_of("on", SIDES),
        of=sheet.one_of("of", CURVES),
        criteria=sheet.each("criteria", read, True, 1, 4),
    )


def _goal(sheet: Sheet, common: dict[str, Any]) -> Item:
    def read(each: Sheet) -> Condition:
        return Condition(each.formula("that"), each.text("text"), each.text("feedback"))

    return GoalItem(
        **common,
        free=sheet.lines("free"),
        conditions=sheet.each("conditions", read, True, 1, 6),
        solution=sheet.bench("solution", needed=True) or Bench({}),
    )


_READERS: Mapping[str, Callable[[Sheet, dict[str, Any]], Item]] = {
    "one": _choices,
    "several": _choices,
    "number": _number,
    "order": _order,
    "match": _match,
    "place": _place,
    "sketch": _sketch,
    "goal": _goal,
}


def _differ(sheet: Sheet, key: str, ids: list[str]) -> None:
    twice = {i for i in ids if ids.count(i) > 1}
    if twice:
        sheet.fault(key, f"id {', '.join(sorted(twice))} twice", "a different id for each")
