"""The tissue page, without a browser: state, form, packet, rows, words, what is computed when."""

import re
from collections.abc import Callable
from importlib import import_module
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from tipsim import store
from tipsim.app.framework.form import form
from tipsim.app.framework.packet import decode
from tipsim.app.pages.tissue import compare, cutting, iris, scene, wound
from tipsim.app.pages.tissue.bars import bars
from tipsim.app.pages.tissue.page import TissuePage
from tipsim.app.pages.tissue.rows import figure, origin
from tipsim.app.pages.tissue.state import TissueState, iris_of
from tipsim.quantities import quantity
from tipsim.setup.errors import BadInput
from tipsim.setup.sourced import number
from tipsim.setup.tissue import Tissue
from tipsim.store import result as solve
from tipsim.tissue.bands import Band
from tipsim.tissue.equal import EQUAL_CUT, EQUAL_POWER, wide_ratio
from tipsim.tissue.iris import beside, film

FIRST = TissueState.first()
HOT = {"outside": "wound", "occlusion": "100", "duration": "10", "eye.iris_gap_mm": "0"}
Query = dict[str, str]


class Waiting:
    """A pool that keeps its jobs until they are asked for."""

    def __init__(self) -> None:
        self.jobs: dict[str, Any] = {}

    def submit(self, _owner: Any, name: str, work: Any, done: Any) -> None:
        self.jobs[name] = (work, done)

    def forget(self, _owner: Any) -> None:
        self.jobs.clear()

    def run(self) -> list[str]:
        names, jobs = list(self.jobs), list(self.jobs.values())
        self.jobs.clear()
        for work, done in jobs:
            done(work())
        return names


def changed(page: TissuePage, field: str, value: Any, side: str = "both") -> dict[str, str]:
    page.handle({"seq": 1, "changes": [{"side": side, "field": field, "value": value}]})
    return dict(page.controls.reply["errors"])


def items(query: str) -> Query:
    return dict(pair.split("=") for pair in query.split("&"))


def state(query: Query) -> TissueState:
    return TissueState.from_items(query)


# ---- state, link and form ----


def test_the_link_holds_all_of_it() -> None:
    there = FIRST.change("both", "equal", True).change("both", "seed", "12")
    there = there.change("both", "iris", "floppy").change("both", "eye.iris_gap_mm", 0)
    there = there.change("both", "tissue.wound.give", 0.2).change("both", "ready", "load")
    assert TissueState.from_items(items(there.to_query())) == there
    assert iris_of(there.bench.a) == iris_of(there.bench.b) == "floppy"
    kept = {"view.heat.scale": "fit", "view.speed": "2"}
    assert kept.items() <= items(there.to_query(kept)).items()


@pytest.mark.parametrize(
    ("link", "sentence"),
    [
        ({"view.tissue.seed": "0"}, "seed is 0; allowed: 1 to 999"),
        ({"view.tissue.seed": "2.5"}, "allowed: a whole number from 1 to 999"),
        ({"view.tissue.equal": "yes"}, 'view.tissue.equal is "yes"; allowed: 0, 1'),
        ({"view.tissue.colour": "1"}, "view.tissue.colour is not here"),
        ({"eye.iris_gap_mm": "7"}, "iris_gap_mm is 7 mm; allowed: -0.5 to 3 mm"),
        ({"tissue.iris.friction": "2"}, "friction is 2; allowed: 0.01 to 0.5"),
    ],
)
def test_a_link_that_cannot_be_used_is_said(link: Query, sentence: str) -> None:
    page = TissuePage(link, pool=Waiting())
    assert sentence in page.controls.reply["notice"]
    assert page.state == FIRST


@pytest.mark.parametrize("field", ["tissue", "tissue.iris", "tissue.nose.length", "eye", "seed.x"])
def test_what_is_no_number_is_refused(field: str) -> None:
    with pytest.raises(BadInput):
        FIRST.change("both", field, 1)


