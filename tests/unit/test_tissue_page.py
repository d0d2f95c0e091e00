"""The tissue page, without a browser: state, form, packet, rows, words, what comes when."""

import json
import struct
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from tipsim.app.tissue import cutting, trade, wound
from tipsim.app.tissue.bench import TissueBench
from tipsim.app.tissue.packet import SECONDS, STEP, packet
from tipsim.app.tissue.rows import figure, label_of, sources
from tipsim.app.tissue.schema import form
from tipsim.app.tissue.state import TissueState, iris_of
from tipsim.setup.errors import BadInput
from tipsim.setup.sourced import number
from tipsim.setup.tissue import Tissue
from tipsim.store import result as solve
from tipsim.tissue.bands import Band
from tipsim.tissue.equal import EQUAL_CUT, EQUAL_POWER, Rubbing
from tipsim.tissue.iris import beside, film

FIRST = TissueState.first()
HOT = {"outside": "wound", "occlusion": "100", "duration": "10", "eye.iris_gap_mm": "0"}
Query = dict[str, str]


def changed(page: TissueBench, field: str, value: Any, side: str = "both") -> dict[str, str]:
    page.handle({"seq": 1, "changes": [{"side": side, "field": field, "value": value}]})
    return dict(page.controls.reply["errors"])


def items(query: str) -> Query:
    return dict(pair.split("=") for pair in query.split("&"))


# ---- state, link and form ----


def test_the_link_holds_all_of_it() -> None:
    state = FIRST.change("both", "equal", True).change("both", "seed", "12")
    state = state.change("both", "iris", "floppy").change("both", "eye.iris_gap_mm", 0)
    state = state.change("both", "tissue.wound.give", 0.2).change("both", "ready", "load")
    assert TissueState.from_items(items(state.to_query())) == state
    assert iris_of(state.bench.a) == iris_of(state.bench.b) == "floppy"
    kept = {"view.heat.scale": "fit", "view.speed": "2"}
    assert kept.items() <= items(state.to_query(kept)).items()


@pytest.mark.parametrize(
    ("link", "sentence"),
    [
        ({"view.tissue.seed": "0"}, 'view.tissue.seed is "0"; allowed: a whole number from 1'),
        ({"view.tissue.equal": "yes"}, 'view.tissue.equal is "yes"; allowed: 0, 1'),
        ({"view.tissue.colour": "1"}, "view.tissue.colour is not here"),
        ({"eye.iris_gap_mm": "7"}, "iris_gap_mm is 7 mm; allowed: -0.5 to 3 mm"),
        ({"tissue.iris.friction": "2"}, "friction is 2; allowed: 0.01 to 0.5"),
    ],
)
def test_a_link_that_cannot_be_used_is_said(link: Query, sentence: str) -> None:
    page = TissueBench(link)
    assert sentence in page.controls.reply["notice"]
    assert page.state == FIRST


@pytest.mark.parametrize("field", ["tissue", "tissue.iris", "tissue.nose.length", "eye", "seed.x"])
def test_what_is_no_number_is_refused(field: str) -> None:
    with pytest.raises(BadInput):
        FIRST.change("both", field, 1)


def test_every_number_of_the_tissue_can_be_moved_over_its_range() -> None:
    apart = FIRST.change("both", "together", False)
    for state, sides in ((FIRST, ("both",)), (apart, ("a", "b"))):
        controls = {c["id"]: c for g in form(state) for c in g["controls"]}
        for part in ("iris", "wound", "cutting"):
            for name in vars(getattr(Tissue(), part)):
                n = number(f"{part}.{name}")
                for side in sides:
                    (c,) = (
                        c
                        for id, c in controls.items()
                        if id.startswith(f"{side}:tissue.{part}.{name}") and n.label in c["help"]
                    )
                    assert (c["min"], c["max"]) == (n.low, n.high)
                    assert c["label"].endswith(f"({n.status})") and n.source in c["help"]
                    for value in (n.low, n.high):
                        state.change(side, c["field"], value)


def test_every_control_takes_its_own_value_back() -> None:
    page = TissueBench({"lens": "hard", "duty": "pulsed", "duty.off_time_ms": "10"})
    before = dict(page.controls.reply["values"])
    for group in form(page.state):
        for c in group["controls"]:
            # The usual leak differs from 3 mL/min by its last bit, which "ready" notices.
            if c["field"] not in ("ready", "flow.leak_ml_min"):
                assert changed(page, c["field"], c["value"], c["side"]) == {}, c["id"]
    assert page.controls.reply["values"] == before


