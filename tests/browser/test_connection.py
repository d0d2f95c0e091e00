"""A server that goes away and comes back: it is said at once, and nothing that was set is lost."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import Server, address_at_rest
from tests.browser.walk import CALM, FIRST, Hand, answer, go_on, open_question, ready

DESK = {"width": 1440, "height": 900}
SAID = "Connection lost"


@pytest.fixture
def own(tmp_path: Path) -> Iterator[Server]:
    server = Server(tmp_path)
    server.start()
    yield server
    server.stop()


@pytest.fixture
def page(browser: Browser, own: Server) -> Iterator[Page]:
    context = browser.new_context(viewport=DESK, reduced_motion="reduce")
    yield context.new_page()
    context.close()


def power(page: Page) -> int:
    return int(page.get_by_label("Power", exact=True).input_value())


def test_a_page_says_that_the_server_is_gone_and_comes_back_as_it_was(
    own: Server, page: Page
) -> None:
    page.goto(f"{own.address}/heat")
    field = page.get_by_label("Power", exact=True)
    field.fill("60")
    field.press("Enter")
    expect(page).to_have_url(re.compile("power=60"))
    own.kill()
    banner = page.locator("#connection")
    expect(banner).to_be_visible()
    expect(banner).to_contain_text(SAID)
    assert page.locator("main").evaluate("main => main.inert"), "controls cannot be used"
    # What is on its way when the server is gone, is not what is shown.
    assert power(page) == 60
    own.start()
    expect(banner).to_be_hidden()
    expect(page.locator("main")).not_to_have_attribute("inert", re.compile(".*"))
    expect(page.get_by_label("Power", exact=True)).to_have_value("60")
    assert "power=60" in page.url


def test_a_value_that_never_arrived_goes_back_to_the_confirmed_one(own: Server, page: Page) -> None:
    page.goto(f"{own.address}/heat")
    slider = page.get_by_role("slider", name="Power in %, slider")
    expect(slider).to_have_value("100")
    own.process.send_signal(19)  # It holds still: what is sent now is not answered.
    slider.focus()
    page.keyboard.press("Home")
    assert power(page) == 0
    own.kill()
    expect(page.locator("#connection")).to_be_visible()
    assert power(page) == 100 and slider.input_value() == "100"


def test_a_lesson_comes_back_to_its_step_with_what_was_half_typed(own: Server, page: Page) -> None:
    page.set_viewport_size(CALM["viewport"])  # type: ignore[arg-type]
    hand = Hand(page)
    page.goto(f"{own.address}/lesson?id={FIRST}")
    ready(page)
    go_on(page, hand)
    # The first prediction is given, the second one chosen and not yet sent.
    answered = answer(page, hand)
    question = open_question(page)
    box = question.locator(".answer input").first
    box.locator("xpath=..").click()
    question.locator(".sure input").nth(2).locator("xpath=..").click()
    item, where = question.get_attribute("data-item"), page.locator(".step > .kind").inner_text()
    seed = question.get_attribute("data-seed")
    own.kill()
    expect(page.locator("#connection")).to_be_visible()
    own.start()
    expect(page.locator("#connection")).to_be_hidden()
    ready(page)
    assert page.locator(".step > .kind").inner_text() == where
    assert page.locator(f'.question.stored[data-item="{answered}"]').count() == 1
    question = page.locator(f'.question.open[data-item="{item}"]')
    assert question.get_attribute("data-seed") == seed, "the same variant as before"
    expect(question.locator(".answer input").first).to_be_checked()
    expect(question.locator(".sure input").nth(2)).to_be_checked()


def test_the_scrolled_place_comes_back_with_the_fold_that_was_read(own: Server, page: Page) -> None:
    page.goto(f"{own.address}/heat")
    summary = page.locator("#fold-readout > summary")
    summary.click()
    page.locator(".readout table").wait_for()
    address_at_rest(page)
    # Where it is to be seen only with the fold open.
    summary.evaluate("e => scrollTo(0, scrollY + e.getBoundingClientRect().top)")
    place = page.evaluate("scrollY")
    assert place > 480
    own.kill()
    expect(page.locator("#connection")).to_be_visible()
    own.start()
    expect(page.locator("#connection")).to_be_hidden()
    expect(page.locator(".readout table")).to_be_visible()
    page.wait_for_function("place => Math.abs(scrollY - place) < 20", arg=place)
