"""The stage in a real browser: what it paints is what the model says, and everybody can use it."""

import math
import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import frames
from tipsim.app.pages.bench.page import BenchPage
from tipsim.solve import Result

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]
DESK = {"width": 1440, "height": 900}


def stage_of(page: Page) -> Locator:
    """The stage once it has painted; Playwright looks through open shadow roots by itself."""
    stage = page.locator(".ts-stage")
    stage.wait_for()
    page.wait_for_function("s => s.tipsim.drawn().frames > 0", arg=stage.element_handle())
    return stage


def drawn(stage: Locator) -> dict[str, Any]:
    return stage.evaluate("s => s.tipsim.drawn()")


def scale(stage: Locator) -> dict[str, Any]:
    return stage.evaluate("s => s.tipsim.scale()")


def set_phase(stage: Locator, degrees: float) -> None:
    stage.evaluate("(s, degrees) => s.tipsim.setPhase(degrees)", degrees)


def set_range(stage: Locator, label: str, value: float) -> None:
    """Move a slider as a hand would: its value, then its event."""
    slider = stage.get_by_label(re.compile(f"^{label}"))
    slider.evaluate("(e, v) => { e.value = v; e.dispatchEvent(new Event('input')); }", value)


def check_against_model(stage: Locator, results: tuple[Result, Result], degrees: float) -> None:
    """Each marker: true displacement, exaggerated place, and pixel, against Python's solution."""
    set_phase(stage, degrees)
    picture, paint = scale(stage), drawn(stage)
    rows = np.array(picture["projection"]).reshape(3, 3)
    ratio = results[1].motion.frequency / results[0].motion.frequency
    for k, (result, side) in enumerate(zip(results, paint["sides"], strict=True)):
        phase = math.radians(degrees) * (ratio if k else 1)
        motion = result.motion
        assert len(side["markers"]) == len(motion.markers)
        for marker, shown in zip(motion.markers, side["markers"], strict=True):
            true = (marker.amplitude * np.exp(1j * phase)).real * 1e6
            # Between nodes and in float32: a thousandth of the stroke.
            close = 1e-3 * marker.stroke * 1e6 + 1e-3
            np.testing.assert_allclose(shown["displacement_um"], true, atol=close)
            s = motion.frame.s
            rest = [np.interp(s[-1] - marker.distance, s, axis) for axis in motion.frame.points.T]
            place = np.array(rest) * 1e3 + picture["exaggeration"] * 1e-3 * true
            np.testing.assert_allclose(
                shown["displaced_mm"], place, atol=2e-3 + picture["exaggeration"] * 1e-3 * close
            )
            right, up, _ = picture["px_per_mm"] * rows @ np.array(shown["displaced_mm"])
            x, y = picture["origins_px"][k]
            np.testing.assert_allclose(shown["px"], [x + right, y - up], atol=1e-6)


@pytest.mark.parametrize("query", ["", "drive=axial", "drive=elliptical&power=60"])
def test_paints_what_the_model_says(browser_page: OpenPage, query: str) -> None:
    items = dict(item.split("=") for item in query.split("&") if item)
    results = BenchPage(items).state.results
    stage = stage_of(browser_page(f"/compare?{query}", viewport=DESK))
    for degrees in (0, 37.5, 90, 200):
        check_against_model(stage, results, degrees)
    for camera in ("edge", "end", "flat"):
        stage.locator(f"input[name=camera][value={camera}]").check()
        check_against_model(stage, results, 60)
    stage.get_by_role("button", name="Picture").click()
    stage.locator("input[name=zoom][value=end]").check()
    set_range(stage, "Motion", 30)
    assert scale(stage)["exaggeration"] == 30
    check_against_model(stage, results, 285)


def test_two_frequencies_run_in_true_time(browser_page: OpenPage) -> None:
    query = "view.apart=1&a.drive=torsional&b.drive=axial"
    bench = BenchPage(dict(item.split("=") for item in query.split("&")))
    a, b = bench.state.results
    assert a.motion.frequency != b.motion.frequency
    stage = stage_of(browser_page(f"/compare?{query}", viewport=DESK))
    check_against_model(stage, (a, b), 500)
    first, second = (side["phase_deg"] for side in drawn(stage)["sides"])
    assert first == pytest.approx(500)
    assert second == pytest.approx(500 * b.motion.frequency / a.motion.frequency)


