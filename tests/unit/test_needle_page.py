"""The needle page without a browser: sleeves, links, messages, files, steps back."""

import base64
from dataclasses import fields, replace
from typing import Any
from urllib.parse import parse_qsl

import pytest

from tests.unit.drafts import COUNTER, FIRST, items_of, put
from tipsim import store
from tipsim.app.framework.bench_state import BenchState
from tipsim.app.pages.bench.page import BenchPage
from tipsim.app.pages.needle.draft import PIECE, TUBE, Draft
from tipsim.app.pages.needle.page import NeedlePage
from tipsim.app.pages.needle.state import NeedleState
from tipsim.setup.catalogue import catalogue, needle
from tipsim.setup.load import Support
from tipsim.setup.material import titanium
from tipsim.setup.needle import Needle
from tipsim.setup.needle_file import parse_needle
from tipsim.setup.presets import fitting_sleeve


def send(page: NeedlePage, *changes: tuple[str, Any], **more: Any) -> dict[str, Any]:
    """Send changes as the form or the board does; return what the board shows then."""
    said = [{"side": "both", "field": path, "value": value} for path, value in changes]
    page.handle({"changes": said, **more}, page.parts["board"])
    return dict(page.parts["board"].draft)


def link(page: NeedlePage) -> dict[str, str]:
    """Return the items of the page's own link."""
    return dict(parse_qsl(page.controls.reply["link"], keep_blank_values=True))


# Sleeves, and the needles compared ---------------------------------------------------------------


@pytest.mark.parametrize("id", catalogue().needles)
def test_the_catalogue_s_needles_get_their_own_sleeves(id: str) -> None:
    sleeve, _ = fitting_sleeve(needle(id))
    assert sleeve is not None and sleeve.id == catalogue().sleeve_for[id]


def test_a_thick_needle_gets_the_widest_that_fits_or_none() -> None:
    thick = put(FIRST, outer_radius_mm="0.6").shown
    assert fitting_sleeve(thick)[1] == "In the sleeve for 1.1 mm."
    thicker = put(FIRST, outer_radius_mm="0.8").shown
    sleeve, said = fitting_sleeve(thicker)
    assert sleeve is None
    assert said == (
        "Without a sleeve: none of the catalogue fits "
        "(inner radius is 0.75 mm around a needle of 0.8 mm)."
    )


def test_what_was_set_is_kept_where_it_can_be() -> None:
    state, _ = NeedleState.read({"power": "40", "sleeve.exposed_mm": "2"})
    after, said = state.used("a")
    assert said == "In the sleeve for 0.9 mm."
    assert after.b == state.bench.b and after.a.needle == FIRST.shown
    assert after.a.drive.power == 0.4
    assert after.a.sleeve is not None and after.a.sleeve.exposed == 2e-3
    after, said = NeedleState.read({"sleeve": "none"})[0].used("b")
    assert after.b.sleeve is None and said == "Without a sleeve, as it was."
    # A sleeve that leaves more than this short needle is long falls back on its own length.
    long, _ = NeedleState.read({"sleeve.exposed_mm": "6", "markers": "0,6"})
    after, _ = put(long, p0_length_mm="2", taper_length_mm="1", p2_length_mm="2.5").used("a")
    assert after.a.sleeve is not None and after.a.sleeve.exposed == 1.25e-3
    assert after.a.markers == (0.0,)


@pytest.mark.parametrize("side", ["a", "b"])
def test_the_needle_opens_where_needles_are_compared(side: str) -> None:
    page = NeedlePage({"drive": "elliptical", "power": "60", "view.play": "0", "edit": side})
    shown = send(page, ("draft.title", "Mine, 1 & 2"), ("split", 0))
    items = items_of(shown["use"][side]["href"])
    bench = BenchPage(items)
    assert bench.controls.reply["notice"] == ""
    other = "a" if side == "b" else "b"
    used = getattr(bench.state.bench, side)
    assert used.needle == page.state.shown and used.needle.id == "mine-1-2"
    assert getattr(bench.state.bench, other) == getattr(page.state.bench, other)
    assert used.drive.power == 0.6 and items["view.play"] == "0"
    # From there back to the board: the same needle, by that page's own link.
    again = NeedlePage({**dict(parse_qsl(bench.controls.reply["link"])), "edit": side})
    assert again.state.shown == page.state.shown


