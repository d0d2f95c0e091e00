"""The needle editor without a browser: drafts, sentences, steps back, sleeves, links."""

from dataclasses import fields, replace

import numpy as np
import pytest

from tests.unit.drafts import COUNTER, FIRST, put
from tipsim.app.editor.check import Unchecked, checked, touching
from tipsim.app.editor.draft import TITLE, TUBE, Draft, shape_of
from tipsim.app.editor.look import look
from tipsim.app.editor.put import trial
from tipsim.app.editor.state import HISTORY, EditorState
from tipsim.app.editor.totals import least_bend_radius, least_wall, metal_mass, totals
from tipsim.setup.catalogue import catalogue, needle
from tipsim.setup.errors import BadInput
from tipsim.setup.material import titanium
from tipsim.setup.needle import Needle, Piece
from tipsim.setup.needle_file import needle_to_toml
from tipsim.solve import solve

# Sentences ---------------------------------------------------------------------------------------

WRONG = {
    "empty": (
        {"p0_length_mm": ""},
        {"pieces.0.length_mm": "Length of piece 1 is empty; allowed: a number, 0.02 to 40 mm."},
    ),
    "letters": (
        {"bevel_deg": "steep"},
        {"bevel_deg": 'Bevel is "steep"; allowed: a number, 0 to 60 °.'},
    ),
    "NaN": (
        {"p1_turn_deg": "nan"},
        {"pieces.1.turn_deg": 'Turn of piece 2 is "nan"; allowed: a number, -180 to 180 °.'},
    ),
    "a number with a gap": (
        {"p1_turn_deg": "2 0"},
        {"pieces.1.turn_deg": 'Turn of piece 2 is "2 0"; allowed: a number, -180 to 180 °.'},
    ),
    "negative": (
        {"p2_length_mm": "-3"},
        {"pieces.2.length_mm": "Length of piece 3 is -3 mm; allowed: 0.02 to 40 mm."},
    ),
    "1e9": (
        {"hub_radius_mm": "1e9"},
        {"hub_radius_mm": "Radius at the hub is 1e+09 mm; allowed: 0.3 to 3 mm."},
    ),
    "two at once": (
        {"p2_length_mm": "x", "inner_radius_mm": "9"},
        {
            "pieces.2.length_mm": 'Length of piece 3 is "x"; allowed: a number, 0.02 to 40 mm.',
            "inner_radius_mm": "Inner radius of the shaft is 9 mm; allowed: 0.1 to 1.4 mm.",
        },
    ),
    "thin wall of the shaft": (
        {"inner_radius_mm": "0.41"},
        {
            "inner_radius_mm": "Wall (outer less inner radius) is 0.04 mm at 5 mm from the hub; "
            "allowed: 0.05 mm or more."
        },
    ),
    "thin wall in a cone": (
        {"p1_inner_radius_mm": "0.42"},
        {
            "pieces.1.inner_radius_mm": "Wall (outer less inner radius) is 0.03 mm at 15.04 mm "
            "from the hub; allowed: 0.05 mm or more."
        },
    ),
    "thin wall behind a cone": (
        {"p1_outer_radius_mm": "0.38", "p2_inner_radius_mm": "0.36"},
        {
            "pieces.2.inner_radius_mm": "Wall (outer less inner radius) is 0.02 mm at 18.4 mm "
            "from the hub; allowed: 0.05 mm or more."
        },
    ),
    "thin wall at the hub": (
        {"hub_radius_mm": "0.36"},
        {
            "hub_radius_mm": "Wall (outer less inner radius) is 0.013 mm at 0 mm from the hub; "
            "allowed: 0.05 mm or more."
        },
    ),
    "bend tighter than the tube": (
        {"p1_turn_deg": "90"},
        {
            "pieces.1.turn_deg": "Piece 2 is a bend of radius 0.407 mm; allowed: more than the "
            "tube's own 0.45 mm (a length over 0.707 mm, or a turn under 81.5°)."
        },
    ),
    "crossing itself": (
        {"p1_length_mm": "2", "p1_turn_deg": "180", "p2_length_mm": "2", "p2_turn_deg": "180"},
        {
            "pieces": "Pieces 2 and 3 run into each other; allowed: turns that keep it apart "
            "(one turn less, or more length between them)."
        },
    ),
    "too long": (
        {"p0_length_mm": "39"},
        {"pieces": "The needle is 43 mm long in all; allowed: 5 to 40 mm in all."},
    ),
    "taper longer than the needle": (
        {"taper_length_mm": "19"},
        {"taper_length_mm": "Taper length is 19 mm; allowed: less than the needle."},
    ),
    "hole beyond the mouth": (
        {"bypass_diameter_mm": "0.2", "bypass_distance_mm": "30"},
        {
            "bypass_distance_mm": "Bypass hole's distance from the hub is 30 mm; allowed: between "
            "hub and mouth, 0 to 18.4 mm."
        },
    ),
    "no name": (
        {"title": ""},
        {"title": "Name is empty; allowed: one line of 1 to 120 printable characters."},
    ),
    "a name without end": (
        {"title": "x" * 121},
        {
            "title": "Name is 121 characters long; allowed: one line of 1 to 120 printable "
            "characters."
        },
    ),
}


