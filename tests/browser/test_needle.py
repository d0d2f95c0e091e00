"""The needle editor in a real browser: by mouse, finger and keyboard, with files and the bench."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urlsplit

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import address_at_rest, at_rest, frames, unfold
from tipsim.app.framework.bench_state import BenchState
from tipsim.app.pages.needle.outcome import outcome, summary
from tipsim.app.pages.needle.state import NeedleState
from tipsim.setup.catalogue import needle
from tipsim.setup.needle import Needle
from tipsim.setup.needle_file import MOST_BYTES, read_needle, write_needle

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]
DESK = {"width": 1440, "height": 900}
BENCH = "edit=b&power=40&view.play=0"


@pytest.fixture
def board(browser_page: OpenPage) -> Callable[..., Page]:
    """Open the editor; what the browser says on its console fails the test."""
    opened: list[Page] = []

    def open_board(query: str = "", **options: Any) -> Page:
        page = browser_page(f"/needle?{query}", viewport=options.pop("viewport", DESK), **options)
        opened.append(page)
        page.locator(".handle").first.wait_for()
        unfold(page)
        return page

    yield open_board
    said = [m.text for page in opened for m in page.console_messages()]
    assert [text for text in said if "okeh" not in text] == []


def handle(page: Page, name: str) -> Locator:
    return page.get_by_role("slider", name=name)


def middle(handle: Locator) -> tuple[float, float]:
    box = handle.locator(".touch").bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def drag(page: Page, name: str, dx: float, dy: float) -> None:
    x, y = middle(handle(page, name))
    page.mouse.move(x, y)
    page.mouse.down()
    for k in range(1, 13):
        page.mouse.move(x + dx * k / 12, y + dy * k / 12)
    page.mouse.up()


def field(page: Page, name: str) -> Locator:
    return page.get_by_label(name, exact=True)


def type_in(page: Page, name: str, text: str) -> None:
    field(page, name).fill(text)
    field(page, name).press("Enter")


def drawn_needle(page: Page) -> Needle:
    """The needle that the address of the page holds, once it holds it."""
    address_at_rest(page)
    items = dict(parse_qsl(urlsplit(page.url).query, keep_blank_values=True))
    return NeedleState.from_items(items).shown


def check_picture(page: Page, n: Needle) -> None:
    """The line and the radii in the browser are those of the model."""
    line = page.locator(".desk").evaluate("e => e.tipsim.line()")
    s = np.array([p["s"] for p in line]) * 1e-3
    points = np.array([[p["x"], p["y"]] for p in line]) * 1e-3
    np.testing.assert_allclose(points, n.points_at(s)[:, :2], atol=1e-9)
    outer, inner = n.radii_at(s)
    np.testing.assert_allclose([p["outer"] * 1e-3 for p in line], outer, atol=1e-9)
    np.testing.assert_allclose([p["inner"] * 1e-3 for p in line], inner, atol=1e-9)
    assert s[-1] == pytest.approx(n.length, abs=1e-9)


# By hand -----------------------------------------------------------------------------------------


def test_dragging_a_lever_bends_in_half_degrees(board: OpenPage) -> None:
    page = board()
    drag(page, "Turn of piece 2", 30, -12)
    expect(field(page, "Piece 2: turn, degrees")).not_to_have_value("20")
    n = drawn_needle(page)
    turn = float(np.degrees(n.pieces[1].turn))
    assert turn > 25 and turn * 2 == pytest.approx(round(turn * 2), abs=1e-6)
    assert [p.length for p in n.pieces] == [p.length for p in NeedleState.first().shown.pieces]
    check_picture(page, n)
    # What was dragged is one step back, and forth.
    page.get_by_role("button", name="Undo").click()
    expect(field(page, "Piece 2: turn, degrees")).to_have_value("20")
    page.get_by_role("button", name="Redo").click()
    expect(field(page, "Piece 2: turn, degrees")).to_have_value(f"{turn:g}")


def test_the_handle_follows_the_pointer(board: OpenPage) -> None:
    page = board("edit=b")
    handle(page, "Turn of piece 3").focus()
    x, y = middle(handle(page, "Turn of piece 3"))
    page.mouse.move(x, y)
    page.mouse.down()
    for k in range(1, 41):
        page.mouse.move(x + k, y - 3 * k)
    frames(page)
    hx, hy = middle(handle(page, "Turn of piece 3"))
    # It runs on its own arc: nowhere on it is nearer, and the needle stays in sight.
    assert np.hypot(hx - x - 40, hy - y + 120) < 75
    outline = page.locator(".tube .metal").bounding_box()
    frame = page.locator(".picture").bounding_box()
    assert outline is not None and frame is not None
    assert outline["y"] >= frame["y"] and outline["x"] >= frame["x"]
    assert outline["x"] + outline["width"] <= frame["x"] + frame["width"]
    page.mouse.up()


def test_dragging_a_ring_shifts_length_and_with_shift_adds_it(board: OpenPage) -> None:
    page = board()
    drag(page, "Joint of pieces 1 and 2", -60, 0)
    expect(field(page, "Piece 1: length, mm")).not_to_have_value("14.6")
    n = drawn_needle(page)
    first = n.pieces[0].length * 1e3
    assert 12.2 < first < 13.7 and first / 0.05 == pytest.approx(round(first / 0.05), abs=1e-6)
    assert n.length == pytest.approx(17.7e-3)
    assert n.pieces[1].length * 1e3 == pytest.approx(14.6 + 0.6 - first)
    check_picture(page, n)
    page.keyboard.down("Shift")
    drag(page, "Joint of pieces 1 and 2", 40, 0)
    page.keyboard.up("Shift")
    m = drawn_needle(page)
    assert m.pieces[1] == n.pieces[1] and m.length > n.length + 0.5e-3
    drag(page, "Opening, length of piece 3", 40, 0)
    assert drawn_needle(page).pieces[2].length > m.pieces[2].length


def test_a_finger_drags_too(board: OpenPage) -> None:
    options = {"has_touch": True, "is_mobile": True, "viewport": {"width": 390, "height": 844}}
    page = board(**options)
    page.get_by_text("Close to the piece").tap()
    target = handle(page, "Turn of piece 2").locator(".touch")
    box = target.bounding_box()
    assert box is not None and min(box["width"], box["height"]) >= 43
    x, y = middle(handle(page, "Turn of piece 2"))
    touch = page.context.new_cdp_session(page)
    send = lambda kind, points: touch.send(  # noqa: E731
        "Input.dispatchTouchEvent", {"type": kind, "touchPoints": points}
    )
    send("touchStart", [{"x": x, "y": y}])
    for k in range(1, 11):
        send("touchMove", [{"x": x + 3 * k, "y": y - k}])
    send("touchEnd", [])
    expect(field(page, "Piece 2: turn, degrees")).not_to_have_value("20")
    assert page.evaluate("window.scrollY") == 0
    assert drawn_needle(page).pieces[1].turn > np.radians(22)


def test_a_press_on_the_tube_chooses_the_piece(board: OpenPage) -> None:
    page = board()
    chosen = page.locator("tbody tr[aria-current]")
    expect(chosen).to_contain_text("2")
    frame = page.locator(".picture svg").bounding_box()
    assert frame is not None
    eye = page.locator(".desk").evaluate("e => e.tipsim.eye()")
    page.mouse.click(frame["x"] + eye["x0"] + 8 * eye["scale"], frame["y"] + eye["y0"] + 5)
    expect(chosen).to_contain_text("1")


# By keyboard alone -------------------------------------------------------------------------------


def test_by_keyboard_alone(board: OpenPage) -> None:
    page = board()
    press = page.keyboard.press

    def active() -> str:
        return str(
            page.evaluate(
                """() => { let e = document.activeElement;
                while (e.shadowRoot?.activeElement) e = e.shadowRoot.activeElement;
                return e.getAttribute('aria-label') || e.textContent; }"""
            )
        )

    def tab_to(name: str) -> None:
        for _ in range(60):
            press("Tab")
            if active().startswith(name):
                return
        pytest.fail(f"no way to {name} by Tab")

    tab_to("Turn of piece 2")
    lever = handle(page, "Turn of piece 2")
    assert lever.locator(".focus").evaluate("e => getComputedStyle(e).opacity") == "1"
    for _ in range(3):
        press("ArrowUp")
    press("PageUp")
    expect(lever).to_have_attribute("aria-valuetext", "26.5° to the left")
    expect(lever).to_have_attribute("aria-valuenow", "26.5")
    tab_to("Joint of pieces 2 and 3")
    press("ArrowLeft")
    ring = handle(page, "Joint of pieces 2 and 3")
    expect(ring).to_have_attribute(
        "aria-valuetext", "piece 2 0.55 mm, piece 3 2.55 mm, 15.15 mm from the hub"
    )
    tab_to("Piece 3: length")
    press("ArrowUp")
    expect(field(page, "Piece 3: length, mm")).to_have_value("2.6")
    tab_to("Add a piece after it")
    press("Enter")
    expect(page.locator("tbody tr[aria-current]")).to_contain_text("4")
    tab_to("Remove")
    press("Enter")
    expect(page.locator("tbody th")).to_have_count(3)
    n = drawn_needle(page)
    assert np.degrees(n.pieces[1].turn) == pytest.approx(26.5)
    assert [p.length for p in n.pieces] == [14.6e-3, 0.55e-3, 2.6e-3]
    # All of it back: presses that follow soon on one another are one step, on a slow machine more.
    undo = page.get_by_role("button", name="Undo")
    for _ in range(8):
        press("Control+z")
        address_at_rest(page)
    expect(undo).to_be_disabled()
    assert drawn_needle(page) == NeedleState.first().shown
    turns = []
    while 26.5 not in turns and len(turns) < 4:
        press("Control+Shift+Z")
        turns.append(round(float(np.degrees(drawn_needle(page).pieces[1].turn)), 6))
    assert turns == sorted(turns)
    assert turns[-1] == 26.5
    tab_to("Use as needle B")
    press("Enter")
    page.wait_for_url(re.compile(r"/compare\?.*b\.needle"))
    expect(page.get_by_label("Needle B", exact=True)).to_have_value("own-needle")


# What is typed -----------------------------------------------------------------------------------


def test_refused_and_taken(board: OpenPage) -> None:
    page = board()
    length, inner = "Piece 1: length, mm", "Inner radius of the shaft"
    said = "Piece 1, length: Enter a number from 0.02 to 40 mm. You entered"
    cases = {
        (length, ""): f"{said} nothing.",
        (length, "abc"): f'{said} "abc".',
        (length, "NaN"): f'{said} "NaN".',
        (length, "-4"): f"{said} -4 mm.",
        (length, "1e9"): f"{said} 1 × 10⁹ mm.",
        (inner, "0.42"): "Wall (outer less inner radius) is 0.03 mm at 5 mm from",
        ("Piece 2: turn, degrees", "140"): "Piece 2 is a bend of radius 0.246 mm; allowed: more",
    }
    for (name, text), sentence in cases.items():
        before = field(page, name).input_value()
        type_in(page, name, text)
        box = field(page, name)
        expect(box).to_have_value(text)
        told = page.locator(f"[id='{box.get_attribute('aria-describedby')}']")
        expect(told).to_contain_text(sentence)
        expect(page.locator(".wrong:visible")).to_have_count(1)
        expect(page.locator(".picture-note")).to_contain_text("last needle that can be made")
        expect(page.get_by_role("link", name="Use as needle A")).not_to_have_attribute(
            "href", re.compile(".")
        )
        check_end(page, NeedleState.first().shown)
        type_in(page, name, before)
        expect(page.locator(".wrong:visible")).to_have_count(0)
    type_in(page, "Piece 2: turn, degrees", "−12,5")
    expect(field(page, "Piece 2: turn, degrees")).to_have_value("-12.5")
    assert np.degrees(drawn_needle(page).pieces[1].turn) == pytest.approx(-12.5)
    check_picture(page, drawn_needle(page))


def check_end(page: Page, n: Needle) -> None:
    """The solid picture is still that of a needle: its outline spans the same box, in mm."""
    eye = page.locator(".desk").evaluate("e => e.tipsim.eye()")
    box = page.locator(".tube .metal").evaluate(
        "e => ({...e.getBBox().toJSON?.(), w: e.getBBox().width})"
    )
    assert box["w"] / eye["scale"] == pytest.approx(n.points_at([n.length])[0, 0] * 1e3, abs=0.5)


def test_keys_held_down_count_each_press(board: OpenPage) -> None:
    """Answers that come late do not take back what was pressed since."""
    page = board()
    field(page, "Piece 2: turn, degrees").focus()
    for _ in range(30):
        page.keyboard.press("ArrowUp")
    expect(field(page, "Piece 2: turn, degrees")).to_have_value("35")
    for _ in range(10):
        page.keyboard.press("Shift+ArrowDown")
    expect(field(page, "Piece 2: turn, degrees")).to_have_value("-15")
    assert np.degrees(drawn_needle(page).pieces[1].turn) == pytest.approx(-15)
    # The run of presses is one step back.
    page.keyboard.press("Control+z")
    expect(field(page, "Piece 2: turn, degrees")).to_have_value("20")
    page.keyboard.press("Control+Shift+Z")
    expect(field(page, "Piece 2: turn, degrees")).to_have_value("-15")
    # Typed over and put back: an answer shows again.
    field(page, "Piece 2: turn, degrees").press_sequentially("7")
    page.keyboard.press("Backspace")
    page.keyboard.press("Tab")
    page.get_by_role("button", name="Undo").click()
    expect(field(page, "Piece 2: turn, degrees")).not_to_have_value("-15")


def test_a_needle_that_crosses_itself_and_25_pieces(board: OpenPage) -> None:
    page = board()
    type_in(page, "Piece 2: length, mm", "2")
    type_in(page, "Piece 2: turn, degrees", "180")
    type_in(page, "Piece 3: turn, degrees", "180")
    alert = page.locator(".desk > .wrong")
    expect(alert).to_contain_text("Pieces 1 and 3 run into each other; allowed: turns that keep")
    expect(page.locator(".tube .ghost")).to_have_count(1)
    page.get_by_label("Start from", exact=True).select_option("straight-medium")
    expect(page.locator("tbody th")).to_have_count(1)
    add = page.get_by_role("button", name="Add a piece after it")
    for k in range(2, 25):
        add.click()
        expect(page.locator("tbody th")).to_have_count(k)
    add.click()
    expect(alert).to_have_text("Number of pieces is 25; allowed: 1 to 24.")
    expect(page.locator("tbody th")).to_have_count(24)


def test_the_numbers_are_the_model_s(board: OpenPage) -> None:
    page = board("edit=b")
    strip = page.locator(".outcome")
    expect(strip.locator(".chip")).to_have_text("Fitted")
    type_in(page, "Piece 3: turn, degrees", "50")
    expect(strip.locator(".chip")).to_have_text("Predicted by the model")
    state = NeedleState.from_items({"edit": "b"}).change("both", "draft.pieces.2.turn_deg", "50")
    for row in outcome(state, thorough=True)["rows"]:
        line = strip.locator("dl div", has=page.get_by_text(row["label"], exact=True))
        expect(line.locator("dd")).to_have_text(row["value"])
    lines = page.locator("#summary dl div")
    for k, (label, value) in enumerate(summary(state)["rows"]):
        expect(lines.nth(k)).to_have_text(f"{label}{value}")


# Files -------------------------------------------------------------------------------------------


def test_saving_and_loading_give_the_same_needle(board: OpenPage, tmp_path: Path) -> None:
    page = board("edit=b")
    type_in(page, "Name", "Häkchen 3")
    field(page, "Piece 3: inner radius at its end, mm").fill("0.28")
    # Without leaving the field first: what was typed last is saved too.
    with page.expect_download() as caught:
        page.get_by_role("button", name="Save").click()
    assert caught.value.suggested_filename == "hakchen-3.toml"
    path = tmp_path / "mine.toml"
    caught.value.save_as(path)
    saved = read_needle(path)
    assert saved == drawn_needle(page)
    assert saved.pieces[2].inner_radius == 0.28e-3 and saved.title == "Häkchen 3"
    other = board()
    with other.expect_file_chooser() as chooser:
        other.get_by_role("button", name="Load…").click()
    chooser.value.set_files(path)
    expect(other.locator(".said")).to_have_text("The file is loaded.")
    expect(field(other, "Name")).to_have_value("Häkchen 3")
    assert drawn_needle(other) == saved
    with other.expect_download() as again:
        other.get_by_role("button", name="Save").click()
    again.value.save_as(tmp_path / "again.toml")
    assert (tmp_path / "again.toml").read_bytes() == path.read_bytes()


def test_files_that_are_no_needles_are_refused(board: OpenPage, tmp_path: Path) -> None:
    page = board()
    good = tmp_path / "good.toml"
    write_needle(needle("counter-bent-wide"), good)
    text = good.read_text(encoding="utf-8")
    files: dict[str, tuple[bytes, str]] = {
        "kind.toml": (
            b"[tool]\nx = 1\n",
            'kind.toml: format is missing; allowed: format = "tipsim',
        ),
        "binary.toml": (b"\x89PNG\r\n\x1a\n\xff", "binary.toml is not readable (not UTF-8 text)"),
        "empty.toml": (b"", "empty.toml: format is missing"),
        "typo.toml": (text.replace("bevel_deg", "bevl_deg").encode(), '(nearest: "bevel_deg").'),
        "huge.toml": (b"#" * (MOST_BYTES + 1), "huge.toml is 100 kB; allowed: a TOML needle file"),
    }
    sent: list[Any] = []
    page.on("websocket", lambda socket: socket.on("framesent", lambda data: sent.append(data)))
    page.reload()
    page.locator(".handle").first.wait_for()
    address_at_rest(page)
    for name, (data, sentence) in files.items():
        (tmp_path / name).write_bytes(data)
        before = len(sent)
        page.locator("input[type=file]").set_input_files(tmp_path / name)
        expect(page.locator(".desk > .wrong:visible")).to_contain_text(sentence)
        # What is too large does not leave the browser.
        assert (len(sent) == before) == (name == "huge.toml"), name
        expect(field(page, "Piece 1: length, mm")).to_have_value("14.6")
    page.locator("input[type=file]").set_input_files(good)
    expect(page.locator(".desk > .wrong:visible")).to_have_count(0)
    assert drawn_needle(page) == needle("counter-bent-wide")


def test_what_cannot_be_made_is_not_saved_and_the_link_keeps_it(board: OpenPage) -> None:
    page = board()
    page.goto(f"{page.url.partition('?')[0]}?draft.bevel_deg=ninety")
    field(page, "Piece 1: length, mm").wait_for(state="attached")
    unfold(page)
    page.get_by_role("button", name="Save").click()
    expect(page.locator(".desk > .wrong:visible")).to_contain_text("fix the highlighted fields")
    type_in(page, "Piece 1: length, mm", "long")
    address_at_rest(page)
    page.reload()
    field(page, "Piece 1: length, mm").wait_for(state="attached")
    unfold(page)
    expect(field(page, "Bevel")).to_have_value("ninety")
    expect(field(page, "Piece 1: length, mm")).to_have_value("long")
    expect(page.locator(".control .wrong:visible")).to_have_text(
        'Enter a number from 0 to 60 °. You entered "ninety".'
    )


# The bench ---------------------------------------------------------------------------------------


def test_on_the_stage_as_a(board: OpenPage) -> None:
    page = board(BENCH)
    type_in(page, "Name", "Mine")
    field(page, "Piece 3: turn, degrees").fill("47.5")
    # At once: the link waits until what was typed last has arrived.
    page.get_by_role("link", name="Use as needle A").click()
    page.wait_for_url(re.compile(r"/compare\?"))
    expect(page.get_by_label("Needle A", exact=True)).to_have_value("mine")
    expect(page.locator(".ts-stage .title.a")).to_contain_text("Mine")
    expect(page.get_by_label("Power", exact=True)).to_have_value("40")
    items = dict(parse_qsl(urlsplit(page.url).query))
    state = BenchState.from_items(items)
    assert np.degrees(state.a.needle.pieces[2].turn) == pytest.approx(47.5)
    assert state.a.sleeve is not None and state.a.sleeve.id == "for-0.9"
    assert state.b == BenchState.from_items({"power": "40"}).b
    assert items["view.play"] == "0"
    # And from the bench back to the board.
    unfold(page)
    page.get_by_role("link", name="Edit A").click()
    page.locator(".handle").first.wait_for()
    expect(field(page, "Name")).to_have_value("Mine")
    expect(field(page, "Piece 3: turn, degrees")).to_have_value("47.5")
    page.get_by_role("link", name="Back to the needles as they were").click()
    expect(page.get_by_label("Needle A", exact=True)).to_have_value("mine")


def test_a_thick_needle_goes_there_bare_and_says_so(board: OpenPage) -> None:
    page = board()
    type_in(page, "Outer radius of the shaft", "0.8")
    expect(page.locator("#board .bar .soft").last).to_contain_text(
        "Without a sleeve: none of the catalogue fits"
    )
    page.get_by_role("link", name="Use as needle B").click()
    page.wait_for_url(re.compile(r"/compare\?"))
    unfold(page)
    expect(page.get_by_label("Sleeve on B")).to_have_value("none")


# For everybody -----------------------------------------------------------------------------------


@pytest.mark.parametrize("size, scheme", [((1280, 720), "dark"), ((390, 844), "light")])
def test_axe_finds_nothing_and_nothing_hangs_over(
    board: OpenPage, scheme: str, size: tuple[int, int]
) -> None:
    width, height = size
    page = board(viewport={"width": width, "height": height}, color_scheme=scheme)
    at_rest(page)
    for spoil in (False, True):
        if spoil:
            type_in(page, "Piece 2: turn, degrees", "140")
            if width < 600:
                page.get_by_role("button", name="Settings", exact=True).click()
            type_in(page, "Inner radius of the shaft", "0.44")
            at_rest(page)
        found = Axe().run(page)
        assert [f"{v['id']}: {v['help']}" for v in found.response["violations"]] == []
        assert page.evaluate("document.documentElement.scrollWidth") <= width
