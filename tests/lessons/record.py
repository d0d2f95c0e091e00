"""Right answers and numbers of every item as recorded.

`python -m tests.lessons.record` renews them. Run it after an item was written or a change that is
meant to move numbers, and read the difference before committing. `HAND` in
test_items.py has those that were worked out by hand.
"""

import json
import re
from pathlib import Path
from typing import Any

from tests.lessons.answers import all_items
from tipsim.lesson.ask import Asked, variants
from tipsim.lesson.format import Text
from tipsim.lesson.kinds import in_words, right_answer, texts_of

FILE = Path(__file__).with_name("recorded.json")
_NUMBER = re.compile(r"−?\d+(?:\.\d+)?")
_BRACES = re.compile(r"\{[^{}]+\}")


def recorded() -> dict[str, list[list[Any]]]:
    """What the file holds: for each item and variant the right ids, then the numbers."""
    out: dict[str, list[list[Any]]] = json.loads(FILE.read_text(encoding="utf-8"))
    return out


def values(asked: Asked) -> list[Any]:
    """Right ids in their order, then the numbers of the right answer and those put into texts."""
    ids: list[str]
    item, right = asked.item, right_answer(asked)
    computed = [braces for text in texts_of(item) for braces in _BRACES.findall(text.source)]
    texts = [asked.fill(Text(braces)) for braces in dict.fromkeys(computed)]
    if item.kind in ("one", "several", "order"):
        ids = (
            [right] if isinstance(right, str) else right if item.kind == "order" else sorted(right)
        )
    else:
        ids = []
        texts.insert(0, in_words(asked, right))
    ids = ids if item.kind == "order" else sorted(ids)
    numbers = [n for text in texts for n in _NUMBER.findall(text)]
    return [*ids, *(float(n.replace("−", "-")) for n in numbers)]


def main() -> None:
    """Write the file anew, one item a line."""
    rows = (
        f"{json.dumps(item.id)}: {json.dumps([values(a) for a in variants(lesson, item)])}"
        for lesson, item in all_items()
    )
    FILE.write_text("{\n" + ",\n".join(rows) + "\n}\n", encoding="utf-8")


if __name__ == "__main__":
    main()
