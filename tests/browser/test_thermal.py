"""The thermal camera in a real browser: pictures, cursors, scales, keyboard, themes, sizes."""

import re
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.browser.conftest import at_rest, unfold
from tipsim.app.pages.thermal.packet import scales
from tipsim.app.pages.thermal.palettes import table
from tipsim.app.pages.thermal.state import ThermalState
from tipsim.heat.camera.reading import shown

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]
DESK = {"width": 1440, "height": 900}
CALM = {"viewport": DESK, "reduced_motion": "reduce"}


def ready(page: Page) -> Page:
    page.locator(".thermal[data-rough='false']").wait_for()
    expect(page.locator("#glance")).to_have_attribute("aria-busy", "false")
    return page


def in_link(page: Page, part: str) -> None:
    page.wait_for_function(
        "part => decodeURIComponent(location.search).replaceAll('+', ' ').includes(part)", arg=part
    )


def serious(page: Page) -> list[str]:
    at_rest(page)
    return [
        f"{v['id']}: {[n['target'] for n in v['nodes']][:3]}"
        for v in Axe().run(page).response["violations"]
        if v["impact"] in ("serious", "critical")
    ]


def cell(page: Page, row: str, column: int) -> str:
    rows = page.locator(".thermal details.group tr", has_text=row)
    return rows.locator("td").nth(column).inner_text()