def test_what_does_not_go_with_the_needle_is_said() -> None:
    first = BenchState.first()
    held = replace(first, a=replace(first.a, support=Support(17.5e-3, 1e-3, 1e5, 0.1)))
    page = NeedlePage(dict(parse_qsl(held.to_query())))
    shown = send(page, ("draft.pieces.2.length_mm", "2"))["use"]
    assert shown["a"]["href"] == "" and shown["b"]["href"]
    assert shown["a"]["said"] == (
        "It cannot be used as A: support.place_mm is 17.5 mm; allowed: 0.5 to 17.2 mm "
        "(the needle's length)."
    )


def test_using_it_waits_for_a_needle_that_can_be_made() -> None:
    shown = send(NeedlePage(), ("draft.bevel_deg", 99))
    assert shown["use"]["a"] == {"href": "", "said": "Fix the highlighted fields first."}
    assert shown["file"] is None


# Links -------------------------------------------------------------------------------------------


def test_the_link_holds_the_draft_right_or_wrong() -> None:
    state = put(COUNTER, p1_length_mm="a:b.c&d", title="Ä & ?", inner_radius_mm="")
    query = state.to_query()
    page = NeedlePage(dict(parse_qsl(query, keep_blank_values=True)))
    assert page.state.draft == state.draft and page.state.errors == state.errors
    assert page.controls.reply["link"] == query
    # What is no number is shown as it was typed, with a sentence beside it.
    assert page.controls.reply["values"]["both:draft.inner_radius_mm"] == ""
    assert page.controls.reply["errors"]["both:draft.inner_radius_mm"] == (
        "Enter a number from 0.1 to 1.4 mm. You entered nothing."
    )


def test_links_from_before_open_the_same_draft() -> None:
    """As the page wrote them before; the numbers are those in the link."""
    old = (
        "draft.title=My+hook&draft.id=my-hook&draft.shape=single-bend&draft.hub_radius_mm=1.2"
        "&draft.taper_length_mm=5&draft.outer_radius_mm=0.45&draft.inner_radius_mm=0.3"
        "&draft.bevel_deg=45&draft.bypass_diameter_mm=0&draft.bypass_distance_mm=0"
        "&draft.pieces=14:0,1:25::0.28,3:0&a.needle=single-bend&b.needle=counter-bent"
        "&drive=torsional&power=40&view.speed=1"
    )
    page = NeedlePage(dict(parse_qsl(old)))
    made = page.state.shown
    assert page.controls.reply["notice"] == "" and page.controls.reply["link"] == old
    assert (made.title, made.id, made.length) == ("My hook", "my-hook", pytest.approx(18e-3))
    assert made.pieces[1].inner_radius == pytest.approx(0.28e-3)
    assert page.state.bench.a.drive.power == 0.4


def test_another_metal_travels_in_the_link() -> None:
    metal = replace(titanium(), name="steel", young=1 / 3e-12)
    steel = FIRST.with_draft(replace(FIRST.draft, material=metal))
    assert NeedleState.read(dict(parse_qsl(steel.to_query())))[0].draft == steel.draft
    assert "material" not in FIRST.to_query()


BAD_LINKS = {
    "draft.shape": ("round", 'draft.shape is "round"; allowed: straight'),
    "draft.id": ("", "draft.id is ''"),
    "draft.bevel_deg": ("1" * 41, "draft.bevel_deg is 41 characters long"),
    "draft.pieces": (",".join(["1"] * 25), "draft.pieces is 25 pieces; allowed: 1 to 24 pieces"),
    "draft.material.young_gpa": ("soft", "draft.material.young_gpa is 'soft'; allowed: a number"),
    "draft.colour": ("red", "draft.colour is not here; allowed: title, id"),
    "edit": ("c", 'edit is "c"; allowed: a, b'),
    "power": ("300", "link: power"),
}


@pytest.mark.parametrize("name", BAD_LINKS)
def test_what_of_a_link_cannot_be_used_is_said_and_the_rest_stays(name: str) -> None:
    value, sentence = BAD_LINKS[name]
    good = {"draft.title": "Kept", "draft.taper_length_mm": "4", "drive": "axial"}
    material = {"draft.material.name": "steel"} if "material" in name else {}
    page = NeedlePage({name: value, **good, **material})
    assert "Part of this link could not be used: " in page.link_notice
    assert sentence.removeprefix("link: ") in page.link_notice
    assert page.state.draft == replace(put(FIRST, taper_length_mm="4").draft, title="Kept")
    assert page.state.bench.a.drive.kind == "axial"


# Messages ----------------------------------------------------------------------------------------


