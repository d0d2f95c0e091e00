"""The heat page in a real browser: picture, clock, probe, events, scenarios, link."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import at_rest, frames, unfold
from tipsim import store
from tipsim.app.pages.heat import field
from tipsim.app.pages.heat import page as heat_page
from tipsim.app.pages.heat.state import HeatState
from tipsim.heat.timeline import HeatRun

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]
FOLDER = Path(heat_page.__file__).parent
DESK = {"width": 1440, "height": 900}
CALM = {"viewport": DESK, "reduced_motion": "reduce"}
PRESSED = "/heat?press=on&occlusion=100&duration=20"


def ready(page: Page) -> Page:
    page.locator(".heat[data-rough='false']").wait_for()
    unfold(page)
    page.locator("h2", has_text="Where the energy goes").wait_for()
    page.locator("h2", has_text="Numbers").wait_for()
    return page


def in_link(page: Page, part: str) -> None:
    page.wait_for_function(
        "part => decodeURIComponent(location.search).replaceAll('+', ' ').includes(part)", arg=part
    )


def settled(page: Page) -> None:
    """Wait for the full picture after a change."""
    page.locator(".heat[data-rough='false']").wait_for()


def at(page: Page, seconds: float) -> None:
    page.get_by_label("Time", exact=True).fill(str(seconds))
    expect(page.locator(".reading")).to_contain_text(f"{seconds:.1f} s")


def run_of(items: dict[str, str], side: str = "a") -> HeatRun:
    state = HeatState.from_items(items)
    scenario = getattr(state.bench, side)
    run: HeatRun = store.get(scenario, "heat")
    return run


def shown(cell: Locator) -> float:
    return float(cell.inner_text().split("°")[0])


def probe(page: Page, side: int) -> float:
    return shown(page.locator(".probe-box tbody tr").first.locator("td").nth(side))


def expected(run: HeatRun, layer: str, which: str, from_end: float, t: float) -> float:
    """A layer's temperature [°C], straight from the run."""
    row = next(r for r in field.rows_of(run.cells) if (r.layer, r.side) == (layer, which))
    now = field.at_times(run, run.temperature[:, row.cells], np.array([t]))[0] - 273.15
    middle = run.cells.middle[row.start : row.start + len(row.cells)]
    return float(np.interp(run.scenario.needle.length - from_end * 1e-3, middle, now))


# ---- picture, clock, probe ----


def test_the_probe_reads_what_the_model_computed(browser_page: OpenPage) -> None:
    page = ready(browser_page(PRESSED, **CALM))
    items = {"press": "on", "occlusion": "100", "duration": "20"}
    for t in (0.5, 4.0, 20.0):
        at(page, t)
        for k, side in enumerate("ab"):
            direct = expected(run_of(items, side), "outer", "pressed", 6.0, t)
            assert probe(page, k) == pytest.approx(direct, abs=0.15)


def colour_of(celsius: float, low: float = 20.0, high: float = 70.0) -> np.ndarray:
    """The scale's colour, from its anchors: the darkest seventh is left out, 256 steps."""
    source = (FOLDER / "colours.js").read_text(encoding="utf-8")
    found = re.findall(r"\b[0-9a-f]{6}\b", source.split("const INFERNO")[1].split("];")[0])
    anchors = np.array([[int(c[k : k + 2], 16) for k in (0, 2, 4)] for c in found])
    share = round(float(np.clip((celsius - low) / (high - low), 0, 1)) * 255) / 255
    place = (0.14 + 0.86 * share) * (len(anchors) - 1)
    return np.array([np.interp(place, np.arange(len(anchors)), a) for a in anchors.T])


def test_what_is_painted_is_what_was_computed(browser_page: OpenPage) -> None:
    """In the bore's middle on the straight shaft of both needles, against the run itself."""
    page = ready(browser_page(PRESSED, **CALM))
    at(page, 20.0)
    items = {"press": "on", "occlusion": "100", "duration": "20"}
    runs = [run_of(items, side) for side in "ab"]
    longest = max(run.scenario.needle.length for run in runs) * 1e3
    for k, run in enumerate(runs):
        row = next(r for r in field.rows_of(run.cells) if r.layer == "bore")
        now = run.temperature[-1, row.cells] - 273.15
        right = run.scenario.needle.points_at([run.scenario.needle.length])[0, 0] * 1e3
        for slice_ in (26, 34, 42):
            middle = float(run.cells.middle[slice_]) * 1e3
            column = (
                page.locator("canvas")
                .nth(k)
                .evaluate(
                    """(canvas, [right, middle, longest]) => {
                  const wide = canvas.clientWidth;
                  const ratio = canvas.width / wide;
                  const x = wide - 14 - ((right - middle) * (wide - 28)) / longest;
                  const pen = canvas.getContext("2d");
                  return [...pen.getImageData(Math.round(x * ratio), 0, 1, canvas.height).data];
                }""",
                    [float(right), middle, longest],
                )
            )
            pixels = np.array(column).reshape(-1, 4)
            near = np.abs(pixels[:, :3] - colour_of(float(now[slice_]))).max(axis=1) <= 3
            # The bore is 0.69 mm wide, drawn 1.7 times as thick; lines lie over part of it.
            wide = page.locator("canvas").nth(k).evaluate("canvas => canvas.clientWidth - 28")
            assert near.sum() > 0.4 * 0.69 * 1.7 * wide / longest, (k, slice_, now[slice_])


