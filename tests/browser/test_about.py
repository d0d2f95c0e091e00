"""The page about the model, as a server hands it out and a browser shows it."""

import urllib.error
import urllib.request
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import pytest
from playwright.sync_api import Page, expect

OpenPage = Callable[..., Page]


def fetch(address: str, **headers: str) -> tuple[int, dict[str, str], bytes]:
    request = urllib.request.Request(address, headers=headers)
    try:
        with urllib.request.urlopen(request) as answer:
            return answer.status, dict(answer.headers), answer.read()
    except urllib.error.HTTPError as error:
        with error:
            return error.code, dict(error.headers), error.read()


def test_two_hundred_readers_get_the_same_bytes(server: str) -> None:
    with ThreadPoolExecutor(20) as readers:
        answers = list(readers.map(fetch, [f"{server}/about"] * 200))
    assert {status for status, _, _ in answers} == {200}
    assert len({body for _, _, body in answers}) == 1
    _, headers, body = answers[0]
    assert headers["Content-Type"] == "text/html; charset=utf-8"
    assert b"About the model" in body
    # No session: nothing of the framework that the bench stands on.
    assert b"bokeh" not in body.lower() and b"<script" in body


def test_a_second_look_costs_nothing(server: str) -> None:
    _, headers, _ = fetch(f"{server}/about")
    status, _, body = fetch(f"{server}/about", **{"If-None-Match": headers["Etag"]})
    assert (status, body) == (304, b"")


def test_a_stroke_too_many_leads_to_the_page(server: str) -> None:
    with urllib.request.urlopen(f"{server}/about/") as answer:
        assert answer.url == f"{server}/about"


@pytest.mark.browser
def test_it_reads_without_scripts(browser_page: OpenPage) -> None:
    page = browser_page("/about", java_script_enabled=False)
    expect(page.locator("main > section")).to_have_count(8)
    expect(page.locator("[data-theme-switch]")).to_be_hidden()
    page.get_by_role("link", name="How sure").click()
    assert page.url.endswith("#sure")
    expect(page.locator("#sure h2")).to_be_in_viewport()


@pytest.mark.browser
def test_the_frame_is_the_bench_s(browser_page: OpenPage) -> None:
    """Header, navigation and caution, word for word; only the page that is open differs."""
    texts = []
    for path in ("/about", "/compare"):
        page = browser_page(path, viewport={"width": 1440, "height": 900})
        here = page.locator(".site-head [aria-current=page]")
        expect(here).to_have_count(1)
        texts.append((page.locator(".site-head").inner_text(), page.locator("footer").inner_text()))
    assert texts[0] == texts[1]
    assert "licensed surgeon" in texts[0][1]


@pytest.mark.browser
def test_the_theme_switch_holds_on_both_pages(browser_page: OpenPage) -> None:
    page = browser_page("/about", color_scheme="light")
    page.locator("[data-theme-switch]").click()
    expect(page.locator("html")).to_have_attribute("data-theme", "dark")
    page.locator(".to-bench").click()
    expect(page.locator("html")).to_have_attribute("data-theme", "dark")


@pytest.mark.browser
def test_by_keyboard_to_the_text_and_the_wide_table(browser_page: OpenPage) -> None:
    page = browser_page("/about", viewport={"width": 390, "height": 844})
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "about"
    page.locator("#sure summary").first.focus()
    page.keyboard.press("Enter")
    table = page.locator(".scroll")
    table.focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_function("document.querySelector('.scroll').scrollLeft > 0")


@pytest.mark.browser
@pytest.mark.parametrize("which", range(3))
def test_the_links_for_teachers_open_the_bench_at_rest(browser_page: OpenPage, which: int) -> None:
    page = browser_page("/about")
    page.locator("summary", has_text="Three things to show").click()
    link = page.locator(".showings a").nth(which)
    wanted = link.get_attribute("href")
    assert wanted is not None
    link.click()
    page.locator("canvas").first.wait_for()
    assert page.url.endswith(wanted.removeprefix("."))
    assert page.get_by_text("of this link could not be used").count() == 0
    expect(page.get_by_role("button", name="Play")).to_be_visible()


@pytest.mark.browser
def test_on_paper_it_is_light_whole_and_without_the_screen_s_controls(
    browser_page: OpenPage,
) -> None:
    # A4 less its margins, as wide as the page rule leaves it.
    page = browser_page("/about", viewport={"width": 680, "height": 1000}, color_scheme="dark")
    page.locator("[data-theme-switch]").click()
    page.locator("[data-theme-switch]").click()
    page.emulate_media(media="print")
    for gone in (".contents", ".site-head nav", "[data-theme-switch]", ".to-bench"):
        expect(page.locator(gone).first).to_be_hidden()
    paper, ink = page.evaluate(
        "[getComputedStyle(document.body).backgroundColor, getComputedStyle(document.body).color]"
    )
    assert (paper, ink) == ("rgb(255, 255, 255)", "rgb(0, 0, 0)")
    assert page.evaluate("document.documentElement.scrollWidth") == 680
    cut = page.evaluate(
        "[...document.querySelectorAll('main table')].filter("
        "t => t.getBoundingClientRect().right > 681).map(t => t.className)"
    )
    assert cut == []
    expect(page.locator(".origins tbody tr").last).to_be_visible()
