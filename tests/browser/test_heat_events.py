"""Events on the heat page in a real browser: by keyboard, by mouse, in the list."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.test_heat import CALM, PRESSED, at, in_link, ready, settled

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]


def test_an_event_is_added_moved_changed_and_removed_by_keyboard(browser_page: OpenPage) -> None:
    page = ready(browser_page(PRESSED, **CALM))
    at(page, 5.0)
    page.get_by_role("button", name="Add an event").focus()
    page.keyboard.press("Enter")
    in_link(page, "events=5:flow lost")
    settled(page)
    mark = page.get_by_role("slider", name="Event: flow lost")
    mark.focus()
    page.keyboard.press("ArrowRight")
    in_link(page, "events=5.5:flow lost")
    expect(mark).to_be_focused()
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowLeft")
    in_link(page, "events=4.5:flow lost")
    # The link is told before the run is; a row sends all events as it shows them.
    expect(page.get_by_label("Event 1: seconds")).to_have_value("4.5")
    page.get_by_label("Event 1: what").select_option("needle moved in the incision")
    in_link(page, "events=4.5:load:::4")
    place = page.get_by_label("Event 1: from the tip, mm")
    place.fill("5")
    page.keyboard.press("Enter")
    in_link(page, "events=4.5:load:::5")
    expect(page.get_by_role("slider", name="Event: needle moved in the incision")).to_be_visible()
    page.get_by_role("button", name="Remove event 1").click()
    page.wait_for_function("() => !location.search.includes('events')")


def test_an_event_is_dragged_with_the_mouse(browser_page: OpenPage) -> None:
    page = ready(browser_page(f"{PRESSED}&events=5:flow+lost", **CALM))
    mark = page.locator(".mark .badge")
    mark.scroll_into_view_if_needed()
    box = mark.bounding_box()
    plot = page.locator(".over-time .chart-host").bounding_box()
    assert box is not None and plot is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + plot["width"] * 0.2, y, steps=5)
    page.mouse.up()
    page.wait_for_function("() => !location.search.includes('events=5:')")
    time = float(
        page.get_by_role("slider", name="Event: flow lost").get_attribute("aria-valuenow") or 0
    )
    # A fifth of the drawing is a little more than a fifth of the time: margins.
    assert time == pytest.approx(9.3, abs=0.4)
    in_link(page, f"events={time:g}:flow lost")


def test_a_wrong_event_gets_a_sentence(browser_page: OpenPage) -> None:
    page = ready(browser_page(f"{PRESSED}&events=5:occlusion:50", **CALM))
    share = page.get_by_label("Event 1: occluded, %")
    share.fill("150")
    share.press("Enter")
    expect(page.get_by_role("alert").get_by_text("event 1.share_percent is 150 %")).to_be_visible()
    expect(page.get_by_label("Event 1: occluded, %")).to_have_value("50")
