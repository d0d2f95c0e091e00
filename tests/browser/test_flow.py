"""The flow page in a real browser: the hand on the mouth, the run, examples, keyboard, link."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page, expect

from tests.browser.conftest import at_rest, frames
from tipsim.app.pages.flow.state import FlowState
from tipsim.setup.units import MMHG

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]
DESK = {"width": 1440, "height": 900}
CALM = {"viewport": DESK, "reduced_motion": "reduce"}


def ready(page: Page) -> Page:
    page.locator(".chip").first.wait_for()
    page.locator("details.signs").wait_for(state="attached")
    expect(page.locator("svg.bench")).to_have_count(2)
    expect(page.locator(".chart-read", has_text="Time ").first).to_be_visible()
    return page


def unfold(page: Page, name: str) -> None:
    page.locator(f"#fold-{name} > summary").click()


def with_all_charts(page: Page) -> Page:
    ready(page).get_by_text("Vacuum and flow over time", exact=True).click()
    expect(page.locator(".chart-read", has_text="Time ")).to_have_count(3)
    return page


def in_link(page: Page, part: str) -> None:
    page.wait_for_function("part => location.search.includes(part)", arg=part)


def button(page: Page, name: str) -> Any:
    return page.get_by_role("button", name=name, exact=True)


def at(page: Page) -> float:
    return float(page.locator(".reading").inner_text().split()[0])


def drawn(page: Page, side: int = 0) -> str:
    return str(page.locator("svg.bench").nth(side).get_attribute("aria-label"))


def vacuum(page: Page) -> float:
    """Return the vacuum [mmHg] that the drawing states."""
    return float(re.findall(r"vacuum (\d+) mmHg", drawn(page))[0])


def typed(page: Page, label: str, value: str) -> None:
    field = page.get_by_label(label, exact=True)
    field.focus()
    page.keyboard.press("Control+A")
    page.keyboard.type(value)
    page.keyboard.press("Enter")


def test_a_moment_shows_what_was_solved(browser_page: OpenPage) -> None:
    page = ready(browser_page("/flow?b.needle=straight-wide", **CALM))
    state = FlowState.from_items({"b.needle": "straight-wide"})
    page.get_by_label("Time", exact=True).focus()
    page.keyboard.press("Home")
    for side, run in enumerate(state.runs):
        assert f"chamber {run.chamber[0] / MMHG.to_si(1):.0f} mmHg" in drawn(page, side)
    page.get_by_label("Time", exact=True).fill("2.35")
    expect(page.locator(".reading")).to_have_text("2.35 s")
    for side, run in enumerate(state.runs):
        pressure = np.interp(2.35, run.time, run.chamber) / MMHG.to_si(1)
        mouth = np.interp(2.35, run.time, run.mouth) * 60e6
        expect(page.locator("svg.bench").nth(side)).to_have_attribute(
            "aria-label", re.compile(f"chamber {pressure:.0f} mmHg.* {mouth:.0f} mL/min into")
        )


def test_block_and_let_go_by_mouse(browser_page: OpenPage) -> None:
    page = ready(browser_page("/flow", viewport=DESK))
    assert button(page, "Release").is_disabled()
    button(page, "Occlude").click()
    expect(page.locator(".now-words")).to_contain_text("A fragment occludes the opening")
    expect(page.locator(".reading")).to_have_text(re.compile(r"^(0\.[6-9]|[1-9])"))
    let_go_at = at(page)
    button(page, "Release").click()
    expect(page.locator(".now-words")).to_contain_text("Occlusion break")
    in_link(page, "surge.hold_s=")
    held = float(page.url.split("surge.hold_s=")[1].split("&")[0])
    # Blocked from 0.25 s on; a click takes a moment of the run, which is five times slower.
    assert let_go_at - 0.25 - 0.02 <= held <= let_go_at - 0.25 + 0.3
    expect(page.get_by_label("It lasts", exact=True)).to_have_value(f"{held:g}")


def test_all_of_it_works_by_keyboard(browser_page: OpenPage) -> None:
    page = with_all_charts(browser_page("/flow?view.flow.hold_s=0.3", viewport=DESK))
    page.get_by_text("Speed, steps").focus()
    page.keyboard.press("Enter")
    page.get_by_label("Speed", exact=True).select_option("1")
    free = vacuum(page)
    button(page, "Occlude").focus()
    page.keyboard.press("Enter")
    # It waits where the piece could go.
    expect(page.locator(".reading")).to_have_text("0.55 s")
    said = page.get_by_role("status").filter(has_text="A fragment occludes the opening")
    expect(said).to_have_count(1)
    # The pump's 25 mL/min come out of a line that gives 1.4 uL/mmHg: in full for 0.3 s, and
    # less and less from outside in the 0.05 s in which the opening closes.
    rise = 25e3 / 60 / 1.4
    assert 0.3 * rise - 1 <= vacuum(page) - free <= 0.35 * rise + 1
    page.keyboard.press("Tab")
    expect(button(page, "Release")).to_be_focused()
    page.keyboard.press("Space")
    expect(page.locator(".reading")).to_have_text("2.56 s")
    expect(button(page, "Play all")).to_be_visible()
    page.get_by_label("Time", exact=True).focus()
    page.keyboard.press("Home")
    expect(page.locator(".reading")).to_have_text("0.00 s")
    page.locator(".chart-host").first.click(position={"x": 200, "y": 60})
    assert at(page) > 0
    before = at(page)
    button(page, "20 milliseconds on").focus()
    page.keyboard.press("Enter")
    assert at(page) == pytest.approx(before + 0.02, abs=0.011)
    page.keyboard.press(",")
    assert at(page) == pytest.approx(before, abs=0.011)
    unfold(page, "signs")
    page.get_by_text("Key moments as a table").focus()
    page.keyboard.press("Enter")
    rows = page.get_by_role("region", name="Key moments of both runs")
    expect(rows.get_by_role("row", name="lowest pressure")).to_have_count(2)
    page.get_by_label("Show", exact=True).focus()
    page.keyboard.press("ArrowDown")
    # From 0.1 s before the piece goes, at 0.55 s, to 0.6 s after it.
    last = page.locator(".chart").last
    last.get_by_text("Table and downloads").click()
    places = last.locator("tbody th").all_inner_texts()
    assert (places[0], places[-1]) == ("0.45", "1.15")


def test_a_chart_reads_what_was_solved(browser_page: OpenPage) -> None:
    page = ready(browser_page("/flow?b.needle=straight-wide", **CALM))
    state = FlowState.from_items({"b.needle": "straight-wide"})
    chart = page.locator(".chart").first
    slider = chart.get_by_role("slider", name="Pressure in the chamber over time")
    slider.focus()
    page.keyboard.press("Home")
    page.keyboard.press("PageUp")
    words = chart.locator(".chart-read").inner_text()
    found = re.fullmatch(r"Time ([\d.]+) s: A ([\d.]+) mmHg, B ([\d.]+) mmHg", words)
    assert found and slider.get_attribute("aria-valuetext") == words
    at, *values = map(float, found.groups())
    end = max(run.time[-1] for run in state.runs)
    assert at == pytest.approx(end / 5, abs=0.005)  # ten steps of a fiftieth of what is shown
    for value, run in zip(values, state.runs, strict=True):
        assert value == pytest.approx(
            np.interp(at, run.time, run.chamber) / MMHG.to_si(1), rel=0.01
        )
    page.keyboard.press("Enter")
    expect(page.locator(".reading")).to_have_text(f"{at:.2f} s")


def test_a_chart_gives_its_numbers_as_csv_and_its_picture(browser_page: OpenPage) -> None:
    page = with_all_charts(browser_page("/flow", **CALM))
    run = FlowState.from_items({}).runs[0]
    chart = page.locator(".chart").nth(1)
    chart.get_by_text("Table and downloads").click()
    with page.expect_download() as csv:
        chart.get_by_role("button", name="Download as CSV").click()
    head, *rows = Path(csv.value.path()).read_text().splitlines()
    assert csv.value.suggested_filename == "tipsim-flow-vacuum.csv"
    assert head == 'Time [s],"A, vacuum [mmHg]","B, vacuum [mmHg]"'
    # Behind the numbers comes what was used, as a remark.
    numbers, used = ([r for r in rows if r.startswith("# ") is said] for said in (False, True))
    assert len(used) == 1 and "Around the needle" in used[0]
    table = np.array([[float(cell) for cell in row.split(",")] for row in numbers])
    np.testing.assert_allclose(table[:, 0], run.time, atol=1e-6)
    np.testing.assert_allclose(table[:, 1], run.vacuum / MMHG.to_si(1), atol=1e-3)
    with page.expect_download() as picture:
        chart.get_by_role("button", name="Download as image").click()
    assert picture.value.suggested_filename == "tipsim-flow-vacuum.png"
    assert Path(picture.value.path()).read_bytes().startswith(b"\x89PNG")


def test_a_chart_zooms_and_shows_all_again(browser_page: OpenPage) -> None:
    page = with_all_charts(browser_page("/flow", **CALM))
    chart = page.locator(".chart").last
    chart.get_by_text("Table and downloads").click()
    places = chart.locator("tbody th")
    whole = places.all_inner_texts()
    chart.get_by_role("button", name="Zoom in").click()
    expect(places.last).not_to_have_text(whole[-1])
    chart.get_by_role("button", name="Show all").click()
    expect(places.last).to_have_text(whole[-1])


def test_a_chart_follows_the_theme(browser_page: OpenPage) -> None:
    page = ready(browser_page("/flow", **CALM))
    host = page.locator(".chart-host").first
    before = host.screenshot()
    page.get_by_role("button", name="Dark colours").click()
    expect(page.locator("html")).to_have_attribute("data-theme", "dark")
    assert host.screenshot() != before


def test_an_example_changes_words_numbers_and_link_and_survives_a_reload(
    browser_page: OpenPage,
) -> None:
    page = ready(browser_page("/flow", **CALM))
    expect(page.locator(".headline")).to_contain_text("dips from 42 to 23 mmHg")
    more = page.get_by_label("More", exact=True)
    more.select_option(label="Compliant tubing")
    in_link(page, "surge.line_compliance_ul_mmhg=2.8")
    expect(page.locator(".headline")).to_contain_text("dips from 42 to 21 mmHg")
    page.reload()
    ready(page)
    expect(more).to_have_value("soft")
    button(page, "Irrigation line kinked").click()
    in_link(page, "surge.event=no+irrigation")
    expect(page.locator(".headline")).to_have_text(
        "The irrigation stops: the chamber is flat after 0.7 s."
    )
    page.get_by_label("Time", exact=True).focus()
    page.keyboard.press("End")
    expect(page.locator(".now-words")).to_contain_text("flat: the model ends")
    expect(page.locator(".drawing.low:visible")).to_have_count(1)
    more.select_option(label="Bypass hole")
    in_link(page, "needle.bypass_diameter_mm=0.2")
    through = re.compile("through the hole")
    expect(page.locator("svg.bench").first).to_have_attribute("aria-label", through)
    page.get_by_text("More settings", exact=True).click()
    page.get_by_role("button", name="Reset").click()
    expect(button(page, "Occlusion and surge")).to_have_attribute("aria-pressed", "true")


def test_wrong_input_gets_a_sentence(browser_page: OpenPage) -> None:
    page = ready(browser_page("/flow", viewport=DESK))
    before = page.url
    typed(page, "Bottle above the eye", "400")
    wrong = page.get_by_text("Enter a number from 0 to 150 cm. You entered 400 cm.")
    expect(wrong).to_be_visible()
    assert page.url == before
    typed(page, "Bottle above the eye", "110")
    in_link(page, "bottle=110")
    expect(wrong).to_be_hidden()
    expect(page.locator("svg.bench").first).to_contain_text("bottle 110 cm above the eye")


def test_steps_can_be_taken_back_and_done_again(browser_page: OpenPage) -> None:
    page = ready(browser_page("/flow", **CALM))
    field = page.get_by_label("Bottle above the eye", exact=True)
    page.get_by_text("More settings", exact=True).click()
    expect(button(page, "Undo")).to_be_hidden()
    typed(page, "Bottle above the eye", "70")
    in_link(page, "bottle=70")
    page.get_by_text("Needles, incision and opening", exact=True).click()
    slider = page.get_by_label("Leak through the incision in mL/min, slider")
    box = slider.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 20, box["y"] + box["height"] / 2)
    page.mouse.down()
    for k in range(2, 8):
        page.mouse.move(box["x"] + 20 * k, box["y"] + box["height"] / 2)
    page.mouse.up()
    in_link(page, "leak=")
    # Much of the drag may still wait for answers: what is chosen now comes after it all the same.
    page.get_by_label("More", exact=True).select_option(label="Leaky incision")
    in_link(page, "leak=20")
    button(page, "Undo").click()
    expect(field).to_have_value("70")
    # The whole drag is one step.
    page.keyboard.press("Control+z")
    page.wait_for_function("!location.search.includes('leak=')")
    expect(field).to_have_value("70")
    page.keyboard.press("Control+z")
    expect(field).to_have_value("90")
    # It stays, so that what stands beside it does not move from under the pointer.
    expect(button(page, "Undo")).to_be_disabled()
    button(page, "Redo").click()
    expect(field).to_have_value("70")


def test_a_number_opens_its_source(browser_page: OpenPage) -> None:
    page = ready(browser_page("/flow", viewport=DESK))
    unfold(page, "readout")
    ask = page.get_by_role("button", name="Where does this number come from? Leaks")
    ask.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_text("67 ± 11 % leaked")).to_be_visible()
    unfold(page, "sources")
    sources = page.locator(".sources li")
    expect(sources.filter(has_text="Compliance of the aspiration line")).to_contain_text("assumed")


def test_a_bare_needle_has_no_chamber(browser_page: OpenPage) -> None:
    page = ready_bare(browser_page("/flow?sleeve=none", **CALM))
    expect(page.locator("svg.bench").first).to_contain_text("open dish, no bottle")
    expect(page.locator(".signs")).to_contain_text("put a sleeve on bench A")


def ready_bare(page: Page) -> Page:
    page.locator(".chip").first.wait_for()
    page.locator(".signs").wait_for(state="attached")
    return page


def test_what_is_set_goes_along_from_page_to_page(browser_page: OpenPage) -> None:
    page = browser_page("/compare?power=40&view.speed=1", viewport=DESK)
    page.locator(".ts-stage").wait_for()
    page.wait_for_load_state("networkidle")
    page.get_by_role("button", name="Effects").click()
    page.get_by_role("link", name="Fluidics").click()
    ready(page)
    page.get_by_label("More", exact=True).select_option(label="Leaky incision")
    in_link(page, "leak=20")
    page.get_by_role("link", name="Compare needles", exact=True).click()
    page.locator(".ts-stage").wait_for()
    in_link(page, "view.speed=1")
    in_link(page, "leak=20")


@pytest.mark.parametrize("height", [0, 10, 20])
@pytest.mark.parametrize("event", ["occlusion", "no+irrigation"])
def test_a_bottle_that_is_too_low_draws_a_flat_chamber(
    browser_page: OpenPage, height: int, event: str
) -> None:
    """It wrote NaN into the drawing, thousands of times, above a dome that stood full."""
    page = browser_page("/flow", **CALM)
    said: list[str] = []
    page.on("console", lambda m: said.append(m.text) if m.type == "error" else None)
    page.on("pageerror", lambda e: said.append(str(e)))
    page.goto(page.url.split("?")[0] + f"?bottle={height}&surge.event={event}")
    ready(page)
    svg = page.locator("svg.bench").first
    expect(svg).to_have_attribute("aria-label", re.compile("chamber flat"))
    page.get_by_label("Time", exact=True).focus()
    page.keyboard.press("End")
    frames(page)
    paths = svg.evaluate(
        "s => [...s.querySelectorAll('path')].map((p) => p.getAttribute('d')).join()"
    )
    assert "NaN" not in paths and said == []
    # The cornea ends on the lens: its right half lies lower than that of a full chamber.
    numbers = [
        float(x) for x in re.findall(r"-?[\d.]+", svg.locator(".cornea").get_attribute("d") or "")
    ]
    assert numbers[5] > 258


def test_one_eye_where_both_are_alike_and_two_where_not(browser_page: OpenPage) -> None:
    page = ready(browser_page("/flow", **CALM))
    expect(page.locator("svg.bench:visible")).to_have_count(1)
    expect(page.locator(".drawing:visible figcaption")).to_contain_text("flow alike")
    page.get_by_label("More", exact=True).select_option(label="Two kinds of pump")
    in_link(page, "b.pump=vacuum")
    expect(page.locator("svg.bench:visible")).to_have_count(2)
    expect(page.locator(".headline")).to_contain_text("vacuum-controlled pump")
    unfold(page, "signs")
    page.locator(".pumps > summary").click()
    expect(page.locator(".pumps table")).to_have_count(2)


def test_a_line_is_kinked_and_freed_by_mouse(browser_page: OpenPage) -> None:
    page = ready(browser_page("/flow?surge.event=no+irrigation", viewport=DESK))
    button(page, "Kink the line").click()
    expect(page.locator(".now-words")).to_contain_text("the chamber empties")
    button(page, "Free the line").click()
    in_link(page, "surge.hold_s=")
    expect(page.locator(".headline")).to_contain_text("the chamber keeps")


def test_the_first_view_asks_little(browser_page: OpenPage) -> None:
    """At most 20 controls: a number with slider and help is one, as is a chart with its tools."""
    page = ready(browser_page("/flow", **CALM))
    found = page.evaluate(
        """() => {
          const all = [];
          const walk = (root) => root.querySelectorAll("*").forEach((e) => {
            if (e.shadowRoot) walk(e.shadowRoot);
            if (e.matches("button, select, input, summary, a[href]")) all.push(e);
          });
          walk(document.querySelector("main"));
          const seen = all.filter((e) => {
            const box = e.getBoundingClientRect();
            return box.width && box.top < innerHeight && e.checkVisibility() && !e.disabled;
          });
          const name = (e) => (e.ariaLabel ?? e.textContent).trim();
          return seen
            .filter((e) => !e.matches(".ask") && !name(e).endsWith(", slider"))
            .map((e) => (e.type === "radio" ? e.name : e.closest(".chart") ? "chart" : name(e)));
        }"""
    )
    assert 10 < len(set(found)) <= 20, sorted(set(found))


def test_it_stands_still_for_those_who_ask_for_less_motion(browser_page: OpenPage) -> None:
    page = ready(browser_page("/flow", **CALM))
    look = "svg => svg.querySelector('.flow.in').style.strokeDashoffset"
    before = page.locator("svg.bench").first.evaluate(look)
    frames(page)
    assert page.locator("svg.bench").first.evaluate(look) == before


def test_water_flows_on_while_nothing_is_done(browser_page: OpenPage) -> None:
    page = ready(browser_page("/flow", viewport=DESK))
    look = "svg => svg.querySelector('.flow.in').style.strokeDashoffset"
    before = page.locator("svg.bench").first.evaluate(look)
    frames(page)
    assert page.locator("svg.bench").first.evaluate(look) != before
    assert at(page) == 0


@pytest.mark.parametrize(
    ("width", "height", "scheme"),
    [(1440, 900, "dark"), (390, 844, "light")],
)
def test_axe_finds_nothing_serious(
    browser_page: OpenPage, width: int, height: int, scheme: Any
) -> None:
    size = {"width": width, "height": height}
    page = ready(browser_page("/flow", viewport=size, color_scheme=scheme))
    page.get_by_label("More", exact=True).select_option(label="Compliant tubing")
    in_link(page, "line_compliance")
    page.get_by_label("Time", exact=True).focus()
    page.keyboard.press("End")
    unfold(page, "signs")
    page.get_by_text("Key moments as a table").click()
    at_rest(page)
    found = Axe().run(page)
    serious = [
        f"{v['id']}: {[n['target'] for n in v['nodes']][:3]}"
        for v in found.response["violations"]
        if v["impact"] in ("serious", "critical")
    ]
    assert serious == []
