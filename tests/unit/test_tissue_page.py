"""The tissue page, without a browser: state, form, packet, rows, words, what is computed when."""

from importlib import import_module
from typing import Any

import numpy as np
import pytest

from tests.unit.tissues import FIRST, HOT, Query, Waiting, changed, items, state
from tipsim import store
from tipsim.app.framework.form import form
from tipsim.app.framework.packet import decode
from tipsim.app.pages.tissue import compare, cutting, iris, scene, wound
from tipsim.app.pages.tissue.bars import bars
from tipsim.app.pages.tissue.page import TissuePage
from tipsim.app.pages.tissue.rows import figure
from tipsim.app.pages.tissue.state import TissueState, iris_of
from tipsim.quantities import quantity
from tipsim.setup.errors import BadInput
from tipsim.setup.sourced import number
from tipsim.setup.tissue import Tissue
from tipsim.tissue.bands import Band
from tipsim.tissue.equal import wide_ratio
from tipsim.tissue.iris import beside, film

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
        (
            {"view.tissue.seed": "0"},
            "view.tissue.seed: Enter a number from 1 to 999. You entered 0.",
        ),
        ({"view.tissue.seed": "2.5"}, "allowed: a whole number from 1 to 999"),
        ({"view.tissue.equal": "yes"}, 'view.tissue.equal is "yes"; allowed: 0, 1'),
        ({"view.tissue.colour": "1"}, "view.tissue.colour is not here"),
        (
            {"eye.iris_gap_mm": "7"},
            "eye.iris_gap_mm: Enter a number from -0.5 to 3 mm. You entered 7 mm.",
        ),
        (
            {"tissue.iris.friction": "2"},
            "tissue.iris.friction: Enter a number from 0.01 to 0.5. You entered 2.",
        ),
    ],
)
def test_a_link_that_cannot_be_used_is_said(link: Query, sentence: str) -> None:
    page = TissuePage(link, pool=Waiting())
    assert sentence in page.link_notice
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
                    if n.low < n.high:
                        assert (c["min"], c["max"]) == (n.low, n.high)
                    assert c["min"] < c["max"]  # A reference has no range, and can be moved too.
                    assert n.source in c["help"]
                    for value in (c["min"], c["max"]):
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
    assert "mJ" not in str(sent)
    unit = 0.0
    for r, side in reversed(list(zip(there.results, sent["sides"], strict=True))):
        near = beside(r.scenario, r.motion, {})
        drawn = film(near, r.scenario.eye.iris_gap, scene.SECONDS, scene.STEP, 5)
        assert side["gap"] == pytest.approx(drawn.flutter.gap * 1e3, rel=1e-5, abs=1e-6)
        # Only ratios: the unit of both is what B's iris was rubbed over the whole run.
        unit = unit or drawn.work[-1]
        assert side["rubbed"] == pytest.approx(drawn.work / unit, rel=1e-5)
        below = side["gap"] < side["reach"]
        begins = [i for i in range(len(below)) if below[i] and (i == 0 or not below[i - 1])]
        assert list(side["starts"]) == begins and len(begins) > 0
    # One seed for both: the same flutter in parts of its spread, so only what rubs differs. Spread
    # and rate follow the irrigation, which the two hubs let through alike to 3 in 10 000.
    one, two = sent["sides"]
    spreads = [beside(r.scenario, r.motion, {}).spread[0] * 1e3 for r in there.results]
    fluttered = [
        (side["gap"] - 0.2) / spread for side, spread in zip((one, two), spreads, strict=True)
    ]
    assert fluttered[0] == pytest.approx(fluttered[1], abs=1e-3)
    assert np.std(fluttered[0]) > 0.5 and one["rubbed"][-1] > two["rubbed"][-1] == 1
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
    assert len({row.id for row in rows}) == len(rows) == 23
    for row in rows:
        assert len(row.why) > 20, row.id
        for cell in row.cells:
            assert not cell.band or (cell.more and row.origins), row.id
        assert all(n.status and n.source and n.text for n in row.origins)
    page = TissuePage(HOT)
    html = page.parts["rubbing"].html
    assert number("iris.twist_share").source[:30] in html and "whole range" in html


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
        # Friction is the same at both needles: it moves the work, which is not shown, no ratio.
        ("tissue.iris.friction", 0.3, set()),
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
    # The methods card says every setting, so it moves with each; sources move with their numbers.
    further = {"methods", "sources"} if field.startswith("tissue.") else {"methods"}
    assert {part for part in before if before[part] != after[part]} == moves | further


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
