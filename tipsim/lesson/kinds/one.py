"""Kind "one": one right choice."""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from tipsim.lesson.ask import Asked
from tipsim.lesson.format import Formula, Item, Text
from tipsim.lesson.kinds.base import Complaint, Data, Judged, Kind, differ, judged, rows
from tipsim.lesson.qti_parts import Qti, correct, has
from tipsim.lesson.sheet import Sheet
from tipsim.setup.errors import BadInput

_LONGER = 1.1
"""A choice counts as the longest (shortest) when it is a tenth longer (shorter) than all others."""


@dataclass(frozen=True)
class Choice:
    """One choice of an item; `right` is a formula, constant or not."""

    id: str
    text: Text
    right: Formula
    feedback: Text


@dataclass(frozen=True)
class ChoiceItem(Item):
    """An item with choices."""

    choices: tuple[Choice, ...]
    keep_order: bool

    def right_choices(self, asked: Asked) -> frozenset[str]:
        """Return the ids of the right choices."""
        return frozenset(c.id for c in self.choices if asked.holds(c.right))

    def order(self, asked: Asked) -> tuple[str, ...]:
        """Return the ids as they are shown."""
        ids = tuple(c.id for c in self.choices)
        return ids if self.keep_order else asked.shuffled(ids)


class One(Kind[ChoiceItem]):
    """One right choice, each choice with its own feedback."""

    name = "one"
    drawn = False
    interaction = "choice"
    needs_right = False
    cardinality = "single"
    wanted = "exactly one"
    none = "0"

    def read(self, sheet: Sheet, common: Data) -> ChoiceItem:
        """Read the choices."""
        counter = itertools.count(1)

        def read(each: Sheet) -> Choice:
            id = each.id("id", f"c{next(counter)}")
            right = each.formula("right", "false")
            return Choice(id, each.text("text"), right, each.text("feedback"))

        choices = sheet.each("choices", read, True, 2, 6)
        ids = [c.id for c in choices]
        twice = sorted({i for i in ids if ids.count(i) > 1})
        if twice:
            sheet.fault("choices", f"id {', '.join(twice)} twice", "a different id for each")
        return ChoiceItem(**common, choices=choices, keep_order=sheet.yes("keep_order"))

    def texts(self, item: ChoiceItem) -> Iterator[Text]:
        """Return each choice and its feedback."""
        for choice in item.choices:
            yield from (choice.text, choice.feedback)

    def complaints(self, item: ChoiceItem, asked: Asked) -> Iterator[Complaint]:
        """Return a wrong number of right choices, and choices that read the same."""
        for choice in item.choices:
            try:
                asked.holds(choice.right)
            except BadInput as bad:
                yield choice.right.place, f"right: {bad.field}", bad.value, bad.allowed
                return
        count = len(item.right_choices(asked))
        if not self.enough(count):
            number = f"{count or self.none}"
            yield item.place, "right choices", number, f"{self.wanted}, in every variant"
        yield from differ(asked, "choices", (c.text for c in item.choices))

    def enough(self, count: int) -> bool:
        """Return whether a number of right choices is allowed."""
        return count == 1

    def score(self, item: ChoiceItem, asked: Asked, given: Any) -> Judged:
        """Return the verdict on the id of a choice."""
        choice = next((c for c in item.choices if c.id == given), None)
        if choice is None:
            raise BadInput("answer", "none of the choices", "one of the choices")
        right = choice.id in item.right_choices(asked)
        return judged(asked, right, False, [choice.feedback], always=True)

    def right(self, item: ChoiceItem, asked: Asked) -> Any:
        """Return the id of the right choice."""
        return next(iter(item.right_choices(asked)))

    def words(self, item: ChoiceItem, asked: Asked, given: Any) -> str:
        """Return the texts of what was chosen, in the order shown."""
        ticked = given if isinstance(given, list) else [given]
        texts = {c.id: c.text for c in item.choices}
        return "; ".join(asked.fill(texts[c]) for c in item.order(asked) if c in ticked)

    def shown(self, item: ChoiceItem, asked: Asked) -> Data:
        """Return ``choices`` (id, html)."""
        texts = {c.id: c.text for c in item.choices}
        return {"choices": rows(asked, ((id, texts[id]) for id in item.order(asked)))}

    def qti(self, item: ChoiceItem, asked: Asked, qti: Qti) -> None:
        """Write a choice interaction with the feedback of each choice."""
        several = self.cardinality == "multiple"
        right = [c.id for c in item.choices if c.id in item.right_choices(asked)]
        qti.declare(self.cardinality, "identifier", right)
        interaction = qti.interaction(
            "choice-interaction",
            shuffle=f"{not item.keep_order}".lower(),
            max_choices="0" if several else "1",
            min_choices="1",
        )
        qti.choices(interaction, ((c.id, asked.fill(c.text)) for c in item.choices))
        qti.scored(correct, "")
        for choice in item.choices:
            # With several, feedback is for what is off: ticked and not right.
            if not several or choice.id not in right:
                qti.feedback_if(has(choice.id, several), choice.id, asked.fill(choice.feedback))

    def length_of_right(self, item: ChoiceItem, asked: Asked) -> str | None:
        """Return "longest", "shortest", or "" where the right choice does not stand out."""
        lengths = {c.id: len(asked.fill(c.text)) for c in item.choices}
        (right,) = item.right_choices(asked)
        others = [n for id, n in lengths.items() if id != right]
        if lengths[right] > _LONGER * max(others):
            return "longest"
        return "shortest" if _LONGER * lengths[right] < min(others) else ""
