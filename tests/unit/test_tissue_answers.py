"""Answers of the tissue page: equal cutting, claims, incision and cutting."""

import re
from collections.abc import Callable
from types import SimpleNamespace

import numpy as np
import pytest

from tests.unit.tissues import FIRST, HOT, Query, changed, state
from tipsim.app.framework.packet import decode
from tipsim.app.pages.tissue import compare, cutting, wound
from tipsim.app.pages.tissue.page import TissuePage
from tipsim.app.pages.tissue.rows import origin
from tipsim.app.pages.tissue.state import TissueState
from tipsim.store import result as solve
from tipsim.tissue.bands import Band
from tipsim.tissue.equal import EQUAL_CUT, EQUAL_POWER

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
    power = first.equal_cut.power
    assert power is not None and 0.6 < power < 0.9
    assert f"{power * 100:.0f} % power" in page.parts["compare"].html
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
    one, other = rates(state({k: v for k, v in odd.items() if k != "view.tissue.equal"}))
    times = f"at full power B cuts {other / one:.2g} times"
    assert said["words"][0].startswith(f"Equal cutting cannot be reached: {times}")
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
            assert "eye.iris_place" in ids
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


def test_where_water_boils_the_page_says_that_the_model_is_rough() -> None:
    hot = {"outside": "wound", "aspiration": "0", "leak": "0", "drive": "axial", "duration": "30"}
    there = state(hot)
    risk = wound.warmth(there)["risks"][0]
    assert risk["colour"] == "red" and "the model is rough from then on. " in risk["words"]
    heat = compare.pictures(there.results)[1]
    assert heat.id == "bars-wound-peak" and "rough: water boils" in heat.bars[0].text


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
    assert "outside the range of the linear model: tip speed" in said["warnings"][0]
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
        {"a.needle": "straight-medium", "b.needle": "straight-wide", "drive": "axial"},
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
