"""Kind "sketch": a curve is drawn along the needle."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from tipsim.lesson import curves
from tipsim.lesson.ask import Asked
from tipsim.lesson.curves import CRITERIA, CURVES, Criterion
from tipsim.lesson.fill import show_number
from tipsim.lesson.format import SIDES, Item, Text
from tipsim.lesson.kinds.base import Complaint, Data, Judged, Kind, judged
from tipsim.lesson.kinds.place import length_of, sizes
from tipsim.lesson.paper import sketch_drawing
from tipsim.lesson.qti_parts import Qti
from tipsim.lesson.quantities import solved
from tipsim.lesson.sheet import Sheet


@dataclass(frozen=True)
class SketchItem(Item):
    """A curve of side `on`; `of` is one of `CURVES`."""

    on: str
    of: str
    criteria: tuple[Criterion, ...]


class Sketch(Kind[SketchItem]):
    """A curve whose shape is judged by criteria."""

    name = "sketch"
    in_words = False

    def read(self, sheet: Sheet, common: Data) -> SketchItem:
        """Read side, curve and criteria."""

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
            of=sheet.one_of("of", tuple(CURVES)),
            criteria=sheet.each("criteria", read, True, 1, 4),
        )

    def texts(self, item: SketchItem) -> Iterator[Text]:
        """Return the feedback of the criteria."""
        yield from (c.feedback for c in item.criteria)

    def sides(self, item: SketchItem) -> tuple[str, ...]:
        """Return the needle's side."""
        return (item.on,)

    def complaints(self, item: SketchItem, asked: Asked) -> Iterator[Complaint]:
        """Return criteria that the model's own curve does not meet."""
        side = solved(asked.values.sides[item.on])
        model = curves.model_curve(side, item.of)
        for each in item.criteria:
            if not curves.meets(each, model, side, item.of):
                allowed = "criteria that the model's own curve meets"
                yield each.feedback.place, f"criterion {each.kind}", "not met", allowed

    def score(self, item: SketchItem, asked: Asked, given: Any) -> Judged:
        """Return the verdict on a list of [mm from the end, height]."""
        side = solved(asked.values.sides[item.on])
        sketch = curves.read_sketch(given, length_of(side))
        off = [c.feedback for c in item.criteria if not curves.meets(c, sketch, side, item.of)]
        return judged(asked, not off, len(off) < len(item.criteria), off)

    def right(self, item: SketchItem, asked: Asked) -> Any:
        """Return the model's curve as points."""
        side = solved(asked.values.sides[item.on])
        return curves.as_points(curves.model_curve(side, item.of), length_of(side))

    def words(self, item: SketchItem, asked: Asked, given: Any) -> str:
        """Return which curve it is and where it is highest."""
        length = length_of(solved(asked.values.sides[item.on]))
        highest = int(curves.read_sketch(given, length).argmax())
        place = show_number(highest * length / (curves.PLACES - 1), ".1f")
        return f"a curve of the {CURVES[item.of].lower()}, highest {place} mm from the end"

    def shown(self, item: SketchItem, asked: Asked) -> Data:
        """Return ``on``, ``of``, the needle's sizes, ``title``, ``places`` to draw at [mm]."""
        side = solved(asked.values.sides[item.on])
        size = sizes(side)
        length = size["length_mm"]
        return {
            "on": item.on,
            **size,
            "of": item.of,
            "title": f"{CURVES[item.of]} along the needle: {side.result.scenario.needle.title}",
            "places": np.round(np.linspace(length, 0, round(length) + 1), 3).tolist(),
        }

    def revealed(self, item: SketchItem, asked: Asked, given: Any) -> Data:  # noqa: ARG002
        """Return ``curve``, the model's points."""
        return {"curve": self.right(item, asked)}

    def figure(self, shown: Data, revealed: Data) -> str:
        """Return axes to draw in, with the model's curve."""
        return sketch_drawing(shown["length_mm"], shown["title"], revealed.get("curve", ()))

    def qti(self, item: SketchItem, asked: Asked, qti: Qti) -> None:
        """Write an extended text, not scored: no interaction of QTI draws a curve."""
        wanted = self.words(item, asked, self.right(item, asked))
        told = "\n\n".join(asked.fill(c.feedback) for c in item.criteria)
        qti.unscored(f"{wanted}.\n\n{told}")
