"""The Evidence page in a browser."""

import re
from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

OpenPage = Callable[..., Page]
pytestmark = pytest.mark.browser


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1440, 390])
def test_nobody_is_shut_out(browser_page: OpenPage, width: int, scheme: str) -> None:
    page = browser_page("/studies", viewport={"width": width, "height": 844}, color_scheme=scheme)
    found = Axe().run(page)
    assert [f"{v['id']}: {v['help']}" for v in found.response["violations"]] == []
    assert page.evaluate("document.documentElement.scrollWidth") == width


def test_a_row_can_be_set_up_by_keyboard(browser_page: OpenPage) -> None:
    page = browser_page("/studies")
    row = page.locator("#row-torsional-30g")
    row.get_by_role("link").focus()
    page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile(r"/heat\?.*press=on"))
    expect(page.get_by_role("heading", level=1)).to_be_visible()
