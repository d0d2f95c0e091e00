"""The camera page in a real browser: film, examples, keyboard, saved files, link."""

import csv
import io
import re
import struct
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tifffile
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.browser.conftest import at_rest, frames, unfold
from tipsim.app.pages.camera.state import CameraState

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]
DESK = {"width": 1440, "height": 900}
CALM = {"viewport": DESK, "reduced_motion": "reduce"}


def ready(page: Page) -> Page:
    page.locator(".chip").first.wait_for()
    unfold(page)
    page.locator(".verdicts dd").first.wait_for()
    filmed(page)
    return page


def filmed(page: Page) -> None:
    """Wait until the film of what is set is there, and nothing is a preview any more."""
    expect(page.locator(".ahead")).to_have_count(0)
    expect(page.locator("canvas.picture")).to_be_visible()


def in_link(page: Page, part: str) -> None:
    page.wait_for_function("part => location.search.includes(part)", arg=part)


def verdict(page: Page, about: str) -> str:
    row = page.locator(".verdicts > div", has=page.locator("dt", has_text=about))
    return row.locator("dd").inner_text()


def typed(page: Page, label: str, value: str) -> None:
    field = page.get_by_label(label, exact=True)
    field.focus()
    page.keyboard.press("Control+A")
    page.keyboard.type(value)
    page.keyboard.press("Enter")


