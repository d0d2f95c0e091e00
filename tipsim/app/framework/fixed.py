"""Pages that are the same for everybody: built once, no session, no socket."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from functools import cache
from typing import Any

from tornado.web import RequestHandler


class Fixed(RequestHandler):
    """Hand out a page; Tornado adds a tag, so that a second look costs nothing."""

    def initialize(self, path: str, build: Callable[[], str]) -> None:
        """Take the page's path, and what returns its HTML; that may take seconds."""
        self._path, self._build = path, build

    async def get(self) -> None:
        """Answer with the page."""
        if self.request.path.endswith("/"):
            # Links on the page are relative to its own address, without the trailing slash.
            self.redirect(f"../{self._path}", permanent=True)
            return
        await self.answer()

    async def answer(self) -> None:
        """Write the page."""
        self.set_header("Content-Type", "text/html; charset=utf-8")
        self.set_header("Cache-Control", "no-cache")
        page: bytes = await asyncio.wrap_future(_built(self._build))
        self.write(page)

    head = get


@cache
def _built(build: Callable[[], str]) -> Future[bytes]:
    """Build a page once, beside the loop that serves everybody else."""
    # Shutting down without waiting lets the one job end by itself.
    builder = ThreadPoolExecutor(1, "fixed")
    page = builder.submit(lambda: build().encode())
    builder.shutdown(wait=False)
    return page


def routes(path: str, build: Callable[[], str]) -> list[tuple[str, Any, dict[str, Any]]]:
    """Return the routes of a page for `Entry.handlers`."""
    return [(rf"/{path}/?", Fixed, {"path": path, "build": build})]
