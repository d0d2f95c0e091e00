"""Kind "order": entries are put in order."""

import itertools
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from tipsim.lesson.ask import Asked
from tipsim.lesson.format import Formula, Item, Text
from tipsim.lesson.kinds.base import Complaint, Data, Judged, Kind, differ, judged, rows
from tipsim.lesson.qti_parts import Qti, correct
from tipsim.lesson.sheet import Sheet
from tipsim.setup.errors import BadInput


@dataclass(frozen=True)
class Entry:
    """One of several that are put in order; `value` is None where the order is as written."""

    id: str
    text: Text
    value: Formula | None
    feedback: Text


@dataclass(frozen=True)
class OrderItem(Item):
    """Entries, in order by value (the smallest first where `rising`) or as written."""

    entries: tuple[Entry, ...]
    rising: bool

    def values(self, asked: Asked) -> dict[str, float]:
        """Return the values by id; empty where the order is as written."""
        return {e.id: asked.number(e.value) for e in self.entries if e.value is not None}

    def right_order(self, asked: Asked) -> tuple[str, ...]:
        """Return the ids in the right order."""
        values = self.values(asked)
        ids = (e.id for e in self.entries)
        return tuple(
            sorted(ids, key=values.__getitem__, reverse=not self.rising) if values else ids
        )

    def order(self, asked: Asked) -> tuple[str, ...]:
        """Return the ids as they are shown: never in the right order."""
        right = self.right_order(asked)
        shown = asked.shuffled(sorted(right))
        return shown if shown != right else (*shown[1:], shown[0])


class Order(Kind[OrderItem]):
    """Entries to be put in order; one swap of neighbours is partly right."""

    name = "order"
    interaction = "sequencing"

    def read(self, sheet: Sheet, common: Data) -> OrderItem:
        """Read the entries."""
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

    def texts(self, item: OrderItem) -> Iterator[Text]:
        """Return each entry and its feedback."""
        for entry in item.entries:
            yield from (entry.text, entry.feedback)

    def complaints(self, item: OrderItem, asked: Asked) -> Iterator[Complaint]:
        """Return entries that read the same, and values too close to be put in order."""
        yield from differ(asked, "entries", (e.text for e in item.entries))
        values = sorted(item.values(asked).values())
        if len(values) < len(item.entries):
            return
        widest = max(map(abs, values), default=0.0)
        for one, other in itertools.pairwise(values):
            if other - one <= 0.02 * widest:
                allowed = "values at least 2 % of the largest apart"
                yield item.place, "entries", f"{one:.4g} and {other:.4g}", allowed

    def score(self, item: OrderItem, asked: Asked, given: Any) -> Judged:
        """Return the verdict on a list of the entries' ids."""
        right = item.right_order(asked)
        if not isinstance(given, list) or sorted(map(str, given)) != sorted(right):
            raise BadInput("answer", "not all in order", "every entry, once")
        off = [i for i, (g, r) in enumerate(zip(given, right, strict=True)) if g != r]
        first = [e.feedback for e in item.entries if off and e.id == given[off[0]]]
        swap = len(off) == 2 and off[1] - off[0] == 1
        return judged(asked, not off, swap, first)

    def right(self, item: OrderItem, asked: Asked) -> Any:
        """Return the ids in the right order."""
        return list(item.right_order(asked))

    def words(self, item: OrderItem, asked: Asked, given: Any) -> str:
        """Return the entries with their numbers."""
        texts = {e.id: asked.fill(e.text) for e in item.entries}
        return "; ".join(f"{i}. {texts[id]}" for i, id in enumerate(given, 1))

    def shown(self, item: OrderItem, asked: Asked) -> Data:
        """Return ``entries`` (id, html)."""
        texts = {e.id: e.text for e in item.entries}
        return {"entries": rows(asked, ((id, texts[id]) for id in item.order(asked)))}

    def qti(self, item: OrderItem, asked: Asked, qti: Qti) -> None:
        """Write an order interaction."""
        qti.declare("ordered", "identifier", item.right_order(asked))
        interaction = qti.interaction("order-interaction", shuffle="true")
        texts = {e.id: asked.fill(e.text) for e in item.entries}
        qti.choices(interaction, ((id, texts[id]) for id in item.order(asked)))
        qti.scored(correct, "\n\n".join(asked.fill(e.feedback) for e in item.entries))
