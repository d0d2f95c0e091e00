"""The front page: two needles in motion, one sentence, and one way in for each role."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from tornado.web import RequestHandler

from tipsim.app.framework.component import VERSION
from tipsim.app.framework.fixed import Fixed
from tipsim.app.framework.stage.packet import stage_packet
from tipsim.app.framework.stage.stage import Look, Stage, StageState
from tipsim.app.framework.template import shell_variables, templates
from tipsim.app.pages.bench.glance import in_words
from tipsim.lesson.read import school

_HERE = Path(__file__).parent


@dataclass(frozen=True)
class Role:
    """Somebody who comes, and where to go first.

    Attributes
    ----------
    id, title, text, button, href : str
    also : tuple of str
        Words and address of a second way in; empty for none.
    """

    id: str
    title: str
    text: str
    button: str
    href: str
    also: tuple[str, ...] = ()


def roles() -> tuple[Role, ...]:
    """Return everybody who comes, with the first lesson of their path."""
    found = school()
    first = {id: found.lessons[track.lessons[0]] for id, track in found.tracks.items()}
    resident, nurse = first["residents"], first["nurses"]
    return (
        Role(
            "resident",
            "Resident",
            "See how the needle moves before you hold it: predict, run, compare.",
            f"Start: {resident.title}",
            f"./lesson?id={resident.id}",
        ),
        Role(
            "nurse",
            "Nurse or technician",
            "Set up needle, sleeve and fluid, and know what to watch for.",
            f"Start: {nurse.title}",
            f"./lesson?id={nurse.id}",
        ),
        Role(
            "teacher",
            "Teacher",
            "Handouts, a sheet for the wet lab, and links that hold a whole scenario.",
            "See all lessons",
            "./lessons",
            ("Show scenarios to a class", "./present"),
        ),
        Role(
            "visitor",
            "Just looking",
            "Change needle, drive or power, and watch what moves.",
            "Compare needles",
            "./compare",
        ),
    )


@cache
def packet() -> bytes:
    """Return both needles of a fresh page in motion, as the stage draws them."""
    return stage_packet(StageState.first().results)


def page() -> str:
    """Return the page."""
    template = templates().get_template("front/page.html")
    both = StageState.first().results
    return template.render(
        shell_variables("")
        | {
            "headline": in_words(*both),
            "roles": roles(),
            "modules": f"./modules/{VERSION}",
            "look": Look().shown,
            "styles": f"./front-{VERSION}.css",
            "layout": (_HERE / "page.css").read_text(encoding="utf-8"),
        }
    )


class Front(Fixed):
    """The front page, and old links: what compares two needles once had this address."""

    async def get(self) -> None:
        """Answer with the page; send a link with settings to where these are shown."""
        if self.request.query:
            self.redirect(f"./compare?{self.request.query}")
            return
        await self.answer()

    head = get


class Styles(RequestHandler):
    """The stage's own styles, for the front page's needles."""

    def get(self) -> None:
        """Answer with parts.css and stage.css."""
        self.set_header("Content-Type", "text/css; charset=utf-8")
        self.set_header("Cache-Control", "public, max-age=31536000, immutable")
        self.write("\n".join(Stage._stylesheets))


class Motion(RequestHandler):
    """What the front page's needles do."""

    def get(self) -> None:
        """Answer with the packet."""
        self.set_header("Content-Type", "application/octet-stream")
        self.set_header("Cache-Control", "no-cache")
        self.write(packet())


ROUTES: list[Any] = [
    (r"/", Front, {"path": "", "build": page}),
    (rf"/front-{VERSION}.css", Styles),
    (r"/front-motion", Motion),
]
