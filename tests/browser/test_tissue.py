"""The tissue page in a real browser: iris and clock, numbers, incision, equal cutting, keyboard."""

import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import at_rest, frames, unfold
from tipsim.app.pages.tissue.state import TissueState

pytestmark = pytest.mark.browser

OpenPage = Callable[..., Page]
DESK = {"width": 1440, "height": 900}
CALM: dict[str, Any] = {"viewport": DESK, "reduced_motion": "reduce"}
CHARTS = 9


def ready(page: Page) -> Page:
    """Wait for all of it, what comes a moment later too."""
    expect(page.locator("svg.section")).to_have_count(2)
    unfold(page)
    expect(page.locator(".chart-read:not(:empty)")).to_have_count(CHARTS)
    expect(page.locator(".risk")).to_have_count(2)
    expect(page.locator("#compare .bars-of")).to_have_count(4)
    settled(page)
    return page


def settled(page: Page) -> None:
    """Wait until nothing is still to come for the settings that are shown."""
    expect(page.locator(".article[aria-busy=true]")).to_have_count(0)
    at_rest(page)


def in_link(page: Page, part: str) -> None:
    page.wait_for_function("part => location.search.includes(part)", arg=part)


def button(page: Page, name: str) -> Locator:
    return page.get_by_role("button", name=name, exact=True)


def at(page: Page) -> float:
    return float(page.locator("#iris .bar .reading").inner_text().split()[0])


def rubbed(page: Page) -> float:
    """Return how many times as much A's iris was rubbed as B's, as the picture tells."""
    words = page.locator("#iris .ratio").text_content() or ""
    return float(re.findall(r"rubbed ([\d.]+) times as much as B's", words)[0])


def typed(page: Page, label: str, value: str) -> None:
    field = page.get_by_label(label, exact=True)
    field.focus()
    page.keyboard.press("Control+A")
    page.keyboard.type(value)
    page.keyboard.press("Enter")


def cell(page: Page, label: str, side: int) -> Locator:
    row = page.get_by_role("row").filter(has=page.get_by_text(label, exact=True))
    return row.locator("td.value").nth(side)


def test_the_iris_plays_stops_and_steps(browser_page: OpenPage) -> None:
    page = ready(browser_page("/tissue", viewport=DESK))
    iris = page.locator("#iris")
    iris.get_by_role("button", name="Pause", exact=True).click()
    stopped = at(page)
    frames(page)
    assert at(page) == stopped > 0
    # From here on by keyboard alone.
    iris.get_by_label("Time", exact=True).focus()
    page.keyboard.press("Home")
    assert at(page) == 0
    button(page, "Next contact").focus()
    page.keyboard.press("Enter")
    expect(page.locator(".lit").first).to_have_text("● touching")
    expect(page.locator("svg.section .iris.touching")).to_have_count(4)
    expect(page.locator("svg.section").first).to_have_attribute(
        "aria-label", re.compile("the iris touches, 1 contact so far")
    )
    contact = at(page)
    page.keyboard.press(",")
    assert at(page) == pytest.approx(contact - 0.05, abs=0.011)
    page.keyboard.press(".")
    button(page, "50 milliseconds on").focus()
    page.keyboard.press("Enter")
    assert at(page) == pytest.approx(contact + 0.05, abs=0.011)
    iris.locator(".chart-host").first.click(position={"x": 600, "y": 60})
    assert 4 < at(page) < 10
    # One random run for both, in which A rubs more. In joules the range is ten decades: not shown.
    assert rubbed(page) > 1
    assert "mJ" not in page.locator("#iris").inner_text()
    button(page, "New random run").click()
    in_link(page, "view.tissue.seed=2")
    button(page, "Undo").click()
    page.wait_for_function("() => !location.search.includes('seed')")


def test_a_number_that_is_moved_moves_picture_numbers_and_link(browser_page: OpenPage) -> None:
    page = ready(browser_page("/tissue", **CALM))
    before = cell(page, "Contacts, /min", 0).inner_text()
    slider = page.get_by_label("Mean gap between sleeve and iris in mm, slider")
    slider.focus()
    page.keyboard.press("Home")
    expect(cell(page, "Time in contact, %", 0)).to_contain_text("100")
    assert cell(page, "Contacts, /min", 0).inner_text() != before
    in_link(page, "eye.iris_gap_mm=-0.5")
    page.get_by_text("Floppy", exact=True).click()
    in_link(page, "eye.iris_modulus_kpa=1")
    page.locator("#iris").get_by_label("Time", exact=True).focus()
    page.keyboard.press("End")
    settled(page)
    times = rubbed(page)
    typed(page, "Friction of iris on sleeve (assumed)", "0.5")
    in_link(page, "tissue.iris.friction=0.5")
    settled(page)
    # By Coulomb's law the same factor for both, so that it leaves the ratio.
    assert rubbed(page) == times
    typed(page, "Closest point of the iris, from the tip", "3")
    in_link(page, "eye.iris_place_mm=3")
    settled(page)
    page.locator("#iris").get_by_label("Time", exact=True).focus()
    page.keyboard.press("End")
    assert abs(rubbed(page) - times) > 0.1
    speed = cell(page, "Rubbing speed, m/s", 0).inner_text()
    page.reload()
    ready(page)
    assert cell(page, "Rubbing speed, m/s", 0).inner_text() == speed
    page.locator("#iris").get_by_label("Time", exact=True).focus()
    page.keyboard.press("End")
    assert abs(rubbed(page) - times) > 0.1
    typed(page, "Mean gap between sleeve and iris", "9")
    wrong = page.locator(".wrong:not([hidden])")
    expect(wrong).to_have_text("Enter a number from -0.5 to 3 mm. You entered 9 mm.")


