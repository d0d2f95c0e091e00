"""The Evidence page in a browser."""

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

OpenPage = Callable[..., Page]
pytestmark = pytest.mark.browser


def test_a_row_can_be_set_up_by_keyboard(browser_page: OpenPage) -> None:
    page = browser_page("/studies")
    row = page.locator("#row-torsional-30g")
    page.locator("details", has=row).locator("summary").press("Enter")
    row.get_by_role("link").focus()
    page.keyboard.press("Enter")
    expect(page).to_have_url(re.compile(r"/heat\?.*press=on"))
    expect(page.get_by_role("heading", level=1)).to_be_visible()
