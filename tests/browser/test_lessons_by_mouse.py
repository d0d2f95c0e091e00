"""Every lesson to its end by mouse, at a phone's width."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.walk import Hand, finish_step, fits, ready, serious, walk
from tipsim.lesson.read import school

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]
PHONE = {"viewport": {"width": 390, "height": 844}, "reduced_motion": "reduce", "has_touch": True}


@pytest.mark.slow
@pytest.mark.parametrize("id", list(school().lessons))
def test_every_lesson_by_mouse_on_a_phone(browser_page: OpenPage, id: str) -> None:
    """To its end; no step scrolls sideways, and axe finds nothing serious on any."""
    page = ready(browser_page(f"/lesson?id={id}", **PHONE))
    troubles: list[str] = []

    def look(page: Page, kind: str) -> None:
        fits(page, kind)
        finish_step(page, Hand(page))
        if page.locator("iframe").count():
            page.frame_locator("iframe").locator("form").first.wait_for()
        troubles.extend(f"{kind}: {v}" for v in serious(page))

    kinds = walk(page, Hand(page), look)
    assert troubles == []
    assert kinds[0] == "prime"
    assert kinds[-1] == "key-points"
    expect(page.locator(".result")).to_contain_text("answers in the quiz were right")
    fits(page, "result")
