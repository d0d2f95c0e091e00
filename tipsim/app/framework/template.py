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
from tipsim.app.framework.pages import navigation
from tipsim.paths import asset

CAUTION = (
    "A teaching model, not a patient. Follow the instructions for use, local protocols and a "
    "licensed surgeon."
)
_WORDS = ("path", "title", "lead", "description", "skip", "aside")


@cache
def templates() -> jinja2.Environment:
    """Return the pages' templates; each may take parts of another, as of `frame.html`.

    Those of `assets/pages` go by their names, others by their places under `tipsim/app`.
    """
    return jinja2.Environment(
        loader=jinja2.FileSystemLoader([asset("pages"), Path(__file__).parents[1] / "pages"]),
        # Panel fills this one with ready markup, which must not be escaped again.
        autoescape=lambda name: name != "page.html",
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def page_template(page: Page[Any] | Acts) -> pn.template.Template:
    """Lay a page's parts out in the template that all pages share."""
    form: dict[str, Any] = {"controls": page.controls} if isinstance(page, Page) else {}
    out = pn.template.Template(templates().get_template("page.html"))
    for name, part in {**page.parts, **form}.items():
        out.add_panel(name, part)
    for name, value in shell_variables(page.path).items():
        out.add_variable(name, value)
    sections = [{"name": name, "title": title} for name, title in page.sections]
    layout = page.layout.read_text(encoding="utf-8") if page.layout else ""
    words = {k: getattr(page, k) for k in _WORDS} | {"notice": getattr(page, "link_notice", "")}
    glanced = getattr(page, "glance", None) is not None
    words |= {
        "one_picture": getattr(page, "one_picture", False),
        "folds": getattr(page, "folds", ()),
        "has_glance": glanced,
        "tabs": [(names[0], title) for title, names in getattr(page, "tabs", {}).items()],
        "tab_of": getattr(page, "tab_of", {}),
        "glance": page.controls.glance if glanced and isinstance(page, Page) else "",
    }
    out.add_variable("ts_page", words | {"sections": sections, "layout": layout})
    return out


def shell_variables(here: str) -> dict[str, Any]:
    """Return what every page's frame needs: navigation, caution, version."""
    return {
        "ts_nav": navigation(here),
        "ts_caution": CAUTION,
        "ts_version": __version__,
        "app_favicon": "assets/icons/favicon.svg",
        # Said so that Panel's own icon is not asked for.
        "apple_icon": "assets/icons/favicon.svg",
    }
