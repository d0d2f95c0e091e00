"""Where numbers come from, behind one click on every page that shows numbers."""

import re
import tomllib
from html import unescape
from typing import Any

import pytest

from tipsim.app.framework.page import Page
from tipsim.app.framework.pages import PAGES
from tipsim.app.pages.camera.page import CameraPage
from tipsim.app.pages.needle.page import NeedlePage
from tipsim.app.pages.tissue.page import TissuePage
from tipsim.paths import asset

RESTS_ON = {
    CameraPage: ("camera.mark_radius", "titanium.young", "drive.hub_time"),
    TissuePage: ("iris.friction", "cutting.push", "wound.give", "thermal.water_heat"),
    NeedlePage: ("fatigue.smooth", "hub.tilt_stiffness", "titanium.density"),
}
"""Numbers that must be in the list of a page: some of each thing that it computes."""


def entry(id: str) -> dict[str, Any]:
    """Return a number as its file has it."""
    group, name = id.split(".")
    for path in asset("numbers").glob("*.toml"):
        found: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8")).get(group, {})
        if name in found:
            return dict(found[name])
    raise AssertionError(id)


def shown(page: Page[Any]) -> str:
    """Return the words of a page's list of sources."""
    html = page.parts["sources"].html
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


@pytest.mark.parametrize("page", list(RESTS_ON))
def test_the_list_has_each_number_with_its_source(page: type[Page[Any]]) -> None:
    words = shown(page({}))
    for id in RESTS_ON[page]:
        number = entry(id)
        assert number["label"] in words
        assert " ".join(number["source"].split()) in words


def test_what_was_moved_says_so_and_what_is_usual() -> None:
    assert "(usually 0.1)" not in shown(TissuePage({}))
    assert "0.25 (usually 0.1) set here" in shown(TissuePage({"tissue.iris.friction": "0.25"}))


def test_a_drawn_needle_is_not_given_the_source_of_another() -> None:
    page = NeedlePage({})
    assert "as drawn" not in shown(page), "it starts as one of the catalogue"
    page.handle({"changes": [{"field": "draft.pieces.1.turn_deg", "value": "25"}]})
    assert "as drawn set here" in shown(page)
    assert "random geometries" not in shown(page), "that is how the catalogue's were chosen"


@pytest.mark.parametrize("path", [p.path for p in PAGES if p.build])
def test_every_page_that_gives_numbers_at_a_glance_has_them(path: str) -> None:
    build: Any = next(p for p in PAGES if p.path == path).load()
    if getattr(build, "glance", None) is not None:
        assert "sources" in [view.name for view in build.views if view.fold]
