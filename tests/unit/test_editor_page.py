"""The needle editor's way to the bench, its link, and its messages, without a browser."""

import base64
from dataclasses import fields, replace
from urllib.parse import parse_qsl

import pytest

from tests.unit.drafts import COUNTER, FIRST, items_of, put
from tipsim.app.bench_state import BenchState
from tipsim.app.editor.draft import PIECE, TUBE
from tipsim.app.editor.draft_link import draft_from_items, draft_items, editor_query
from tipsim.app.editor.editor import Editor
from tipsim.app.editor.put import Bench, fitting_sleeve
from tipsim.app.pages.bench.page import BenchPage
from tipsim.setup.catalogue import catalogue, needle
from tipsim.setup.load import Support
from tipsim.setup.material import titanium
from tipsim.setup.needle import Needle
from tipsim.setup.needle_file import parse_needle

# Sleeves and the bench ---------------------------------------------------------------------------


@pytest.mark.parametrize("id", catalogue().needles)
def test_the_catalogue_s_needles_get_their_own_sleeves(id: str) -> None:
    sleeve, _ = fitting_sleeve(needle(id))
    assert sleeve is not None and sleeve.id == catalogue().sleeve_for[id]


def test_a_thick_needle_gets_the_widest_that_fits_or_none() -> None:
    thick = put(FIRST, outer_radius_mm="0.6").shown
    assert fitting_sleeve(thick)[1] == "In the sleeve for 1.1 mm."
    thicker = put(FIRST, outer_radius_mm="0.8").shown
    sleeve, told = fitting_sleeve(thicker)
    assert sleeve is None
    assert told == (
        "Without a sleeve: none of the catalogue fits "
        "(inner radius is 0.75 mm around a needle of 0.8 mm)."
    )


def test_what_the_bench_has_is_kept_where_it_can_be() -> None:
    bench = Bench.from_items({"power": "40", "sleeve.exposed_mm": "2", "view.camera": "edge"})
    after, told = bench.with_needle("a", FIRST.shown)
    assert told == "In the sleeve for 0.9 mm."
    assert after.state.b == bench.state.b and after.view == {"camera": "edge"}
    assert after.state.a.needle == FIRST.shown and after.state.a.drive.power == 0.4
    assert after.state.a.sleeve is not None and after.state.a.sleeve.exposed == 2e-3
    bare = Bench.from_items({"sleeve": "none"})
    after, told = bare.with_needle("b", FIRST.shown)
    assert after.state.b.sleeve is None and told == "Without a sleeve, as the bench has it."
    # A sleeve that leaves more than this short needle is long falls back on its own length.
    short = put(FIRST, p0_length_mm="2", taper_length_mm="1", p2_length_mm="2.5").shown
    long = Bench.from_items({"sleeve.exposed_mm": "6", "markers": "0,6"})
    after, _ = long.with_needle("a", short)
    assert after.state.a.sleeve is not None and after.state.a.sleeve.exposed == 1.25e-3
    assert after.state.a.markers == (0.0,)


@pytest.mark.parametrize("side", ["a", "b"])
def test_the_bench_opens_what_is_put_on_it(side: str) -> None:
    editor = Editor({"drive": "elliptical", "power": "60", "view.play": "0", "edit": side})
    editor.handle({"seq": 1, "changes": [{"do": "set", "field": "title", "value": "Mine, 1 & 2"}]})
    editor.handle({"seq": 2, "changes": [{"do": "split", "at": 0}]})
    items = items_of(editor.component.reply["put"][side]["href"])
    bench = BenchPage(items)
    assert bench.controls.reply["notice"] == ""
    state = bench.state.bench
    put, other = (state.b, state.a) if side == "b" else (state.a, state.b)
    assert put.needle == editor.state.shown and put.needle.id == "mine-1-2"
    assert other == editor.bench.side("a" if side == "b" else "b")
    assert put.drive.power == 0.6 and items["view.play"] == "0"
    # From there back to the board: the same needle, by the bench's own link.
    again = Editor({**dict(parse_qsl(bench.controls.reply["link"])), "edit": side})
    assert again.state.shown == editor.state.shown


def test_what_does_not_go_on_the_bench_is_said() -> None:
    first = BenchState.first()
    held = replace(first.a, support=Support(18.2e-3, 1e-3, 1e5, 0.1))
    editor = Editor()
    editor.bench = Bench(replace(first, a=held), {})
    editor.handle(
        {"seq": 1, "changes": [{"do": "set", "field": "pieces.2.length_mm", "value": "2"}]}
    )
    reply = editor.component.reply["put"]
    assert reply["a"]["href"] == "" and reply["b"]["href"]
    assert reply["a"]["told"] == (
        "It does not go on A: support.place_mm is 18.2 mm; allowed: 0.5 to 17.04 mm "
        "(the needle's length)."
    )


