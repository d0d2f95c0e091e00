"""Every lesson to its end by keyboard alone."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.walk import CALM, Keys, ready, walk
from tipsim.lesson.read import school

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]


@pytest.mark.slow
@pytest.mark.parametrize("id", list(school().lessons))
def test_every_lesson_by_keyboard_alone(browser_page: OpenPage, id: str) -> None:
    page = ready(browser_page(f"/lesson?id={id}", **CALM))
    assert walk(page, Keys(page))[-1] == "key-points"
    expect(page.locator(".result")).to_be_visible()
