"""Presentation: a list of scenarios, shown one after the other by keys."""

import re

from playwright.sync_api import expect


def test_an_example_is_presented_by_keys_and_kept(browser_page):
    page = browser_page("/present")
    page.get_by_role("button", name="Use an example list").click()
    expect(page.locator(".slides li")).to_have_count(5)
    page.get_by_role("button", name="Present", exact=True).click()
    where = page.locator(".show .where")
    expect(where).to_have_text("1 of 5: Same drive, two needles")
    inside = page.frame_locator(".slide iframe")
    expect(inside.locator("#glance .headline")).to_contain_text("shaft")
    expect(inside.locator("#stage")).to_be_visible()
    expect(inside.locator("#controls")).to_be_hidden()
    page.keyboard.press("PageDown")
    expect(where).to_have_text("2 of 5: As if they were rigid")
    expect(inside.locator("#glance")).to_be_visible()
    page.keyboard.press("PageUp")
    expect(where).to_have_text("1 of 5: Same drive, two needles")
    page.keyboard.press("PageUp")
    expect(where).to_have_text("1 of 5: Same drive, two needles")
    page.keyboard.press("q")
    expect(page.locator(".qr .address")).to_contain_text("/compare")
    assert page.locator(".qr img").evaluate("e => e.decode().then(() => e.naturalWidth)") > 0
    page.get_by_role("button", name="Close").click()
    page.keyboard.press("Escape")
    expect(page.locator("dialog.show")).to_be_hidden()
    page.reload()
    expect(page.locator(".slides li")).to_have_count(5)


def test_a_wrong_link_gets_a_sentence_and_keeps_what_was_typed(browser_page):
    page = browser_page("/present")
    page.get_by_label("Title", exact=True).fill("Mine")
    link = page.get_by_label("Link of a tipsim page")
    link.fill("https://elsewhere.example/heat")
    page.get_by_role("button", name="Add", exact=True).click()
    expect(page.get_by_role("alert").last).to_have_text(
        "Enter the address of a page of this tipsim server."
    )
    expect(link).to_have_attribute("aria-invalid", "true")
    expect(link).to_have_value("https://elsewhere.example/heat")
    link.fill("heat?press=on")
    page.keyboard.press("Enter")
    expect(page.locator(".slides li")).to_have_count(1)
    page.get_by_role("button", name="Remove Mine").click()
    expect(page.locator(".slides li")).to_have_count(0)


def test_a_view_is_taken_along_from_its_page_once(browser_page):
    page = browser_page("/compare?power=40")
    expect(page.locator(".glance .headline")).to_contain_text("shaft")
    headline = page.locator(".glance .headline").inner_text()
    page.get_by_role("link", name="Present this view").click()
    row = page.locator(".slides li")
    expect(row).to_have_count(1)
    expect(row.locator("input")).to_have_value(headline)
    expect(row.locator("a")).to_have_text(re.compile(r"^compare\?.*power=40"))
    page.reload()
    expect(row).to_have_count(1)


def test_a_link_brings_a_list(browser_page):
    page = browser_page("/present?name=One&link=heat&name=Two&link=http%3A%2F%2Felsewhere.example")
    expect(page.locator(".slides li")).to_have_count(1)
    expect(page.locator(".slides input")).to_have_value("One")