def test_the_dot_is_where_the_numbers_say(browser_page: OpenPage) -> None:
    stage = stage_of(browser_page("/compare?view.play=0", viewport=DESK))
    before = None
    for degrees in (0, 180):
        set_phase(stage, degrees)
        for k, token in enumerate(("--ts-a", "--ts-b")):
            x, y = drawn(stage)["sides"][k]["markers"][0]["px"]
            assert pixel(stage, x - 6, y) == token_colour(stage, token)
        place = drawn(stage)["sides"][0]["markers"][0]["px"]
        assert before is None or math.dist(place, before) > 20
        before = place


def pixel(stage: Locator, x: float, y: float) -> list[int]:
    return stage.locator("canvas[role=img]").evaluate(
        """(canvas, [x, y]) => {
            const dense = canvas.width / canvas.clientWidth;
            return [...canvas.getContext("2d").getImageData(x * dense, y * dense, 1, 1).data];
        }""",
        [x, y],
    )


def token_colour(stage: Locator, name: str) -> list[int]:
    text = stage.evaluate(
        """(stage, name) => {
            const sample = document.createElement("span");
            sample.style.color = `var(${name})`;
            stage.append(sample);
            const colour = getComputedStyle(sample).color;
            sample.remove();
            return colour;
        }""",
        name,
    )
    return [*map(int, re.findall(r"\d+", text)), 255]


def test_scale_is_said_in_round_numbers(browser_page: OpenPage) -> None:
    stage = stage_of(browser_page("/compare?view.speed=0.8&view.exaggeration=15", viewport=DESK))
    words = stage.locator(".readout").inner_text().replace("\u202f", " ")
    assert words == "motion ×15 · time ÷ 40 000"


def test_plays_pauses_and_steps_by_keys(browser_page: OpenPage) -> None:
    page = browser_page(viewport=DESK)
    stage = stage_of(page)
    status = stage.get_by_role("status")
    assert drawn(stage)["playing"]
    begin = drawn(stage)["phase_deg"]
    page.wait_for_function(
        "([s, from]) => s.tipsim.drawn().phase_deg > from + 30",
        arg=[stage.element_handle(), begin],
    )
    stage.get_by_role("img").focus()
    page.keyboard.press("Space")
    assert not drawn(stage)["playing"]
    expect(status).to_have_text(re.compile(r"Paused at \d+ degrees"))
    set_phase(stage, 40)
    page.keyboard.press(".")
    expect(stage.get_by_label("Phase")).to_have_value("45")
    page.keyboard.press(",")
    page.keyboard.press(",")
    expect(stage.get_by_label("Phase")).to_have_value("15")
    expect(status).to_have_text("Phase 15 degrees")
    painted = drawn(stage)["frames"]
    frames(page)
    assert drawn(stage)["frames"] <= painted + 1  # nothing is painted while nothing moves
    page.get_by_role("button", name="Play").press("Space")
    assert drawn(stage)["playing"]


def test_turns_by_keys_and_by_hand(browser_page: OpenPage) -> None:
    page = browser_page("/compare?view.play=0", viewport=DESK)
    stage = stage_of(page)
    picture = stage.get_by_role("img")
    stage.get_by_label("Side view").check()
    set_phase(stage, 0)
    assert scale(stage)["projection"] == pytest.approx(np.eye(3).ravel().tolist())
    picture.focus()
    page.keyboard.press("ArrowRight")
    set_phase(stage, 0)
    assert scale(stage)["projection"][0] == pytest.approx(math.cos(math.radians(5)))
    expect(stage.locator("input[name=camera]:checked")).to_have_value("free")
    box = picture.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 200, box["y"] + 150)
    page.mouse.down()
    page.mouse.move(box["x"] + 250, box["y"] + 150, steps=5)
    page.mouse.up()
    set_phase(stage, 0)
    assert scale(stage)["projection"][0] == pytest.approx(math.cos(math.radians(25)))


def test_view_reaches_the_link_and_comes_back(browser_page: OpenPage) -> None:
    page = browser_page(
        "/compare?view.play=0&view.camera=edge&view.yaw=0&view.pitch=90", viewport=DESK
    )
    stage = stage_of(page)
    expect(stage.locator("input[name=camera]:checked")).to_have_value("edge")
    assert not drawn(stage)["playing"]
    stage.get_by_role("button", name="Picture").click()
    stage.locator("input[name=zoom][value=end]").check()
    set_range(stage, "Speed", 1.5)
    page.wait_for_function("location.search.includes('view.speed=1.5')")
    assert "view.camera=edge" in page.url and "view.zoom=end" in page.url
    page.evaluate(WATCH_MESSAGES)
    page.get_by_role("button", name="Play").first.click()
    # That it plays is said once; the phase of a picture that moves is in no link.
    page.wait_for_function("!location.search.includes('view.play')")
    frames(page, 60)
    assert page.evaluate("window.messages") == [["look.play"]]


