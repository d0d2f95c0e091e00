"""Text, lists and tables that the server writes: no script of their own.

A page lays its words out in a template of its folder (escaped, with the macros of `article.html`),
and the browser puts them in the place of what stood there. What a reader opened stays open. An
element with ``data-field`` (and perhaps ``data-side``, ``data-value``) changes that field when it
is pressed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, ClassVar

import param

from tipsim.app.framework.component import Part, script, styles
from tipsim.app.framework.writing import ROOT, Written

_HERE = Path(__file__).parent
STYLE = _HERE / "article.css"
"""For the `styles` of an article with some looks of its own."""


class Article(Part):
    """What `written` gave, on the page."""

    html = param.String(default="", doc="Markup, already escaped.")
    below = param.String(default="", doc="More of it, which seldom changes: sent apart.")

    _esm: ClassVar[str] = script(_HERE / "article.js")
    _stylesheets: ClassVar[list[str]] = styles(STYLE)


def written(template: Path, data: Callable[[Any], Mapping[str, Any]]) -> Written:
    """Return a fill for `Article.html`: the template with what a function makes of the state.

    Parameters
    ----------
    template : Path
        A file somewhere under `tipsim/app`.
    data : callable
        Returns the names that the template uses.

    Examples
    --------
    >>> fill = written(_HERE / "article_example.html", lambda state: {"rows": [("Gap", state)]})
    >>> print(fill("< 1 mm"))
    <dl>
      <dt>Gap</dt><dd>&lt; 1 mm</dd>
    </dl>
    """
    return Written(template.resolve().relative_to(ROOT).as_posix(), data)
