"""Walks through a lesson: answers every question right, by mouse or by keyboard alone."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import FrameLocator, Locator, Page, expect

from tests.browser.conftest import at_rest
from tipsim.lesson.ask import Asked, ask
from tipsim.lesson.format import School
from tipsim.lesson.kinds import right_answer
from tipsim.lesson.read import school
from tipsim.setup.catalogue import catalogue
from tipsim.setup.link import ALIASES

FIRST = "drive-to-stroke"
CALM = {"viewport": {"width": 1280, "height": 800}, "reduced_motion": "reduce"}
DEEP = """() => {
  let node = document.activeElement;
  while (node?.shadowRoot?.activeElement) node = node.shadowRoot.activeElement;
  return node;
}"""
_IS = f"node => node === ({DEEP})()"
_MOST_STOPS = 160


def ready(page: Page) -> Page:
    """Wait for the player."""
    page.locator(".step > h2").wait_for()
    return page


def open_question(page: Page) -> Locator:
    """Return the question that waits for an answer."""
    return page.locator(".question.open").first


def asked_in(question: Locator, lessons: School | None = None) -> Asked:
    """Return the item of a question in the variant that is shown."""
    id, seed = question.get_attribute("data-item"), question.get_attribute("data-seed")
    assert id is not None
    assert seed is not None
    home = (lessons or school()).home(id)
    return ask(home, home.items[id], int(seed))


class Hand:
    """Answers by mouse; `lessons` where the server shows others than this copy's."""

    def __init__(self, page: Page, lessons: School | None = None) -> None:
        self.page, self.lessons = page, lessons

    def press(self, target: Locator) -> None:
        """Press a button or tick a box."""
        target.click()

    def type(self, field: Locator, text: str) -> None:
        """Fill a field and leave it."""
        field.fill(text)
        field.press("Enter")

    def choose(self, select: Locator, value: str) -> None:
        """Choose out of a list."""
        select.select_option(value)

    def tick(self, box: Locator) -> None:
        """Tick a radio or a box."""
        box.locator("xpath=..").click()

    def place(self, question: Locator, truth: float) -> None:
        """Click at a place of the drawn needle."""
        middle = question.locator("path.middle")
        middle.scroll_into_view_if_needed()
        x, y = middle.evaluate(
            """(path, mm) => {
              const at = path.getPointAtLength(path.getTotalLength() - mm);
              const on = at.matrixTransform(path.getScreenCTM());
              return [on.x, on.y];
            }""",
            truth,
        )
        self.page.mouse.click(x, y)

    def sketch(self, question: Locator, heights: list[float]) -> None:
        """Draw a line through the handles' places."""
        svg = question.locator("svg.sketch")
        svg.scroll_into_view_if_needed()
        spots = svg.evaluate(
            """(svg, heights) => [...svg.querySelectorAll(".handle")].map((node, i) => {
              const y = 14 + (1 - heights[i]) * (250 - 14 - 40);
              const at = new DOMPoint(Number(node.getAttribute("cx")), y);
              const on = at.matrixTransform(svg.getScreenCTM());
              return [on.x, on.y];
            })""",
            heights,
        )
        self.page.mouse.move(*spots[0])
        self.page.mouse.down()
        for spot in spots[1:]:
            self.page.mouse.move(*spot)
        self.page.mouse.up()


