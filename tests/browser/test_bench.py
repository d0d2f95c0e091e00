"""The bench in a real browser: controls, still pictures, numbers, link; by mouse and keyboard."""

import re
from collections.abc import Callable
from itertools import pairwise
from typing import Any
from urllib.parse import urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

import tipsim
from tests.browser.conftest import frames, unfold

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]
DESK = {"width": 1440, "height": 900}
CALM: dict[str, Any] = {"viewport": DESK, "reduced_motion": "reduce"}
"""Where nothing is asked about motion: needles that move cost a processor each."""


def ready(page: Page) -> Page:
    unfold(page)
    page.locator("h2", has_text="Numbers").wait_for()
    page.wait_for_function("document.querySelector('#stage').clientHeight > 100")
    return page


def query(page: Page) -> str:
    return urlsplit(page.url).query


def in_link(page: Page, part: str) -> None:
    page.wait_for_function("part => location.search.includes(part)", arg=part)


def not_in_link(page: Page, part: str) -> None:
    page.wait_for_function("part => !location.search.includes(part)", arg=part)


def cell(page: Page, label: str) -> tuple[str, str]:
    row = page.locator(
        "#readout tr", has=page.locator("th", has_text=re.compile(rf"^\s*{re.escape(label)}"))
    )
    values = row.first.locator("td.value").all_inner_texts()
    return values[0], values[1]


def test_the_numbers_are_the_models(browser_page: OpenPage) -> None:
    page = ready(browser_page("/compare", **CALM))
    a, b = (
        tipsim.solve(tipsim.Scenario.preset(f"{s}, torsional"))
        for s in ("single-bend", "counter-bent")
    )
    assert cell(page, "Stroke, µm peak to peak") == (
        f"{a.motion.end_stroke * 1e6:.0f}",
        f"{b.motion.end_stroke * 1e6:.0f}",
    )
    assert cell(page, "Ratio, counter-bent")[1] == (
        f"{b.motion.end_stroke / a.motion.end_stroke:.2f}"
    )
    expect(page.get_by_text("The shaft swings (pendulum):")).to_be_visible()
    expect(page.get_by_text("The tip whips:")).to_be_visible()


def test_a_change_by_keyboard_reaches_picture_numbers_and_link(browser_page: OpenPage) -> None:
    page = ready(browser_page("/compare", **CALM))
    before = cell(page, "Stroke, µm peak to peak")
    power = page.get_by_label("Power", exact=True)
    power.focus()
    page.keyboard.press("Control+A")
    page.keyboard.type("50")
    page.keyboard.press("Enter")
    in_link(page, "power=50")
    after = cell(page, "Stroke, µm peak to peak")
    assert float(after[0]) == pytest.approx(float(before[0]) / 2, abs=0.5)
    page.reload()
    ready(page)
    expect(page.get_by_label("Power", exact=True)).to_have_value("50")
    assert cell(page, "Stroke, µm peak to peak") == after


def test_wrong_input_gets_a_sentence_and_changes_nothing(browser_page: OpenPage) -> None:
    page = ready(browser_page("/compare", **CALM))
    before = query(page)
    power = page.get_by_label("Power", exact=True)
    power.fill("140")
    power.press("Enter")
    expect(page.get_by_text("Enter a number from 0 to 100 %. You entered 140 %.")).to_be_visible()
    assert query(page) == before
    power.fill("80")
    power.press("Enter")
    in_link(page, "power=80")
    expect(page.get_by_text("You entered 140 %")).to_have_count(0)


def test_held_keys_are_not_set_back_by_late_answers(browser_page: OpenPage) -> None:
    page = ready(browser_page("/compare?power=80", **CALM))
    power = page.get_by_label("Power", exact=True)
    slider = page.get_by_label("Power in %, slider")
    slider.focus()
    for _ in range(8):
        page.keyboard.press("ArrowLeft")
    in_link(page, "power=40")
    expect(power).to_have_value("40")
    expect(slider).to_have_value("40")


def test_a_look_at_the_stage_keeps_a_complaint(browser_page: OpenPage) -> None:
    page = ready(browser_page("/compare", **CALM))
    power = page.get_by_label("Power", exact=True)
    power.fill("140")
    power.press("Enter")
    expect(page.get_by_text("You entered 140 %")).to_be_visible()
    page.locator(".ts-stage").get_by_role("radio", name=re.compile("From the tip")).check()
    in_link(page, "view.camera=end")
    expect(page.get_by_text("You entered 140 %")).to_be_visible()
    expect(power).to_have_value("140")


def test_the_address_changes_seldom_while_a_slider_moves(browser_page: OpenPage) -> None:
    page = ready(browser_page("/compare", viewport=DESK))
    page.evaluate(
        """() => {
          window.written = [];
          const replace = history.replaceState.bind(history);
          history.replaceState = (...all) => {
            window.written.push(performance.now());
            replace(...all);
          };
        }"""
    )
    page.get_by_label("Power in %, slider").focus()
    for _ in range(15):
        page.keyboard.press("ArrowLeft")
        frames(page, 4)
    in_link(page, "power=25")
    written = page.evaluate("window.written")
    # 400 ms apart, however fast or slow the machine: well below what any browser allows.
    assert len(written) >= 2
    assert min(b - a for a, b in pairwise(written)) >= 395


CONTROLS = [
    ("Needle A", "straight-medium", "a.needle=straight"),
    ("Needle B", "single-bend-10-wide", "b.needle=single-bend-10-wide"),
    ("Sleeve on A", "none", "a.sleeve=none"),
    ("Lens at the opening", "hard", "lens=hard"),
]


