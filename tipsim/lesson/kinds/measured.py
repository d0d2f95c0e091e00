"""What the kinds share whose answer is a number: tolerance and typical wrong values."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, TypeVar

from tipsim.lesson.ask import Asked
from tipsim.lesson.faults import quoted
from tipsim.lesson.fill import show_number
from tipsim.lesson.format import Formula, Item, Text
from tipsim.lesson.kinds.base import Complaint, Data, Judged, Kind, judged
from tipsim.lesson.qti_parts import Qti, Test, near
from tipsim.lesson.sheet import Sheet
from tipsim.lesson.units import read_number
from tipsim.setup.errors import BadInput

_EDGE = 1e-9
"""Share by which a number may lie beyond its tolerance: rounding of floats, no more."""


@dataclass(frozen=True)
class Tolerance:
    """How far from the truth is still right: a share of it, or a distance in the item's unit.

    Examples
    --------
    >>> Tolerance(share=0.1).around(-30.0), Tolerance(distance=0.5).covers(3.5, 3.0)
    (3.0, True)
    """

    share: float = 0.0
    distance: float = 0.0

    def around(self, truth: float) -> float:
        """Return how far from a truth is still right."""
        return max(self.distance, self.share * abs(truth))

    def covers(self, value: float, truth: float) -> bool:
        """Return whether a value is within the tolerance of a truth; the edge is within."""
        allowed = self.around(truth)
        return abs(value - truth) <= allowed + _EDGE * max(allowed, abs(truth))


def rounded(value: float, allowed: float) -> str:
    """Write a number to the digits that its tolerance gives a meaning to.

    >>> rounded(11.3097, 0.34), rounded(78.02, 3.9), rounded(1520.0, 152.0)
    ('11.3', '78', '1500')
    """
    digits = -math.floor(math.log10(allowed)) if allowed > 0 else 6
    return show_number(round(value, digits), f".{min(max(digits, 0), 9)}f")


@dataclass(frozen=True)
class Wrong:
    """A typical wrong value and its feedback."""

    value: Formula
    feedback: Text


@dataclass(frozen=True)
class MeasuredItem(Item):
    """An item whose answer is a number."""

    tolerance: Tolerance
    wrong: tuple[Wrong, ...]
    otherwise: Text


M = TypeVar("M", bound=MeasuredItem)


class Measured(Kind[M]):
    """A kind whose answer is a number, right within a tolerance."""

    interaction = "numeric"

    def unit(self, item: M) -> str:
        """Return the unit of the answer."""
        raise NotImplementedError

    def read_measured(self, sheet: Sheet) -> Data:
        """Read tolerance, typical wrong values and the feedback for any other."""

        def read(each: Sheet) -> Wrong:
            return Wrong(each.formula("value"), each.text("feedback"))

        return {
            "tolerance": _tolerance(sheet),
            "wrong": sheet.each("wrong", read, False),
            "otherwise": sheet.text("otherwise"),
        }

    def texts(self, item: M) -> Iterator[Text]:
        """Return the feedback of wrong values."""
        yield from (item.otherwise, *(w.feedback for w in item.wrong))

    def complaints(self, item: M, asked: Asked) -> Iterator[Complaint]:
        """Return typical wrong values that would be taken for right, or for an earlier one."""
        before: list[float] = []
        for each in item.wrong:
            try:
                value = asked.number(each.value, asked.truth)
            except BadInput as bad:
                yield each.value.place, f"value: {bad.field}", bad.value, bad.allowed
                continue
            for others, allowed in (
                (asked.truths, "a value beyond the tolerance of the truth"),
                (before, "a value that no earlier wrong value covers"),
            ):
                if any(item.tolerance.covers(value, other) for other in others):
                    yield each.value.place, "wrong value", f"{value:.4g}", allowed
            before.append(value)

    def score(self, item: M, asked: Asked, given: Any) -> Judged:
        """Return the verdict on a number, or a text with a number and maybe a unit."""
        if isinstance(given, bool) or not isinstance(given, int | float | str):
            raise BadInput("answer", "missing", "a number")
        typed = given if isinstance(given, str) else f"{given:.15g}"
        value = read_number(typed, self.unit(item))
        nearest = min(asked.truths, key=lambda truth: abs(truth - value))
        if item.tolerance.covers(value, nearest):
            return judged(asked, True, False, [])
        typical = (
            each.feedback
            for each in item.wrong
            if item.tolerance.covers(value, asked.number(each.value, asked.truth))
        )
        return judged(asked, False, False, [next(typical, item.otherwise)])

    def right(self, item: M, asked: Asked) -> Any:  # noqa: ARG002
        """Return the truth."""
        return asked.truth

    def near(self, item: M, value: float) -> Test:
        """Return QTI's test of whether a response is within the tolerance of a value."""
        return near(value, item.tolerance.around(value))

    def qti_typical(self, item: M, asked: Asked, qti: Qti) -> None:
        """Write the feedback of typical wrong values."""
        for number, each in enumerate(item.wrong, 1):
            test = self.near(item, asked.number(each.value, asked.truth))
            qti.feedback_if(test, f"typical-{number}", asked.fill(each.feedback))


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
