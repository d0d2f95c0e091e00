"""Courses without a browser: asked, answered right, and told as a page's part tells it."""

from typing import Any

from tipsim.lesson.course import Course
from tipsim.lesson.diary import Diary
from tipsim.lesson.kinds import right_answer
from tipsim.lesson.read import school

FIRST = "drive-to-stroke"
LESSONS = list(school().lessons)


def tell(page: Any, field: str, value: Any = None) -> None:
    """Send a page what its part sends."""
    page.handle({"changes": [{"field": field, "value": value}]})


def course(lesson: str = FIRST, diary: Any = None, **options: Any) -> Course:
    return Course(school(), school().lessons[lesson], diary or Diary(), **options)


def finish(course: Course, until: str = "key-points") -> None:
    """Answer everything right up to a step."""
    while course.step.id != until:
        course.run()
        while open := [i for i in course.questions() if course.is_open(i)]:
            for item in open:
                course.answer(item, right_answer(course.asked(item)), "2")
                assert course.errors == {}
        assert course.next()
