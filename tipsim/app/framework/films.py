"""Films to take away: the route of a page's ZIP, which holds the pictures, the truth and settings.

The address is that of the page with its link, so that a film needs no session and can be fetched
by a script as well: `/camera/film.zip?power=40`.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Mapping
from functools import partial
from typing import Any

from tornado.web import RequestHandler

from tipsim.app.framework.acts import sentence_of
from tipsim.app.framework.slow import workers
from tipsim.app.framework.state import PageState
from tipsim.saved import Saved, pack
from tipsim.saved.archive import archive_name
from tipsim.setup.errors import BadInput
from tipsim.setup.link import renewed

Films = Callable[[Mapping[str, str]], Saved]
"""Returns the film of a link's items; at the top of a module, as it runs in another process."""


def packed(films: Films, items: Mapping[str, str]) -> tuple[str, bytes]:
    """Return name and contents of the ZIP of a link's items."""
    saved = films(items)
    return archive_name(saved), pack(saved)


class FilmHandler(RequestHandler):
    """Answers with a film, computed where slow work runs."""

    def initialize(self, films: Films) -> None:
        """Take what makes the film."""
        self._films = films

    async def get(self) -> None:
        """Answer with the ZIP, or with one sentence."""
        arguments = self.request.query_arguments
        items = {k: values[-1].decode("utf-8", "replace") for k, values in arguments.items()}
        self.set_header("Cache-Control", "no-cache")
        try:
            name, content = await _done(partial(packed, self._films, renewed(items)))
        except Exception as error:
            self.set_status(400 if isinstance(error, BadInput) else 500)
            self.set_header("Content-Type", "text/plain; charset=utf-8")
            self.write(error.sentence if isinstance(error, BadInput) else sentence_of(error, self))
            return
        self.set_header("Content-Type", "application/zip")
        self.set_header("Content-Disposition", f'attachment; filename="{name}"')
        self.write(content)


async def _done(work: Callable[[], Any]) -> Any:
    """Return what slow work gives, in its turn."""
    loop = asyncio.get_running_loop()
    there: asyncio.Future[Any] = loop.create_future()

    def hand(outcome: Any) -> None:
        if not there.done():
            there.set_result(outcome)

    def done(outcome: Any) -> None:
        loop.call_soon_threadsafe(hand, outcome)

    workers().submit(there, "film", work, done)
    outcome = await there
    if isinstance(outcome, Exception):
        raise outcome
    return outcome


def address(page: str, state: PageState) -> str:
    """Return where a page's film is, from any page of the server."""
    return f"./{page}/film.zip?{state.to_query()}"


def routes(page: str, films: Films) -> list[Any]:
    """Return the route of a page's film, for `handlers` in the table of pages."""
    return [(rf"/{page}/film\.zip", FilmHandler, {"films": films})]