def test_pointer_and_keyboard_move_the_probe(browser_page: OpenPage) -> None:
    page = ready(browser_page(PRESSED, **CALM))
    at(page, 20.0)
    where = page.locator(".where")
    expect(where).to_have_text("sleeve, outside, pressed side, 6.00 mm from the tip")
    needle = page.locator(".hold").first
    needle.focus()
    page.keyboard.press("ArrowRight")
    expect(where).to_contain_text("5.75 mm from the tip")
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("ArrowDown")
    expect(where).to_have_text("sleeve, inside, pressed side, 6.00 mm from the tip")
    for _ in range(3):
        page.keyboard.press("ArrowDown")
    expect(where).to_have_text("fluid in the lumen, 6.00 mm from the tip")
    page.keyboard.press("ArrowDown")
    expect(where).to_contain_text("metal, other side")
    page.keyboard.press("End")
    expect(where).to_contain_text("0.00 mm from the tip")
    box = needle.locator("canvas").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] * 0.06, box["y"] + box["height"] * 0.5)
    expect(where).to_contain_text("fluid in the lumen, 1")
    said = re.compile(
        r"^Needle A, Single-bend 20°, torsional, 100 %, sleeved, in fluid, nothing through the "
        r"opening and [\d.]+ mL/min out of the incision, 30 g on the sleeve, 7 mm from the tip\. "
    )
    expect(needle).to_have_attribute("aria-label", said)


def test_the_hottest_place_is_named(browser_page: OpenPage) -> None:
    page = ready(browser_page(PRESSED, **CALM))
    at(page, 20.0)
    hot = page.locator(".probe-box tbody tr").nth(1).locator("td").first
    run = run_of({"press": "on", "occlusion": "100", "duration": "20"})
    cells = np.concatenate([row.cells for row in field.rows_of(run.cells)])
    top = float(run.temperature[-1, cells].max()) - 273.15
    assert shown(hot) == pytest.approx(top, abs=0.06)
    expect(hot).to_contain_text("mm")


def test_it_plays_pauses_and_steps(browser_page: OpenPage) -> None:
    page = ready(browser_page(PRESSED, viewport=DESK))
    # On a busy machine the run may have come to its end by now.
    at(page, 0.0)
    page.get_by_role("button", name="Play", exact=True).click()
    page.get_by_role("button", name="Pause").click()
    clock = page.locator(".reading")
    before = clock.inner_text()
    frames(page)
    assert clock.inner_text() == before
    page.get_by_role("button", name="Half a second on").click()
    expect(clock).not_to_have_text(before)
    page.get_by_label("Speed").select_option("10")
    page.get_by_role("button", name="Play", exact=True).focus()
    page.keyboard.press("Space")
    expect(clock).to_have_text("20.0 s")
    expect(page.get_by_role("button", name="Play", exact=True)).to_be_visible()


def test_it_stands_still_for_those_who_ask_for_less_motion(browser_page: OpenPage) -> None:
    page = ready(browser_page("/heat?duration=60", **CALM))
    expect(page.get_by_role("button", name="Play", exact=True)).to_be_visible()
    frames(page)
    expect(page.locator(".reading")).to_have_text("0.0 s")


def test_the_clock_goes_on_through_a_change(browser_page: OpenPage) -> None:
    page = ready(browser_page("/heat?duration=60", viewport=DESK))
    page.get_by_role("button", name="Load of 30 g").click()
    in_link(page, "press=on")
    settled(page)
    expect(page.get_by_role("button", name="Pause")).to_be_visible()
    power = page.get_by_label("Power", exact=True)
    power.fill("50")
    power.press("Enter")
    in_link(page, "power=50")
    before = page.locator(".reading").inner_text()
    expect(page.locator(".reading")).not_to_have_text(before)