def test_each_message_is_answered_with_its_number() -> None:
    page = NeedlePage()
    shown = send(page, ("draft.bevel_deg", "45"), ("remove", 9), n=4)
    assert page.parts["board"].reply == {
        "n": 4,
        "error": "piece is 9; allowed: a whole number, 0 to 2.",
    }
    assert page.state.draft.tube["bevel_deg"] == "45" and len(shown["pieces"]) == 3
    # It is said on the board, not once more below the form.
    assert page.controls.reply.get("notice") is None
    send(page, ("start", "straigt-medium"))
    assert 'nearest: "straight-medium"' in page.controls.reply["errors"]["both:start"]


def test_what_does_not_fit_together_is_said_beside_its_control() -> None:
    page = NeedlePage()
    send(page, ("draft.inner_radius_mm", 0.42))
    assert page.controls.reply["errors"]["both:draft.inner_radius_mm"].startswith("Wall (outer")
    assert page.controls.reply["values"]["both:draft.inner_radius_mm"] == 0.42
    assert page.parts["board"].draft["drawn"]["inner"] == 0.42
    assert page.parts["board"].draft["shown"]["inner"] == 0.3
    send(page, ("draft.inner_radius_mm", 0.3))
    assert page.controls.reply["errors"] == {}


def test_a_drag_is_one_step_back_and_reset_keeps_the_needles_compared() -> None:
    page = NeedlePage({"power": "40"})
    for k in range(10):
        send(page, ("draft.pieces.1.turn_deg", str(21 + k)), gesture="hand 1")
    send(page, ("draft.pieces.1.turn_deg", "40"), gesture="hand 2")
    send(page, ("undo", True))
    assert page.state.draft.pieces[1]["turn_deg"] == "30"
    send(page, ("undo", True))
    assert page.state == NeedleState.first(page.state.bench) and not page.controls.reply["undo"]
    send(page, ("redo", True), ("redo", True), ("reset", True))
    assert page.state.draft == FIRST.draft and page.state.bench.a.drive.power == 0.4
    send(page, ("undo", True))
    assert page.state.draft.pieces[1]["turn_deg"] == "40"


def test_a_change_solves_the_needle_once_and_a_name_solves_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    page = NeedlePage()
    solved: list[Any] = []
    real = store.shared().result
    monkeypatch.setattr(store, "result", lambda s: solved.append(s) or real(s))
    before = store.shared().computed
    send(page, ("draft.title", "Another"))
    assert store.shared().computed == before
    send(page, ("draft.pieces.1.turn_deg", "21.37"))
    assert store.shared().computed > before
    # Out of range: what is shown is the needle before, which is known.
    before = store.shared().computed
    send(page, ("draft.pieces.1.turn_deg", "x"))
    assert store.shared().computed == before and solved


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        (None, "big.toml is more than 100 kB"),
        ("A" * 200_000, "big.toml is more than 100 kB"),
        ("???", "big.toml is not sent whole"),
        (base64.b64encode(b"\xff\xfe").decode(), "big.toml is not readable (not UTF-8 text)"),
        (base64.b64encode(b'format = "tipsim scenario 1"').decode(), "big.toml: format is"),
    ],
)
def test_a_file_is_looked_at_on_the_server_too(sent: object, sentence: str) -> None:
    page = NeedlePage()
    send(page, ("load", {"name": "big.toml", "bytes": sent}), n=1)
    assert page.parts["board"].reply["error"].startswith(sentence)
    assert page.state.draft == FIRST.draft


def test_a_saved_file_loads_as_the_same_needle() -> None:
    page = NeedlePage({"edit": "b"})
    file = send(page, ("draft.title", "Mein Häkchen"))["file"]
    assert file["name"] == "mein-hakchen.toml"
    assert parse_needle(file["text"]) == page.state.shown
    sent = base64.b64encode(file["text"].encode()).decode()
    fresh = NeedlePage()
    assert send(fresh, ("load", {"name": file["name"], "bytes": sent}))["file"] == file
    assert fresh.state.shown == page.state.shown


def test_the_control_to_start_from_says_what_it_is() -> None:
    page = NeedlePage({"edit": "b"})
    assert page.controls.reply["values"]["both:start"] == "counter-bent-medium"
    send(page, ("draft.pieces.2.turn_deg", "50"))
    assert page.controls.reply["values"]["both:start"] == ""
    send(page, ("start", "straight-medium"))
    assert page.state.draft == Draft.start("straight-medium")


def test_every_field_of_a_needle_stands_on_the_board() -> None:
    """So that a number added to the needle is not forgotten here."""
    kinds = {f.metadata["kind"] for f in fields(Needle)}
    assert kinds == {"words", "choice", "quantity", "part", "parts"}
    assert len(TUBE) == 7 and len(PIECE) == 4
