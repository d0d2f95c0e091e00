"""Records of learners in a real browser: coming back, own data, a killed server; paper."""

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import Server
from tests.browser.walk import (
    CALM,
    FIRST,
    Hand,
    answer,
    finish_step,
    fits,
    go_on,
    open_question,
    ready,
    serious,
)
from tipsim.lesson.read import school

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]

CONTINUE = "Continue with “Foot down. What does the needle do?” at run"


def start(page: Page, nickname: str) -> str:
    """Begin a record on the overview; gives the code."""
    page.get_by_label("A nickname for your record").fill(nickname)
    page.get_by_role("button", name="Start", exact=True).click()
    expect(page.get_by_role("heading", name=f"Hello, {nickname}")).to_be_visible()
    return page.locator(".who code").inner_text()


def test_a_learner_is_stopped_and_goes_on_in_another_browser(browser_page: OpenPage) -> None:
    page = browser_page("/lessons", **CALM)
    code = start(page, "blue heron")
    page.get_by_role("link", name="Start: Foot down. What does the needle do?").click()
    ready(page)
    expect(page.locator(".player > .top")).to_contain_text("Saved for blue heron")
    go_on(page, Hand(page))
    finish_step(page, Hand(page))
    go_on(page, Hand(page))
    expect(page.locator(".step > .kind")).to_contain_text("Run")
    assert code not in page.url
    seed = page.evaluate("localStorage.getItem('tipsim-learner')")
    assert json.loads(seed) == {"nickname": "blue heron", "code": code}
    page.context.close()

    other = browser_page("/lessons", **CALM)
    other.get_by_label("Your code").fill("nonsense")
    other.get_by_role("button", name="Continue", exact=True).click()
    expect(other.get_by_role("alert").filter(has_text="is not a code")).to_be_visible()
    other.get_by_label("Your code").fill(code.lower())
    other.get_by_role("button", name="Continue", exact=True).click()
    expect(other.get_by_role("heading", name="Hello, blue heron")).to_be_focused()
    other.get_by_role("link", name=CONTINUE).click()
    ready(other)
    expect(other.locator(".step > .kind")).to_contain_text("Step 3 of 13: Run")
    other.get_by_role("button", name="Back", exact=True).click()
    expect(other.locator(".verdict.stored")).to_have_count(2)


def test_own_data_is_saved_left_taken_in_and_deleted(
    browser_page: OpenPage, tmp_path: Path
) -> None:
    page = browser_page("/lessons", **CALM)
    code = start(page, "grey wren")
    page.get_by_text("Your data").click()
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save it as a file").click()
    file = tmp_path / "record.json"
    saved.value.save_as(file)
    assert json.loads(file.read_text())["learner"]["code"] == code
    page.get_by_role("button", name="Delete my record").click()
    expect(page.get_by_role("button", name="Yes, delete everything")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_text("Your record is deleted").last).to_be_visible()
    assert page.evaluate("localStorage.getItem('tipsim-learner')") is None
    page.get_by_label("Your code").fill(code)
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert").filter(has_text="is not known here")).to_be_visible()
    page.get_by_label("Or import a record").set_input_files(file)
    expect(page.get_by_role("heading", name="Hello, grey wren")).to_be_visible()
    page.get_by_text("Your data").click()
    page.get_by_role("button", name="Leave this browser").click()
    expect(page.get_by_role("heading", name="Who are you?")).to_be_focused()
    page.reload()
    expect(page.get_by_role("heading", name="Who are you?")).to_be_visible()


def test_tracks_and_their_lessons(browser_page: OpenPage) -> None:
    page = browser_page("/lessons", **CALM)
    for track in school().tracks.values():
        page.get_by_text(track.title, exact=True).click()
        expect(page.locator(".card")).to_have_count(len(track.lessons))
    expect(page.locator(".card .state").first).to_contain_text("New")
    assert serious(page) == []
    start(page, "red kite")
    assert serious(page) == []
    fits(page, "overview")


