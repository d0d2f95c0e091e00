"""Kind "place": a place is marked on the needle."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from tipsim.lesson.ask import Asked
from tipsim.lesson.fill import show_number
from tipsim.lesson.format import SIDES, Formula
from tipsim.lesson.kinds.base import Complaint, Data
from tipsim.lesson.kinds.measured import Measured, MeasuredItem
from tipsim.lesson.paper import needle_drawing
from tipsim.lesson.qti_parts import Qti, any_of
from tipsim.lesson.quantities import Solved, solved
from tipsim.lesson.sheet import Sheet

_STEP = 0.1
"""Step of the slider in QTI [mm]."""


@dataclass(frozen=True)
class PlaceItem(MeasuredItem):
    """Right places and tolerance in mm from the end of the needle on side `on`."""

    on: str
    places: tuple[Formula, ...]

    def truths(self) -> tuple[Formula, ...]:
        """Return the formulas of the right places."""
        return self.places


class Place(Measured[PlaceItem]):
    """A place along the needle; the nearest of several right ones counts."""

    name = "place"
    in_words = False

    def read(self, sheet: Sheet, common: Data) -> PlaceItem:
        """Read side, right places and tolerance."""
        return PlaceItem(
            **common,
            on=sheet.one_of("on", SIDES),
            places=sheet.formulas("truth"),
            **self.read_measured(sheet),
        )

    def unit(self, item: PlaceItem) -> str:  # noqa: ARG002
        """Return mm."""
        return "mm"

    def sides(self, item: PlaceItem) -> tuple[str, ...]:
        """Return the needle's side."""
        return (item.on,)

    def complaints(self, item: PlaceItem, asked: Asked) -> Iterator[Complaint]:
        """Return places beyond the needle, and wrong places that are not wrong."""
        length = length_of(solved(asked.values.sides[item.on]))
        for truth in asked.truths:
            if not 0 <= truth <= length:
                allowed = f"0 to {length:.4g} mm, from the end"
                yield item.place, "truth", f"{truth:.4g} mm", allowed
        yield from super().complaints(item, asked)

    def words(self, item: PlaceItem, asked: Asked, given: Any) -> str:  # noqa: ARG002
        """Return the distance from the end."""
        return f"{given if isinstance(given, str) else show_number(given, '.2f')} mm from the end"

    def shown(self, item: PlaceItem, asked: Asked) -> Data:
        """Return ``on``, ``length_mm``, ``bend_mm`` and the ``needle`` to be drawn."""
        side = solved(asked.values.sides[item.on])
        return {"on": item.on, **sizes(side), "needle": drawn(side)}

    def revealed(self, item: PlaceItem, asked: Asked, given: Any) -> Data:  # noqa: ARG002
        """Return ``truths`` and their ``tolerance`` [mm]."""
        around = [item.tolerance.around(truth) for truth in asked.truths]
        return {"truths": list(asked.truths), "tolerance": around}

    def figure(self, shown: Data, revealed: Data) -> str:
        """Return the needle, with marks at the right places."""
        return needle_drawing(shown["needle"], revealed.get("truths", ()))

    def qti(self, item: PlaceItem, asked: Asked, qti: Qti) -> None:
        """Write a slider from the end to the hub, in tenths of a millimetre."""
        steps = int(length_of(solved(asked.values.sides[item.on])) / _STEP)
        qti.declare("single", "float", [f"{round(asked.truths[0] / _STEP) * _STEP:.1f}"])
        qti.add(qti.body, "p").text = "Distance from the end, in mm:"
        qti.interaction(
            "slider-interaction",
            lower_bound="0",
            upper_bound=f"{steps * _STEP:.1f}",
            step=f"{_STEP:g}",
            step_label="true",
        )
        qti.scored(
            any_of(self.near(item, truth) for truth in asked.truths), asked.fill(item.otherwise)
        )
        self.qti_typical(item, asked, qti)


def length_of(side: Solved) -> float:
    """Return the length of a side's needle along its middle line [mm]."""
    return float(side.from_end[0])


def sizes(side: Solved) -> Data:
    """Return the needle's length and the place of its first bend from the end [mm]."""
    needle = side.result.scenario.needle
    bend = round((needle.length - needle.first_bend) * 1e3, 4)
    return {"length_mm": round(length_of(side), 4), "bend_mm": bend}


def drawn(side: Solved) -> Data:
    """Return the needle at rest: middle line, radii, distances from the end [mm]."""
    frame, body = side.result.motion.frame, side.result.scenario.needle
    outer, _ = body.radii_at(frame.s)
    return {
        "title": body.title,
        "points": np.round(frame.points[:, :2] * 1e3, 4).tolist(),
        "radii": np.round(outer * 1e3, 4).tolist(),
        "from_end": np.round(side.from_end, 4).tolist(),
    }
