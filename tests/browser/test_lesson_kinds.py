"""A lesson with a question of every kind: by keyboard alone, read by axe, changed by its author."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import Server
from tests.browser.walk import (
    CALM,
    Hand,
    Keys,
    answer,
    finish_step,
    in_both_themes,
    open_question,
    ready,
    walk,
)
from tests.lessons.example import write_every_kind
from tipsim.lesson.check import check_folder
from tipsim.lesson.format import School
from tipsim.lesson.kinds import KINDS

pytestmark = pytest.mark.browser

LINK = "/lesson?id=example-power"


@pytest.fixture
def own(tmp_path: Path) -> Path:
    return write_every_kind(tmp_path / "lessons")


@pytest.fixture
def server(own: Path, tmp_path: Path) -> Iterator[Server]:
    server = Server(tmp_path, own.parent)
    try:
        server.start()
        yield server
    finally:
        server.stop()


def lessons(own: Path) -> School:
    """The lessons that the server shows."""
    found, faults = check_folder(own.parent)
    assert list(map(str, faults)) == []
    return found


@pytest.mark.slow
def test_every_kind_by_keyboard_alone_and_for_screen_readers(
    browser: Browser, server: Server, own: Path
) -> None:
    """To the end without a mouse; axe finds nothing serious in any open or judged question."""
    context = browser.new_context(**CALM)
    page = ready_at(context.new_page(), server)
    hand = Keys(page, lessons(own))
    troubles: list[str] = []
    seen: set[str] = set()

    def look(kind: str) -> None:
        if kind not in seen:
            seen.add(kind)
            troubles.extend(in_both_themes(page, f"{kind}, open"))

    def step(page: Page, kind: str) -> None:
        finish_step(page, hand, look)
        if kind == "quiz":
            troubles.extend(in_both_themes(page, "every kind, judged"))

    assert walk(page, hand, step)[-1] == "key-points"
    expect(page.locator(".result")).to_be_visible()
    assert seen == set(KINDS)
    assert troubles == []
    context.close()


def test_an_answer_to_a_question_that_was_changed_since(
    browser: Browser, server: Server, own: Path
) -> None:
    """The author renames a choice; the verdict stays, and the question can be answered anew."""
    context = browser.new_context(**CALM)
    page = context.new_page()
    page.goto(f"{server.address}/lessons")
    page.get_by_label("A nickname for your record").fill("blue heron")
    page.get_by_role("button", name="Start", exact=True).click()
    expect(page.get_by_role("heading", name="Hello, blue heron")).to_be_visible()
    ready_at(page, server, "&begin=quiz")
    while open_question(page).get_attribute("data-item") != "kind-order":
        answer(page, Hand(page, lessons(own)))
    # A page that stays open would come back by itself, into the middle of what follows.
    page.goto("about:blank")
    server.stop()

    kinds = own / "kinds.yaml"
    text = kinds.read_text(encoding="utf-8")
    kinds.write_text(text.replace("{text: the stroke,", "{id: travel, text: the stroke,"), "utf-8")
    server.start()
    ready_at(page, server, "&begin=quiz")
    question = page.locator('.question[data-item="kind-several"]')
    expect(question.locator(".verdict .heading")).to_have_text("✓Right")
    expect(question.locator(".verdict")).to_contain_text("has changed since you answered it")
    question.get_by_role("button", name="Answer it anew").click()
    expect(open_question(page)).to_have_attribute("data-item", "kind-several")
    answer(page, Hand(page, lessons(own)))
    expect(question.locator(".verdict")).to_contain_text("Stroke and watts grow")
    context.close()


def ready_at(page: Page, server: Server, more: str = "") -> Page:
    page.goto(f"{server.address}{LINK}{more}")
    return ready(page)