def test_every_number_of_the_tissue_can_be_moved_over_its_range() -> None:
    apart = FIRST.change("both", "together", False)
    for there, sides in ((FIRST, ("both",)), (apart, ("a", "b"))):
        groups = form(there, TissuePage.groups, TissuePage.special)
        controls = {c["id"]: c for g in groups for c in g["controls"]}
        for part in ("iris", "wound", "cutting"):
            for name in vars(getattr(Tissue(), part)):
                n = number(f"{part}.{name}")
                for side in sides:
                    start = f"{side}:tissue.{part}.{name}"
                    unit = n.unit.suffix
                    (c,) = (
                        c
                        for id, c in controls.items()
                        if id == (f"{start}_{unit}" if unit else start)
                    )
                    assert (c["min"], c["max"]) == (n.low, n.high)
                    assert n.source in c["help"]
                    for value in (n.low, n.high):
                        there.change(side, c["field"], value)


def test_every_control_takes_its_own_value_back() -> None:
    page = TissuePage({"lens": "hard", "duty": "pulsed", "duty.off_time_ms": "10"}, pool=Waiting())
    before = dict(page.controls.reply["values"])
    for group in form(page.state, page.groups, page.special):
        for c in group["controls"]:
            # The usual leak differs from 3 mL/min by its last bit, which "ready" notices.
            if c["field"] not in ("ready", "flow.leak_ml_min"):
                assert changed(page, c["field"], c["value"], c["side"]) == {}, c["id"]
    assert page.controls.reply["values"] == before


def test_a_ready_setting_reaches_its_side_and_no_other() -> None:
    there = FIRST.change("both", "together", False).change("b", "ready", "none")
    assert there.bench.b.flow.aspiration == 0 < there.bench.a.flow.aspiration


# ---- the iris ----


def test_the_packet_is_the_core_s_film() -> None:
    there = FIRST.change("both", "seed", 5)
    page = TissuePage({"view.tissue.seed": "5"})
    sent = decode(page.parts["iris"].packet)
    assert len(sent["time"]) * sent["step"] == pytest.approx(sent["seconds"])
    for r, side in zip(there.results, sent["sides"], strict=True):
        near = beside(r.scenario, r.motion, {})
        drawn = film(near, r.scenario.eye.iris_gap, scene.SECONDS, scene.STEP, 5)
        assert side["gap"] == pytest.approx(drawn.flutter.gap * 1e3, rel=1e-5, abs=1e-6)
        assert side["work"] == pytest.approx(drawn.work * 1e3, rel=1e-5)
        below = side["gap"] < side["reach"]
        begins = [i for i in range(len(below)) if below[i] and (i == 0 or not below[i - 1])]
        assert list(side["starts"]) == begins and len(begins) > 0
    # One seed for both: the same flutter, so only what rubs differs.
    one, two = sent["sides"]
    assert np.array_equal(one["gap"], two["gap"]) and one["work"][-1] > two["work"][-1] > 0
    assert sent["next_seed"] == 6
    last = scene.contents(FIRST.change("both", "seed", 999))
    assert last["next_seed"] == 1


def test_the_side_view_turns_with_the_iris() -> None:
    def turned(degrees: float) -> tuple[float, float]:
        sent = scene.contents(FIRST.change("both", "eye.iris_side_deg", degrees))
        needle = np.array(sent["sides"][0]["outlines"]["needle"])
        return needle[:, 1].max(), needle[:, 1].min()

    below, above, across = turned(0), turned(180), turned(90)
    assert below == pytest.approx((-above[1], -above[0]), abs=2e-3)
    # Seen across the bend plane a bent needle looks straight.
    assert across == pytest.approx((-across[1], -across[0]), abs=2e-3)
    assert below[0] > across[0]


def test_an_iris_that_never_touches_is_said() -> None:
    there = state({"eye.iris_gap_mm": "2"})
    shares = [r.iris.contact_share.usual for r in there.results]
    assert "mean little" in compare.gap_words(2e-3, shares)
    assert "hardly ever" in iris.words(there.results[0])


# ---- rows and sources ----