def test_a_fresh_page_shows_a_fault_and_normal_use_is_one_press_away(
    browser_page: OpenPage,
) -> None:
    page = browser_page("/heat", viewport=DESK)
    settled(page)
    said = page.locator("#glance .headline")
    expect(said).to_contain_text("Fault drill: flow lost.")
    expect(page.get_by_text("A fault drill, not normal use.")).to_be_visible()
    # It runs, in real time where the fault does its work, and stops at its end in full colour.
    expect(page.locator(".reading")).to_contain_text("real time")
    expect(page.locator(".state").first).to_contain_text("flow lost")
    expect(page.locator(".reading")).to_have_text("10.0 s")
    expect(page.get_by_role("button", name="Play", exact=True)).to_be_visible()
    expect(page.locator(".state").first).not_to_contain_text("rough")
    page.get_by_role("button", name="Normal flow").click()
    expect(said).not_to_contain_text("Fault drill")
    expect(said).to_contain_text("Neither sleeve reaches 45")
    page.go_back()
    expect(said).to_contain_text("Fault drill")
    # Without motion it opens where something is to be seen.
    page = browser_page("/heat", **CALM)
    settled(page)
    expect(page.locator(".state").first).to_contain_text("flow lost")


# ---- scenarios and settings ----


def test_a_ready_scenario_changes_picture_numbers_and_link(browser_page: OpenPage) -> None:
    page = ready(browser_page("/heat?duration=60", **CALM))
    normal = page.get_by_role("button", name="Normal flow")
    expect(normal).to_have_attribute("aria-pressed", "true")
    page.get_by_role("button", name="Load and occlusion").click()
    in_link(page, "press=on&occlusion=100")
    settled(page)
    expect(normal).to_have_attribute("aria-pressed", "false")
    run = run_of({"press": "on", "occlusion": "100"})
    row = page.locator("tr", has=page.get_by_text("Sleeve, °C", exact=True))
    expect(row.locator("td").first).to_have_text(f"{run.peak_sleeve - 273.15:.1f}")
    page.reload()
    ready(page)
    expect(page.get_by_role("button", name="Load and occlusion")).to_have_attribute(
        "aria-pressed", "true"
    )


def test_no_flow_boils_and_is_said_to_be_rough(browser_page: OpenPage) -> None:
    page = ready(browser_page("/heat?duration=60", **CALM))
    page.get_by_role("button", name="No flow").click()
    in_link(page, "aspiration=0")
    settled(page)
    run = run_of({"aspiration": "0", "leak": "0"})
    assert run.boiled is not None
    words = page.locator(".told").get_by_text("The fluid boils after").first
    expect(words).to_contain_text("From then on the model is rough")
    state = page.locator(".state").first
    at(page, round(run.boiled - 0.5, 1))
    expect(state).to_have_text("")
    at(page, round(run.boiled + 0.5, 1))
    expect(state).to_have_text("boiling, rough")


def test_wrong_input_gets_a_sentence(browser_page: OpenPage) -> None:
    page = ready(browser_page(PRESSED, **CALM))
    before = page.url
    load = page.get_by_role("spinbutton", name="Load on the sleeve", exact=True)
    load.fill("500")
    load.press("Enter")
    expect(page.get_by_text("Enter a number from 0 to 200 g.")).to_be_visible()
    assert page.url == before
    load.fill("40")
    load.press("Enter")
    in_link(page, "press.force_g=40")


def test_an_assumed_number_says_so_and_moves_the_temperature(browser_page: OpenPage) -> None:
    page = ready(browser_page(PRESSED, **CALM))
    field_ = page.get_by_label(re.compile(r"^Rubbing coefficient \("))
    field_.first.fill("0.2")
    row = page.locator("tr", has=page.get_by_text("Rubbing", exact=True))
    before = row.first.locator("td").first.inner_text()
    field_.first.press("Enter")
    in_link(page, "rubbing.coefficient=0.2")
    settled(page)
    expect(row.first.locator("td").first).not_to_have_text(before)


def test_both_can_be_set_apart(browser_page: OpenPage) -> None:
    page = ready(browser_page(PRESSED, **CALM))
    page.get_by_role("checkbox", name="Same settings for A and B").uncheck()
    in_link(page, "view.apart=1")
    both = page.locator("form").get_by_label("Occlusion of the opening", exact=True)
    expect(both).to_have_count(2)
    unfold(page)
    page.get_by_role("spinbutton", name="Occlusion of the opening").first.fill("0")
    page.get_by_role("spinbutton", name="Occlusion of the opening").first.press("Enter")
    in_link(page, "b.occlusion=100")
    settled(page)
    page.get_by_role("button", name="Add an event to B").click()
    in_link(page, "b.events=0:flow lost")
    expect(page.get_by_role("slider", name="Event: flow lost (B)")).to_be_visible()