def test_wrong_input_gets_a_sentence_with_the_label() -> None:
    page = TissueBench({})
    assert changed(page, "eye.wound_width_mm", "wide") == {
        "both:eye.wound_width_mm": 'Width of the wound is "wide"; allowed: a number.'
    }
    assert page.state == FIRST


# ---- the iris ----


def unpacked(data: bytes) -> tuple[dict[str, Any], np.ndarray]:
    (length,) = struct.unpack_from("<I", data)
    head = json.loads(data[4 : 4 + length])
    return head, np.frombuffer(data[4 + length :], "<f4").reshape(4, head["count"])


def test_the_packet_is_the_core_s_film() -> None:
    a, b = solve(FIRST.bench.a), solve(FIRST.bench.b)
    head, (gap_a, work_a, gap_b, work_b) = unpacked(packet(a, b, 5))
    assert head["count"] * head["step"] == pytest.approx(SECONDS)
    for r, gap, work in ((a, gap_a, work_a), (b, gap_b, work_b)):
        drawn = film(beside(r.scenario, r.motion, {}), r.scenario.eye.iris_gap, SECONDS, STEP, 5)
        assert gap == pytest.approx(drawn.flutter.gap * 1e3, rel=1e-5, abs=1e-6)
        assert work == pytest.approx(drawn.work * 1e3, rel=1e-5)
    # One seed for both: the same flutter, so only what rubs differs.
    assert np.array_equal(gap_a, gap_b) and work_a[-1] > work_b[-1] > 0


def test_the_side_view_turns_with_the_iris() -> None:
    def turned(degrees: float) -> tuple[float, float]:
        state = FIRST.change("both", "eye.iris_side_deg", degrees)
        head, _ = unpacked(packet(solve(state.bench.a), solve(state.bench.b), 1))
        needle = np.array(head["sides"][0]["outlines"]["needle"])
        return needle[:, 1].max(), needle[:, 1].min()

    below, above, across = turned(0), turned(180), turned(90)
    assert below == pytest.approx((-above[1], -above[0]), abs=2e-3)
    # Seen across the bend plane a bent needle looks straight.
    assert across == pytest.approx((-across[1], -across[0]), abs=2e-3)
    assert below[0] > across[0]


# ---- rows and sources ----


def all_rows(page: TissueBench) -> list[tuple[dict[str, Any], dict[str, Any]]]:
    return [
        (row, part.sources)
        for part, rows in (
            (page.iris, page.iris.content["rows"]),
            (page.wound, [*page.wound.fit["rows"], *page.wound.heat["rows"]]),
            (page.cutting, page.cutting.content["rows"]),
        )
        for row in rows
    ]


def test_every_number_opens_what_it_rests_on() -> None:
    page = TissueBench(HOT)
    page.asked({"want": page.wound.stamp})
    rows = all_rows(page)
    assert len(rows) == len({(row["id"], row["label"]) for row, _ in rows}) == 25
    for row, known in rows:
        assert len(row["why"]) > 20
        assert set(row["from"]) <= set(known), row["id"]
        if row["a"]["band"]:
            assert row["a"]["more"] and row["from"]
    for claim in page.trade.content["claims"]:
        assert {r["id"] for r in claim["rows"]} <= set(page.trade.sources)
    for key in ("efficiency", "grades"):
        assert set(page.cutting.content[key]["from"]) <= set(page.cutting.sources)
    for one in sources("iris.").values():
        assert one["status"] and one["source"] and one["text"]


# ---- what is quick comes first ----


def test_temperatures_come_with_a_second_message() -> None:
    page = TissueBench(HOT | {"duration": "11"})
    assert page.wound.heat == {} and page.cutting.drives == []
    assert [r["id"] for r in page.trade.content["rows"]] == ["cutting", "iris", "stress"]
    page.asked({"want": page.wound.stamp - 1})  # what was asked before the last change
    assert page.wound.heat == {}
    page.asked({"want": page.wound.stamp})
    assert page.wound.heat["stamp"] == page.wound.stamp
    assert [r["id"] for r in page.trade.content["rows"]] == ["cutting", "heat", "iris", "stress"]
    assert [d["kind"] for d in page.cutting.drives] == ["torsional", "axial", "elliptical"]
    assert page.trade.content["wide"]


