"""Pages without a form: what the browser asks for is done by the name of its field."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, ClassVar

from panel.viewable import Viewable, Viewer

from tipsim.setup.errors import BadInput

log = logging.getLogger(__name__)
FAILED = "Something went wrong, and nothing was stored. Try again, or reload the page."
Act = Callable[[Any, Any], Any]
"""Does what is asked of a page, with the value that came along."""


class Acts(Viewer):
    """One learner's page whose parts send ``{changes: [{field, value}]}``, as an `Article` does."""

    path: ClassVar[str]
    title: str
    lead: str = ""
    description: ClassVar[str] = ""
    skip: ClassVar[str]
    aside: ClassVar[str] = ""
    layout: ClassVar[Path]
    sections: ClassVar[tuple[tuple[str, str], ...]]
    """Each part's name, and what its section is called for screen readers."""
    acts: ClassVar[Mapping[str, Act]]
    parts: dict[str, Any]

    def __init__(self, items: Mapping[str, str] | None = None, **params: Any) -> None:
        super().__init__(**params)
        self.items = dict(items or {})

    def handle(self, message: Any) -> None:
        """Do what a message asks for and show what follows; what fails is said in a sentence."""
        changes = message.get("changes") if isinstance(message, Mapping) else None
        for change in changes if isinstance(changes, list) else ():
            field, value = str(change.get("field")), change.get("value")
            try:
                if field in self.acts:
                    self.acts[field](self, value)
            except Exception as error:
                self.failed(field, value, error)
        self.refresh()

    def refresh(self) -> None:
        """Show what is there now."""
        raise NotImplementedError

    def failed(self, field: str, value: Any, error: Exception) -> None:
        """Take note of what is to be said of an act that failed."""
        raise NotImplementedError

    def __panel__(self) -> Viewable:
        """Return the part that stands for the page where there is no template around it."""
        return next(iter(self.parts.values()))


def sentence_of(error: Exception, page: Any, other: str = FAILED) -> str:
    """Return what to say of an error: its own words for wrong input; others go into the log.

    >>> sentence_of(BadInput("power", "140 %", "0 to 100 %"), None)
    'power is 140 %; allowed: 0 to 100 %.'
    """
    if isinstance(error, BadInput):
        return str(error)
    log.error("a message to %s failed", type(page).__name__, exc_info=error)
    return other
