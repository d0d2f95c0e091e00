"""A page: messages, undo, which slow work is shown, forms; by order, never by time."""

import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, ClassVar

import param
import pytest

from tipsim.app.framework.acts import Acts
from tipsim.app.framework.component import Part
from tipsim.app.framework.form import DRIVE, NEEDLES, PULSES, SLEEVE, Group, form
from tipsim.app.framework.history import MOST, History
from tipsim.app.framework.page import FAILED, Later, Page, View
from tipsim.app.framework.pages import PAGES
from tipsim.app.framework.slow import Workers
from tipsim.app.framework.state import PageState, switch
from tipsim.app.pages.flow.page import FlowPage
from tipsim.setup.checks import check
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import part, quantity
from tipsim.setup.units import MM, SECOND
from tipsim.solve import solve

LIMIT_S = 30
"""Longest wait for something that must happen: only a failure takes so long."""


class Box(Part):
    """A part that shows two values."""

    quick = param.Number(default=0)
    slow = param.Number(default=0)
    reply = param.Dict(default={})
    _esm: ClassVar[str] = "export const render = () => null;"


@dataclass(frozen=True)
class Lamp:
    """A part of the page's own."""

    width: float = quantity(MM, 0, 50, "a width", default=0.02, label="Width")

    def __post_init__(self) -> None:
        check(self)


@dataclass(frozen=True)
class State(PageState):
    """A bench, a time and a lamp."""

    time: float = quantity(SECOND, 0, 10, "a time", default=1.0, label="Time")
    lit: bool = switch("whether it is lit")
    lamp: Lamp = part(Lamp, "the lamp", default=Lamp())

    PREFIX: ClassVar[str] = "view.try."
    LOOKS: ClassVar[tuple[str, ...]] = ("lit",)


def quick(state: State) -> float:
    if state.time == 7:
        raise ZeroDivisionError
    if state.time == 8:
        raise BadInput("time_s", "8 s", "another")
    return state.time


def slow(state: State) -> float:
    if state.time == 9:
        raise ZeroDivisionError
    return 10 * state.time


class Try(Page[State]):
    """A page to try."""

    path, title = "try", "Try"
    State = State
    groups = (Group("Own", ("time_s", "lit")), Group("Drive", ("drive.power_percent",)))
    views = (View("box", Box, "The box", {"quick": quick, "slow": Later(slow)}),)


class ByHand:
    """Keeps jobs until the test does them."""

    def __init__(self) -> None:
        self.jobs: list[tuple[Callable[[], Any], Callable[[Any], None]]] = []

    def submit(self, _owner: Any, _name: str, work: Any, done: Any, /) -> None:
        self.jobs.append((work, done))

    def forget(self, _owner: Any, /) -> None:
        self.jobs.clear()

    def do(self, k: int) -> None:
        work, done = self.jobs[k]
        done(work())


def setting(value: Any, path: str = "time_s", **more: Any) -> dict[str, Any]:
    return {"seq": 1, "changes": [{"side": "both", "field": path, "value": value}], **more}


# ---- messages and answers ----


def test_a_change_is_answered_with_values_and_link() -> None:
    page = Try({"view.other.x": "3", "power": "50"})
    page.handle(setting(2, seq=5))
    reply = page.controls.reply
    assert reply["seq"] == 5 and reply["errors"] == {} and reply["values"]["both:time_s"] == 2
    assert reply["link"].endswith("power=50&view.other.x=3&view.try.time_s=2")
    assert (page.parts["box"].quick, page.parts["box"].slow) == (2, 20)


@pytest.mark.parametrize(
    "message",
    [
        None,
        [],
        "x",
        {},
        {"changes": 7},
        {"changes": [3]},
        {"changes": [{}]},
        {"changes": [{"side": "both", "field": "time_s", "value": {"a": []}}]},
        {"changes": [{"side": ["a"], "field": "power", "value": 1}]},
        {"changes": [{"side": "both", "field": "__class__", "value": 1}]},
        {"changes": [{"side": "both", "field": "bench.a", "value": 1}]},
        {"want": ["nothing of that name"], "seq": 4},
    ],
)
def test_every_message_is_answered_with_a_sentence(message: Any) -> None:
    page = Try()
    before = page.state
    page.handle(message)
    reply = page.controls.reply
    said = [*reply["errors"].values(), reply.get("notice", "")]
    assert any(text.endswith(".") for text in said), said
    assert not any("Traceback" in text or "\n" in text for text in said)
    assert page.state == before


def test_a_message_carries_no_more_than_twenty_changes() -> None:
    page = Try()
    page.handle({"seq": 1, "changes": [setting(2)["changes"][0]] * 21})
    assert page.state.time == 1
    assert page.controls.reply["notice"] == (
        "21 changes came at once; at most 20 are allowed. Nothing was changed."
    )
    page.handle({"seq": 2, "changes": [setting(2)["changes"][0]] * 20})
    assert page.state.time == 2


