"""Goals: the bench that a learner has set, judged by the model."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from tipsim.lesson.ask import Asked
from tipsim.lesson.format import GoalItem, Side
from tipsim.lesson.quantities import Values, solved
from tipsim.setup.errors import BadInput
from tipsim.setup.link import ALIASES


def set_by(asked: Asked, item: GoalItem, given: Any) -> Asked:
    """Give an item with what a learner has set.

    Only fields that are free count: whatever else differs is as the item says.

    Parameters
    ----------
    asked : Asked
    item : GoalItem
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
    """Lay the free fields of what was set over a side without them."""
    kept = {k: v for k, v in side.items() if ALIASES.get(k, k) not in free}
    taken = {str(k): str(v) for k, v in given.items() if ALIASES.get(str(k), str(k)) in free}
    return kept | taken
