"""Kind "several": any number of right choices, at least one."""

from typing import Any

from tipsim.lesson.ask import Asked
from tipsim.lesson.kinds.base import Judged, judged
from tipsim.lesson.kinds.one import ChoiceItem, One
from tipsim.setup.errors import BadInput


class Several(One):
    """Any number of right choices; feedback is for those wrongly ticked or left out."""

    name = "several"
    drawn = True
    needs_right = True
    cardinality = "multiple"
    wanted = "one or more"
    none = "none"

    def enough(self, count: int) -> bool:
        """Return whether a number of right choices is allowed."""
        return count > 0

    def score(self, item: ChoiceItem, asked: Asked, given: Any) -> Judged:
        """Return the verdict on a list of ids: partly right with more hits than false ones."""
        known = {c.id for c in item.choices}
        if not isinstance(given, list) or not given or not set(map(str, given)) <= known:
            raise BadInput("answer", "none of the choices", "one or more of the choices")
        ticked, right = set(given), item.right_choices(asked)
        off = [c.feedback for c in item.choices if (c.id in ticked) != (c.id in right)]
        return judged(asked, not off, len(ticked & right) > len(ticked - right), off)

    def right(self, item: ChoiceItem, asked: Asked) -> Any:
        """Return the ids of the right choices, in the order shown."""
        right = item.right_choices(asked)
        return [id for id in item.order(asked) if id in right]

    def length_of_right(self, item: ChoiceItem, asked: Asked) -> str | None:  # noqa: ARG002
        """Return None: with several right choices, length is no good guess."""
        return None