def test_what_is_refused_stays_and_is_said_beside_its_control() -> None:
    page = Try()
    page.handle(
        {"changes": [*setting(11)["changes"], *setting(30, "drive.power_percent")["changes"]]}
    )
    assert page.state.time == 1 and page.state.bench.a.drive.power == 0.3
    assert page.controls.reply["errors"] == {
        "both:time_s": "Enter a number from 0 to 10 s. You entered 11 s."
    }


def test_a_change_that_fails_leaves_all_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    page = Try()

    def broken(*_: Any) -> State:
        raise RuntimeError

    monkeypatch.setattr(State, "change", broken)
    page.handle(setting(3, seq=9))
    assert (page.controls.reply["seq"], page.controls.reply["notice"]) == (9, FAILED)
    assert page.state.time == 1 and not page.history.past


@pytest.mark.parametrize(
    ("time", "words"), [(7, "could not be computed"), (8, "8 s"), (9, "could")]
)
def test_a_view_that_fails_keeps_its_picture_and_is_named(time: int, words: str) -> None:
    page = Try()
    page.handle(setting(time))
    assert page.controls.reply["notice"].startswith("The box: ")
    assert words in page.controls.reply["notice"]
    box = page.parts["box"]
    assert (box.quick, box.slow) == ((9, 10) if time == 9 else (1, 10 * time))
    assert page.state.time == time


def test_a_page_opens_although_a_view_fails() -> None:
    assert "The box" in Try({"view.try.time_s": "7"}).controls.reply["notice"]


def test_a_part_that_counts_gets_an_answer_of_its_own() -> None:
    page = Try()
    page.handle(setting(99, n=4), page.parts["box"])
    assert page.parts["box"].reply["n"] == 4 and "99 s" in page.parts["box"].reply["error"]


def test_a_link_that_is_wrong_in_part_stays_in_the_address_until_a_change() -> None:
    page = Try({"view.try.time_s": "2", "view.try.lamp": "1", "power": "none"})
    reply = page.controls.reply
    assert "link" not in reply and page.state.time == 2
    page.handle({"changes": [{"field": "time_s", "value": "soon"}]})
    assert page.controls.reply["errors"] and "link" not in page.controls.reply
    assert page.link_notice == (
        'Part of this link could not be used: power is "none"; allowed: a number. '
        "view.try.lamp is not here; allowed: time_s, lit, width_mm. The rest of it is shown."
    )
    page.handle(setting(3))
    assert "view.try.time_s=3" in page.controls.reply["link"]


def test_a_part_of_the_page_has_no_name_in_links() -> None:
    state = State.first().change("both", "lamp.width_mm", "30").change("a", "lit", True)
    assert state.lamp.width == 0.03
    assert state.to_query().endswith("view.try.lit=1&view.try.width_mm=30")
    assert State.from_items({"view.try.width_mm": "30", "view.try.lit": "1"}) == state
    with pytest.raises(BadInput, match=r"lamp\.width_mm is 51 mm; allowed: 0 to 50 mm"):
        state.change("both", "lamp.width_mm", 51)
    with pytest.raises(BadInput, match='lit is "2"; allowed: 0, 1'):
        state.change("both", "lit", "2")


# ---- undo ----


def test_steps_back_and_forward() -> None:
    page = Try()
    for value in (2, 3):
        page.handle(setting(value))
    page.handle(setting(True, "undo"))
    assert page.state.time == 2 and page.parts["box"].quick == 2
    assert (page.controls.reply["undo"], page.controls.reply["redo"]) == (True, True)
    page.handle(setting(True, "redo"))
    assert page.state.time == 3 and not page.controls.reply["redo"]
    page.handle(setting(True, "reset"))
    assert page.state == State.first()
    page.handle(setting(True, "undo"))
    assert page.state.time == 3
    page.handle(setting(5))
    assert not page.controls.reply["redo"]


def test_a_drag_is_one_step_and_a_look_is_none() -> None:
    page = Try()
    for value in (2, 3, 4):
        page.handle(setting(value, gesture=1))
    page.handle(setting(5, gesture=2))
    page.handle(setting(True, "lit"))
    assert [s.time for s in page.history.past] == [1, 4]
    page.handle(setting(True, "undo"))
    assert (page.state.time, page.state.lit) == (4, True)
    page.handle(setting(4.5, gesture=2))
    assert [s.time for s in page.history.past] == [1, 4]


def test_changes_that_leave_together_are_a_step_for_each_gesture() -> None:
    page = Try()
    changes = [
        {"field": "time_s", "value": value, "gesture": gesture}
        for value, gesture in ((2, 1), (3, 1), (4, 2))
    ]
    page.handle({"changes": changes})
    page.handle(setting(True, "undo"))
    assert page.state.time == 3
    page.handle(setting(True, "undo"))
    assert page.state.time == 1


def test_only_so_many_steps_are_kept() -> None:
    history = History(State.first())
    for k in range(3 * MOST):
        history = history.then(State(history.now.bench, time=k / 20))
    assert len(history.past) == MOST


# ---- slow work ----


def test_the_latest_change_wins() -> None:
    pool = ByHand()
    page = Try(pool=pool)
    box = page.parts["box"]
    pool.do(0)
    assert box.slow == 10 and box.waits == []
    page.handle(setting(2))
    assert box.quick == 2 and box.slow == 10 and box.waits == ["slow"], "the quick part is first"
    page.handle(setting(3))
    pool.do(2)
    assert box.slow == 30 and box.waits == []
    pool.do(1)
    assert box.slow == 30, "what comes too late is dropped"


