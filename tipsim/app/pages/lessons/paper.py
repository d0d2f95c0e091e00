"""Pages for paper: what they share, and their routes."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Mapping
from typing import Any

from tornado.web import RequestHandler

from tipsim.app.framework.template import shell_variables, templates
from tipsim.app.pages.lessons.handout import handout
from tipsim.app.pages.lessons.lab_sheet import lab_sheet
from tipsim.lesson.handed import paper
from tipsim.setup.errors import BadInput

SHEETS: Mapping[str, Callable[[Mapping[str, str]], Mapping[str, Any]]] = {
    "handout": handout,
    "lab-sheet": lab_sheet,
    "paper": lambda items: paper(items.get("id", "")),
}
"""What fills each template, from the items of a link."""


def sheet_html(name: str, items: Mapping[str, str]) -> str:
    """Return a page for paper.

    Raises
    ------
    BadInput
        For a link that cannot be used.
    """
    page = templates().get_template(f"lessons/{name}.html")
    return page.render({**shell_variables(name), **SHEETS[name](items)})


class PaperHandler(RequestHandler):
    """Answers with a sheet, built beside the loop that serves everybody else."""

    async def get(self, name: str) -> None:
        """Answer with the sheet, or with one sentence about the link."""
        arguments = self.request.query_arguments
        items = {k: values[-1].decode("utf-8", "replace") for k, values in arguments.items()}
        try:
            html = await asyncio.to_thread(sheet_html, name, items)
        except BadInput as bad:
            self.set_status(400)
            page = templates().get_template("refused.html")
            html = page.render(shell_variables(name) | {"sentence": str(bad)})
        self.set_header("Content-Type", "text/html; charset=utf-8")
        self.set_header("Cache-Control", "no-cache")
        self.write(html)

    head = get


ROUTES: list[tuple[str, type[RequestHandler]]] = [(rf"/({'|'.join(SHEETS)})", PaperHandler)]