def test_a_number_opens_its_source_by_keyboard(browser_page: OpenPage) -> None:
    page = ready(browser_page("/tissue", **CALM))
    name = "Where does this number come from? Rubbing speed, m/s"
    page.get_by_role("button", name=name).focus()
    page.keyboard.press("Enter")
    opened = page.locator("#why-iris-speed")
    expect(opened).to_contain_text("the bend is held up or down")
    expect(opened).to_contain_text("whole range")
    expect(opened.locator(".chip").first).to_have_text("assumed")
    # It stays open while the numbers change.
    typed(page, "Mean gap between sleeve and iris", "0")
    in_link(page, "eye.iris_gap_mm=0")
    settled(page)
    expect(opened).to_be_visible()
    page.get_by_role("button", name=name).focus()
    page.keyboard.press("Space")
    expect(opened).to_be_hidden()


def test_heat_comes_after_the_rest_and_the_incision_says_what_it_means(
    browser_page: OpenPage,
) -> None:
    page = ready(browser_page("/tissue?outside=wound&duration=20", **CALM))
    expect(page.locator(".risk").first).to_contain_text("green")
    page.get_by_label("Flow and load", exact=True).select_option("none")
    in_link(page, "aspiration=0")
    expect(page.locator(".risk").first).to_contain_text("red")
    expect(page.locator(".risk").first).to_contain_text("Water boils after")
    moment = page.locator("#lip").get_by_label("Moment", exact=True)
    moment.focus()
    page.keyboard.press("Home")
    expect(moment).to_have_attribute("aria-valuetext", re.compile("^0.0 seconds: A 25.0 °C"))
    typed(page, "Width of the incision", "3.2")
    expect(page.locator("#wound figcaption").first).to_contain_text("loose")
    expect(page.get_by_role("heading", name="What to do first")).to_be_visible()
    expect(page.locator("ol.notes li").first).to_contain_text("Stop ultrasound")


def power_of_equal_cutting() -> float:
    """Return B's power [%] at which it cuts as A does, between powers that are set by hand."""
    powers = range(78, 85)
    rates = []
    for power in powers:
        state = TissueState.from_items({"view.apart": "1", "b.power": str(power)})
        a, b = (result.cutting.rate.usual for result in state.results)
        rates.append(b)
    assert rates[0] < a < rates[-1]
    return float(np.interp(a, rates, powers))


def test_equal_cutting_and_the_claim(browser_page: OpenPage) -> None:
    page = ready(browser_page("/tissue", **CALM))
    power = power_of_equal_cutting()
    speed = float(cell(page, "Rubbing speed, m/s", 1).inner_text().split()[0])
    switch = page.locator("#equal")
    switch.focus()
    page.keyboard.press("Space")
    in_link(page, "view.tissue.equal=1")
    expect(page.locator("#compare .values").first).to_contain_text(f"{power:.0f} % power")
    expect(page.get_by_label("Equal cutting: set B's power", exact=True)).to_be_checked()
    settled(page)
    # The sleeve swings in proportion to the drive.
    less = float(cell(page, "Rubbing speed, m/s", 1).inner_text().split()[0])
    assert less == pytest.approx(speed * power / 100, abs=0.01)
    assert less < speed - 0.02
    expect(page.locator(".claim")).to_have_count(2)
    expect(page.locator(".claim").first).to_contain_text("does not hold as set (limit 4)")
    page.locator(".claim summary").first.click()
    turning = "Share of the needle's turning that the sleeve takes on"
    expect(page.locator(".claim table").first).to_contain_text(turning)
    lay = button(page, "Let the iris lie on the sleeve (gap 0)")
    lay.click()
    in_link(page, "eye.iris_gap_mm=0")
    expect(lay).to_have_count(0)
    button(page, "Reset").click()
    page.wait_for_function("() => !location.search.includes('eye.iris_gap_mm')")


def test_it_stands_still_for_those_who_ask_for_less_motion(browser_page: OpenPage) -> None:
    page = ready(browser_page("/tissue", **CALM))
    assert at(page) == 0
    expect(page.locator("#iris").get_by_role("button", name="Play", exact=True)).to_be_visible()


@pytest.mark.parametrize("width, scheme", [(1280, "dark"), (390, "light")])
def test_axe_finds_nothing_serious(browser_page: OpenPage, scheme: str, width: int) -> None:
    options = CALM | {"viewport": {"width": width, "height": 844}, "color_scheme": scheme}
    page = ready(browser_page("/tissue?outside=wound&occlusion=100&duration=10", **options))
    settled(page)
    found = Axe().run(page).response["violations"]
    serious = [v for v in found if v["impact"] in ("serious", "critical")]
    assert [(v["id"], v["nodes"][0]["html"][:120]) for v in serious] == []
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
