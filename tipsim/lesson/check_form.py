"""Checking a lesson's form: its minutes, what its questions ask for, how its runs begin."""

import re
from collections import Counter

from tipsim.lesson.faults import Faults
from tipsim.lesson.format import KNOWLEDGE, Lesson

WORDS_A_MINUTE = 160
"""Reading for understanding; common practice, no source."""
MINUTES_AN_ITEM = 0.6
MINUTES_A_RUN = 1.5
SLACK = 0.2
"""Share by which the promised minutes may differ from those that are counted."""
MOST_RECALL = 1 / 3
LEAST_APPLIED = 1 / 3
LEAST_CASES = 5
"""Items that ask for a decision, in a practical lesson."""
_BRACES = re.compile(r"\{[^{}]*\}")
_IDLE = re.compile(r"\W*(nothing|no change)\b", re.IGNORECASE)


def minutes_of(lesson: Lesson) -> float:
    """Count the minutes of a lesson: words that are read, items that are asked, runs.

    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["drive-to-stroke"]
    >>> abs(minutes_of(lesson) / lesson.minutes - 1) < SLACK
    True
    """
    texts = [t for s in lesson.steps for t in (s.text, *s.change, *s.look)]
    texts += [c.text for c in lesson.key_points]
    words = sum(len(_BRACES.sub("0", t.source).split()) for t in texts)
    items = sum(len(s.items) for s in lesson.steps if s.kind != "compare")
    runs = sum(s.kind == "run" for s in lesson.steps)
    return words / WORDS_A_MINUTE + MINUTES_AN_ITEM * items + MINUTES_A_RUN * runs


def knowledge(lesson: Lesson) -> Counter[str]:
    """Count the items of quiz and reviews by what they ask for."""
    return Counter(i.asks for i in lesson.items.values() if lesson.counts(i))


def check_form(lesson: Lesson, faults: Faults) -> None:
    """Check minutes, kinds of knowledge, cases, and that a run changes something at once."""
    counted = minutes_of(lesson)
    if abs(counted - lesson.minutes) > SLACK * counted:
        allowed = f"within a fifth of what is counted: {counted:.0f}"
        faults.add(lesson.place, "minutes", f"{lesson.minutes}", allowed)
    for item in lesson.items.values():
        if lesson.counts(item) and not item.asks:
            faults.add(item.place, "asks", "missing", ", ".join(KNOWLEDGE))
    found = knowledge(lesson)
    total = max(found.total(), 1)
    if found["recall"] > MOST_RECALL * total:
        value = f"{found['recall']} of {total}"
        faults.add(lesson.place, "items that ask for recall", value, "at most a third")
    applied = found["apply"] + found["decide"]
    if applied < LEAST_APPLIED * total:
        value, allowed = f"{applied} of {total}", "at least a third"
        faults.add(lesson.place, "items that apply the idea or decide", value, allowed)
    cases = sum(i.asks == "decide" for i in lesson.items.values())
    if lesson.practical and cases < LEAST_CASES:
        allowed = f"{LEAST_CASES} or more in a practical lesson"
        faults.add(lesson.place, "items that ask to decide", f"{cases}", allowed)
    for step in lesson.steps:
        if step.change and _IDLE.match(step.change[0].source):
            allowed = "something that is done from the first moment"
            faults.add(step.change[0].place, "change", "nothing at first", allowed)
    if lesson.steps and lesson.steps[0].kind == "prime" and not lesson.steps[0].moving:
        faults.add(lesson.steps[0].place, "moving", "false", "true: a lesson opens with motion")