@pytest.mark.parametrize("case", WRONG)
def test_what_is_off_is_said_at_its_field_and_nothing_is_lost(case: str) -> None:
    texts, errors = WRONG[case]
    state = put(FIRST, **texts)
    assert dict(state.errors) == errors
    assert not state.possible
    for name, text in texts.items():
        if name in TUBE:
            assert state.draft.tube[name] == text
    # The picture keeps the last needle that could be made, and a step back brings the draft back.
    assert isinstance(state.shown, Needle) and not isinstance(state.shown, Unchecked)
    for _ in texts:
        state = state.change("undo")
    assert (state.draft, state.shown) == (FIRST.draft, FIRST.shown)


def test_commas_signs_and_spaces_are_understood() -> None:
    state = put(FIRST, p1_length_mm=" 0,9 ", p1_turn_deg="−25.5")
    assert state.possible
    assert state.shown.pieces[1] == Piece(0.9e-3, np.radians(-25.5))
    assert put(FIRST, p1_turn_deg="+2e1").shown == FIRST.shown


@pytest.mark.parametrize(
    ("at", "pieces"),
    [((1, 3), [(8, 0), (2, 180), (8, 0)]), ((2, 5), [(5, 0), (5, 0), (2, 180), (1, 0), (3, 40)])],
)
def test_the_pieces_that_touch_are_named(at: tuple[int, int], pieces: list[list[float]]) -> None:
    made = tuple(Piece(length * 1e-3, np.radians(turn)) for length, turn in pieces)
    values = {f.name: getattr(FIRST.shown, f.name) for f in fields(FIRST.shown)}
    assert touching(Unchecked(**{**values, "pieces": made})) == at


# Pieces ------------------------------------------------------------------------------------------


def test_adding_moving_and_removing() -> None:
    added = FIRST.change("insert", at=1)
    assert [p["length_mm"] for p in added.draft.pieces] == ["14.4", "0.64", "1", "3.36"]
    assert added.chosen == 2 and added.possible
    moved = added.change("move", at=2, by=-1)
    assert [p["length_mm"] for p in moved.draft.pieces] == ["14.4", "1", "0.64", "3.36"]
    assert moved.chosen == 1
    assert moved.change("move", at=3, by=1).draft == moved.draft
    removed = moved.change("remove", at=3)
    assert len(removed.draft.pieces) == 3 and removed.chosen == 2
    for _ in range(3):
        removed = removed.change("undo")
    assert removed.draft == FIRST.draft


def test_a_split_leaves_the_needle_as_it_is() -> None:
    state = put(COUNTER, p2_outer_radius_mm="0.5", p2_inner_radius_mm="0.4")
    two = state.change("split", at=2)
    assert two.possible and len(two.shown.pieces) == 5 and two.shown.shape == "counter-bent"
    s = np.linspace(0, two.shown.length, 400)
    np.testing.assert_allclose(two.shown.points_at(s), state.shown.points_at(s), atol=1e-15)
    np.testing.assert_allclose(two.shown.radii_at(s), state.shown.radii_at(s), atol=1e-15)