def test_a_pixel_has_the_colour_of_its_reading(browser_page: OpenPage) -> None:
    page = ready(browser_page("/thermal-camera", **CALM))
    films = ThermalState.first().films
    assert films[0] is not None
    one = films[0].film
    _, rows, columns = one.signal.shape
    expect(page.locator(".bar .reading")).to_have_text("20.0 s")
    last = shown(one.camera, one.signal[-1]) - 273.15
    low, high = scales(films)[0]["both"]
    # Of a corner, and of the shaft beside all cursors.
    for row, column in ((1, 2), (rows // 2 + 2, columns - 30)):
        share = (last[row, column] - low) / (high - low)
        wanted = table("inferno").reshape(256, 3)[round(min(1, max(0, share)) * 255)]
        shown_at = page.locator(".hold canvas").first.evaluate(
            """(canvas, [row, column, rows, columns]) => {
              const ratio = canvas.width / canvas.clientWidth;
              const scale = Math.min(canvas.clientWidth / columns, 178 / rows);
              const left = Math.max(0, (canvas.clientWidth - columns * scale) / 2);
              const x = left + (columns - 1 - column + 0.5) * scale;
              const y = (rows - 1 - row + 0.5) * scale;
              const at = canvas.getContext("2d").getImageData(x * ratio, y * ratio, 1, 1);
              return [...at.data].slice(0, 3);
            }""",
            [row, column, rows, columns],
        )
        assert shown_at == pytest.approx(wanted.astype(int).tolist(), abs=6)


def test_all_of_it_works_by_keyboard(browser_page: OpenPage) -> None:
    page = ready(browser_page("/thermal-camera", **CALM))
    page.get_by_text("Readings at the cursors, and along the line").focus()
    page.keyboard.press("Enter")
    before = cell(page, "Point", 0)
    picture = page.locator(".hold").first
    picture.focus()
    for _ in range(10):
        page.keyboard.press("ArrowLeft")  # away from the tip
    in_link(page, "thermal_camera.point_mm=8")
    assert cell(page, "Point", 0) != before
    page.keyboard.press("Shift+ArrowDown")
    in_link(page, "thermal_camera.far_mm=8.8")
    # Two scales: said at once in the picture, and in the headline.
    expect(page.locator(".scales")).to_have_text(re.compile("^One scale"))
    page.get_by_label("Scale of B").focus()
    page.keyboard.press("ArrowDown")
    in_link(page, "view.thermal.scale_b=own")
    expect(page.locator(".scales")).to_contain_text("Two scales: the middle colour means")
    expect(page.locator(".glance-warning")).to_contain_text("The two scales differ")
    # An example, and back.
    page.get_by_role("button", name="Wrong emissivity").focus()
    page.keyboard.press("Enter")
    in_link(page, "thermal_camera.set_emissivity=0.7")
    expect(page.locator("#glance .headline")).to_contain_text("too high")
    expect(page.locator(".scales")).to_have_text(re.compile("^One scale"))
    page.get_by_role("button", name="Play", exact=True).focus()
    page.keyboard.press("Space")
    expect(page.locator(".bar .reading")).not_to_have_text("20.0 s")


def test_cursors_by_mouse_the_film_saved_and_what_to_believe(
    browser_page: OpenPage, tmp_path: Path
) -> None:
    page = ready(browser_page("/thermal-camera", **CALM))
    box = page.locator(".hold").nth(1).bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + 0.3 * box["width"], box["y"] + 80)
    in_link(page, "thermal_camera.point_mm=")
    unfold(page)
    expect(page.locator(".verdicts")).to_contain_text("Which is hotter")
    expect(page.locator(".causes tbody tr")).to_have_count(8)
    # The methods card: as it is on screen, copied, and behind a chart's numbers.
    card = page.locator("#methods")
    expect(card.locator(".paragraph")).to_contain_text("Thermal camera (simulated). Band: 8–14 µm")
    card.get_by_role("button", name="Copy the paragraph").click()
    expect(card.get_by_role("status")).to_have_text(re.compile("^(Copied|The text is selected)"))
    page.get_by_text("Table and downloads").first.click()
    with page.expect_download() as numbers:
        page.get_by_role("button", name="Download as CSV").first.click()
    text = numbers.value.path().read_text(encoding="utf-8")
    assert text.rstrip().endswith(f"# {card.locator('.paragraph').inner_text()}")
    page.get_by_text("Save the films with their truth").wait_for()
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Save B's film and truth (ZIP)").click()
    path = tmp_path / waiting.value.suggested_filename
    waiting.value.save_as(path)
    assert path.name == "tipsim-simulated-thermal-camera.zip"
    with zipfile.ZipFile(path) as archive:
        assert any(name.endswith("simulated-truth.csv") for name in archive.namelist())


def test_three_sizes_both_themes_and_paper(browser_page: OpenPage) -> None:
    """One page, at each size and in each theme: axe, nothing over the edge, few Tab stops."""
    page = ready(browser_page("/thermal-camera", **CALM))
    stops = page.evaluate(
        """() => {
          const all = (root) => [...root.querySelectorAll("*")].flatMap((e) =>
            e.shadowRoot ? [e, ...all(e.shadowRoot)] : [e]);
          const takes = "a[href], button, input, select, summary, [tabindex='0']";
          return all(document).filter((e) => e.matches(takes) && !e.disabled && e.tabIndex >= 0
            && e.checkVisibility({ visibilityProperty: true })).length;
        }"""
    )
    assert stops <= 40
    for width, height in ((1440, 900), (1280, 720), (390, 844)):
        page.set_viewport_size({"width": width, "height": height})
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme, reduced_motion="reduce")  # type: ignore[arg-type]
            assert serious(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    page.get_by_role("button", name="Settings", exact=True).click()
    expect(page.get_by_label("Emissivity set in the program", exact=True)).to_be_visible()
    page.keyboard.press("Escape")
    page.set_viewport_size({"width": 794, "height": 1123})
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    page.emulate_media(media="print", color_scheme="light")
    expect(page.locator("#settings-table")).to_contain_text("Emissivity set in the program")
    expect(page.locator(".play")).to_be_hidden()


def test_nothing_is_drawn_beyond_the_model(browser_page: OpenPage) -> None:
    page = ready(browser_page("/thermal-camera?ceilings.speed_m_s=5", **CALM))
    expect(page.locator("#glance .headline")).to_contain_text("Not compared")
    label = page.locator(".hold").first.get_attribute("aria-label")
    assert label is not None and "Not drawn: tip speed" in label
