"""The page around the parts: our own templates, no theme of a framework."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import jinja2
import panel as pn

from tipsim import __version__
from tipsim.app.framework.acts import Acts
from tipsim.app.framework.page import Page
from tipsim.app.framework.pages import PAGES
from tipsim.paths import asset

CAUTION = (
    "A teaching model, not a patient. Follow the instructions for use, local protocols and a "
    "licensed surgeon."
)
_PANEL_S_OWN = ("page.html",)
"""Pages that Panel fills with ready markup, which must not be escaped again."""


@cache
def templates() -> jinja2.Environment:
    """Return the pages' templates; each may take parts of another, as of `frame.html`.

    Those of `assets/pages` go by their names, others by their places under `tipsim/app`.
    """
    return jinja2.Environment(
        loader=jinja2.FileSystemLoader([asset("pages"), Path(__file__).parents[1] / "pages"]),
        autoescape=lambda name: name not in _PANEL_S_OWN,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def panel_page(template: str, here: str, **parts: Any) -> pn.template.Template:
    """Lay Panel parts out in one of the page templates.

    Parameters
    ----------
    template : str
        File in `assets/pages`; it embeds each part as ``roots.NAME``.
    here : str
        Path of the page, as in `PAGES`.
    **parts
        The parts by name.
    """
    page = pn.template.Template(templates().get_template(template))
    for name, piece in parts.items():
        page.add_panel(name, piece)
    for name, value in shell_variables(here).items():
        page.add_variable(name, value)
    return page


def page_template(page: Page[Any] | Acts) -> pn.template.Template:
    """Lay a page's parts out in the template that all pages share."""
    form = {"controls": page.controls} if isinstance(page, Page) else {}
    out = panel_page("page.html", page.path, **page.parts, **form)
    sections = [{"name": name, "title": title} for name, title in page.sections]
    layout = page.layout.read_text(encoding="utf-8")
    words = {k: getattr(page, k) for k in ("path", "title", "lead", "description", "skip", "aside")}
    out.add_variable("ts_page", words | {"sections": sections, "layout": layout})
    return out


def shell_variables(here: str) -> dict[str, Any]:
    """Return what every page's frame needs: navigation, caution, version."""
    return {
        "ts_nav": [
            {"href": f"./{p.path}", "label": p.label, "here": p.path == here}
            for p in PAGES
            if p.label
        ],
        "ts_caution": CAUTION,
        "ts_version": __version__,
        "app_favicon": "assets/icons/favicon.svg",
        # Said so that Panel's own icon is not asked for.
        "apple_icon": "assets/icons/favicon.svg",
    }