@pytest.mark.parametrize(
    ("field", "value", "moves"),
    [
        ("tissue.wound.thickness_mm", 0.6, "wound"),
        ("tissue.iris.friction", 0.3, "iris"),
        ("tissue.cutting.push", 2.0, "cutting"),
    ],
)
def test_an_assumed_number_moves_its_own_picture_at_once(
    field: str, value: float, moves: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = TissueBench(HOT)
    page.asked({"want": page.wound.stamp})
    before = {"wound": page.wound.heat, "iris": page.iris.content, "cutting": page.cutting.content}

    def refused(*_: object) -> None:
        raise AssertionError("no temperatures are computed anew")

    monkeypatch.setattr("tipsim.app.tissue.bench.heated", refused)
    assert changed(page, field, value) == {}
    after = {"wound": page.wound.heat, "iris": page.iris.content, "cutting": page.cutting.content}
    assert after["wound"]["stamp"] == page.wound.stamp
    for part in before:
        same = {k: v for k, v in before[part].items() if k != "stamp"} == {
            k: v for k, v in after[part].items() if k != "stamp"
        }
        assert same == (part != moves), part


def test_a_drive_that_changes_leaves_the_old_temperatures_marked_as_old() -> None:
    page = TissueBench(HOT)
    page.asked({"want": page.wound.stamp})
    changed(page, "drive.power_percent", 50)
    assert page.wound.heat["stamp"] < page.wound.stamp


# ---- equal cutting ----


def rates(page: TissueBench) -> list[float]:
    return [side["rate"] for side in page.cutting.content["sides"]]


def test_equal_cutting_sets_b_s_power() -> None:
    page = TissueBench({})
    assert rates(page)[0] != pytest.approx(rates(page)[1], rel=0.1)
    rubbed = page.trade.content["rows"][1]["sides"][1]["usual"]
    changed(page, "equal", True)
    assert rates(page)[0] == pytest.approx(rates(page)[1], rel=1e-3)
    assert page.trade.content["powers"][0] == "100 %" != page.trade.content["powers"][1]
    assert page.trade.content["rows"][1]["sides"][1]["usual"] < rubbed
    assert page.state.bench.b.drive.power == 1.0
    assert "view.tissue.equal=1" in page.controls.reply["link"]
    changed(page, "equal", False)
    assert page.trade.content["powers"] == ["100 %", "100 %"]


def test_what_cannot_be_reached_is_said() -> None:
    page = TissueBench(
        {"a.needle": "counter-bent", "b.needle": "single-bend", "view.tissue.equal": "1"}
    )
    (words,) = page.trade.content["words"]
    assert words.startswith("Equal cutting cannot be reached: at full power B cuts 0.77 times")
    assert page.trade.content["powers"] == ["100 %", "100 %"]
    half = page.trade.content["claims"][1]
    assert half["verdict"] == "none" and "cannot be reached" in half["words"]
    still = TissueBench({"power": "0", "view.tissue.equal": "1"})
    assert "A does not cut" in still.trade.content["words"][0]


# ---- the claim of common practice ----


@pytest.mark.parametrize(
    ("low", "usual", "high", "verdict"),
    [(5.0, 6.0, 9.0, "holds"), (3.0, 6.0, 9.0, "partly"), (1.0, 3.0, 9.0, "fails")],
)
def test_a_claim_says_what_came_out(low: float, usual: float, high: float, verdict: str) -> None:
    alone = {"iris.friction": (usual, usual), "iris.arc": (low, high)}
    band = Band(low, usual, high, (low, high), alone)
    said = trade.claim_plain(trade.Claim("power", "", 4.0, Rubbing(band), ""))
    assert said["verdict"] == verdict
    assert [r["id"] for r in said["rows"]] == ["iris.arc"]
    if verdict != "holds":
        assert label_of("iris.arc").lower()[:20] in said["words"]
        assert label_of("iris.friction").lower() not in said["words"]


def test_both_halves_of_the_claim_are_held_to_the_wide_band(
    report_table: Callable[[str, list[str]], None],
) -> None:
    lines = []
    for gap in (0.2, 0.0):
        page = TissueBench({"eye.iris_gap_mm": str(gap)})
        narrow = page.trade.content["claims"]
        page.asked({"want": page.wound.stamp})
        wide = page.trade.content["claims"]
        assert [float(c["least"]) for c in wide] == [EQUAL_POWER, EQUAL_CUT]
        for one, two in zip(narrow, wide, strict=True):
            assert one["ratio"] == two["ratio"] and len(one["rows"]) < len(two["rows"])
            lines.append(f"gap {gap} mm, {two['title'].lower()}: {two['ratio']} ({two['band']})")
            lines.append(f"    {two['words']}")
        assert page.trade.content["touches"] == (gap == 0)
    report_table("Rubbing, A over B, as the page says it", lines)


def test_an_iris_that_never_touches_is_said() -> None:
    page = TissueBench({"eye.iris_gap_mm": "2"})
    assert "mean little" in page.trade.content["gap"]
    assert "hardly ever" in page.iris.content["words"][0]["line"]


# ---- wound and cutting ----


def test_the_fit_goes_with_the_wound() -> None:
    fits = [
        TissueBench({"eye.wound_width_mm": w}).wound.fit["sides"][0]["fit"]
        for w in ("1.8", "2.6", "3.2")
    ]
    assert fits == ["tight", "close", "loose"]


def test_temperatures_over_depth_are_the_core_s() -> None:
    page = TissueBench(HOT)
    page.asked({"want": page.wound.stamp})
    side = page.wound.heat["sides"][0]
    warm = wound.warmth(page.state.bench.a, solve(page.state.bench.a).heat)
    peak = warm.found.lip.peak - 273.15
    assert side["peak"] == pytest.approx(peak, abs=0.006)
    assert max(line[0] for line in side["field"]) == pytest.approx(peak[0], abs=0.3)
    assert side["field"][0] == pytest.approx(np.full(len(peak), 25.0), abs=0.01)
    assert side["colour"] == warm.found.risk.colour and "counts this wound" in side["base"]


def test_where_water_boils_the_page_says_that_the_model_ends() -> None:
    hot = {"outside": "wound", "aspiration": "0", "leak": "0", "drive": "axial"}
    page = TissueBench(hot | {"duration": "30"})
    page.asked({"want": page.wound.stamp})
    (side, *_) = page.wound.heat["sides"]
    assert side["colour"] == "red" and "the model ends there. Until then: " in side["risk"]
    heat = page.trade.content["rows"][1]
    assert heat["id"] == "heat" and "until water boils" in heat["sides"][0]["text"]


def test_the_course_with_power_is_the_published_one() -> None:
    course = TissueBench({}).cutting.content["efficiency"]
    points = dict(course["points"])
    assert points[20.0] / points[10.0] == pytest.approx(5)
    assert points[60.0] - points[20.0] == pytest.approx(points[100.0] - points[60.0])
    for low, line, high in zip(course["least"], course["line"], course["most"], strict=True):
        assert low - 1e-5 <= line <= high + 1e-5


def test_a_mouth_that_is_too_fast_is_flagged() -> None:
    page = TissueBench({"frequency": "36"})
    speed = next(r for r in page.cutting.content["rows"] if r["id"] == "speed")
    assert "too fast" in speed["a"]["text"] and "published.top_speed" in speed["from"]
    assert "beyond any published speed" in page.cutting.content["words"][0]


def test_studies_that_disagree_stand_side_by_side() -> None:
    for question, least in (("Hard lens", 2), ("Counter-bent", 2)):
        (one,) = (q for q in cutting.disagreements() if q["question"].startswith(question))
        assert len(one["studies"]) >= least
        assert all(s["source"] for s in one["studies"])


def test_figures_never_show_more_than_two_digits() -> None:
    assert [figure(v) for v in (0.0449, 1.04, 99.6, 149_000.0)] == ["0.045", "1", "100", "150,000"]


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
    page = TissueBench(query)
    assert "notice" not in page.controls.reply or page.controls.reply["notice"] == ""
    page.asked({"want": page.wound.stamp})
    for part in (page.iris.content, page.wound.fit, page.wound.heat, page.trade.content):
        json.dumps(part, allow_nan=False)
    json.dumps(page.cutting.content, allow_nan=False)
    unpacked(page.iris.packet)
    for row in page.trade.content["rows"]:
        assert set(row["from"]) <= set(page.trade.sources)