def test_every_number_opens_what_it_rests_on() -> None:
    there = state(HOT)
    rows = [
        *iris.content(there)["rows"],
        *wound.fit(there)["rows"],
        *wound.warmth(there)["rows"],
        *cutting.content(there)["rows"],
    ]
    assert len({row.id for row in rows}) == len(rows) == 25
    for row in rows:
        assert len(row.why) > 20, row.id
        for cell in row.cells:
            assert not cell.band or (cell.more and row.origins), row.id
        assert all(n.status and n.source and n.text for n in row.origins)
    page = TissuePage(HOT)
    html = page.parts["rubbing"].html
    assert number("iris.friction").source[:30] in html and "whole range" in html


def test_figures_never_show_more_than_two_digits() -> None:
    shown = [figure(v) for v in (0.0449, 1.04, 99.6, 149_000.0)]
    assert shown == ["0.045", "1.0", "100", "150\N{NARROW NO-BREAK SPACE}000"]


def test_bars_stand_where_their_values_are() -> None:
    band = Band(2.0, 4.0, 10.0, (3.0, 6.0), {"iris.arc": (2.0, 10.0)})
    one = bars(quantity("iris.index"), {"a": band}, "").bars[0]
    # A linear axis from 0 to 5 % more than the highest value.
    assert (one.low, one.usual, one.high) == pytest.approx((19.05, 38.1, 95.24), abs=0.01)
    log = bars(quantity("iris.index"), {"a": Band(1e-9, 1.0, 10.0, (0.1, 2.0), {})}, "", decades=6)
    # From a thousandth to a thousand: 1 lies in the middle, what is lower at the edge.
    assert log.bars[0].usual == pytest.approx(50) and log.bars[0].low == 0
    assert log.bars[0].beyond and log.ticks[0] == (0.0, "0.001") and log.ticks[-1][0] == 100


# ---- what is quick comes first ----


def test_temperatures_come_after_the_answer() -> None:
    pool = Waiting()
    page = TissuePage(HOT | {"duration": "11"}, pool=pool)
    assert page.parts["warmth"].html == page.parts["compare"].html == ""
    pool.run()
    assert "Contacts, /min" in page.parts["rubbing"].html
    assert page.parts["warmth"].html.count('class="risk ') == 2
    assert page.parts["compare"].html.count('class="bars-of"') == 4
    assert page.parts["warmth"].waits == []
    changed(page, "drive.power_percent", 50)
    # The old temperatures stay, marked as such, until there are new ones.
    assert page.parts["warmth"].html and page.parts["warmth"].waits == ["html"]