def test_no_more_than_24_pieces_and_never_none() -> None:
    state = FIRST
    for _ in range(21):
        state = state.change("insert", at=0)
    assert len(state.draft.pieces) == 24
    for do in ("insert", "split"):
        with pytest.raises(BadInput, match="25 pieces; allowed: 1 to 24 pieces"):
            state.change(do, at=0)
    one = FIRST.change("remove", at=0).change("remove", at=0)
    with pytest.raises(BadInput, match="0 pieces; allowed: 1 to 24 pieces"):
        one.change("remove", at=0)


@pytest.mark.parametrize("at", [-1, 3, 1.0, "1", None, True])
def test_a_piece_that_is_not_there_is_refused(at: object) -> None:
    for do in ("insert", "remove", "split", "move"):
        with pytest.raises(BadInput, match="allowed: a whole number, 0 to 2"):
            FIRST.change(do, at=at, by=1)


def test_what_is_no_number_cannot_be_split() -> None:
    with pytest.raises(BadInput, match=r'^Length of piece 1 is "x"; allowed: a number before'):
        put(FIRST, p0_length_mm="x").change("split", at=0)


@pytest.mark.parametrize("field", ["", "shape", "pieces", "pieces.3.turn_deg", "pieces.0.x", "id"])
def test_a_field_that_is_not_there_is_refused(field: str) -> None:
    with pytest.raises(BadInput, match="a field of this needle"):
        FIRST.change("set", field=field, value="1")


def test_a_change_that_is_not_known_is_refused() -> None:
    with pytest.raises(BadInput, match="a change of a needle"):
        FIRST.change("melt")


# Back and forth ----------------------------------------------------------------------------------


def test_a_drag_is_one_step_back() -> None:
    state = FIRST
    for k in range(10):
        state = state.change("set", field="pieces.1.turn_deg", value=str(20 + k), gesture=7)
    state = state.change("set", field="pieces.1.turn_deg", value="40", gesture=8)
    back = state.change("undo")
    assert back.draft.pieces[1]["turn_deg"] == "29"
    assert back.change("undo").draft == FIRST.draft
    assert back.change("redo").draft == state.draft
    assert not back.change("undo").change("undo").past
    anew = back.change("set", field="pieces.1.turn_deg", value="5", gesture=8)
    assert anew.future == () and len(anew.past) == 2


def test_history_is_bounded() -> None:
    state = FIRST
    for k in range(HISTORY + 30):
        state = put(state, bevel_deg=str(k % 50))
    assert len(state.past) == HISTORY
    for _ in range(HISTORY + 5):
        state = state.change("undo")
    assert state.past == () and len(state.future) == HISTORY


def test_nothing_typed_is_no_step() -> None:
    assert put(FIRST, bevel_deg="30").past == ()


# Names -------------------------------------------------------------------------------------------


def test_the_id_follows_the_name_until_a_file_gave_another() -> None:
    assert (FIRST.draft.title, FIRST.shown.id) == (TITLE, "own-needle")
    assert put(FIRST, title="Hook, 2nd try").shown.id == "hook-2nd-try"
    given = replace(FIRST.shown, id="n7", title="Seven")
    state = EditorState.of(Draft.of(given))
    assert put(state, title="Eight").shown.id == "n7"


def test_a_changed_needle_does_not_pass_for_the_catalogue_s() -> None:
    known = needle("straight-0.9")
    state = EditorState.of(Draft.of(known))
    assert state.shown == known
    assert put(state, bevel_deg="45").shown.id == "own-straight-0.9"
    assert put(FIRST, title="Straight 0.9").shown.id == "straight-0-9"


@pytest.mark.parametrize("id", catalogue().needles)
def test_the_catalogue_s_shapes_are_named_as_there(id: str) -> None:
    assert shape_of(Draft.start(id).pieces) == needle(id).shape


def test_the_shape_follows_the_turns_unless_it_was_given() -> None:
    assert put(FIRST, p1_turn_deg="0").shown.shape == "straight"
    assert put(FIRST, p2_turn_deg="-20").shown.shape == "counter-bent"
    assert put(FIRST, p0_turn_deg="5", p1_turn_deg="0", p2_turn_deg="5").shown.shape == "other"
    given = EditorState.of(Draft.of(replace(FIRST.shown, shape="other")))
    assert put(given, p1_turn_deg="25").shown.shape == "other"


