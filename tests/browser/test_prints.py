"""What stands on paper: no navigation, nothing to press, settings as a table, a whole lesson."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tipsim.lesson.read import school

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]
PRESSED = ":is(button, select, input, nav):visible"


def on_paper(page: Page) -> None:
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print")


def test_a_lesson_is_printed_whole(browser_page: OpenPage) -> None:
    lesson = school().lessons["drive-to-stroke"]
    page = browser_page("/lesson?id=drive-to-stroke")
    page.locator(".player").first.wait_for()
    on_paper(page)
    sheet = page.locator("#whole-lesson")
    expect(sheet).to_be_visible()
    expect(page.locator("main.page")).to_be_hidden()
    asked = {item for step in lesson.steps for item in step.items}
    expect(sheet.locator(".item")).to_have_count(len(asked))
    words = page.locator("body").inner_text()
    assert [id for id in (*asked, lesson.id) if id in words] == []
    for step in lesson.steps:
        assert step.kind in ("explain", "compare", "key-points") or step.title in words
    expect(page.locator(PRESSED)).to_have_count(0)


@pytest.mark.parametrize("path", ["/compare?view.c=straight-medium&power=40", "/flow"])
def test_settings_stand_as_a_table(browser_page: OpenPage, path: str) -> None:
    page = browser_page(path)
    page.locator("#controls form").wait_for()
    page.locator("#glance dd").first.wait_for()
    on_paper(page)
    table = page.locator("#settings-table table")
    expect(table).to_be_visible()
    row = "Power" if "power" in path else "Bottle above the eye"
    expect(table.locator("tr", has_text=row).first).to_contain_text(
        "40 %" if row == "Power" else "cm"
    )
    expect(page.locator(PRESSED)).to_have_count(0)
