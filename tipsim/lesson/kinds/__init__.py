"""Every kind of question, by name; whatever depends on the kind of an item asks here.

A kind is one file of this folder. It is added to `KINDS` and nowhere else in Python.
"""

import itertools
from collections.abc import Iterator, Mapping
from typing import Any

from tipsim.lesson.ask import Asked
from tipsim.lesson.faults import quoted
from tipsim.lesson.format import KNOWLEDGE, SIDES, Item, Text, Value
from tipsim.lesson.kinds.base import PARTLY, RIGHT, VERDICTS, WRONG, Judged, Kind
from tipsim.lesson.kinds.goal import Goal
from tipsim.lesson.kinds.match import Match
from tipsim.lesson.kinds.number import Number
from tipsim.lesson.kinds.one import One
from tipsim.lesson.kinds.order import Order
from tipsim.lesson.kinds.place import Place
from tipsim.lesson.kinds.several import Several
from tipsim.lesson.kinds.sketch import Sketch
from tipsim.lesson.sheet import Sheet

__all__ = [
    "KINDS",
    "PARTLY",
    "RIGHT",
    "VERDICTS",
    "WRONG",
    "Judged",
    "Kind",
    "in_words",
    "kind_of",
    "read_item",
    "right_answer",
    "score",
    "texts_of",
]
KINDS: Mapping[str, Kind[Any]] = {
    kind.name: kind
    for kind in (One(), Several(), Number(), Order(), Match(), Place(), Sketch(), Goal())
}
MOST_VARIANTS = 48


def kind_of(item: Item) -> Kind[Any]:
    """Return the kind of an item."""
    return KINDS[item.kind]


def score(asked: Asked, given: Any) -> Judged:
    """Return the verdict on an answer, with the feedback.

    Parameters
    ----------
    given : plain data
        What the kind's `score` says.

    Raises
    ------
    BadInput
        When it is no answer: nothing is to be stored then, and the learner is told.

    Examples
    --------
    >>> from tipsim.lesson.ask import ask
    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["drive-to-stroke"]
    >>> asked = ask(lesson, lesson.items["stroke-power-number"], 1)
    >>> score(asked, f"{asked.truth} µm").verdict, score(asked, 2 * asked.truth).verdict
    ('right', 'wrong')
    """
    return kind_of(asked.item).score(asked.item, asked, given)


def right_answer(asked: Asked) -> Any:
    """Return a right answer, as `score` takes answers.

    Examples
    --------
    >>> from tipsim.lesson.ask import ask
    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["drive-to-stroke"]
    >>> right_answer(ask(lesson, lesson.items["stroke-paper"], 0))
    'c3'
    """
    return kind_of(asked.item).right(asked.item, asked)


def in_words(asked: Asked, given: Any) -> str:
    """Return an answer that `score` has taken as Markdown, such as "130 µm peak to peak".

    Examples
    --------
    >>> from tipsim.lesson.ask import ask
    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["drive-to-stroke"]
    >>> asked = ask(lesson, lesson.items["stroke-seen-straight"], 0)
    >>> in_words(asked, right_answer(asked))
    'It stayed in its place and turned.'
    """
    return kind_of(asked.item).words(asked.item, asked, given)


def texts_of(item: Item) -> Iterator[Text]:
    """Return each text of an item that the learner may see.

    Examples
    --------
    >>> from tipsim.lesson.read import school
    >>> item = school().lessons["drive-to-stroke"].items["stroke-power-number"]
    >>> next(texts_of(item)).source.endswith("?")
    True
    """
    yield item.text
    if item.right:
        yield item.right
    yield from kind_of(item).texts(item)


def read_item(sheet: Sheet) -> Item | None:
    """Read one item; None, with a fault noted, where its kind is not known."""
    name = sheet.one_of("kind", tuple(KINDS))
    kind = KINDS.get(name)
    common: dict[str, Any] = {
        "id": sheet.id("id"),
        "objective": sheet.id("objective"),
        "kind": name,
        "text": sheet.text("text"),
        "bench": sheet.bench("bench"),
        "variants": read_variants(sheet),
        "right": sheet.text("right", needed=kind is not None and kind.needs_right),
        "asks": sheet.one_of("asks", KNOWLEDGE, ""),
        "place": sheet.place,
    }
    if kind is None:
        return None
    item: Item = kind.read(sheet, common)
    sheet.done()
    return item


def read_variants(sheet: Sheet, key: str = "variants") -> tuple[Mapping[str, Value], ...]:
    """Read every combination of a table of lists, or a list of tables as it is."""
    read = sheet.tables(key)
    if isinstance(read, list):
        cases: list[dict[str, str]] = read
        if len({frozenset(c) for c in cases}) > 1:
            sheet.fault(key, "tables with different names", "the same names in each")
    else:
        cases = [dict(zip(read, each, strict=True)) for each in itertools.product(*read.values())]
    if len(cases) > MOST_VARIANTS:
        sheet.fault(key, f"{len(cases)} in all", f"up to {MOST_VARIANTS}")
    reserved = {"truth", "sourced", "both", *SIDES}
    for name in {name for case in cases for name in case}:
        if not name.isidentifier() or name in reserved:
            allowed = f"a name of letters, digits and _, not {', '.join(sorted(reserved))}"
            sheet.fault(key, quoted(name), allowed)
    out = [{name: _number_or_word(text) for name, text in case.items()} for case in cases]
    return tuple(out) or ({},)


def _number_or_word(text: str) -> Value:
    try:
        return float(text)
    except ValueError:
        return text
