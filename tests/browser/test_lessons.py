"""The lessons in a real browser: every one to its end, by mouse and by keys; coming back; paper."""

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.conftest import Server
from tests.browser.walk import (
    Hand,
    Keys,
    answer,
    asked_in,
    finish_step,
    go_on,
    open_question,
    ready,
    walk,
)
from tipsim.lesson.answer import right_answer
from tipsim.lesson.read import school

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]
FIRST = "drive-to-stroke"
LESSONS = list(school().lessons)
CALM = {"viewport": {"width": 1280, "height": 800}, "reduced_motion": "reduce"}
PHONE = {"viewport": {"width": 390, "height": 844}, "reduced_motion": "reduce", "has_touch": True}


def lesson(open_page: OpenPage, id: str = FIRST, more: str = "", **options: Any) -> Page:
    return ready(open_page(f"/lesson?id={id}{more}", **(CALM | options)))


def fits(page: Page, kind: str) -> None:
    wide, room = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    assert wide <= room, f"{kind} scrolls sideways: {wide} of {room}"


def serious(page: Page) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [
        f"{v['id']}: {v['nodes'][0]['target']} {v['nodes'][0]['html'][:200]}"
        for v in found
        if v["impact"] in ("serious", "critical")
    ]


def start(page: Page, nickname: str) -> str:
    """Begin a record on the overview; gives the code."""
    page.get_by_label("A nickname for your record").fill(nickname)
    page.get_by_role("button", name="Start", exact=True).click()
    expect(page.get_by_role("heading", name=f"Hello, {nickname}")).to_be_visible()
    return page.locator(".who code").inner_text()


# ---- every lesson to its end ----


@pytest.mark.slow
@pytest.mark.parametrize("id", LESSONS)
def test_every_lesson_by_mouse_on_a_phone(browser_page: OpenPage, id: str) -> None:
    page = lesson(browser_page, id, **PHONE)
    kinds = walk(page, Hand(page), fits)
    assert kinds[0] == "prime"
    assert kinds[-1] == "key-points"
    expect(page.locator(".result")).to_contain_text("answers in the quiz were right")
    fits(page, "result")


@pytest.mark.slow
@pytest.mark.parametrize("id", LESSONS)
def test_every_lesson_by_keyboard_alone(browser_page: OpenPage, id: str) -> None:
    page = lesson(browser_page, id)
    assert walk(page, Keys(page))[-1] == "key-points"
    expect(page.locator(".result")).to_be_visible()


def in_both_themes(page: Page, kind: str) -> list[str]:
    """Give what axe finds serious in light and in dark colours."""
    out = []
    for theme in ("light", "dark"):
        page.evaluate("theme => (document.documentElement.dataset.theme = theme)", theme)
        out += [f"{kind}, {theme}: {v}" for v in serious(page)]
    return out


@pytest.mark.slow
@pytest.mark.parametrize("id", [FIRST, "pendulum-and-whip", "heat-along-shaft"])
def test_axe_finds_nothing_serious_on_any_kind_of_step(browser_page: OpenPage, id: str) -> None:
    """Each kind once: questions open and judged, drawn answers, another page in a frame."""
    page = lesson(browser_page, id)
    troubles: list[str] = []
    seen: set[str] = set()

    def look(page: Page, kind: str) -> None:
        if kind in seen:
            return
        seen.add(kind)
        if kind in ("predict", "quiz"):
            troubles.extend(in_both_themes(page, f"{kind}, open"))
        finish_step(page, Hand(page))
        if page.locator("iframe").count():
            page.frame_locator("iframe").locator("form").first.wait_for()
        troubles.extend(in_both_themes(page, kind))

    walk(page, Hand(page), look)
    assert troubles == []


# ---- prediction first ----


def test_run_is_locked_until_the_predictions_are_stored(browser_page: OpenPage) -> None:
    page = lesson(browser_page)
    go_on(page, Hand(page))
    onward = page.locator("button.next")
    expect(onward).to_have_attribute("aria-disabled", "true")
    onward.click(force=True)
    expect(page.locator(".step > .kind")).to_contain_text("Predict")
    expect(page.locator(".question.open input").first).to_be_focused()
    page.evaluate("location.hash = '#run'")
    page.wait_for_timeout(300)
    expect(page.locator(".step > .kind")).to_contain_text("Predict")
    page.get_by_role("button", name="Store my prediction").click()
    expect(page.get_by_role("alert")).to_have_text("Choose one answer.")
    page.locator(".question.open .choice").first.click()
    page.get_by_role("button", name="Store my prediction").click()
    expect(page.get_by_role("alert")).to_have_text("Say how sure you are, too.")
    finish_step(page, Hand(page))
    expect(page.locator(".verdict").first).to_contain_text("Whether it holds, you will see")
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
    expect(first).to_contain_text("As you said")
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
    expect(page.locator(".meaning").first).not_to_be_empty()
    page.keyboard.press("Enter")
    expect(page.locator(".meaning")).to_have_count(0)


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
    page = lesson(browser_page, more="&begin=quiz")
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
    expect(page.get_by_role("status").first).to_contain_text("now 3 of 4")
    expect(up).to_be_focused()


def test_a_goal_that_is_missed_can_be_tried_again(browser_page: OpenPage) -> None:
    page = lesson(browser_page, more="&begin=quiz")
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
    result.get_by_role("button", name="Go through the lesson").click()
    expect(page.locator(".step > .kind")).to_contain_text("Step 1 of 13")


# ---- records ----


def test_a_learner_is_stopped_and_goes_on_in_another_browser(browser_page: OpenPage) -> None:
    page = browser_page("/lessons", **CALM)
    code = start(page, "blue heron")
    page.get_by_role("link", name="Start: From drive to stroke").click()
    ready(page)
    expect(page.locator(".player > .top")).to_contain_text("Kept for blue heron")
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
    other.get_by_role("button", name="Go on", exact=True).click()
    expect(other.get_by_role("alert").filter(has_text="is not a code")).to_be_visible()
    other.get_by_label("Your code").fill(code.lower())
    other.get_by_role("button", name="Go on", exact=True).click()
    expect(other.get_by_role("heading", name="Hello, blue heron")).to_be_focused()
    other.get_by_role("link", name="Go on with “From drive to stroke” at run").click()
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
    page.get_by_label("Or take in a record").set_input_files(file)
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
    """Give a server of this test's own, to be killed."""
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
    page.get_by_role("link", name="I know this, take the quiz first: From drive").click()
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
    page = browser_page("/?power=40", **CALM)
    page.locator(".ts-stage").wait_for()
    page.wait_for_load_state("networkidle")
    page.get_by_role("link", name="Start with lesson 1").click()
    ready(page)
    expect(page.get_by_role("heading", level=1)).to_have_text("From drive to stroke")
    expect(page.locator(".player > .top")).to_contain_text("Just looking: nothing is kept.")
    page.get_by_role("link", name="Bench", exact=True).click()
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
    page = browser_page("/?power=40", **CALM)
    page.locator(".ts-stage").wait_for()
    page.get_by_role("link", name="Print a sheet of this bench").click()
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
