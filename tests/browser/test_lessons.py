"""The lessons in a real browser: what is locked, asked, judged and printed; open to all."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import frames
from tests.browser.walk import (
    CALM,
    FIRST,
    Hand,
    answer,
    asked_in,
    finish_step,
    go_on,
    in_both_themes,
    open_question,
    ready,
    walk,
)
from tipsim.lesson.kinds import right_answer

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]
BENT = "bent-needle-swings"  # asks for an order and for a goal


def lesson(open_page: OpenPage, id: str = FIRST, more: str = "", **options: Any) -> Page:
    return ready(open_page(f"/lesson?id={id}{more}", **(CALM | options)))


# ---- open to all ----


@pytest.mark.slow
def test_axe_finds_nothing_serious_in_either_theme(browser_page: OpenPage) -> None:
    """Each kind of step and another page in a frame; test_lesson_kinds.py has the questions."""
    page = lesson(browser_page, "heat-along-shaft")
    troubles: list[str] = []
    seen: set[str] = set()

    def look(page: Page, kind: str) -> None:
        if kind in seen:
            return
        seen.add(kind)
        finish_step(page, Hand(page))
        if page.locator(".frame:not(.opening) iframe").count():
            page.frame_locator("iframe").locator("form").first.wait_for()
        troubles.extend(in_both_themes(page, kind))

    walk(page, Hand(page), look)
    assert troubles == []


# ---- nothing moves from under a pointer ----


@pytest.mark.parametrize("id", [FIRST, "seeing-32-khz"])
def test_what_comes_in_moves_nothing_that_stands_below(browser_page: OpenPage, id: str) -> None:
    """The setup itself, and another page in a frame: both grow for a while above "Next"."""
    page = lesson(browser_page, id)
    while page.locator(".step").get_attribute("data-kind") != "run":
        finish_step(page, Hand(page))
        go_on(page, Hand(page))
    page.locator("button.run").click()
    onward = page.locator(".onward button.next")
    expect(page.locator(".experiment .ts-stage, .experiment iframe").first).to_be_visible()
    onward.scroll_into_view_if_needed()
    onward.evaluate(
        """node => {
          window.places = [];
          // As it is painted: what resizes within a picture is put right before it is shown.
          const { port1, port2 } = new MessageChannel();
          port1.onmessage = () => {
            window.places.push(node.getBoundingClientRect().top);
            requestAnimationFrame(() => port2.postMessage(""));
          };
          requestAnimationFrame(() => port2.postMessage(""));
        }"""
    )
    inside = page.frame_locator("iframe") if page.locator("iframe").count() else page
    expect(inside.locator("form").first).to_be_attached()
    expect(inside.locator("canvas").first).to_be_visible()
    frames(page, 60)
    places = page.evaluate("window.places")
    assert max(places) - min(places) < 2, places


# ---- prediction first ----


def test_run_is_locked_until_the_predictions_are_stored(browser_page: OpenPage) -> None:
    page = lesson(browser_page)
    go_on(page, Hand(page))
    onward = page.locator("button.next")
    expect(onward).to_have_attribute("aria-disabled", "true")
    onward.click(force=True)
    expect(page.locator(".step > .kind")).to_contain_text("Predict")
    expect(page.locator(".question.open input").first).to_be_focused()
    # The server answers messages in turn, so the step would be another one by the first answer.
    page.evaluate("location.hash = '#run'")
    page.get_by_role("button", name="Save my prediction").click()
    expect(page.get_by_role("alert")).to_have_text("Choose one answer.")
    page.locator(".question.open .choice").first.click()
    page.get_by_role("button", name="Save my prediction").click()
    expect(page.get_by_role("alert")).to_have_text("Choose how sure you are as well.")
    finish_step(page, Hand(page))
    expect(page.locator(".step > .kind")).to_contain_text("Predict")
    expect(page.locator(".verdict").first).to_contain_text("You will see whether it is right")
    expect(onward).to_have_text("Go to the experiment")
    onward.click()
    expect(page.locator(".ts-stage")).to_be_hidden()
    expect(page.locator("button.next")).to_have_attribute("aria-disabled", "true")
    page.get_by_role("button", name="Run", exact=False).and_(page.locator(".run")).click()
    expect(page.locator(".ts-stage")).to_be_visible()
    expect(page.locator("button.next")).to_have_attribute("aria-disabled", "false")


def test_a_prediction_stands_beside_the_result(browser_page: OpenPage) -> None:
    page = lesson(browser_page)

    def stop(page: Page, kind: str) -> None:
        if kind == "compare":
            raise StopIteration

    with pytest.raises(StopIteration):
        walk(page, Hand(page), stop)
    first = page.locator(".comparison").first
    expect(first).to_contain_text("You said")
    expect(first).to_contain_text("The model")
    expect(first).to_contain_text("As you predicted")
    expect(first).to_contain_text("How sure: fairly sure")


def test_back_forward_and_the_browsers_own(browser_page: OpenPage) -> None:
    page = lesson(browser_page)
    go_on(page, Hand(page))
    kind = page.locator(".step > .kind")
    expect(kind).to_contain_text("Step 2")
    expect(page.locator(".step > h2")).to_be_focused()
    expect(page.get_by_role("status").first).to_contain_text("Step 2 of 13: Predict")
    page.get_by_role("button", name="Back", exact=True).click()
    expect(kind).to_contain_text("Step 1")
    page.go_back()
    expect(kind).to_contain_text("Step 2")
    page.go_back()
    expect(kind).to_contain_text("Step 1")
    page.go_forward()
    expect(kind).to_contain_text("Step 2")


def test_a_term_opens_and_closes_by_keyboard(browser_page: OpenPage) -> None:
    page = lesson(browser_page)
    term = page.locator("button.term").first
    term.focus()
    page.keyboard.press("Enter")
    meaning = page.locator(".meaning").first
    expect(meaning).to_be_visible()
    expect(meaning).not_to_be_empty()
    page.keyboard.press("Enter")
    expect(page.locator(".meaning").first).to_be_hidden()


# ---- answers ----


def to_kind(page: Page, kind: str) -> Locator:
    """Answer right up to a question of a kind."""
    while open_question(page).get_attribute("data-kind") != kind:
        answer(page, Hand(page))
    return open_question(page)


def test_wrong_answers_say_why_in_words_and_colour(browser_page: OpenPage) -> None:
    page = lesson(browser_page, more="&begin=quiz")
    question = to_kind(page, "number")
    id = question.get_attribute("data-item")
    truth = right_answer(asked_in(question))
    typed = question.locator(".number input")
    typed.fill("far")
    typed.press("Enter")
    expect(question.locator(".wrong")).to_contain_text('Your answer is "far"; allowed: a number')
    typed.fill("5 kg")
    typed.press("Enter")
    expect(question.locator(".wrong")).to_contain_text('"kg"')
    typed.fill(f"{truth / 2:.1f}".replace(".", ","))
    typed.press("Enter")
    judged = page.locator(f'.question[data-item="{id}"]')
    verdict = judged.locator(".verdict")
    expect(verdict).to_contain_text("Not right")
    expect(verdict).to_contain_text("amplitude")
    expect(verdict).to_contain_text("The model:")
    expect(verdict).to_be_focused()
    judged.get_by_role("button", name="Try again").click()
    again = page.locator(f'.question.open[data-item="{id}"]')
    expect(again).to_be_visible()
    answer(page, Hand(page))


def test_order_by_dragging(browser_page: OpenPage) -> None:
    page = lesson(browser_page, BENT, more="&begin=quiz")
    question = to_kind(page, "order")
    rows = question.locator("ol.order > li")
    before = rows.evaluate_all("all => all.map((li) => li.dataset.entry)")
    first, last = rows.first.locator(".what"), rows.last.locator(".what")
    first.scroll_into_view_if_needed()
    start, end = first.bounding_box(), last.bounding_box()
    assert start is not None
    assert end is not None
    page.mouse.move(start["x"] + 20, start["y"] + start["height"] / 2)
    page.mouse.down()
    for step in range(1, 13):
        y = start["y"] + (end["y"] + end["height"] - start["y"]) * step / 12
        page.mouse.move(start["x"] + 20, y - 3)
    page.mouse.up()
    after = rows.evaluate_all("all => all.map((li) => li.dataset.entry)")
    assert after == [*before[1:], before[0]]
    up = question.locator(f'li[data-entry="{before[0]}"]').get_by_role("button").first
    up.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("status").first).to_contain_text("now 2 of 3")
    expect(up).to_be_focused()


def test_a_goal_that_is_missed_can_be_tried_again(browser_page: OpenPage) -> None:
    page = lesson(browser_page, BENT, more="&begin=quiz")
    question = to_kind(page, "goal")
    expect(question.locator(".ts-stage")).to_be_visible()
    question.get_by_role("button", name="Check").click()
    expect(page.locator(".verdict").last).to_contain_text("Partly right")
    expect(page.locator(".conditions").last).to_contain_text("does not hold")
    page.get_by_role("button", name="Try again").last.click()
    answer(page, Hand(page))


def test_the_result_says_what_to_repeat_and_practises_it(browser_page: OpenPage) -> None:
    page = lesson(browser_page, more="&begin=quiz")
    question = to_kind(page, "number")
    id = question.get_attribute("data-item")
    question.locator(".number input").fill("1")
    question.locator(".number input").press("Enter")
    expect(page.locator(f'.question[data-item="{id}"] .verdict')).to_contain_text("Not right")
    finish_step(page, Hand(page))
    go_on(page, Hand(page))
    result = page.locator(".result")
    expect(result).to_contain_text("To repeat")
    result.get_by_role("button", name=re.compile("^Practise")).first.click()
    expect(open_question(page)).to_be_visible()
    answer(page, Hand(page))
    result.get_by_role("button", name="Take the whole lesson").click()
    expect(page.locator(".step > .kind")).to_contain_text("Step 1 of 13")