def test_every_list_changes_the_link(browser_page: OpenPage) -> None:
    page = ready(browser_page("/compare", **CALM))
    for label, value, part in CONTROLS:
        page.get_by_label(label, exact=True).select_option(value)
        in_link(page, part)


def test_a_loaded_needle_is_not_held_against_a_free_one(browser_page: OpenPage) -> None:
    page = ready(browser_page("/compare", **CALM))
    expect(page.get_by_text("not comparable now")).to_have_count(0)
    page.get_by_label("Lens at the opening", exact=True).select_option("hard")
    expect(page.get_by_text("not comparable now").first).to_be_visible()
    settings = page.get_by_role("region", name="Settings")
    expect(settings.get_by_text("Under load the hub keeps")).to_be_visible()


def test_apart_together_swap_and_reset(browser_page: OpenPage) -> None:
    page = ready(browser_page("/compare", **CALM))
    page.get_by_label("Same settings for A and B", exact=True).uncheck()
    page.locator("legend", has_text="Drive, B").wait_for()
    group = page.locator("fieldset", has=page.locator("legend", has_text="Drive, B"))
    group.get_by_text("Longitudinal (axial)", exact=True).click()
    in_link(page, "b.drive=axial")
    page.get_by_role("button", name="Swap A and B").click()
    in_link(page, "a.drive=axial")
    page.get_by_label("Same settings for A and B", exact=True).check()
    in_link(page, "drive=axial")
    not_in_link(page, "a.drive")
    page.get_by_role("button", name="Reset").click()
    in_link(page, "a.needle=single-bend&b.needle=counter-bent&drive=torsional")


def test_play_survives_a_change(browser_page: OpenPage) -> None:
    page = ready(browser_page("/compare", viewport=DESK))
    stage = page.locator(".ts-stage")
    frames: Any = "s => s.tipsim.drawn().frames"
    page.get_by_label("Power", exact=True).fill("30")
    page.get_by_label("Power", exact=True).press("Enter")
    in_link(page, "power=30")
    first = stage.evaluate(frames)
    page.wait_for_function(
        "([s, n]) => s.tipsim.drawn().frames > n + 3", arg=[stage.element_handle(), first]
    )


def test_the_probe_reads_the_curve_by_keyboard(browser_page: OpenPage) -> None:
    page = ready(browser_page("/compare", **CALM))
    page.get_by_role("slider", name="Sideways stroke along the shaft").focus()
    page.keyboard.press("End")
    read = page.locator("#plots .chart-read").first
    motion = tipsim.solve(tipsim.Scenario.preset("single-bend, torsional")).motion
    expect(read).to_have_text(re.compile(rf"from the tip 0 mm: A {motion.end_stroke * 1e6:.0f}"))


def test_the_power_is_a_band_and_a_sentence_at_every_width(browser_page: OpenPage) -> None:
    page = ready(browser_page("/compare", **CALM))
    unfold(page)
    answer, bands = page.locator("#power .answer"), page.locator("#power .bands svg")
    expect(answer).to_contain_text("Yes, most of it: 84 % of A's and 64 % of B's power")
    side_by_side = [bands.nth(k).bounding_box() for k in (0, 1)]
    assert side_by_side[0]["y"] == side_by_side[1]["y"]
    page.set_viewport_size({"width": 390, "height": 844})
    one, other = (bands.nth(k).bounding_box() for k in (0, 1))
    assert other["y"] > one["y"] + one["height"] and one["x"] + one["width"] <= 390
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    page.emulate_media(color_scheme="dark")
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    page.goto(page.url.split("?")[0] + "?power=0")
    expect(answer).to_have_text("No power is put in.")


SECTIONS = [
    ("Sensitivity to small changes", "1 % of length changes A's tip stroke"),
    ("Resonance and natural modes", "the tip peaks at"),
    ("Strength", "highest stress"),
    ("Build-up of a pulse", "within 10 % of its steady"),
]


def test_sections_open_and_are_computed(browser_page: OpenPage) -> None:
    page = ready(browser_page("/compare", **CALM))
    for title, words in SECTIONS:
        summary = page.locator("summary", has_text=title)
        summary.focus()
        page.keyboard.press("Enter")
        box = page.locator("details", has=summary)
        expect(box.get_by_role("listitem").filter(has_text=words).first).to_be_visible()


def test_a_natural_mode_is_shown_on_the_stage(browser_page: OpenPage) -> None:
    page = ready(browser_page("/compare?view.play=0", **CALM))
    page.locator("summary", has_text="Resonance and natural modes").click()
    page.get_by_role("button", name=re.compile("^3: A")).click()
    expect(page.get_by_text("natural mode 3").first).to_be_visible()
    page.get_by_role("button", name="Driven motion").click()
    expect(page.get_by_text("natural mode 3")).to_have_count(0)


def test_a_bad_link_is_said_and_the_first_setting_shown(browser_page: OpenPage) -> None:
    page = ready(browser_page("/compare?power=900", **CALM))
    expect(page.get_by_text(re.compile("Part of this link could not be used"))).to_be_visible()
    expect(page.get_by_label("Power", exact=True)).to_have_value("100")


def test_the_console_is_silent(browser_page: OpenPage) -> None:
    page = browser_page("/assets/styles/tokens.css", viewport=DESK)
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    page.goto(page.url.replace("/assets/styles/tokens.css", "/compare"))
    ready(page)
    frames(page, 30)
    assert said == []
