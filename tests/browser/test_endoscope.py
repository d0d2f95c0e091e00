"""The endoscope page in a real browser: three sizes, both themes, region by mouse and by keys."""

import io
import zipfile
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import tifffile
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tipsim.app.pages.endoscope.state import EndoscopeState

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]
SIZES = [(1440, 900), (1280, 720), (390, 844)]


def filmed(page: Page) -> Page:
    page.locator(".chips").first.wait_for()
    expect(page.get_by_role("button", name="Save film A and truth (ZIP)")).to_be_enabled()
    expect(page.locator(".waiting")).to_have_text("")
    return page


def in_link(page: Page, part: str) -> None:
    page.wait_for_function("part => location.search.includes(part)", arg=part)


def test_both_films_show_what_the_sensor_gave_at_all_sizes_and_themes(
    browser_page: OpenPage,
) -> None:
    first = EndoscopeState.first().studies
    page = filmed(
        browser_page("/endoscope", viewport={"width": 1440, "height": 900}, reduced_motion="reduce")
    )
    expect(page.locator(".headline")).to_contain_text("A over B")
    for canvas, study in zip(page.locator(".room canvas").all(), first, strict=True):
        levels: Any = canvas.evaluate(
            "c => Array.from(c.getContext('2d').getImageData(0, 0, c.width, 1).data)"
        )
        assert levels[::4] == study.film.pictures[0, 0].tolist()
    for scheme in ("dark", "light"):
        page.emulate_media(color_scheme=scheme, reduced_motion="reduce")
        for width, height in SIZES:
            page.set_viewport_size({"width": width, "height": height})
            # Charts take on their new width a moment after the window.
            page.wait_for_function("w => document.documentElement.scrollWidth <= w", arg=width)
            expect(page.locator(".room canvas").first).to_be_visible()
        assert Axe().run(page).violations_count == 0


def test_the_region_moves_by_keys_and_by_mouse_and_stands_in_the_link(
    browser_page: OpenPage,
) -> None:
    page = filmed(browser_page("/endoscope", reduced_motion="reduce"))
    box = page.get_by_role("button", name="Region of A: arrow keys move it")
    box.focus()
    for key in ("ArrowRight", "ArrowRight", "ArrowUp"):
        page.keyboard.press(key)
    in_link(page, "endoscope.region_x_percent=34")
    in_link(page, "endoscope.region_y_percent=78")
    filmed(page)
    room = page.locator(".room").nth(1)
    room.click(position={"x": 0.5 * room.evaluate("e => e.clientWidth"), "y": 20})
    in_link(page, "endoscope.region_x_percent=50")
    expect(page.locator(".view .reading").first).to_contain_text("region")


def test_a_bad_setting_says_why_and_the_film_is_saved_with_its_truth(
    browser_page: OpenPage,
) -> None:
    page = filmed(browser_page("/endoscope?endoscope.pictures=24", reduced_motion="reduce"))
    with page.expect_download() as download:
        page.get_by_role("button", name="Save film B and truth (ZIP)").click()
    content = download.value.path().read_bytes()
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        film = next(n for n in archive.namelist() if n.endswith((".tif", ".tiff")) and "film" in n)
        pixels = tifffile.imread(io.BytesIO(archive.read(film)))
    state = EndoscopeState.from_items({"endoscope.pictures": "24"})
    np.testing.assert_array_equal(pixels, state.studies[1].film.pictures)
    page.get_by_role("button", name="Too dark").click()
    in_link(page, "endoscope.light_percent=2")
    filmed(page)
    page.get_by_text("Can this film be believed? All numbers").click()
    expect(page.locator("#outcome, .verdicts").first).to_be_visible()
    expect(page.get_by_text("It is dark").first).to_be_visible()