class Keys(Hand):
    """Answers by keyboard alone: Tab to where it is, then keys."""

    def tab_to(self, target: Locator) -> None:
        """Press Tab until the target has the focus."""
        for _ in range(_MOST_STOPS):
            if target.evaluate(_IS):
                return
            self.page.keyboard.press("Tab")
        raise AssertionError(f"Tab never came to {target}")

    def press(self, target: Locator) -> None:
        self.tab_to(target)
        self.page.keyboard.press("Enter")

    def type(self, field: Locator, text: str) -> None:
        self.tab_to(field)
        self.page.keyboard.press("Control+A")
        self.page.keyboard.type(text)
        self.page.keyboard.press("Enter")

    def choose(self, select: Locator, value: str) -> None:
        self.tab_to(select)
        values = select.evaluate("node => [...node.options].map((o) => o.value)")
        now = select.evaluate("node => node.selectedIndex")
        way = values.index(value) - now
        for _ in range(abs(way)):
            self.page.keyboard.press("ArrowDown" if way > 0 else "ArrowUp")
        expect(select).to_have_value(value)

    def tick(self, box: Locator) -> None:
        if box.get_attribute("type") == "checkbox":
            self.tab_to(box)
            self.page.keyboard.press("Space")
            return
        name = box.get_attribute("name")
        group = self.page.locator(f'input[type="radio"][name="{name}"]')
        at = group.evaluate_all(
            "(all, value) => all.findIndex((r) => r.value === value)", box.get_attribute("value")
        )
        self.tab_to(group.first)
        self.page.keyboard.press("Space")
        for _ in range(at):
            self.page.keyboard.press("ArrowDown")
        expect(box).to_be_checked()

    def place(self, question: Locator, truth: float) -> None:
        self.tab_to(question.locator("svg.needle"))
        self.page.keyboard.press("End")
        for _ in range(int(truth)):
            self.page.keyboard.press("PageUp")
        for _ in range(round((truth - int(truth)) * 10)):
            self.page.keyboard.press("ArrowLeft")

    def sketch(self, question: Locator, heights: list[float]) -> None:
        self.tab_to(question.locator(".handle").first)
        for i, height in enumerate(heights):
            if i:
                self.page.keyboard.press("ArrowRight")
            steps = round(height / 0.05)
            self.page.keyboard.press("End")
            for key, count in (("PageUp", steps // 5), ("ArrowUp", steps % 5)):
                for _ in range(count):
                    self.page.keyboard.press(key)


def answer(page: Page, hand: Hand) -> str:
    """Answer the open question right and return its id."""
    question = open_question(page)
    asked = asked_in(question, hand.lessons)
    # A locator of its own: once answered, the question is no longer the open one.
    question = page.locator(f'.question[data-item="{asked.item.id}"]')
    waiting = question.get_by_role("button", name="Set the bench up for this task")
    if waiting.count():
        hand.press(waiting)
        expect(waiting).to_have_count(0)
    _ANSWERS[asked.item.kind](page, hand, question, asked)
    sure = question.locator(".sure")
    predicted = sure.count() > 0
    if predicted:
        hand.tick(sure.locator("input").nth(1))
    # Enter in a number's field is an answer already.
    if predicted or asked.item.kind != "number":
        hand.press(question.locator("button.main"))
    expect(question.locator(".verdict")).to_be_visible()
    if not predicted:
        expect(question.locator(".verdict .heading")).to_have_text("✓Right")
    return asked.item.id


def _choices(page: Page, hand: Hand, question: Locator, asked: Asked) -> None:
    for id in [right_answer(asked)] if asked.item.kind == "one" else right_answer(asked):
        hand.tick(question.locator(f'input[value="{id}"]'))


def _number(page: Page, hand: Hand, question: Locator, asked: Asked) -> None:
    hand.type(question.locator(".number input"), f"{right_answer(asked):.6g}")


def _order(page: Page, hand: Hand, question: Locator, asked: Asked) -> None:
    for place, id in enumerate(right_answer(asked)):
        row = question.locator(f'li[data-entry="{id}"]')
        now = row.evaluate("node => [...node.parentNode.children].indexOf(node)")
        for _ in range(now - place):
            hand.press(row.get_by_role("button").first)


def _match(page: Page, hand: Hand, question: Locator, asked: Asked) -> None:
    for i, value in enumerate(right_answer(asked).values()):
        hand.choose(question.locator("select").nth(i), value)


def _place(page: Page, hand: Hand, question: Locator, asked: Asked) -> None:
    hand.place(question, right_answer(asked))


def _sketch(page: Page, hand: Hand, question: Locator, asked: Asked) -> None:
    curve = right_answer(asked)
    labels = question.locator(".handle")
    length = max(mm for mm, _ in curve)
    count = labels.count()
    places = [length * (1 - i / (count - 1)) for i in range(count)]
    heights = [min(curve, key=lambda point: abs(point[0] - mm))[1] for mm in places]
    hand.sketch(question, heights)


def _goal(page: Page, hand: Hand, question: Locator, asked: Asked) -> None:
    item: Any = asked.item
    wanted = right_answer(asked)
    inside = page.frame_locator("iframe") if page.locator("iframe").count() else page
    for name in item.free:
        field = ALIASES.get(name, name)
        values = {side: settings.get(name) for side, settings in wanted.items()}
        # A page in a frame takes a moment.
        either = _control(inside, "both", field).or_(_control(inside, "a", field))
        either.first.wait_for(state="attached")
        if _control(inside, "both", field).count():
            values = {"both": values["a"]}
        for side, value in values.items():
            if value is not None and side in ("a", "b", "both"):
                _set(hand, _control(inside, side, field), value)


def _control(inside: Page | FrameLocator, side: str, field: str) -> Locator:
    """Return what a field is set with: a number, a list, or the radios of a choice."""
    id = f"{side}:{field}"
    return inside.locator(f':is(input, select)[id$="-{id}"], input[type="radio"][name="{id}"]')


def _set(hand: Hand, control: Locator, value: str) -> None:
    kind = control.first.evaluate("node => node.type")
    if kind == "radio":
        hand.tick(control.and_(control.page.locator(f'[value="{value}"]')))
    elif kind == "select-one":
        hand.choose(control, catalogue().main.get(value, value))
    else:
        hand.type(control, value)


_ANSWERS: Mapping[str, Callable[[Page, Hand, Locator, Asked], None]] = {
    "one": _choices,
    "several": _choices,
    "number": _number,
    "order": _order,
    "match": _match,
    "place": _place,
    "sketch": _sketch,
    "goal": _goal,
}

Visit = Callable[[Page, str], Any]


def finish_step(page: Page, hand: Hand, look: Callable[[str], None] | None = None) -> None:
    """Do everything that the step asks; `look` at each open question, by its kind."""
    run = page.get_by_role("button", name="Run", exact=False).and_(page.locator("button.run"))
    if run.count():
        hand.press(run)
        expect(page.locator(".experiment .ts-stage, .experiment iframe").first).to_be_visible()
    while open_question(page).count():
        if look:
            look(open_question(page).get_attribute("data-kind") or "")
        answer(page, hand)


def go_on(page: Page, hand: Hand) -> None:
    """Go to the next step, and wait until it is there."""
    onward = page.locator(".onward button.next")
    place = page.locator(".step > .kind").inner_text()
    expect(onward).to_have_attribute("aria-disabled", "false")
    now = page.locator(".step > .kind")
    hand.press(onward)
    expect(now).not_to_have_text(place)
    expect(page.locator(".step > h2")).to_be_focused()


def walk(page: Page, hand: Hand, visit: Visit | None = None) -> list[str]:
    """Go through a lesson to its last step and return the kinds of the steps."""
    kinds = []
    while True:
        kind = page.locator(".step").get_attribute("data-kind") or ""
        kinds.append(kind)
        if visit:
            visit(page, kind)
        finish_step(page, hand)
        if not page.locator(".onward button.next").count():
            return kinds
        go_on(page, hand)


def fits(page: Page, kind: str) -> None:
    wide, room = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    assert wide <= room, f"{kind} scrolls sideways: {wide} of {room}"


def serious(page: Page, **options: Any) -> list[str]:
    """Return what axe finds serious or moderate, in frames too."""
    axe = Axe()
    for frame in page.frames[1:]:
        frame.evaluate(axe.axe_script)
    found = axe.run(page, options={"resultTypes": ["violations"], **options}).response
    return [
        f"{v['id']}: {v['nodes'][0]['target']} {v['nodes'][0]['html'][:200]}"
        for v in found["violations"]
        if v["impact"] != "minor"
    ]


def in_both_themes(page: Page, what: str) -> list[str]:
    """Return what axe finds serious or moderate in light and in dark colours.

    In the second ones only what depends on colours is asked for.
    """
    out = []
    for theme, options in (("light", {}), ("dark", {"runOnly": ["color-contrast"]})):
        for frame in page.frames:
            frame.evaluate("theme => (document.documentElement.dataset.theme = theme)", theme)
        at_rest(page)
        out += [f"{what}, {theme}: {v}" for v in serious(page, **options)]
    return out
