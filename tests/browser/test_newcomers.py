"""From opening tipsim to the first insight, as each role of the front page would go.

Set ``TIPSIM_PICTURES`` to a folder for a picture of each place on the way.
"""

import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

import tipsim
from tests.browser.conftest import OpenPage
from tipsim.setup.scenario import Scenario

pytestmark = pytest.mark.browser

DESK = {"width": 1440, "height": 900}
MOST_CLICKS = 4
Press = Callable[[str, Locator], None]


def role(page: Page, name: str) -> Locator:
    return page.locator("[data-role]").filter(has=page.get_by_role("heading", name=name))


def strokes() -> tuple[str, str]:
    """Return what both tips of the first pair do [µm], as the model gives it, rounded."""
    a, b = (
        tipsim.solve(Scenario.preset(f"{shape}, torsional"))
        for shape in ("single-bend", "counter-bent")
    )
    return f"{a.motion.end_stroke * 1e6:.0f}", f"{b.motion.end_stroke * 1e6:.0f}"


def in_lesson(page: Page, press: Press, name: str) -> Locator:
    press("lesson", role(page, name).get_by_role("link").first)
    inside = page.frame_locator(".opening iframe")
    told = inside.locator("svg.bench").filter(visible=True)
    for chamber in (told.nth(0), told.nth(1)):
        expect(chamber).to_contain_text(re.compile(r"\d+\s*mmHg in the chamber"))
    # The pump draws on B only, so its chamber stands lower (Bernoulli: flow uses up pressure).
    read = [
        int(re.findall(r"(\d+)\s*mmHg in the chamber", told.nth(k).text_content() or "")[0])
        for k in (0, 1)
    ]
    assert read[0] > read[1] > 0
    return told.nth(1)


def resident(page: Page, press: Press) -> Locator:
    return in_lesson(page, press, "Resident")


def nurse(page: Page, press: Press) -> Locator:
    return in_lesson(page, press, "Nurse or technician")


def teacher(page: Page, press: Press) -> Locator:
    press("list", role(page, "Teacher").get_by_role("link", name="Show scenarios to a class"))
    press("example", page.get_by_role("button", name="Use an example list"))
    press("slide", page.get_by_role("button", name="Present", exact=True))
    return page.frame_locator(".slide iframe").locator("#glance .headline")


def visitor(page: Page, press: Press) -> Locator:
    press("compare", role(page, "Just looking").get_by_role("link"))
    expect(page.locator("#glance")).to_have_attribute("aria-busy", "false")
    for number in strokes():
        expect(page.locator("#glance .three")).to_contain_text(number)
    return page.locator("#glance .headline")


@pytest.mark.parametrize("walk", [resident, nurse, teacher, visitor])
def test_the_first_insight_in_four_clicks(
    browser_page: OpenPage, walk: Callable[[Page, Press], Locator]
) -> None:
    page = browser_page("/", viewport=DESK, reduced_motion="reduce")
    expect(page.get_by_role("heading", level=1)).to_contain_text("A's whole shaft swings")
    clicks: list[str] = []
    folder = os.environ.get("TIPSIM_PICTURES")

    def picture(where: str) -> None:
        if folder:
            page.screenshot(path=Path(folder) / f"{walk.__name__}-{len(clicks)}-{where}.png")

    def press(where: str, target: Locator) -> None:
        expect(target).to_be_in_viewport(ratio=1)
        target.click()
        clicks.append(where)
        picture(where)

    insight = walk(page, press)
    expect(insight).to_have_text(re.compile(r"\w+"))
    expect(insight).to_be_in_viewport(ratio=1)
    picture("insight")
    assert page.evaluate("scrollY") == 0
    assert 1 <= len(clicks) <= MOST_CLICKS
