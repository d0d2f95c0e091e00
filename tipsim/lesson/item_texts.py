"""Every text of an item, for whoever goes through them all."""

from collections.abc import Iterator

from tipsim.lesson.format import (
    ChoiceItem,
    GoalItem,
    Item,
    MatchItem,
    NumberItem,
    OrderItem,
    PlaceItem,
    SketchItem,
    Text,
)


def texts_of(item: Item) -> Iterator[Text]:
    """Give each text that the learner may see.

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
    if isinstance(item, ChoiceItem):
        for choice in item.choices:
            yield from (choice.text, choice.feedback)
    elif isinstance(item, NumberItem | PlaceItem):
        yield from (item.otherwise, *(w.feedback for w in item.wrong))
        if isinstance(item, NumberItem):
            yield from item.worked
    elif isinstance(item, OrderItem):
        for entry in item.entries:
            yield from (entry.text, entry.feedback)
    elif isinstance(item, MatchItem):
        for pair in item.pairs:
            yield from (pair.left, pair.right, pair.feedback)
        yield from item.also
    elif isinstance(item, SketchItem):
        yield from (c.feedback for c in item.criteria)
    elif isinstance(item, GoalItem):
        for condition in item.conditions:
            yield from (condition.text, condition.feedback)
