"""The needle editor without a browser: drafts, sentences, steps back, sleeves, links."""

import base64
from dataclasses import fields, replace
from typing import Any

import numpy as np
import pytest

from tests.unit.drafts import COUNTER, FIRST, of, put
from tipsim.app.pages.needle.check import Unchecked, touching
from tipsim.app.pages.needle.draft import TITLE, TUBE, Draft, shape_of
from tipsim.app.pages.needle.outcome import _fatigue, outcome, summary, trial
from tipsim.app.pages.needle.state import NeedleState
from tipsim.setup.catalogue import catalogue, needle
from tipsim.setup.errors import BadInput
from tipsim.setup.material import titanium
from tipsim.setup.measures import least_bend_radius, least_wall, metal_mass
from tipsim.setup.needle import Needle, Piece
from tipsim.setup.needle_file import needle_to_toml
from tipsim.setup.sourced import number
from tipsim.solve import solve

# Sentences ---------------------------------------------------------------------------------------

ENTER = "Enter a number from"
LENGTH, TURN = f"{ENTER} 0.02 to 40 mm.", f"{ENTER} -180 to 180 °."

WRONG = {
    "empty": (
        {"p0_length_mm": ""},
        {"pieces.0.length_mm": f"Piece 1, length: {LENGTH} You entered nothing."},
    ),
    "letters": (
        {"bevel_deg": "steep"},
        {"bevel_deg": 'Enter a number from 0 to 60 °. You entered "steep".'},
    ),
    "NaN": (
        {"p1_turn_deg": "nan"},
        {"pieces.1.turn_deg": f'Piece 2, turn: {TURN} You entered "nan".'},
    ),
    "a number with a gap": (
        {"p1_turn_deg": "2 0"},
        {"pieces.1.turn_deg": f'Piece 2, turn: {TURN} You entered "2 0".'},
    ),
    "negative": (
        {"p2_length_mm": "-3"},
        {"pieces.2.length_mm": f"Piece 3, length: {LENGTH} You entered -3 mm."},
    ),
    "1e9": (
        {"hub_radius_mm": "1e9"},
        {"hub_radius_mm": "Enter a number from 0.3 to 3 mm. You entered 1 × 10⁹ mm."},
    ),
    "two at once": (
        {"p2_length_mm": "x", "inner_radius_mm": "9"},
        {
            "pieces.2.length_mm": f'Piece 3, length: {ENTER} 0.02 to 40 mm. You entered "x".',
            "inner_radius_mm": "Enter a number from 0.1 to 1.4 mm. You entered 9 mm.",
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
            "pieces.1.inner_radius_mm": "Wall (outer less inner radius) is 0.03 mm at 15.2 mm "
            "from the hub; allowed: 0.05 mm or more."
        },
    ),
    "thin wall behind a cone": (
        {"p1_outer_radius_mm": "0.38", "p2_inner_radius_mm": "0.36"},
        {
            "pieces.2.inner_radius_mm": "Wall (outer less inner radius) is 0.02 mm at 17.7 mm "
            "from the hub; allowed: 0.05 mm or more."
        },
    ),
    "thin wall at the hub": (
        {"hub_radius_mm": "0.34"},
        {
            "hub_radius_mm": "Wall (outer less inner radius) is 0.04 mm at 0 mm from the hub; "
            "allowed: 0.05 mm or more."
        },
    ),
    "bend tighter than the tube": (
        {"p1_turn_deg": "90"},
        {
            "pieces.1.turn_deg": "Piece 2 is a bend of radius 0.382 mm; allowed: more than the "
            "tube's own 0.45 mm (a length over 0.707 mm, or a turn under 76.4°)."
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
        {"pieces": "The needle is 42.1 mm long in all; allowed: 5 to 40 mm in all."},
    ),
    "taper longer than the needle": (
        {"taper_length_mm": "19"},
        {"taper_length_mm": "Length of the taper is 19 mm; allowed: less than the needle."},
    ),
    "hole beyond the mouth": (
        {"bypass_diameter_mm": "0.2", "bypass_distance_mm": "30"},
        {
            "bypass_distance_mm": "Distance of the bypass hole from the hub is 30 mm; allowed: "
            "between hub and mouth, 0 to 17.7 mm."
        },
    ),
    "no name": (
        {"title": ""},
        {"title": "Enter a name: one line of 1 to 120 printable characters."},
    ),
    "a name without end": (
        {"title": "x" * 121},
        {"title": "Enter a name: one line of 1 to 120 printable characters."},
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
    added = FIRST.change("both", "insert", 1)
    assert [p["length_mm"] for p in added.draft.pieces] == ["14.6", "0.6", "1", "2.5"]
    assert added.possible
    moved = added.change("both", "move", [2, -1])
    assert [p["length_mm"] for p in moved.draft.pieces] == ["14.6", "1", "0.6", "2.5"]
    assert moved.change("both", "move", [3, 1]).draft == moved.draft
    removed = moved.change("both", "remove", 3)
    assert [p["length_mm"] for p in removed.draft.pieces] == ["14.6", "1", "0.6"]


def test_a_split_leaves_the_needle_as_it_is() -> None:
    state = put(COUNTER, p2_outer_radius_mm="0.5", p2_inner_radius_mm="0.4")
    two = state.change("both", "split", 2)
    assert two.possible and len(two.shown.pieces) == 5 and two.shown.shape == "counter-bent"
    s = np.linspace(0, two.shown.length, 400)
    np.testing.assert_allclose(two.shown.points_at(s), state.shown.points_at(s), atol=1e-15)
    np.testing.assert_allclose(two.shown.radii_at(s), state.shown.radii_at(s), atol=1e-15)


def test_no_more_than_24_pieces_and_never_none() -> None:
    state = FIRST
    for _ in range(21):
        state = state.change("both", "insert", 0)
    assert len(state.draft.pieces) == 24
    for do in ("insert", "split"):
        with pytest.raises(BadInput, match="Number of pieces is 25; allowed: 1 to 24"):
            state.change("both", do, 0)
    one = FIRST.change("both", "remove", 0).change("both", "remove", 0)
    with pytest.raises(BadInput, match="Number of pieces is 0; allowed: 1 to 24"):
        one.change("both", "remove", 0)


@pytest.mark.parametrize("at", [-1, 3, 1.0, "1", None, True, [1], [1, 0.5], {"at": 1}])
def test_a_piece_that_is_not_there_is_refused(at: object) -> None:
    for do in ("insert", "remove", "split", "move"):
        with pytest.raises(BadInput, match="allowed: a whole number, 0 to 2"):
            FIRST.change("both", do, at)


def test_what_is_no_number_cannot_be_split() -> None:
    with pytest.raises(BadInput, match=r'^Piece 1, length is "x"; allowed: a number before'):
        put(FIRST, p0_length_mm="x").change("both", "split", 0)


@pytest.mark.parametrize("field", ["", "shape", "pieces", "pieces.3.turn_deg", "pieces.0.x", "id"])
def test_a_field_that_is_not_there_is_refused(field: str) -> None:
    with pytest.raises(BadInput, match="a field of this needle"):
        FIRST.change("both", f"draft.{field}", "1")


@pytest.mark.parametrize("path", ["melt", "draft", "drive.power_percent"])
def test_a_change_that_is_not_known_is_refused(path: str) -> None:
    with pytest.raises(BadInput, match="a change of a needle"):
        FIRST.change("both", path, 1)


# Names -------------------------------------------------------------------------------------------


def test_the_id_follows_the_name_until_a_file_gave_another() -> None:
    assert (FIRST.draft.title, FIRST.shown.id) == (TITLE, "own-needle")
    assert put(FIRST, title="Hook, 2nd try").shown.id == "hook-2nd-try"
    given = replace(FIRST.shown, id="n7", title="Seven")
    state = of(Draft.of(given))
    assert put(state, title="Eight").shown.id == "n7"


def test_a_changed_needle_does_not_pass_for_the_catalogue_s() -> None:
    known = needle("straight-medium")
    state = of(Draft.of(known))
    assert state.shown == known
    assert put(state, bevel_deg="45").shown.id == "own-straight-medium"
    assert put(FIRST, title="Straight 0.9").shown.id == "straight-0-9"


@pytest.mark.parametrize("id", catalogue().needles)
def test_the_catalogue_s_shapes_are_named_as_there(id: str) -> None:
    assert shape_of(Draft.start(id).pieces) == needle(id).shape


def test_the_shape_follows_the_turns_unless_it_was_given() -> None:
    assert put(FIRST, p1_turn_deg="0").shown.shape == "straight"
    assert put(FIRST, p2_turn_deg="-20").shown.shape == "counter-bent"
    assert put(FIRST, p0_turn_deg="5", p1_turn_deg="0", p2_turn_deg="5").shown.shape == "other"
    given = of(Draft.of(replace(FIRST.shown, shape="other")))
    assert put(given, p1_turn_deg="25").shown.shape == "other"


def sent(name: str, data: bytes) -> dict[str, str]:
    """A file as the browser sends it."""
    return {"name": name, "bytes": base64.b64encode(data).decode()}


def test_the_files_numbers_come_back_from_the_board() -> None:
    metal = replace(titanium(), name="steel", young=200e9)
    odd = replace(needle("counter-bent-wide"), id="x", title="Odd", material=metal, bevel=1 / 3)
    text = needle_to_toml(odd)
    state = FIRST.change("both", "load", sent("odd.toml", text.encode()))
    assert state.shown == odd and needle_to_toml(state.shown) == text


def test_a_file_of_another_kind_changes_nothing() -> None:
    with pytest.raises(BadInput, match=r"^a.toml: format is missing; allowed: format = "):
        FIRST.change("both", "load", sent("a.toml", b"x = 1"))
    with pytest.raises(BadInput, match=r"not UTF-8 text"):
        FIRST.change("both", "load", sent("a.toml", b"\x89PNG\xff"))


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
    shown = dict(summary(put(COUNTER, p2_outer_radius_mm="0.55", p3_inner_radius_mm="0.3"))["rows"])
    assert shown["Total turn"] == "25.3° to the left"
    assert shown["Tip off the hub's axis"] == f"{abs(n.points_at([n.length])[0, 1]) * 1e3:.3g} mm"
    straight = dict(summary(of(Draft.of(needle("straight-medium"))))["rows"])
    assert straight["Tightest bend, radius"] == "none"


# What it would do --------------------------------------------------------------------------------


def rows_of(state: NeedleState) -> dict[str, dict[str, Any]]:
    """What is predicted, with the work that takes long, by label."""
    return {row["label"]: row for row in outcome(state, thorough=True)["rows"]}


def test_the_outcome_says_what_the_model_says() -> None:
    state = put(FIRST, p1_turn_deg="15")
    result = solve(trial(state.shown)[0])
    rows = rows_of(state)
    assert rows["Tip stroke"]["value"] == f"{result.motion.end_stroke * 1e6:.1f} µm peak to peak"
    assert rows["Highest stress"]["value"] == f"{result.stress.peak / 1e6:.0f} MPa"
    assert rows["Character"]["value"] == "pendular"
    sensitive = "sensitive" if result.sensitivity.delicate else "steady"
    assert rows["1 % tolerance"]["value"] == sensitive
    assert outcome(state)["standing"] == "predicted"
    assert outcome(state)["rows"][-1]["value"] == "…"


def test_the_catalogue_s_pair_is_called_fitted_whatever_its_name() -> None:
    for id, standing in (
        ("single-bend-20-medium", "fitted"),
        ("counter-bent-medium", "fitted"),
        ("single-bend-10-medium", "predicted"),
    ):
        assert outcome(of(Draft.start(id)))["standing"] == standing


def test_warnings_stand_where_they_belong() -> None:
    # The slim single bend with a longer straight part resonates within 1 kHz of the drive.
    swinging = put(of(Draft.start("single-bend-20-slim")), p0_length_mm="15.5")
    rows = rows_of(swinging)
    near = rows["1 % tolerance"]["warning"]
    assert "natural frequency at 32." in near and "kHz from the drive" in near
    assert "outside the range of the linear model: tip speed" in rows["Tip stroke"]["warning"]
    # Beyond the limits no stress is told; within them it is laid over the strength.
    assert (rows["Highest stress"]["value"], rows["Highest stress"]["warning"]) == ("–", "")
    strength = number("fatigue.smooth").si
    for drawn, cracks in ((swinging.shown, True), (needle("counter-bent-wide"), False)):
        result = solve(trial(drawn)[0])
        assert (result.stress.equivalent.max() > strength) == cracks
        assert ("could crack" in _fatigue(result)[1]) == cracks
    calm = rows_of(of(Draft.of(needle("counter-bent-wide"))))
    assert not any(row["warning"] for row in calm.values())


def test_a_needle_that_does_not_move_and_another_metal() -> None:
    still = rows_of(of(Draft.of(needle("straight-medium"))))
    assert still["1 % tolerance"]["value"] == "–"
    assert still["Tip stroke"]["value"] == "0 µm peak to peak"
    steel = replace(needle("single-bend-20-slim"), material=replace(titanium(), name="steel"))
    row = rows_of(of(Draft.of(steel)))["Highest stress"]
    assert row["note"] == "fatigue strength known for titanium only" and row["warning"] == ""
