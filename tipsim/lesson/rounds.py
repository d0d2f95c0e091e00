"""Which bench a step speaks of: each round from predict to explain has that of its run."""

from tipsim.lesson.ask import lesson_values
from tipsim.lesson.format import Lesson, Step
from tipsim.lesson.quantities import Values

_ROUND = ("predict", "run", "observe", "compare", "explain")


def run_of(lesson: Lesson, step: Step) -> Step | None:
    """Return the run of a step's round; None for steps outside of rounds.

    >>> from tipsim.lesson.read import school
    >>> lesson = school().lessons["drive-to-stroke"]
    >>> [run_of(lesson, s).id for s in lesson.steps if s.kind == "explain"]
    ['run', 'run-2']
    """
    if step.kind not in _ROUND:
        return None
    if step.kind == "run":
        return step
    at = lesson.steps.index(step)
    forward = step.kind == "predict"
    others = lesson.steps[at:] if forward else lesson.steps[at::-1]
    return next((s for s in others if s.kind == "run"), None)


def step_values(lesson: Lesson, step: Step) -> Values:
    """Return the values that a step's texts are filled with."""
    run = run_of(lesson, step)
    return lesson_values(lesson, run.bench if run else None)
