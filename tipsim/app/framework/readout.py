"""The panel of numbers: both needles in words and figures, with sources that open."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

import param

from tipsim.app.framework.article import Article, written
from tipsim.app.framework.views import Later, View
from tipsim.setup.sourced import STATUSES

_HERE = Path(__file__).parent
_SHOWN = ("title", "content", "warnings")
_SOURCES = ("sources", "meanings")
_HTML = written(_HERE / "readout.html", lambda part: {k: getattr(part, k) for k in _SHOWN})
_BELOW = written(_HERE / "sources.html", lambda part: {k: getattr(part, k) for k in _SOURCES})


class Readout(Article):
    """Numbers of both needles, beside published ones.

    Examples
    --------
    >>> row = {"id": "gap", "label": "Gap", "a": "< 1 mm", "b": "2 mm", "why": "", "check": 0}
    >>> panel = Readout(content={"words": [], "sections": [{"title": "Eye", "rows": [row]}]})
    >>> '<td class="value">&lt; 1 mm</td>' in panel.html
    True
    """

    title = param.String(default="How each needle moves", doc="Heading of the words.")
    content = param.Dict(
        default={}, doc="Words and sections, as from `tipsim.app.framework.numbers`."
    )
    warnings = param.List(default=[], doc="What is delicate, in sentences; comes a moment later.")
    sources = param.List(default=[], doc="Where the numbers come from.")
    meanings = param.Dict(default={}, doc="What each status means.")

    # The browser gets the markup only.
    _rename: ClassVar[dict[str, str | None]] = dict.fromkeys(_SHOWN + _SOURCES)

    def __init__(self, **params: Any) -> None:
        super().__init__(**params)
        self.param.watch(self._write, [*_SHOWN])
        self.param.watch(self._write_sources, [*_SOURCES])
        self._write()
        self._write_sources()

    def _write(self, *_: Any) -> None:
        self.html = _HTML(self)

    def _write_sources(self, *_: Any) -> None:
        self.below = _BELOW(self)


def sources_view(of: Callable[[Any], list[dict[str, str]]]) -> View:
    """Return the view of where the numbers of a state come from, folded."""
    fill = Later(written(_HERE / "source_list.html", _Origins(of)))
    return View("sources", Article, "Sources", {"html": fill}, fold="Sources")


@dataclass(frozen=True)
class _Origins:
    """A function of the state that another process can take along."""

    of: Callable[[Any], list[dict[str, str]]]

    def __call__(self, state: Any) -> dict[str, Any]:
        return {"items": self.of(state), "meanings": STATUSES}
