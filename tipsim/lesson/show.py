"""Items and lessons as plain data with HTML, for a page or a print; answers only on request."""

from typing import Any

from tipsim.lesson.ask import Asked, lesson_values, values_query
from tipsim.lesson.fill import fill
from tipsim.lesson.format import Lesson
from tipsim.lesson.kinds import in_words, kind_of, right_answer
from tipsim.lesson.markdown import html, line

__all__ = ["PICTURES", "key_points", "lesson_html", "revealed", "shown", "values_query"]
PICTURES = "./lesson-files/"
"""Where a page finds the pictures: this, the lesson's id, a slash and the file."""


def lesson_html(lesson: Lesson, text: str) -> str:
    """Return a filled text of a lesson as HTML, with its pictures and sources."""
    sources = {s.id: i for i, s in enumerate(lesson.sources, 1)}
    return html(text, f"{PICTURES}{lesson.id}/", sources)


def key_points(lesson: Lesson) -> list[str]:
    """Return the key points as HTML."""
    return [
        lesson_html(lesson, fill(c.text.source, lesson_values(lesson, c.bench)))
        for c in lesson.key_points
    ]


def shown(asked: Asked) -> dict[str, Any]:
    """Return all that a learner sees of an item before the answer; nothing tells the answer.

    Returns
    -------
    dict
        ``id``, ``kind``, ``seed``, ``html`` (the question), ``query`` (the item's bench), and what
        the item's kind adds in its `shown`.

    Examples
    --------
    >>> from tipsim.lesson.ask import ask
    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["drive-to-stroke"]
    >>> shown(ask(lesson, lesson.items["stroke-seen-number"], 0))["unit"]
    'µm'
    """
    item = asked.item
    return {
        "id": item.id,
        "kind": item.kind,
        "seed": asked.seed,
        "html": lesson_html(asked.lesson, asked.fill(item.text)),
        "query": values_query(asked.values),
        **kind_of(item).shown(item, asked),
    }


def revealed(asked: Asked, given: Any = None) -> dict[str, Any]:
    """Return what may be shown once an answer is stored.

    Returns
    -------
    dict
        ``answer`` (as `score` takes it), ``words`` (the same as HTML), and what the item's kind
        adds in its `revealed`.

    Examples
    --------
    >>> from tipsim.lesson.ask import ask
    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["drive-to-stroke"]
    >>> revealed(ask(lesson, lesson.items["stroke-seen-straight"], 0))["words"]
    'It stayed in its place and turned.'
    """
    answer = right_answer(asked)
    more = kind_of(asked.item).revealed(asked.item, asked, given)
    return {"answer": answer, "words": line(in_words(asked, answer)), **more}