def test_putting_waits_for_a_needle_that_can_be_made() -> None:
    editor = Editor()
    editor.handle({"seq": 1, "changes": [{"do": "set", "field": "bevel_deg", "value": "99"}]})
    reply = editor.component.reply
    assert reply["put"]["a"] == {"href": "", "told": "First mend what is marked."}
    assert reply["file"] is None and not reply["possible"]


# Links -------------------------------------------------------------------------------------------


def test_the_link_holds_the_draft_right_or_wrong() -> None:
    state = put(COUNTER, p1_length_mm="a:b,c&d", title="Ä & ?", inner_radius_mm="")
    query = editor_query(state.draft, BenchState.first().to_query())
    editor = Editor(dict(parse_qsl(query, keep_blank_values=True)))
    assert editor.state.draft == state.draft
    assert dict(editor.state.errors) == dict(state.errors)
    assert editor.component.reply["link"] == query


def test_another_metal_travels_in_the_link() -> None:
    steel = replace(FIRST.draft, material=replace(titanium(), name="steel", young=1 / 3e-12))
    assert draft_from_items(draft_items(steel)) == steel
    assert not any("material" in key for key in draft_items(FIRST.draft))


BAD_LINKS = {
    "draft.shape": ("round", 'draft.shape is "round"; allowed: straight'),
    "draft.id": ("", "draft.id is ''"),
    "draft.bevel_deg": ("1" * 41, "draft.bevel_deg is too long"),
    "draft.pieces": (",".join(["1"] * 25), "draft.pieces is 25 pieces; allowed: 1 to 24 pieces"),
    "draft.material.young_gpa": ("soft", "draft.material.young_gpa is 'soft'; allowed: a number"),
    "edit": ("c", 'edit is "c"; allowed: a, b'),
}


@pytest.mark.parametrize("name", BAD_LINKS)
def test_a_link_that_cannot_be_used_is_said_and_leaves_a_first_needle(name: str) -> None:
    value, sentence = BAD_LINKS[name]
    material = {"draft.material.name": "steel"} if "material" in name else {}
    editor = Editor({name: value, **material})
    assert "The needle in this link could not be used: link: " in editor.component.reply["notice"]
    assert sentence in editor.component.reply["notice"]
    assert editor.state.draft == FIRST.draft


def test_a_bench_that_cannot_be_used_is_said() -> None:
    editor = Editor({"power": "300"})
    assert "The bench in this link could not be used: link: " in editor.component.reply["notice"]
    assert editor.bench.state == BenchState.first()


# Messages ----------------------------------------------------------------------------------------


def test_each_message_is_answered_with_its_number() -> None:
    editor = Editor()
    editor.handle(
        {
            "seq": 4,
            "changes": [
                {"do": "set", "field": "bevel_deg", "value": "45"},
                {"do": "remove", "at": 9},
                {"do": "start", "needle": "straigt-0.9"},
                {"do": "nonsense"},
            ],
        }
    )
    reply = editor.component.reply
    assert reply["seq"] == 4 and reply["draft"]["tube"]["bevel_deg"] == "45"
    assert 'nearest: "straight-0.9"' in reply["errors"]["start"]
    assert reply["errors"]["pieces"]
    editor.handle({})
    assert editor.component.reply["seq"] == 0


def test_looking_changes_nothing_and_keeps_what_was_said() -> None:
    editor = Editor()
    editor.handle({"seq": 1, "changes": [{"do": "look"}]})
    reply = editor.component.reply
    assert reply["quiet"] and reply["look"]["thorough"] and not reply["undo"]


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
    editor = Editor()
    editor.handle({"seq": 1, "changes": [{"do": "load", "name": "big.toml", "bytes": sent}]})
    assert editor.component.reply["errors"]["file"].startswith(sentence)
    assert editor.state.draft == FIRST.draft


def test_a_saved_file_loads_as_the_same_needle() -> None:
    editor = Editor({"edit": "b"})
    editor.handle({"seq": 1, "changes": [{"do": "set", "field": "title", "value": "Mein Häkchen"}]})
    file = editor.component.reply["file"]
    assert file["name"] == "mein-hakchen.toml"
    assert parse_needle(file["text"]) == editor.state.shown
    sent = base64.b64encode(file["text"].encode()).decode()
    fresh = Editor()
    fresh.handle({"seq": 1, "changes": [{"do": "load", "name": file["name"], "bytes": sent}]})
    assert fresh.state.shown == editor.state.shown
    assert fresh.component.reply["file"] == file


def test_every_field_of_a_needle_stands_on_the_board() -> None:
    """So that a number added to the needle is not forgotten here."""
    kinds = {f.metadata["kind"] for f in fields(Needle)}
    assert kinds == {"words", "choice", "quantity", "part", "parts"}
    assert len(TUBE) == 7 and len(PIECE) == 4
