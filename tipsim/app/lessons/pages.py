"""The two pages of the lessons, for the server."""

from __future__ import annotations

from collections.abc import Mapping

import panel as pn
from tornado.web import RequestHandler

from tipsim.app.framework.template import panel_page
from tipsim.app.lessons.handout import HandoutHandler
from tipsim.app.lessons.lab_sheet import LabSheetHandler
from tipsim.app.lessons.overview import Overview
from tipsim.app.lessons.player import LessonPlayer
from tipsim.setup.errors import BadInput


def lessons_page() -> pn.template.Template:
    """Build one learner's overview."""
    return panel_page("lessons.html", "lessons", overview=Overview().part)


def lesson_page(items: Mapping[str, str]) -> pn.template.Template:
    """Build one learner's lesson; the overview says what is wrong where lessons cannot be read."""
    try:
        player = LessonPlayer(items)
    except BadInput:
        return lessons_page()
    page = panel_page("lesson.html", "lessons", player=player.part)
    page.add_variable("ts_lesson", player.lesson.title)
    return page


ROUTES: list[tuple[str, type[RequestHandler]]] = [
    (r"/handout", HandoutHandler),
    (r"/lab-sheet", LabSheetHandler),
]
"""What the server must know besides: the pages for paper."""
