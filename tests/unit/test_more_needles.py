"""Three and four needles on the page that compares: link, pictures, numbers, what is refused."""

from dataclasses import fields
from typing import Any

import pytest

import tipsim
from tipsim.app.framework.packet import decode
from tipsim.app.framework.state import PageState
from tipsim.app.pages.bench.page import BenchPage
from tipsim.app.pages.bench.power import answer, way
from tipsim.app.pages.bench.state import BenchPageState
from tipsim.app.pages.camera.page import CameraPage


def send(page: BenchPage, field: str, value: Any) -> Any:
    page.handle({"seq": 1, "changes": [{"side": "both", "field": field, "value": value}]})
    return page.controls.reply


def items(query: str) -> dict[str, str]:
    return dict(item.split("=") for item in query.split("&"))


def test_a_straight_third_needle_moves_as_the_drive_was_chosen() -> None:
    """Longitudinal at 40 kHz: the hub's motion is chosen so that the straight one does 90 µm."""
    page = BenchPage({"drive": "axial"})
    reply = send(page, "c", "straight-medium")
    assert items(reply["link"])["view.c"] == "straight-medium"
    sides = decode(page.parts["stage"].packet)["sides"]
    assert [side["key"] for side in sides] == ["A", "B", "C"]
    assert sides[2]["said"] == "tip moves 90 µm peak to peak"
    lines = decode(page.parts["plots"].packet)["along.lengthwise"]["lines"]
    assert lines["c"]["y"][-1] == pytest.approx(90, abs=0.5) and set(lines) == {"a", "b", "c"}
    rows = {row["id"]: row for s in page.parts["readout"].content["sections"] for row in s["rows"]}
    assert rows["motion-end_stroke"]["more"] == ["90.0"]
    assert all(len(row["more"]) == 1 for row in rows.values())
    assert page.controls.glance.count('data-number="motion-end_stroke.') == 3
    assert "C, stroke" in page.parts["plots"].html


def test_needles_come_and_go_in_order_and_each_is_a_step() -> None:
    page = BenchPage({})
    first = page.controls.reply["link"]
    for field, value in (("c", "straight-slim"), ("d", "counter-bent-wide"), ("c", "none")):
        reply = send(page, field, value)
    # What stood as D is C now.
    assert (page.state.c, page.state.d) == ("counter-bent-wide", "none")
    assert items(reply["link"])["view.c"] == "counter-bent-wide"
    for _ in range(3):
        reply = send(page, "undo", True)
    assert reply["link"] == first and len(page.state.every) == 2


def test_further_needles_are_set_as_a_is_and_sit_in_a_sleeve_that_fits() -> None:
    state = BenchPageState.from_items({"power": "40", "view.c": "straight-wide"})
    a, c = state.bench.a, state.more[0]
    free = ("name", "needle", "sleeve", "markers")
    assert all(getattr(a, f.name) == getattr(c, f.name) for f in fields(a) if f.name not in free)
    assert c.sleeve is not None and c.sleeve.inner_radius > c.needle.outer_radius
    assert state.change("both", "d", "straight-slim").to_query().endswith("view.d=straight-slim")


def test_a_setting_that_a_further_needle_cannot_follow_is_refused() -> None:
    lengths = {id: n.length * 1e3 for id, n in tipsim.setup.catalogue.catalogue().needles.items()}
    short = min(lengths, key=lengths.__getitem__)
    long = max(lengths, key=lengths.__getitem__)
    between = (lengths[short] + lengths[long]) / 2
    page = BenchPage({"needle": long, "press": "on", "view.c": short})
    before = page.state
    reply = send(page, "press.place_mm", between)
    assert page.state == before and len(reply["errors"]) == 1
    assert BenchPage({"needle": long, "press": "on"}).state.bench.a.needle.id == long


def test_other_pages_say_where_further_needles_are_and_keep_them() -> None:
    page = CameraPage({"view.c": "straight-medium"})
    assert "needle C is on the page Compare needles" in page.controls.reply["notice"]
    assert "view.c=straight-medium" in page.controls.reply["link"]


def test_links_without_further_needles_are_as_they_were() -> None:
    query = BenchPageState.first().to_query()
    assert query == PageState.first().to_query() and "view." not in query


def test_a_straight_needle_is_not_said_to_have_a_bend() -> None:
    """The sentence on power names the bend for needles that have one, and the tip for the other."""
    bent, straight = (
        way(tipsim.solve(tipsim.preset(f"{n}, axial"))) for n in ("single-bend", "straight")
    )
    both = "leaves before the first bend, or before the tip of a straight needle, chiefly"
    assert both in answer([bent, bent, straight])
    assert "straight" not in answer([bent, bent])
    assert "leaves before the tip, chiefly" in answer([straight, straight])