def test_the_files_numbers_come_back_from_the_board() -> None:
    metal = replace(titanium(), name="steel", young=200e9)
    odd = replace(needle("counter-bent-1.1"), id="x", title="Odd", material=metal, bevel=1 / 3)
    text = needle_to_toml(odd)
    state = FIRST.change("load", name="odd.toml", data=text.encode())
    assert state.shown == odd and needle_to_toml(state.shown) == text
    assert state.change("undo").draft == FIRST.draft


def test_a_file_of_another_kind_changes_nothing() -> None:
    with pytest.raises(BadInput, match=r"^a.toml: format is missing; allowed: format = "):
        FIRST.change("load", name="a.toml", data=b"x = 1")
    with pytest.raises(BadInput, match=r"not UTF-8 text"):
        FIRST.change("load", name="a.toml", data=b"\x89PNG\xff")


# Totals ------------------------------------------------------------------------------------------


def test_totals_agree_with_a_fine_sum() -> None:
    n = put(COUNTER, p2_outer_radius_mm="0.55", p3_inner_radius_mm="0.3").shown
    s = np.linspace(0, n.length, 200_001)
    outer, inner = n.radii_at(s)
    mass = n.material.density * np.pi * np.trapezoid(outer**2 - inner**2, s)
    assert metal_mass(n) == pytest.approx(mass, rel=1e-8)
    assert least_wall(n) == pytest.approx((outer - inner).min(), rel=1e-6)
    radii = [p.length / abs(p.turn) for p in n.pieces if p.turn]
    assert least_bend_radius(n) == min(radii)
    shown = {row["id"]: row["value"] for row in totals(n)}
    assert shown["turn"] == "25.5° to the left"
    assert shown["aside"] == f"{abs(n.points_at([n.length])[0, 1]) * 1e3:.3g} mm"
    assert {row["id"]: row["value"] for row in totals(needle("straight-0.9"))}["bend"] == "none"


# What it would do --------------------------------------------------------------------------------


def test_the_look_says_what_the_model_says() -> None:
    n = put(FIRST, p1_turn_deg="15").shown
    result = solve(trial(n)[0])
    found = look(n, thorough=True)
    values = {row["id"]: row["value"] for row in found["rows"]}
    assert values["end"] == f"{result.motion.end_stroke * 1e6:.1f} µm"
    assert values["stress"] == f"{result.stress.peak / 1e6:.0f} MPa"
    assert values["character"] == "pendular"
    assert found["thorough"]["value"] == ("delicate" if result.sensitivity.delicate else "steady")
    assert found["standing"] == "predicted"
    assert look(n)["thorough"] is None


def test_the_catalogue_s_pair_is_called_fitted_whatever_its_name() -> None:
    for id, standing in (
        ("single-bend-20-0.9", "fitted"),
        ("counter-bent-0.9", "fitted"),
        ("single-bend-22-0.9", "predicted"),
    ):
        assert look(checked(Draft.start(id)).needle or needle(id))["standing"] == standing


def test_warnings_stand_where_they_belong() -> None:
    # The thin single bend with a shorter straight part resonates within 1 kHz of the drive.
    near = put(EditorState.of(Draft.start("single-bend-22-0.75")), p0_length_mm="14.6").shown
    found = look(near, thorough=True)
    rows = {row["id"]: row["warning"] for row in [*found["rows"], found["thorough"]]}
    assert (
        "natural frequency at 32." in rows["delicate"] and "kHz from the drive" in rows["delicate"]
    )
    assert "faster than the 20 m/s" in rows["end"]
    assert "could crack" in rows["stress"]
    calm = look(needle("counter-bent-1.1"), thorough=True)
    assert not any(row["warning"] for row in [*calm["rows"], calm["thorough"]])


def test_a_needle_that_stands_still_and_another_metal() -> None:
    still = look(needle("straight-0.9"), thorough=True)
    assert still["thorough"]["value"] == "–" and still["rows"][0]["value"] == "0.0 µm"
    steel = replace(needle("single-bend-22-0.75"), material=replace(titanium(), name="steel"))
    rows = {row["id"]: row for row in look(steel)["rows"]}
    assert rows["stress"]["note"] == "fatigue strength known for titanium only"
    assert rows["stress"]["warning"] == ""
