"""Kind "number": a number with a unit is typed."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from tipsim.lesson.ask import Asked
from tipsim.lesson.format import Formula, Text
from tipsim.lesson.kinds.base import Complaint, Data, lines
from tipsim.lesson.kinds.measured import Measured, MeasuredItem, rounded
from tipsim.lesson.qti_parts import Qti
from tipsim.lesson.sheet import Sheet
from tipsim.lesson.units import FAMILIES


@dataclass(frozen=True)
class NumberItem(MeasuredItem):
    """A number in a unit; `shown` lines of `worked` are given with the question."""

    unit: str
    means: str
    truth: Formula
    worked: tuple[Text, ...]
    shown: int

    def truths(self) -> tuple[Formula, ...]:
        """Return the formula of the right number."""
        return (self.truth,)


class Number(Measured[NumberItem]):
    """A number, judged with a tolerance; a decimal comma and units of the same kind are taken."""

    name = "number"
    drawn = False

    def read(self, sheet: Sheet, common: Data) -> NumberItem:
        """Read unit, truth, tolerance and the worked solution."""
        worked = sheet.texts("worked")
        return NumberItem(
            **common,
            unit=sheet.one_of("unit", tuple(FAMILIES)),
            means=sheet.words("means", ""),
            truth=sheet.formula("truth"),
            **self.read_measured(sheet),
            worked=worked,
            # Never the last line, which gives the answer.
            shown=int(sheet.number("shown", 0, max(len(worked) - 1, 0), 0)),
        )

    def unit(self, item: NumberItem) -> str:
        """Return the item's unit."""
        return item.unit

    def worked(self, item: NumberItem) -> tuple[Text, ...]:
        """Return the lines of the worked solution."""
        return item.worked

    def texts(self, item: NumberItem) -> Iterator[Text]:
        """Return feedback and worked solution."""
        yield from (*super().texts(item), *item.worked)

    def complaints(self, item: NumberItem, asked: Asked) -> Iterator[Complaint]:
        """Return a tolerance of nothing, and wrong values that are not wrong."""
        if item.tolerance.around(asked.truths[0]) <= 0:
            allowed = "more than 0: a share of a truth of 0 is nothing"
            yield item.place, "tolerance", "0", allowed
        yield from super().complaints(item, asked)

    def words(self, item: NumberItem, asked: Asked, given: Any) -> str:  # noqa: ARG002
        """Return the number with its unit; what was typed stays as it was typed."""
        if isinstance(given, str):
            return given.strip()
        value = rounded(given, item.tolerance.around(given))
        return " ".join(filter(None, (value, item.unit, item.means)))

    def shown(self, item: NumberItem, asked: Asked) -> Data:
        """Return ``unit``, ``means`` and ``worked``, the lines that are given."""
        worked = lines(asked, item.worked[: item.shown])
        return {"unit": item.unit, "means": item.means, "worked": worked}

    def revealed(self, item: NumberItem, asked: Asked, given: Any) -> Data:  # noqa: ARG002
        """Return every line of ``worked``."""
        return {"worked": lines(asked, item.worked)}

    def qti(self, item: NumberItem, asked: Asked, qti: Qti) -> None:
        """Write a text entry, scored with the item's tolerance."""
        qti.declare("single", "float", [f"{asked.truth:.6g}"])
        for text in item.worked[: item.shown]:
            qti.rich(qti.body, asked.fill(text))
        line = qti.add(qti.body, "p")
        entry = qti.interaction("text-entry-interaction", line, expected_length="12")
        entry.tail = " " + " ".join(filter(None, (item.unit, item.means)))
        qti.scored(self.near(item, asked.truths[0]), asked.fill(item.otherwise))
        self.qti_typical(item, asked, qti)
