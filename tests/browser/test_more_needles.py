"""A third and a fourth needle on the page that compares: by keyboard alone, wide and on a phone."""

import itertools
from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.browser.conftest import at_rest

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]


def waits_for(page: Page, keys: str) -> None:
    """Wait until the stage has drawn these needles."""
    stage = page.locator(".ts-stage")
    stage.wait_for()
    page.wait_for_function(
        "([s, keys]) => s.tipsim.drawn().sides.map((side) => side.key).join('') === keys",
        arg=[stage.element_handle(), keys],
    )


def focused(page: Page) -> str:
    label: str = page.evaluate(
        """() => {
          let node = document.activeElement;
          while (node.shadowRoot?.activeElement) node = node.shadowRoot.activeElement;
          return node.tagName === "SELECT" ? node.labels[0].textContent : node.textContent;
        }"""
    )
    return label


def test_needles_are_added_chosen_and_removed_by_keyboard(browser_page: OpenPage) -> None:
    page = browser_page("/compare", viewport={"width": 1440, "height": 900})
    add = page.get_by_role("button", name="Add a needle")
    add.focus()
    page.keyboard.press("Enter")
    waits_for(page, "ABC")
    expect(page.locator("#glance .headline")).to_contain_text("Three needles")
    # The keyboard stays where the needle came in, and chooses another there.
    third = page.get_by_label("Needle C", exact=True)
    expect(third).to_be_focused()
    before = third.input_value()
    page.keyboard.press("ArrowDown")
    expect(third).not_to_have_value(before)
    page.wait_for_function(
        "id => location.search.includes(`view.c=${id}`)", arg=third.input_value()
    )
    page.get_by_role("button", name="Add a needle").press("Enter")
    waits_for(page, "ABCD")
    expect(page.get_by_role("button", name="Add a needle")).to_have_count(0)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    at_rest(page)
    found = Axe().run(page).response["violations"]
    assert [v["id"] for v in found if v["impact"] in ("serious", "critical", "moderate")] == []
    page.get_by_role("button", name="Remove D").press("Enter")
    waits_for(page, "ABC")
    assert focused(page) == "Add a needle"
    page.go_back()
    waits_for(page, "ABCD")
    page.go_forward()
    waits_for(page, "ABC")


def test_a_link_with_four_needles_opens_on_a_phone(browser_page: OpenPage) -> None:
    link = "/compare?view.c=straight-medium&view.d=single-bend-30-slim"
    page = browser_page(link, viewport={"width": 390, "height": 844})
    waits_for(page, "ABCD")
    expect(page.locator('#glance [data-number^="motion-end_stroke."]')).to_have_count(4)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    titles = page.locator("#stage .title")
    boxes = [titles.nth(k).bounding_box() for k in range(4)]
    tops = [box["y"] for box in boxes if box]
    # Each has a strip of its own, one below the other.
    assert len(tops) == 4 and min(b - a for a, b in itertools.pairwise(tops)) > 60