@pytest.fixture
def own_server(tmp_path: Path) -> Iterator[Server]:
    """Return a server of this test's own, to be killed."""
    server = Server(tmp_path)
    server.start()
    yield server
    server.kill()


def test_killing_the_server_loses_nothing_that_was_answered(
    browser: Browser, own_server: Server
) -> None:
    context = browser.new_context(**CALM)  # type: ignore[arg-type]
    page = context.new_page()
    page.goto(f"{own_server.address}/lessons")
    start(page, "blue heron")
    page.locator("summary[aria-label*='Foot down']").click()
    page.get_by_role("link", name="Skip to quiz: Foot down").click()
    ready(page)
    done = [answer(page, Hand(page)) for _ in range(3)]
    own_server.kill()
    page.close()
    own_server.start()
    page = context.new_page()
    page.goto(f"{own_server.address}/lesson?id={FIRST}&begin=quiz")
    ready(page)
    for id in done:
        told = page.locator(f'.question[data-item="{id}"] .verdict')
        expect(told).to_contain_text("Right")
    expect(open_question(page)).not_to_have_attribute("data-item", done[-1])
    context.close()


# ---- the way there, and paper ----


def test_from_the_bench_to_lesson_1(browser_page: OpenPage) -> None:
    page = browser_page("/compare?power=40", **CALM)
    page.locator(".ts-stage").wait_for()
    page.wait_for_load_state("networkidle")
    page.get_by_role("link", name="Start with lesson 1").click()
    ready(page)
    expect(page.get_by_role("heading", level=1)).to_have_text("Foot down. What does the needle do?")
    expect(page.locator(".player > .top")).to_contain_text(
        "Your answers and progress are not saved."
    )
    page.get_by_role("link", name="Compare needles", exact=True).click()
    page.locator(".ts-stage").wait_for()
    assert "id=" not in page.url


def test_an_unknown_lesson_is_said(browser_page: OpenPage) -> None:
    page = ready(browser_page("/lesson?id=%3Cb%3Eno", **CALM))
    expect(page.locator(".player > .top")).to_contain_text(
        'There is no lesson "<b>no"; this is the first'
    )


@pytest.mark.parametrize("answers", ["", "&answers=1"])
def test_a_handout_prints_well(browser_page: OpenPage, answers: str) -> None:
    page = browser_page(f"/handout?id=pendulum-and-whip{answers}", **CALM)
    assert serious(page) == []
    expect(page.get_by_role("button", name="Print, or save as PDF")).to_be_visible()
    pdf = page.pdf(prefer_css_page_size=True)
    pages = len(re.findall(rb"/Type\s*/Page\b", pdf))
    assert 2 <= pages <= 12
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 688, "height": 1000})
    fits(page, "handout")
    expect(page.locator(".tools")).to_be_hidden()
    expect(page.locator(".item").first).to_be_visible()
    assert page.locator(".answer").count() == (0 if not answers else page.locator(".item").count())


def test_the_lab_sheet_takes_the_bench_along(browser_page: OpenPage) -> None:
    page = browser_page("/compare?power=40", **CALM)
    page.locator(".ts-stage").wait_for()
    page.get_by_role("link", name="Print a sheet of these settings").click()
    expect(page.get_by_role("row", name=re.compile("^Power 40 %"))).to_be_visible()
    assert serious(page) == []
    page.set_viewport_size({"width": 390, "height": 844})
    fits(page, "lab sheet")
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 688, "height": 1000})
    fits(page, "lab sheet on paper")
    assert 1 <= len(re.findall(rb"/Type\s*/Page\b", page.pdf(prefer_css_page_size=True))) <= 4


@pytest.mark.parametrize(
    "path", ["/handout?id=nix", f"/handout?id={FIRST}&seed=x", "/lab-sheet?power=x"]
)
def test_a_wrong_link_to_paper_gets_one_sentence(browser: Browser, server: str, path: str) -> None:
    page = browser.new_page()
    response = page.goto(server + path)
    assert response is not None
    assert response.status == 400
    expect(page.locator("main")).to_contain_text("allowed:")
    assert "Traceback" not in page.content()
    page.close()
