"""Steps back by the browser's own history, a hasty reload, refused numbers, links that are off."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import OpenPage, address_at_rest, unfold

DESK = {"width": 1440, "height": 900}
SAID = "Enter a number from 0 to 100 %. You entered"


def power(page: Page) -> object:
    return page.get_by_label("Power", exact=True)


def put(page: Page, value: str) -> None:
    field = page.get_by_label("Power", exact=True)
    field.fill(value)
    field.press("Enter")


def test_back_and_forward_take_changes_back_and_again(browser_page: OpenPage) -> None:
    page = browser_page("/heat", viewport=DESK)
    for value in ("80", "60", "40"):
        put(page, value)
        expect(page).to_have_url(re.compile(f"power={value}"))
    page.go_back()
    expect(power(page)).to_have_value("60")
    page.go_back()
    expect(power(page)).to_have_value("80")
    page.go_back()
    expect(power(page)).to_have_value("100")
    assert "/heat" in page.url
    page.go_forward()
    expect(power(page)).to_have_value("80")
    page.get_by_role("button", name="Redo").click()
    expect(power(page)).to_have_value("60")
    page.get_by_role("button", name="Undo").click()
    expect(power(page)).to_have_value("80")
    assert "power=80" in page.url
    # A reload keeps the steps.
    page.reload()
    expect(power(page)).to_have_value("80")
    page.get_by_role("button", name="Undo").click()
    expect(power(page)).to_have_value("100")


def test_a_drag_is_one_step_of_the_browser(browser_page: OpenPage) -> None:
    page = browser_page("/heat", viewport=DESK)
    expect(power(page)).to_have_value("100")
    before = page.evaluate("history.length")
    slider = page.get_by_role("slider", name="Power in %, slider")
    box = slider.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] - 9, box["y"] + box["height"] / 2)
    page.mouse.down()
    for part in (0.8, 0.6, 0.4):
        page.mouse.move(box["x"] + part * box["width"], box["y"] + box["height"] / 2)
    page.mouse.up()
    address_at_rest(page)
    assert page.evaluate("history.length") == before + 1
    page.go_back()
    expect(power(page)).to_have_value("100")


def test_a_reload_at_once_keeps_the_last_change(browser_page: OpenPage) -> None:
    page = browser_page("/heat", viewport=DESK)
    expect(power(page)).to_have_value("100")
    slider = page.get_by_role("slider", name="Power in %, slider")
    slider.focus()
    # In one go, so that no answer can come between: two changes, and the page opened anew.
    with page.expect_navigation():
        slider.evaluate(
            """slider => {
              for (const value of [90, 30]) {
                slider.value = value;
                slider.dispatchEvent(new Event("input", { bubbles: true }));
              }
              location.reload();
            }"""
        )
    expect(power(page)).to_have_value("30")
    expect(page).to_have_url(re.compile("power=30"))


def test_a_refused_number_stays_with_its_sentence_until_it_is_set_right(
    browser_page: OpenPage,
) -> None:
    page = browser_page("/heat", viewport=DESK)
    put(page, "1000000000")
    wrong = page.get_by_text(SAID)
    expect(wrong).to_have_text(f"{SAID} 1 × 10⁹ %.")
    expect(power(page)).to_have_attribute("aria-invalid", "true")
    unfold(page)
    frequency = page.get_by_label("Frequency", exact=True)
    frequency.fill("33")
    frequency.press("Enter")
    expect(page).to_have_url(re.compile("frequency"))
    # An answer to something else leaves it, and its sentence, to be set right.
    expect(power(page)).to_have_value("1000000000")
    expect(wrong).to_be_visible()
    put(page, "70")
    expect(wrong).to_have_count(0)
    expect(power(page)).not_to_have_attribute("aria-invalid", "true")


@pytest.mark.parametrize("width", [1440, 390])
def test_a_link_that_is_wrong_in_part_is_said_below_the_navigation(
    browser_page: OpenPage, width: int
) -> None:
    page = browser_page(
        "/heat?power=900&frequency=33&a.needle=nosuch", viewport={**DESK, "width": width}
    )
    banner = page.locator("#bad-link")
    expect(banner).to_contain_text("power: Enter a number from 0 to 100 %. You entered 900 %.")
    expect(banner).to_contain_text('"nosuch"')
    box = banner.bounding_box()
    assert box is not None
    assert box["y"] < 200
    # What is good of it is kept, and the address is as it was pasted.
    unfold(page)
    expect(page.get_by_label("Frequency", exact=True)).to_have_value("33")
    assert "power=900" in page.url
    if width == 390:
        return
    put(page, "50")
    expect(page).to_have_url(re.compile("power=50"))
    banner.get_by_role("button", name="Restore the pasted link").click()
    expect(page).to_have_url(re.compile("power=900"))
    expect(banner).to_be_visible()