def test_a_live_view_shows_what_is_newer_than_what_it_shows() -> None:
    class Live(Try):
        views = (View("box", Box, "The box", {"slow": Later(slow, live=True)}),)

    pool = ByHand()
    page = Live(pool=pool)
    for value in (2, 3, 4):
        page.handle(setting(value))
    box = page.parts["box"]
    pool.do(2)
    assert box.slow == 30 and box.waits == ["slow"]
    pool.do(1)
    assert box.slow == 30
    pool.do(3)
    assert box.slow == 40 and box.waits == []


def test_one_learner_is_answered_while_another_s_slow_work_runs() -> None:
    """The answer comes from the thread that asks, before the slow work of the other has ended."""
    gate, begun, workers = threading.Event(), threading.Event(), Workers(1)

    def stuck(state: State) -> float:
        if state.time == 2:
            begun.set()
            assert gate.wait(LIMIT_S)
        return state.time

    class Stuck(Try):
        views = (View("box", Box, "The box", {"slow": Later(stuck)}),)

    one, other = Stuck(pool=workers), Stuck(pool=workers)
    one.handle(setting(2))
    assert begun.wait(LIMIT_S)
    other.handle(setting(3, seq=8))
    assert other.controls.reply["seq"] == 8 and other.controls.reply["values"]["both:time_s"] == 3
    assert one.parts["box"].slow != 2, "still at it"
    gate.set()
    workers.close()


# ---- forms and the table of pages ----


def test_a_form_follows_from_paths() -> None:
    state = PageState.first().change("both", "drive", "elliptical")
    groups = form(state, (NEEDLES, DRIVE, PULSES, SLEEVE))
    labels = {c["field"]: c["label"] for g in groups for c in g["controls"]}
    assert labels["drive.phase_deg"] == "Twist ahead of axial motion"
    assert "duty.on_time_ms" not in labels, "continuous: there are no pulses"
    axial = form(state.change("both", "drive", "axial"), (DRIVE,))
    assert "drive.twist_stroke_deg" not in {c["field"] for c in axial[0]["controls"]}
    bare = form(state.change("a", "sleeve", "none"), (SLEEVE,))
    ids = {c["id"] for c in bare[0]["controls"]}
    assert "b:sleeve.coupling" in ids and not ids & {"a:sleeve.coupling", "both:sleeve.coupling"}


def test_coupling_goes_from_computed_to_set_and_back() -> None:
    computed = PageState.first()

    def shown(state: PageState) -> dict[str, object]:
        return {c["field"]: c["value"] for c in form(state, (SLEEVE,))[0]["controls"]}

    assert shown(computed)["sleeve.coupling"] == "computed"
    assert "sleeve.mobility" not in shown(computed)
    fixed = computed.change("both", "sleeve.coupling", "set")
    mean = solve(computed.bench.a)["motion.sleeve_coupling"]
    assert shown(fixed)["sleeve.mobility"] == round(mean, 2)
    lower = fixed.change("both", "sleeve.mobility", "0.2")
    assert lower.change("both", "sleeve.coupling", "set") == lower
    assert "mobility=0.2" in lower.to_query()
    assert lower.change("both", "sleeve.coupling", "computed") == computed
    with pytest.raises(BadInput, match=r"sleeve\.coupling is .half.; allowed: computed, set"):
        computed.change("both", "sleeve.coupling", "half")


def test_a_form_refuses_a_path_that_is_no_input() -> None:
    with pytest.raises(BadInput, match=r"form is flow\.wind"):
        form(PageState.first(), (Group("Air", ("flow.wind",)),))


def test_a_value_beyond_its_slider_can_be_shown() -> None:
    state = PageState.first().change("both", "flow.aspiration_ml_min", 90)
    (control,) = form(state, (Group("Flow", ("flow.aspiration_ml_min",)),))[0]["controls"]
    assert (control["value"], control["max"]) == (90, 90)


def test_the_table_of_pages_leads_to_pages() -> None:
    assert len({entry.path for entry in PAGES}) == len(PAGES)
    built = {entry.path: entry.load() for entry in PAGES if entry.build}
    assert built["flow"] is FlowPage
    for path, page in built.items():
        if isinstance(page, type):
            assert page.path == path and (page.layout is None or page.layout.is_file())
            areas = page.layout.read_text() if page.layout else ""
            if issubclass(page, Acts):
                parts = [name for name, _ in page.sections]
            else:
                parts = ["controls", *(v.name for v in page.views if not v.fold)]
                parts += ["folds"] if any(v.fold for v in page.views) else []
                parts += ["glance"] if page.glance else []
                if issubclass(page, Page) and sum(not v.fold for v in page.views) == 1:
                    continue
            assert all(name in areas for name in ("head", *parts))
    assert all(callable(build) for build in built.values())
    assert [route[0] for entry in PAGES for route in entry.routes()].count(r"/about/?") == 1