def test_the_player_shows_what_the_sensor_gave(browser_page: OpenPage) -> None:
    """Pixels of the canvas, away from crosses and numbers, against the film's."""
    page = ready(browser_page("/camera", **CALM))
    film, _ = CameraState.first().film
    rows, columns = film.scene.shape
    page.get_by_label("Picture", exact=True).focus()
    page.keyboard.press("Home")
    for _ in range(6):
        page.keyboard.press("ArrowRight")
    expect(page.locator("figcaption")).to_contain_text("Picture 7 of 40, 12.5 µs")
    places = [(r, c) for r in (4, 12, rows - 8) for c in (3, columns // 3, columns - 12)]
    shown = page.locator("canvas.picture").evaluate(
        """(canvas, [places, rows, columns]) => {
          const pen = canvas.getContext("2d");
          return places.map(([r, c]) => pen.getImageData(
            Math.floor(((c + 0.5) / columns) * canvas.width),
            Math.floor(((r + 0.5) / rows) * canvas.height), 1, 1).data[0]);
        }""",
        [places, rows, columns],
    )
    assert shown == [int(film.pictures[6][r, c]) for r, c in places]


def test_an_example_changes_verdict_and_link_and_survives_a_reload(browser_page: OpenPage) -> None:
    page = ready(browser_page("/camera", viewport=DESK))
    assert "as the drive" in verdict(page, "Frequency")
    page.get_by_role("button", name="Just too slow").click()
    in_link(page, "view.film.frame_rate_per_s=35200")
    expect(page.locator(".verdicts")).to_contain_text("seems 3.20 kHz, is 32.0 kHz")
    page.reload()
    ready(page)
    button = page.get_by_role("button", name="Just too slow")
    expect(button).to_have_attribute("aria-pressed", "true")
    expect(page.get_by_label("Frame rate", exact=True)).to_have_value("35200")
    assert "seems 3.20 kHz" in verdict(page, "Frequency")


def test_all_of_it_works_by_keyboard(browser_page: OpenPage) -> None:
    page = ready(browser_page("/camera", viewport=DESK))
    page.get_by_role("button", name="Long exposure").focus()
    page.keyboard.press("Enter")
    in_link(page, "view.film.exposure_us=20")
    expect(page.locator(".reasons")).to_contain_text("lasts 64 % of a cycle")
    # The new film is there: 35 200 pictures a second, shown at 6.
    expect(page.locator("figcaption .reading")).to_contain_text("5900 times slower")
    play = page.get_by_role("button", name="Pause")
    play.focus()
    page.keyboard.press("Space")
    expect(page.get_by_role("button", name="Play", exact=True)).to_be_focused()
    clock = page.locator("figcaption .reading")
    before = clock.inner_text()
    frames(page)
    assert clock.inner_text() == before
    page.keyboard.press(".")
    expect(clock).not_to_have_text(before)
    page.keyboard.press(",")
    expect(clock).to_have_text(before)
    page.get_by_label("Mark", exact=True).focus()
    page.keyboard.press("End")
    page.get_by_text("Table and downloads").first.focus()
    page.keyboard.press("Enter")
    expect(page.locator(".chart-text").first).to_contain_text("Mark 5: seen over")
    table = page.get_by_role("region", name="One mark over time: film and truth, as a table")
    expect(table.locator("tbody tr")).not_to_have_count(0)


def test_a_slider_over_decades_moves_by_keyboard(browser_page: OpenPage) -> None:
    page = ready(browser_page("/camera", viewport=DESK))
    slider = page.get_by_label("Frame rate in /s, slider")
    slider.focus()
    page.keyboard.press("ArrowLeft")
    field = page.get_by_label("Frame rate", exact=True)
    expect(field).to_have_value("489000")
    in_link(page, "frame_rate_per_s=489000")
    expect(page.locator(".ready .note")).to_contain_text("your own setting")


def test_wrong_input_gets_a_sentence(browser_page: OpenPage) -> None:
    page = ready(browser_page("/camera", viewport=DESK))
    before = page.url
    typed(page, "Exposure", "7")
    wrong = page.get_by_text(
        "Enter at most 2 µs, the time from one picture to the next at 500 000 /s. You entered 7 µs."
    )
    expect(wrong).to_be_visible()
    assert page.url == before
    typed(page, "Exposure", "1.5")
    in_link(page, "exposure_us=1.5")
    expect(wrong).to_be_hidden()


def test_the_other_needle_and_a_close_view(browser_page: OpenPage) -> None:
    page = ready(browser_page("/camera?power=50", viewport=DESK))
    page.get_by_label("Needle", exact=True).select_option("b")
    expect(page.locator("figcaption")).to_contain_text("Counter-bent")
    page.get_by_label("Aimed at", exact=True).select_option("5")
    in_link(page, "view.film.aim=5")
    typed(page, "Pixel at the needle", "5")
    in_link(page, "view.film.pixel_um=5")
    expect(page.locator(".strokes tbody tr")).to_have_count(2)
    state = CameraState.from_items(
        {
            "power": "50",
            "view.film.side": "b",
            "view.film.aim": "5",
            "view.film.pixel_um": "5",
        }
    )
    true = state.film[1].readings[-1].true * 1e6
    expect(page.locator(".strokes tbody tr").last.locator("td").first).to_have_text(f"{true:.1f}")


def test_what_is_set_goes_along_from_page_to_page(browser_page: OpenPage) -> None:
    page = browser_page("/compare?power=40&view.speed=1", viewport=DESK)
    page.locator(".ts-stage").wait_for()
    page.get_by_role("button", name="Instruments").click()
    page.get_by_role("link", name="High-speed camera").click()
    ready(page)
    in_link(page, "power=40")
    page.get_by_role("button", name="Slow strobe").click()
    in_link(page, "frame_rate_per_s=998.4")
    page.get_by_role("link", name="Compare needles", exact=True).click()
    expect(page.get_by_label("Power", exact=True)).to_have_value("40")
    in_link(page, "view.speed=1")


def test_pictures_are_saved_as_they_are(browser_page: OpenPage, tmp_path: Path) -> None:
    page = ready(browser_page("/camera", **CALM))
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Save pictures (PNG)").click()
    path = tmp_path / waiting.value.suggested_filename
    waiting.value.save_as(path)
    assert path.name == "tipsim-film-model-data.png"
    sheet = png(path.read_bytes())
    film, _ = CameraState.first().film
    rows, columns = film.scene.shape
    # The sixth picture of four across: second row, second column; 6 px apart, 18 px of label.
    top, left = 44 + 1 * (rows + 24) + 18, 6 + 1 * (columns + 6)
    assert (sheet[top : top + rows, left : left + columns] == film.pictures[5]).all()


def png(data: bytes) -> np.ndarray:
    """Grey values of a PNG of 8-bit RGB or RGBA, without a package."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    at, packed, width, height, kind = 8, b"", 0, 0, 0
    while at < len(data):
        length, name = struct.unpack(">I4s", data[at : at + 8])
        body = data[at + 8 : at + 8 + length]
        if name == b"IHDR":
            width, height, depth, kind = struct.unpack(">IIBB", body[:10])
            assert depth == 8 and kind in (2, 6)
        if name == b"IDAT":
            packed += body
        at += 12 + length
    n = 3 if kind == 2 else 4
    lines = np.frombuffer(zlib.decompress(packed), np.uint8).reshape(height, 1 + width * n)
    out = np.zeros((height, width * n), np.uint8)
    for y, line in enumerate(lines):
        out[y] = unfiltered(int(line[0]), line[1:], out[y - 1] if y else 0 * line[1:], n)
    return out.reshape(height, width, n)[:, :, 0]


def unfiltered(filter: int, line: np.ndarray, above: np.ndarray, n: int) -> np.ndarray:
    if filter == 0:
        return line
    if filter == 2:
        return line + above
    if filter == 1:
        return np.cumsum(line.reshape(-1, n), axis=0, dtype=np.uint8).ravel()
    out = np.zeros_like(line)
    for i, value in enumerate(line.tolist()):
        a = int(out[i - n]) if i >= n else 0
        b, c = int(above[i]), int(above[i - n]) if i >= n else 0
        if filter == 3:
            guess = (a + b) // 2
        else:
            p = a + b - c
            guess = min((abs(p - a), 0, a), (abs(p - b), 1, b), (abs(p - c), 2, c))[2]
        out[i] = (value + guess) & 255
    return out


def test_film_and_track_are_saved_with_the_truth(browser_page: OpenPage, tmp_path: Path) -> None:
    page = ready(browser_page("/camera?view.film.noise=off", **CALM))
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Save film and truth (ZIP)").click()
    name, film = waiting.value.suggested_filename, tmp_path / "film.zip"
    waiting.value.save_as(film)
    assert name == "tipsim-simulated-high-speed-camera.zip"
    with zipfile.ZipFile(film) as opened:
        names = {n.rpartition("/")[2]: n for n in opened.namelist()}
        seen = tifffile.imread(io.BytesIO(opened.read(names["simulated-film.tif"])))
        about = opened.read(names["methods.txt"]).decode()
    shown, _ = CameraState.from_items({"view.film.noise": "off"}).film
    assert np.array_equal(seen, shown.pictures)
    assert "Noise: Off" in about and "Noise seed" not in about
    expect(page.get_by_text("Saved; the file says that it is simulated.")).to_be_visible()
    card = page.locator("#methods")
    expect(card.locator(".paragraph")).to_contain_text("noise: off")
    assert card.locator(".paragraph").inner_text() in about
    card.get_by_role("button", name="Copy the paragraph").click()
    expect(card.get_by_role("status")).to_have_text(re.compile("^(Copied|The text is selected)"))
    with page.expect_download() as waiting:
        page.get_by_role("button", name="Save track (CSV)").click()
    path = tmp_path / "track.csv"
    waiting.value.save_as(path)
    lines = path.read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("# Model data") and "Single-bend" in lines[1]
    rows = list(csv.DictReader(io.StringIO("\n".join(x for x in lines if x[0] != "#"))))
    assert len(rows) == 40 * 5
    one = [float(r["y_seen_um"]) for r in rows if r["marker"] == "1"]
    assert np.ptp(one) == pytest.approx(130, rel=0.02)


def test_it_stands_still_for_those_who_ask_for_less_motion(browser_page: OpenPage) -> None:
    page = ready(browser_page("/camera", **CALM))
    expect(page.get_by_role("button", name="Play", exact=True)).to_be_visible()
    before = page.locator("figcaption .reading").inner_text()
    frames(page, 40)
    assert page.locator("figcaption .reading").inner_text() == before
    page.get_by_role("button", name="Play", exact=True).click()
    expect(page.locator("figcaption .reading")).not_to_have_text(before)


@pytest.mark.parametrize(
    ("width", "height", "scheme"),
    [(1440, 900, "dark"), (390, 844, "light")],
)
def test_axe_finds_nothing_serious(
    browser_page: OpenPage, width: int, height: int, scheme: Any
) -> None:
    size = {"width": width, "height": height}
    page = ready(browser_page("/camera", viewport=size, color_scheme=scheme))
    page.get_by_role("button", name="Surface marks").click()
    in_link(page, "marks=surface")
    page.get_by_text("Table and downloads").first.click()
    filmed(page)
    at_rest(page)
    found = Axe().run(page)
    serious = [
        f"{v['id']}: {[n['target'] for n in v['nodes']][:3]}"
        for v in found.response["violations"]
        if v["impact"] in ("serious", "critical")
    ]
    assert serious == []
