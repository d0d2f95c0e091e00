"""The first view of each page: how many numbers and controls it has, and what moves."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import OpenPage, at_rest, unfold

DESK = {"width": 1440, "height": 900}
MOST_NUMBERS, MOST_CONTROLS = 12, 20
PAGES = {
    "/": ".moving",
    "/compare": ".ts-stage",
    "/heat": ".heat[data-rough='false']",
    "/tissue": "svg.section",
    "/camera": ".chips",
    "/thermal-camera": ".thermal[data-rough='false']",
    "/flow": "svg.bench",
    "/endoscope": ".chips",
    "/needle": ".handle",
}
"""What is there once a page is drawn."""
ROOTS = """
  const roots = [document];
  for (const root of roots)
    for (const e of root.querySelectorAll("*")) if (e.shadowRoot) roots.push(e.shadowRoot);
"""
COUNT = """() => {
  const inView = (box) => box.width > 1 && box.height > 1 && box.bottom > 0 && box.top < innerHeight
    && box.right > 0 && box.left < innerWidth;
  const seen = (node) => inView(node.getBoundingClientRect()) && node.checkVisibility({
    visibilityProperty: true });
  const apart = ".site-head, .site-foot, .skip, .sr, svg, script, style, option";
  const CONTROLS = "input, select, textarea, button, summary, a[href], [tabindex='0']";
  let numbers = 0, controls = 0;
  const walk = (root) => {
    for (const node of root.childNodes) {
      if (node.nodeType === Node.TEXT_NODE) {
        const range = document.createRange();
        range.selectNodeContents(node);
        const home = node.parentElement;
        if (!home || home.closest(apart) || !seen(home)) continue;
        if (!inView(range.getBoundingClientRect())) continue;
        const text = node.textContent.replace(/(\\d)[\\u202f\\u00a0](?=\\d{3})/g, "$1");
        numbers += (text.match(/\\d+(\\.\\d+)?/g) ?? []).length;
      } else if (node.nodeType === Node.ELEMENT_NODE) {
        const around = node.closest(".site-head, .site-foot, .skip");
        if (node.matches(CONTROLS) && !around && seen(node)) controls += 1;
        if (node.shadowRoot) walk(node.shadowRoot);
        walk(node);
      }
    }
  };
  walk(document.body);
  return [numbers, controls];
}"""
SHIFTS = """
  window.shifted = 0;
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) if (!entry.hadRecentInput) window.shifted += entry.value;
  }).observe({ type: "layout-shift", buffered: true });
"""


def opened(browser_page: OpenPage, path: str, size: dict[str, int]) -> Page:
    page = browser_page("/assets/icons/favicon.svg", viewport=size, reduced_motion="reduce")
    page.add_init_script(SHIFTS)
    page.goto(page.url.replace("/assets/icons/favicon.svg", path))
    page.locator(PAGES[path]).first.wait_for()
    if path not in ("/",):
        expect(page.locator("#glance .three dd").first).to_be_visible()
        expect(page.locator("#glance")).to_have_attribute("aria-busy", "false")
    at_rest(page)
    return page


def test_few_numbers_and_controls_at_first(
    browser_page: OpenPage, report_table: Callable[..., Any]
) -> None:
    """Text outside of drawings, fields left out; everything that takes the focus."""
    found = {}
    for path in PAGES:
        page = opened(browser_page, path, DESK)
        found[path] = (*page.evaluate(COUNT), page.evaluate("window.shifted"))
    lines = [
        f"{p:10} {n:4} numbers {c:4} controls, shift {s:.3f}" for p, (n, c, s) in found.items()
    ]
    report_table("First view at 1440 x 900", lines)
    over = {p: v for p, v in found.items() if v[0] > MOST_NUMBERS or v[1] > MOST_CONTROLS}
    assert over == {}


@pytest.mark.parametrize("edit", ["a", "b"])
@pytest.mark.parametrize("width", [1440, 390, 320])
def test_every_handle_lies_in_the_picture(browser_page: OpenPage, edit: str, width: int) -> None:
    page = browser_page(f"/needle?edit={edit}", viewport={"width": width, "height": 844})
    page.locator(".handle").first.wait_for()
    outside = page.evaluate(
        f"""() => {{
          {ROOTS}
          const touches = roots.flatMap((root) => [...root.querySelectorAll(".handle .touch")]);
          const picture = touches[0].closest("svg").getBoundingClientRect();
          const least = (b) => Math.min(
            b.left - picture.left, b.top - picture.top,
            picture.right - b.right, picture.bottom - b.bottom);
          return touches.map((t) => least(t.getBoundingClientRect())).filter((room) => room < -1);
        }}"""
    )
    assert outside == []


def test_forced_colours_keep_the_bars_and_the_chosen_view(browser_page: OpenPage) -> None:
    page = browser_page("/heat", viewport=DESK, forced_colors="active", reduced_motion="reduce")
    page.locator(PAGES["/heat"]).wait_for()
    unfold(page)
    page.locator("#energy .watts .part").first.wait_for()
    shown = (
        page.locator("#energy .watts")
        .first.locator(".part")
        .evaluate_all("""parts => parts.map(part => {
          const { backgroundColor, backgroundImage } = getComputedStyle(part);
          return `${backgroundColor} ${backgroundImage}`;
        })""")
    )
    assert len(set(shown)) == len(shown) > 1, "each cause has a colour of its own"
    chip = page.locator(".chip[aria-pressed=true]")
    assert chip.evaluate("e => getComputedStyle(e).outlineStyle") == "solid"
    assert (
        page.locator(".chip[aria-pressed=false]").first.evaluate(
            "e => getComputedStyle(e).outlineStyle"
        )
        == "none"
    )


def test_on_a_phone_the_settings_lie_in_a_sheet_below_the_picture(browser_page: OpenPage) -> None:
    page = opened(browser_page, "/compare", {"width": 390, "height": 844})
    power = page.get_by_label("Power", exact=True)
    expect(power).to_be_hidden()
    page.get_by_role("button", name="Settings", exact=True).click()
    expect(power).to_be_visible()
    sheet, picture = page.locator("#controls").bounding_box(), page.locator("#stage").bounding_box()
    assert sheet is not None
    assert picture is not None
    assert sheet["y"] >= 0.49 * 844 and picture["y"] < sheet["y"], "the picture stays in sight"
    power.fill("60")
    power.press("Enter")
    page.wait_for_function("location.search.includes('power=60')")
    page.keyboard.press("Escape")
    expect(power).to_be_hidden()


def test_paper_has_a_table_of_settings_and_nothing_to_press(browser_page: OpenPage) -> None:
    page = browser_page("/compare?power=60", viewport={"width": 794, "height": 1123})
    page.locator(".ts-stage").wait_for()
    page.get_by_label("Power", exact=True).wait_for()
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print")
    row = page.locator("#settings-table tr", has_text="Power").first
    expect(row).to_have_text("Power60 %")
    for gone in (page.locator("nav#pages"), page.locator("#controls"), page.locator(".play")):
        expect(gone).to_be_hidden()
    assert "drive." not in page.locator("#settings-table").inner_text(), "no names of the code"
    assert page.pdf(prefer_css_page_size=True)[:4] == b"%PDF"