@pytest.mark.parametrize(
    ("field", "value", "moves"),
    [
        ("tissue.wound.contact_film_w_m2k", 1000, {"warmth", "lip", "compare"}),
        ("tissue.iris.friction", 0.3, {"iris", "rubbing", "compare"}),
        ("tissue.cutting.push", 2.0, {"cutting", "power", "compare"}),
        ("seed", 7, {"iris"}),
    ],
)
def test_an_assumed_number_moves_its_own_part_and_solves_nothing_else(
    field: str, value: float, moves: set[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    page = TissuePage(HOT | {"leak": "0.5"})

    def shown() -> dict[str, Any]:
        return {k: getattr(p, "html", None) or p.packet for k, p in page.parts.items()}

    def refused(*_: object, **__: object) -> None:
        raise AssertionError("no temperatures and no motion are computed anew")

    before = shown()
    solvers = import_module("tipsim.solve")
    for solver in ("heat_run", "run", "wound"):
        if solver != "wound" or not field.startswith("tissue.wound"):
            monkeypatch.setattr(solvers, solver, refused)
    assert changed(page, field, value) == {}
    assert "could not be computed" not in page.controls.reply.get("notice", "")
    after = shown()
    assert {part for part in before if before[part] != after[part]} == moves


def test_the_slow_comparison_is_computed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    store.shared().clear()
    calls = []

    def counted(*sides: Any, **how: Any) -> Any:
        calls.append(1)
        return wide_ratio(*sides, **how)

    monkeypatch.setattr(compare, "wide_ratio", counted)
    page = TissuePage({"eye.iris_gap_mm": "0.07"})
    assert len(calls) == 2
    changed(page, "eye.wound_width_mm", 2.5)
    changed(page, "equal", True)
    assert len(calls) == 2
    changed(page, "tissue.iris.friction", 0.2)
    assert len(calls) == 4


# ---- equal cutting ----


def rates(there: TissueState) -> list[float]:
    return [r.cutting.rate.usual for r in there.results]


def test_equal_cutting_sets_b_s_power() -> None:
    page = TissuePage({})
    first = page.state
    assert rates(first)[0] != pytest.approx(rates(first)[1], rel=0.1)
    changed(page, "equal", True)
    equal = page.state
    assert rates(equal)[0] == pytest.approx(rates(equal)[1], rel=1e-3)
    assert "77 % power" in page.parts["compare"].html
    rubbed = [s.results[1].iris.work_per_minute.usual for s in (first, equal)]
    assert rubbed[1] < rubbed[0]
    assert page.state.bench.b.drive.power == 1.0
    assert "view.tissue.equal=1" in page.controls.reply["link"]
    changed(page, "undo", True)
    assert page.state == first


def test_equal_cutting_follows_what_cutting_rests_on() -> None:
    equal = FIRST.change("both", "equal", True)
    for weight in (0.8, 3.0):
        there = equal.change("both", "tissue.cutting.sideways_weight", weight)
        one, other = rates(there)
        assert one == pytest.approx(other, rel=1e-3)


def test_what_cannot_be_reached_is_said() -> None:
    odd = {"a.needle": "counter-bent", "b.needle": "single-bend", "view.tissue.equal": "1"}
    said = compare.content(state(odd))
    assert said["words"][0].startswith("Equal cutting cannot be reached: at full power B cuts 0.77")
    assert all("100 % power" in title for title in said["titles"])
    half = said["claims"][1]
    assert half["verdict"] == "none" and "cannot be reached" in half["words"]
    still = compare.content(state({"power": "0", "view.tissue.equal": "1"}))
    assert "A does not cut" in still["words"][0]


# ---- the claim of common practice ----


@pytest.mark.parametrize(
    ("low", "usual", "high", "verdict"),
    [(5.0, 6.0, 9.0, "holds"), (3.0, 6.0, 9.0, "partly"), (1.0, 3.0, 9.0, "fails")],
)
def test_a_claim_says_what_came_out(low: float, usual: float, high: float, verdict: str) -> None:
    alone = {"iris.friction": (usual, usual), "iris.arc": (low, high)}
    said = compare.claim("power", "", 4.0, Band(low, usual, high, (low, high), alone))
    assert said["verdict"] == verdict
    assert [n.id for n, *_ in said["rows"]] == ["iris.arc"]
    if verdict != "holds":
        assert origin("iris.arc").label.lower()[:20] in said["words"]
        assert origin("iris.friction").label.lower() not in said["words"]


def test_both_halves_of_the_claim_go_over_all_that_is_assumed(
    report_table: Callable[[str, list[str]], None],
) -> None:
    lines = []
    for gap in (0.2, 0.0):
        said = compare.content(state({"eye.iris_gap_mm": str(gap)}))
        assert [float(c["least"]) for c in said["claims"]] == [EQUAL_POWER, EQUAL_CUT]
        for half in said["claims"]:
            ids = {n.id for n, *_ in half["rows"]}
            assert {"sleeve.mobility", "eye.iris_place"} <= ids
            lines.append(f"gap {gap} mm, {half['title'].lower()}: {half['ratio']} ({half['band']})")
            lines.append(f"    {half['words']}")
        assert said["touches"] == (gap == 0)
    report_table("Rubbing, A over B, as the page says it", lines)


# ---- incision and cutting ----


def test_the_fit_goes_with_the_incision() -> None:
    fits = [
        wound.fit(state({"eye.wound_width_mm": w}))["sides"][0]["fit"]
        for w in ("1.8", "2.6", "3.2")
    ]
    assert fits == ["tight", "close", "loose"]


def test_temperatures_over_depth_are_the_core_s() -> None:
    there = state(HOT)
    lip = solve(there.bench.a).wound.lip
    sent = wound.lip_data(there)
    moving = sent["moving"]["lines"]["a"]["rows"]
    assert moving.max(axis=0) == pytest.approx(lip.peak - 273.15, abs=0.3)
    assert moving[0] == pytest.approx(np.full(len(lip.peak), 25.0), abs=0.01)
    curve = sent["charts"]["tissue.depth"]["lines"]["a_peak"]
    assert curve["y"] == pytest.approx(lip.peak - 273.15)
    assert sent["moving"]["begin"] == sent["moving"]["times"][moving[:, 0].argmax()]


def test_depths_at_which_a_law_does_not_apply_are_shaded() -> None:
    """Collagen laws apply together between 55 and 75 °C (see dose.toml)."""

    def shaded(*celsius: float) -> list[tuple[float, float]]:
        depth = np.arange(len(celsius)) * 1e-3
        lip = SimpleNamespace(depth=depth, peak=np.array(celsius) + 273.15)
        return wound.unsure((SimpleNamespace(wound=SimpleNamespace(lip=lip)),))  # type: ignore[arg-type]

    # A stretch between two depths is unsure when either of its ends is.
    assert shaded(60, 60, 80, 60, 60, 60) == [(1, 3)]
    assert shaded(50, 60, 60, 60, 76) == [(0, 1), (3, 4)]
    assert shaded(56, 74) == []


def test_where_water_boils_the_page_says_that_the_model_ends() -> None:
    hot = {"outside": "wound", "aspiration": "0", "leak": "0", "drive": "axial", "duration": "30"}
    there = state(hot)
    risk = wound.warmth(there)["risks"][0]
    assert risk["colour"] == "red" and "the model ends there. Until then: " in risk["words"]
    heat = compare.pictures(there.results)[1]
    assert heat.id == "bars-wound-peak" and "until water boils" in heat.bars[0].text


def test_the_course_with_power_is_the_published_one() -> None:
    charts = cutting.curves_data(FIRST)["charts"]
    lines = charts["tissue.efficiency"]["lines"]
    course = dict(zip(lines["usual"]["x"].round(), lines["usual"]["y"], strict=True))
    assert course[20] / course[10] == pytest.approx(5)
    assert course[60] - course[20] == pytest.approx(course[100] - course[60])
    low, high = lines["range"]["low"], lines["range"]["high"]
    assert np.all(low <= lines["usual"]["y"] + 1e-9) and np.all(high >= lines["usual"]["y"] - 1e-9)
    dot = charts["tissue.rate"]["dots"][0]
    assert dot["y"] == pytest.approx(solve(FIRST.bench.a).cutting.rate.usual)


def test_an_opening_that_is_too_fast_is_flagged() -> None:
    said = cutting.content(state({"frequency": "36"}))
    assert "faster than any needle in use" in said["warnings"][0]
    drives = cutting.swept(state({}))["rows"]
    assert [row[0] for row in drives] == [
        "torsional, 32 kHz",
        "longitudinal (axial), 40 kHz",
        "combined (both), 32 kHz",
    ]
    assert all(re.fullmatch(r"[\d.]+( ✗)?", row[2]) for row in drives)


def test_studies_that_disagree_stand_side_by_side() -> None:
    questions = dict(cutting.swept(FIRST)["questions"])
    for question, least in (("Hard lens", 2), ("Counter-bent", 2)):
        (found,) = (s for q, s in questions.items() if q.startswith(question))
        assert len(found) >= least and all(s.source for s in found)


@pytest.mark.parametrize(
    "query",
    [
        {"sleeve": "none"},
        {"a.needle": "straight-0.9", "b.needle": "straight-1.1", "drive": "axial"},
        {"lens": "hard", "support": "on", "holds": "power", "view.tissue.equal": "1"},
        {"a.drive": "elliptical", "b.duration": "5", "a.duration": "8", "b.lens": "soft"},
        {"eye.iris_place_mm": "15", "eye.iris_side_deg": "-90", "aspiration": "0", "leak": "0"},
        {"power": "0"},
        {"sleeve.exposed_mm": "6", "frequency": "36"},
    ],
)
def test_odd_benches_have_a_page_too(query: Query) -> None:
    page = TissuePage(query)
    assert page.controls.reply.get("notice", "") == ""
    for part in page.parts.values():
        if hasattr(part, "html"):
            assert len(part.html) > 100 and not re.search(r"\b(nan|inf|None)\b", part.html)
        else:
            assert decode(part.packet)