# ---- plots, pulses, numbers ----


def test_layers_along_the_needle_can_be_chosen(browser_page: OpenPage) -> None:
    page = ready(browser_page(PRESSED, **CALM))
    at(page, 10.0)
    chart = page.locator(".along .chart")
    chart.get_by_text("Table and downloads").click()
    heads = chart.locator("thead th")
    expect(heads).to_have_count(1 + 4)
    page.get_by_label("Layer", exact=True).select_option("bore")
    expect(heads).to_have_count(1 + 2)
    page.get_by_label("Layer", exact=True).select_option("all")
    expect(heads).to_have_count(1 + 8)
    words = re.compile("A, metal, pressed side: lowest .* highest [0-9.]+ °C at [0-9.]+ mm")
    expect(chart.locator(".chart-text")).to_have_text(words)


def test_the_lines_over_time_are_a_table_too(browser_page: OpenPage) -> None:
    page = ready(browser_page(PRESSED, **CALM))
    page.locator(".over-time").get_by_text("Table and downloads").click()
    row = page.get_by_role("region", name="Hottest place over time").locator("tbody tr").last
    run = run_of({"press": "on", "occlusion": "100", "duration": "20"})
    # Of both needles: sleeve, metal and fluid in the chamber, in the eye the tissue too.
    expect(row.locator("td")).to_have_count(6)
    value = float(row.locator("td").first.inner_text())
    assert value == pytest.approx(run.sleeve_peak[-1] - 273.15, abs=0.06)
    page.get_by_label("In the eye", exact=True).check()
    expect(row.locator("td")).to_have_count(8)


def test_pulses_are_followed_when_asked(browser_page: OpenPage) -> None:
    page = ready(
        browser_page(f"{PRESSED}&duty=pulsed&duty.on_time_ms=50&duty.off_time_ms=50", **CALM)
    )
    at(page, 10.0)
    page.get_by_role("button", name="Zoom into the pulses at this time").click()
    expect(page.locator(".zoom .note")).to_contain_text("A: swings by")
    chart = page.locator(".zoom .chart")
    chart.get_by_text("Table and downloads").click()
    expect(chart.locator(".chart-text")).to_contain_text("The drive is on 5 times.")


def test_numbers_limits_and_causes_open_their_source(browser_page: OpenPage) -> None:
    page = ready(browser_page(PRESSED, **CALM))
    page.get_by_text("What the marks at the scale mean").click()
    expect(page.locator(".limits li")).to_have_count(6)
    expect(page.locator(".limits")).to_contain_text("IEC 60601-1")
    page.get_by_role("button", name="About: Rubbing", exact=True).click()
    expect(page.get_by_text("A load makes the sleeve rub on the shaft")).to_be_visible()
    page.get_by_role("button", name="Where does this number come from? Sleeve, °C").click()
    why = page.locator("#why-heat-peak_sleeve")
    expect(why).to_contain_text("Highest temperature of the sleeve's outer half anywhere")
    expect(why).to_be_visible()


def test_what_is_set_goes_along_from_page_to_page(browser_page: OpenPage) -> None:
    page = ready(browser_page(f"{PRESSED}&power=40", **CALM))
    page.get_by_role("link", name="Compare needles", exact=True).click()
    unfold(page)
    page.locator("h2", has_text="Numbers").wait_for()
    expect(page.get_by_label("Power", exact=True)).to_have_value("40")
    page.get_by_role("button", name="Effects").click()
    page.locator("#pages").get_by_role("link", name=re.compile("^Heat")).click()
    ready(page)
    expect(page.get_by_role("spinbutton", name="Load on the sleeve", exact=True)).to_have_value(
        "30"
    )


# ---- for everyone ----


@pytest.mark.parametrize(
    ("width", "height", "scheme"),
    [(1440, 900, "dark"), (390, 844, "light")],
)
def test_axe_finds_nothing_serious(
    browser_page: OpenPage, width: int, height: int, scheme: Any
) -> None:
    size = {"width": width, "height": height}
    path = f"{PRESSED}&events=5:load::20:4,8:power:50&outside=wound&duty=pulsed"
    page = ready(browser_page(path, viewport=size, color_scheme=scheme, reduced_motion="reduce"))
    page.get_by_text("What the marks at the scale mean").click()
    page.locator(".over-time").get_by_text("Table and downloads").click()
    page.get_by_role("button", name="About: Rubbing", exact=True).click()
    at_rest(page)
    found = Axe().run(page)
    serious = [
        f"{v['id']}: {[n['target'] for n in v['nodes']][:3]}"
        for v in found.response["violations"]
        if v["impact"] in ("serious", "critical")
    ]
    assert serious == []
