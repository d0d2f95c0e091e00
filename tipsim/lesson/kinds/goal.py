"""Kind "goal": the page is set until conditions are met."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from tipsim.lesson.ask import Asked, solution_of
from tipsim.lesson.faults import quoted
from tipsim.lesson.format import Bench, Formula, Item, Side, Text
from tipsim.lesson.kinds.base import Complaint, Data, Judged, Kind, judged, lines
from tipsim.lesson.qti_parts import Qti
from tipsim.lesson.quantities import Values, solved
from tipsim.lesson.sheet import Sheet
from tipsim.setup.errors import BadInput
from tipsim.setup.link import ALIASES


@dataclass(frozen=True)
class Condition:
    """What must be met by the settings of a learner."""

    that: Formula
    text: Text
    feedback: Text


@dataclass(frozen=True)
class GoalItem(Item):
    """Settings that may be changed, conditions, and settings that meet every one of them."""

    free: tuple[str, ...]
    conditions: tuple[Condition, ...]
    solution: Bench


class Goal(Kind[GoalItem]):
    """Settings that the model judges; only the free fields count."""

    name = "goal"
    drawn = False
    interaction = "performance"
    in_words = False

    def read(self, sheet: Sheet, common: Data) -> GoalItem:
        """Read fields, conditions and solution."""

        def read(each: Sheet) -> Condition:
            return Condition(each.formula("that"), each.text("text"), each.text("feedback"))

        return GoalItem(
            **common,
            free=sheet.lines("free"),
            conditions=sheet.each("conditions", read, True, 1, 6),
            solution=sheet.bench("solution", needed=True) or Bench({}),
        )

    def texts(self, item: GoalItem) -> Iterator[Text]:
        """Return each condition and its feedback."""
        for condition in item.conditions:
            yield from (condition.text, condition.feedback)

    def free(self, item: GoalItem) -> tuple[str, ...]:
        """Return the fields that a learner may set."""
        return item.free

    def complaints(self, item: GoalItem, asked: Asked) -> Iterator[Complaint]:
        """Return a goal that is met at the start, and a solution that does not meet it."""
        if all(asked.holds(c.that) for c in item.conditions):
            yield item.place, "goal", "met at the start", "something left to do"
        place, done = item.solution.place, solution_of(asked, item.solution)
        for condition in item.conditions:
            if not done.holds(condition.that):
                value = f"without {quoted(condition.that.source)}"
                yield place, "solution", value, "all conditions met"
        taken = set_by(asked, item, done.values.sides)
        if not all(taken.holds(c.that) for c in item.conditions):
            yield place, "solution", "with other fields", f"only {', '.join(item.free)}"

    def score(self, item: GoalItem, asked: Asked, given: Any) -> Judged:
        """Return the verdict on settings by side, as links hold them."""
        taken = set_by(asked, item, given)
        off = [c.feedback for c in item.conditions if not taken.holds(c.that)]
        return judged(taken, not off, len(off) < len(item.conditions), off)

    def right(self, item: GoalItem, asked: Asked) -> Any:
        """Return the settings of the solution."""
        return solution_of(asked, item.solution).values.sides

    def words(self, item: GoalItem, asked: Asked, given: Any) -> str:  # noqa: ARG002
        """Return what was set of the free fields."""
        chosen = [
            f"{side.upper()}: {name} {settings[name]}"
            for side, settings in given.items()
            for name in item.free
            if name in settings
        ]
        return ", ".join(chosen) or "the bench as it was"

    def shown(self, item: GoalItem, asked: Asked) -> Data:
        """Return ``free`` and ``conditions`` (html)."""
        return {"free": list(item.free), "conditions": lines(asked, _texts(item))}

    def revealed(self, item: GoalItem, asked: Asked, given: Any) -> Data:
        """Return for each condition whether it ``holds``."""
        if given is None:
            return {}
        taken = set_by(asked, item, given)
        return {"holds": [taken.holds(c.that) for c in item.conditions]}

    def qti(self, item: GoalItem, asked: Asked, qti: Qti) -> None:
        """Write an extended text, not scored: no interaction of QTI sets a simulator."""
        wanted = self.words(item, asked, self.right(item, asked))
        qti.unscored(wanted, "\n".join(f"- {asked.fill(t)}" for t in _texts(item)))


def _texts(item: GoalItem) -> list[Text]:
    return [c.text for c in item.conditions]


def set_by(asked: Asked, item: GoalItem, given: Any) -> Asked:
    """Return an item with what a learner has set; whatever is not free is as the item says.

    Parameters
    ----------
    given : mapping of mappings
        Settings by side, as links hold them; what a side does not name is as in its preset.

    Raises
    ------
    BadInput
        For what is no setting, or an impossible one.

    Examples
    --------
    >>> from tipsim.lesson.ask import ask
    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["drive-to-stroke"]
    >>> item = lesson.items["stroke-goal"]
    >>> asked = ask(lesson, item, 0)
    >>> set_by(asked, item, {"a": {"power": "70", "needle": "straight"}}).values.sides["a"]["power"]
    '70'
    """
    if not isinstance(given, Mapping) or not all(isinstance(s, Mapping) for s in given.values()):
        raise BadInput("answer", "no settings", "the settings of the bench, by side")
    free = {ALIASES.get(name, name) for name in item.free}
    sides = {
        name: _with(side, given[name], free) if name in given else dict(side)
        for name, side in asked.values.sides.items()
    }
    for name in given:
        if name in sides:
            solved(sides[name])
    return replace(asked, values=Values(sides, asked.values.own))


def _with(side: Side, given: Mapping[Any, Any], free: set[str]) -> dict[str, str]:
    """Return a side with the free fields taken from what was set."""
    kept = {k: v for k, v in side.items() if ALIASES.get(k, k) not in free}
    taken = {str(k): str(v) for k, v in given.items() if ALIASES.get(str(k), str(k)) in free}
    return kept | taken
