"""What holds on every page: by ear and by keyboard, in narrow windows, in few colours."""

from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Frame, Page, expect

from tests.browser.conftest import OpenPage, at_rest, frames
from tests.browser.walk import in_both_themes
from tipsim.app.framework.pages import PAGES

pytestmark = pytest.mark.browser

DESK = {"width": 1440, "height": 900}
MOST_STOPS, MOST_SHIFT, TALLEST = 40, 0.05, 5000
LESSONS = ("lesson?id=drive-to-stroke", "lesson?id=occlusion-and-surge")
"""One with the stage in it, one with another page in a frame."""
PATHS = [entry.path for entry in PAGES if entry.path != "lesson"] + list(LESSONS)
WIDTHS = (320, 390, 640, 1280)
"""A small phone, a phone, 1280 at twice the size, a laptop."""

ROOTS = """
  const roots = [document];
  for (const root of roots)
    for (const e of root.querySelectorAll("*")) if (e.shadowRoot) roots.push(e.shadowRoot);
"""
WATCH = """
  window.seen = { shift: 0, largest: 0, task: 0 };
  const watch = (type, see) => new PerformanceObserver((list) => list.getEntries().forEach(see))
    .observe({ type, buffered: true });
  watch("layout-shift", (e) => { if (!e.hadRecentInput) seen.shift += e.value; });
  watch("largest-contentful-paint", (e) => { seen.largest = e.startTime; });
  watch("longtask", (e) => { seen.task = Math.max(seen.task, e.duration); });
"""
OPEN = f"""() => {{
  {ROOTS}
  for (const part of document.querySelectorAll("[data-in-tab]")) part.hidden = false;
  const shut = roots.flatMap((root) => [...root.querySelectorAll("details:not([open])")]);
  for (const each of shut) each.open = true;
  const busy = (e) => e.ariaBusy === "true" || /^(Computing|Being computed)/.test(e.textContent);
  return shut.length + roots.flatMap((root) => [
    ...root.querySelectorAll("[aria-busy='true'], p.soft")].filter(busy)
    .filter((e) => e.checkVisibility())).length;
}}"""
"""Open every fold and tab; how many were shut or are still being computed."""
FOCUSED = """() => {
  let node = document.activeElement;
  while (node?.shadowRoot?.activeElement) node = node.shadowRoot.activeElement;
  return node === document.body ? "" : `${node.tagName} ${node.ariaLabel ?? node.innerText ?? ""}`;
}"""
ALIKE = f"""() => {{
  {ROOTS}
  const NAMES = ["color", "backgroundColor", "borderColor", "borderWidth", "outlineStyle",
    "outlineWidth", "outlineColor", "fontWeight", "textDecorationLine", "borderStyle"];
  const look = (e) => {{
    const style = getComputedStyle(e);
    return NAMES.map((name) => style[name]).join();
  }};
  const on = "[aria-pressed='true'], nav a[aria-current]:not([aria-current='false'])";
  const around = "nav, .chips, [role=toolbar], [role=group], div";
  const others = (e) => (e.matches("a") ? "a:not([aria-current])" : "[aria-pressed='false']");
  const off = (e) => [...e.closest(around).querySelectorAll(others(e))];
  return roots.flatMap((root) => [...root.querySelectorAll(on)])
    .filter((e) => e.checkVisibility() && off(e).some((other) => look(other) === look(e)))
    .map((e) => e.ariaLabel ?? e.textContent);
}}"""
"""What is chosen and looks like what is not."""
MOVING = f"""() => {{
  {ROOTS}
  return roots.flatMap((root) => root.getAnimations())
    .filter((a) => a.playState === "running").length;
}}"""


def drawn(page: Page) -> None:
    """Wait until what a page shows first is there."""
    inner = page.main_frame
    if page.locator(".step > h2").or_(page.locator("main.page .glance")).count() == 0:
        page.wait_for_load_state("networkidle")
    if "/lesson?" in page.url:
        page.locator(".step > h2").wait_for()
        page.locator(".opening .ts-stage, .opening iframe").first.wait_for()
        if page.locator(".opening iframe").count():
            inner = page.frames[-1]
            page.frame_locator(".opening iframe").locator(".scene").first.wait_for()
    elif "/lessons" in page.url:
        page.locator("ol.lessons").first.wait_for()
    _glance(inner)
    for entry in PAGES:
        if entry.ready and page.url.split("?")[0].endswith(f"/{entry.path}"):
            page.locator(entry.ready).first.wait_for(state="attached")
    at_rest(page)


def _glance(frame: Frame) -> None:
    if frame.locator("#glance").count():
        expect(frame.locator("#glance")).to_have_attribute("aria-busy", "false")


def opened(browser_page: OpenPage, path: str, **options: Any) -> Page:
    page = browser_page("/assets/icons/favicon.svg", reduced_motion="reduce", **options)
    page.add_init_script(WATCH)
    page.goto(page.url.replace("assets/icons/favicon.svg", path))
    drawn(page)
    return page


def unfold_all(page: Page) -> None:
    """Open all that can be opened, and wait for what is computed then."""
    for frame in page.frames:
        frame.wait_for_function(f"() => ({OPEN})() === 0")
    frames(page, 10)


def stops(page: Page) -> list[str]:
    """Return where Tab stops, from the page's top to its end."""
    found: list[str] = []
    while len(found) <= 2 * MOST_STOPS:
        page.keyboard.press("Tab")
        here = page.evaluate(FOCUSED)
        if not here:
            break
        found.append(here)
    return found


@pytest.mark.parametrize("path", PATHS)
def test_by_ear_and_by_keyboard(
    browser_page: OpenPage, path: str, report_table: Callable[..., Any]
) -> None:
    page = opened(browser_page, path, viewport=DESK)
    seen = page.evaluate("seen")
    way = stops(page)
    line = (
        f"{len(way)} stops of the Tab key, shift {seen['shift']:.3f}, "
        f"largest paint {seen['largest']:.0f} ms, longest task {seen['task']:.0f} ms"
    )
    report_table(f"Opening /{path}", [line])
    assert 3 < len(way) <= MOST_STOPS, way
    skip = page.locator("a.skip")
    target = skip.get_attribute("href")
    skip.focus()
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.matches(location.hash)"), target
    assert seen["shift"] < MOST_SHIFT
    unfold_all(page)
    assert in_both_themes(page, path) == []


@pytest.mark.parametrize("path", PATHS)
def test_in_narrow_windows_and_few_colours(browser_page: OpenPage, path: str) -> None:
    page = opened(
        browser_page, path, viewport={"width": 390, "height": 844}, forced_colors="active"
    )
    assert page.evaluate("seen.shift") < MOST_SHIFT
    assert page.evaluate("document.documentElement.scrollHeight") < TALLEST
    assert page.evaluate(MOVING) == 0
    assert page.evaluate(ALIKE) == []
    unfold_all(page)
    wide = {}
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 844})
        frames(page, 10)
        wide[width] = page.evaluate("document.documentElement.scrollWidth")
    assert {w: found for w, found in wide.items() if found > w} == {}
