"""Every lesson to its end by mouse, at a phone's width."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.walk import Hand, finish_step, fits, ready, walk
from tipsim.lesson.read import school

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]
PHONE = {"viewport": {"width": 390, "height": 844}, "reduced_motion": "reduce", "has_touch": True}


@pytest.mark.slow
@pytest.mark.parametrize("id", list(school().lessons))
def test_every_lesson_by_mouse_on_a_phone(browser_page: OpenPage, id: str) -> None:
    """To its end; no step scrolls sideways."""
    page = ready(browser_page(f"/lesson?id={id}", **PHONE))

    def look(page: Page, kind: str) -> None:
        fits(page, kind)
        finish_step(page, Hand(page))
        if page.locator(".frame:not(.opening) iframe").count():
            page.frame_locator("iframe").locator("form").first.wait_for()
        fits(page, f"{kind}, done")

    kinds = walk(page, Hand(page), look)
    assert kinds[0] == "prime"
    assert kinds[-1] == "key-points"
    expect(page.locator(".result")).to_contain_text("answers in the quiz were right")