WATCH_MESSAGES = """() => {
    window.messages = [];
    const send = WebSocket.prototype.send;
    WebSocket.prototype.send = function (data) {
        const fields = typeof data === "string" ? data.match(/look\\.\\w+/g) : null;
        if (fields) window.messages.push(fields);
        return send.call(this, data);
    };
}"""


def test_less_motion_is_respected(browser_page: OpenPage) -> None:
    stage = stage_of(browser_page(viewport=DESK, reduced_motion="reduce"))
    assert not drawn(stage)["playing"]
    expect(stage.locator(".notice")).to_contain_text("as your system asks")
    stage.get_by_role("button", name="Play").click()
    expect(stage.locator(".notice")).to_be_hidden()
    assert drawn(stage)["playing"]


def test_picture_is_told_in_words(browser_page: OpenPage) -> None:
    a, b = BenchPage({}).state.results
    label = stage_of(browser_page(viewport=DESK)).get_by_role("img").get_attribute("aria-label")
    assert label is not None
    for key, result in (("A", a), ("B", b)):
        words = label.split(f"Needle {key}, ")[1]
        stroke = round(result.motion.markers[0].stroke * 1e6)
        assert f"The tip moves {stroke} µm peak to peak" in words
        against = [
            str(k)
            for k, marker in enumerate(result.motion.markers, 1)
            if marker.direction.startswith("against")
        ]
        assert against
        assert f"{', '.join(against[:-1])} and {against[-1]} out of step with the tip" in words


def test_colours_follow_the_theme_at_once(browser_page: OpenPage) -> None:
    page = browser_page("/compare?view.play=0", viewport=DESK, color_scheme="light")
    stage = stage_of(page)
    seen = []
    for theme in ("light", "dark"):
        page.evaluate("theme => { document.documentElement.dataset.theme = theme; }", theme)
        frames(page, 5)
        set_phase(stage, 0)
        x, y = drawn(stage)["sides"][0]["markers"][0]["px"]
        seen.append(pixel(stage, x - 6, y))
        assert seen[-1] == token_colour(stage, "--ts-a")
    assert seen[0] != seen[1]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1440, 320])
def test_stage_fits_and_shuts_nobody_out(browser_page: OpenPage, width: int, scheme: str) -> None:
    page = browser_page(viewport={"width": width, "height": 844}, color_scheme=scheme)
    stage = stage_of(page)
    stage.get_by_role("button", name="Picture").click()
    assert stage.evaluate("s => s.scrollWidth <= s.clientWidth")
    stage.evaluate("s => { s.getRootNode().host.id = 'stage-host'; }")
    found = Axe().run(page, context={"fromShadowDom": ["#stage-host", ".ts-stage"]})
    assert found.response["passes"]
    assert [f"{v['id']}: {v['help']}" for v in found.response["violations"]] == []
    small = stage.evaluate(
        """s => [...s.querySelectorAll("button, label, input[type=range]")]
            .map((e) => [e.textContent || e.type, e.getBoundingClientRect()])
            .filter(([, box]) => box.width && (box.height < 24 || box.width < 24))
            .map(([name]) => name)"""
    )
    assert small == []


@pytest.mark.parametrize("size", [DESK, {"width": 390, "height": 844}], ids=["desk", "phone"])
def test_a_motion_beyond_the_limits_is_not_drawn_and_the_link_stays(
    browser_page: OpenPage, size: dict[str, int]
) -> None:
    """The fixture fails on anything in the console."""
    query = "needle=single-bend&drive=torsional&ceilings.speed_m_s=5&power=80"
    page = browser_page(f"/compare?{query}", viewport=size)
    stage = stage_of(page)
    held = stage.locator(".held:visible")
    expect(held).to_have_count(2)
    expect(held.first).to_contain_text("Not drawn: tip speed ")
    expect(held.first).to_contain_text("(limit 5 m/s)")
    # The words keep off the title above them.
    title = stage.locator(".title").first.bounding_box()
    words = held.first.locator("p").bounding_box()
    assert title and words and words["y"] >= title["y"] + title["height"] - 1
    assert words["x"] >= 0 and words["x"] + words["width"] <= size["width"]
    for side in drawn(stage)["sides"]:
        assert all(not np.any(m["displacement_um"]) for m in side["markers"])
    assert "ceilings.speed_m_s=5" in page.url
    # Less power brings the motion back, on the same link.
    page = browser_page(f"/compare?{query.replace('80', '10')}", viewport=size)
    expect(stage_of(page).locator(".held:visible")).to_have_count(0)
