"""Text, lists and tables that the server writes: no script of their own.

A page lays its words out in a template of its folder (escaped, with the macros of `article.html`),
and the browser puts them in the place of what stood there. What a reader opened stays open. An
element with ``data-field`` (and perhaps ``data-side``, ``data-value``) changes that field when it
is pressed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import Any, ClassVar

import jinja2
import param

from tipsim.app.framework.component import ROOT, Part, script, styles

_HERE = Path(__file__).parent
STYLE = _HERE / "article.css"
"""For the `styles` of an article with some looks of its own."""


class Article(Part):
    """What `written` gave, on the page."""

    html = param.String(default="", doc="Markup, already escaped.")

    _esm: ClassVar[str] = script(_HERE / "article.js")
    _stylesheets: ClassVar[list[str]] = styles(STYLE)


@cache
def _templates() -> jinja2.Environment:
    return jinja2.Environment(
        loader=jinja2.FileSystemLoader(ROOT),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def written(template: Path, data: Callable[[Any], Mapping[str, Any]]) -> Callable[[Any], str]:
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
    name = template.resolve().relative_to(ROOT).as_posix()

    def fill(state: Any) -> str:
        return _templates().get_template(name).render(data(state))

    return fill
