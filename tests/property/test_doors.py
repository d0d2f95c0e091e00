"""What comes in through files and links: exact both ways, and never a traceback."""

import json
import re
from collections.abc import Callable
from dataclasses import fields, replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from tests.property.benches import benches, scenarios, with_drive
from tipsim.setup import link, units
from tipsim.setup.checks import key
from tipsim.setup.errors import BadInput
from tipsim.setup.plain import to_plain
from tipsim.setup.presets import presets
from tipsim.setup.scenario import FORMAT, Scenario
from tipsim.solve import compare, solve

PRESETS = st.sampled_from(sorted(presets())).map(Scenario.preset)


@given(scenarios() | benches() | PRESETS)
@settings(max_examples=80)
def test_toml_gives_back_the_same_scenario(scenario: Scenario) -> None:
    assert Scenario.parse(scenario.to_toml()) == scenario


@given(scenarios() | benches() | PRESETS)
@settings(max_examples=80)
def test_a_link_gives_back_the_same_scenario(scenario: Scenario) -> None:
    assert link.from_query(link.to_query(scenario)) == scenario


@given(scenarios() | PRESETS, scenarios() | PRESETS)
@settings(max_examples=30)
def test_a_link_gives_back_the_same_pair(a: Scenario, b: Scenario) -> None:
    query = link.pair_to_query(a, b, {"view.phase": "1"})
    assert link.pair_from_items(link._decode(query)) == (a, b)


@given(st.sampled_from(sorted(units.UNITS)), st.floats(-1e20, 1e20))
@example("°", 0.3490658503988659)
@example("°C", 298.15)
@example("mm", 5e-324)
@settings(max_examples=300)
def test_a_unit_turns_every_number_there_and_back(symbol: str, value: float) -> None:
    # Near 0 K fifty digits cannot hold both a temperature and its distance from 0 °C.
    assume(symbol != "°C" or value > 1)
    unit = units.UNITS[symbol]
    assert unit.to_si(unit.from_si(value)) == value


def complaint(act: Callable[[], Any]) -> str | None:
    """Return the sentence of a BadInput that an act raises; any other error passes through."""
    try:
        act()
    except BadInput as bad:
        sentence = str(bad)
        assert "\n" not in sentence and sentence.endswith("."), sentence
        assert bad.field and bad.value and bad.allowed, sentence
        return sentence
    return None


def names(cls: Any) -> set[str]:
    """Keys of a dataclass and of all its parts, as in files."""
    out = set()
    for f in fields(cls):
        out.add(key(f))
        if f.metadata.get("kind") in ("part", "parts"):
            out |= names(f.metadata["cls"])
    return out


NAMES = st.sampled_from(sorted(names(Scenario))) | st.text(max_size=8)
SCALARS = (
    st.none().map(lambda _: True)
    | st.booleans()
    | st.integers()
    | st.integers(min_value=10**400, max_value=10**401)
    | st.floats()
    | st.decimals(allow_nan=False, allow_infinity=False)
    | st.text(max_size=20)
    | st.dates()
)
VALUES = st.recursive(
    SCALARS, lambda v: st.lists(v, max_size=4) | st.dictionaries(NAMES, v, max_size=4), max_leaves=6
)


@st.composite
def spoiled(draw: st.DrawFn) -> dict[str, Any]:
    """A good file's data with a few places overwritten, added or taken out."""
    data: dict[str, Any] = {"format": FORMAT, **to_plain(draw(PRESETS))}
    for _ in range(draw(st.integers(1, 3))):
        spot: Any = data
        while True:
            keys = sorted(spot) if isinstance(spot, dict) else list(range(len(spot)))
            if not keys:
                break
            where = draw(st.sampled_from(keys))
            if isinstance(spot[where], dict | list) and draw(st.booleans()):
                spot = spot[where]
                continue
            what = draw(st.integers(0, 2))
            if what == 0:
                del spot[where]
            elif what == 1 or isinstance(spot, list):
                spot[where] = draw(VALUES)
            else:
                spot[draw(NAMES)] = draw(VALUES)
            break
    return data


@given(spoiled())
@settings(max_examples=200)
def test_a_spoiled_file_is_refused_in_one_sentence(data: dict[str, Any]) -> None:
    text = tomli_w.dumps(data)
    complaint(lambda: solve(Scenario.parse(text)))


@given(st.text() | st.text("[]{}=\"'#.,\n abmu_01e+-", max_size=60))
@example("a = " + "[" * 5000)
@example("a = " + "9" * 5000)
@example("a = 1e99999999999999999999")
@example("a = 1e400")
@example("a." * 2000 + "a = 1")
@settings(max_examples=200)
def test_any_text_is_refused_in_one_sentence(text: str) -> None:
    assert complaint(lambda: Scenario.parse(text))


@pytest.mark.parametrize("value", ["1e99999999999999999999", "-1e400", "nan", "inf", "9" * 400])
def test_a_number_beyond_all_bounds_is_refused_by_its_field(value: str) -> None:
    text = Scenario.preset("straight, axial").to_toml()
    spoiled = re.sub("(?<=frequency_khz = ).*", value, text)
    assert spoiled != text
    sentence = complaint(lambda: Scenario.parse(spoiled))
    assert sentence is not None and "frequency_khz" in sentence


@given(st.binary(max_size=200))
@settings(max_examples=50)
def test_any_file_is_refused_in_one_sentence_that_names_it(
    tmp_path_factory: pytest.TempPathFactory, data: bytes
) -> None:
    path: Path = tmp_path_factory.mktemp("files") / "some.toml"
    path.write_bytes(data)
    sentence = complaint(lambda: Scenario.read(path))
    assert sentence is not None and "some.toml" in sentence


KEYS = st.sampled_from(
    sorted(
        {
            "needle",
            "drive",
            "sleeve",
            "press",
            "events",
            "power",
            "a.power",
            "b.needle",
            "view.x",
            "",
            ".",
            "a.",
            "a.b",
        }
        | set(link.ALIASES)
        | set(link.path_names())
    )
)
WORDS = st.sampled_from(
    ["", "none", "nan", "sNaN", "-inf", "1e400", "1e99999999999999999999", "0", "-0", "1_0", "٣"]
    + ["single-bend", "torsional", "20", ":", ",", "1:2:3:4:5", "1:,2", "1,1", "true"]
    + ["on", "wound", "5:flow lost", "5:power:40,1:drive off", "2:load::45:6", "601:load off"]
)


@given(
    st.dictionaries(
        KEYS | st.text(max_size=8), WORDS | st.text(max_size=12), min_size=1, max_size=4
    )
)
@settings(max_examples=300)
def test_any_link_is_understood_or_refused_in_one_sentence(items: dict[str, str]) -> None:
    for read in (link.from_items, link.pair_from_items):
        sentence = complaint(lambda read=read: read(items))  # type: ignore[misc]
        assert sentence is None or sentence.startswith("link: ")


@pytest.mark.parametrize("name", ["power", "markers", "needle.pieces", "sleeve.mobility"])
def test_what_is_not_a_number_is_refused_by_its_name(name: str) -> None:
    for word in ("nan", "sNaN", "-inf", "1e400", "1e99999999999999999999", "x"):
        sentence = complaint(lambda word=word: link.from_items({name: word}))  # type: ignore[misc]
        assert sentence is not None and name.split(".")[-1] in sentence, word


@given(st.text() | st.text("&=%;+:,.abneedlpowr0123", max_size=60))
@settings(max_examples=150)
def test_any_query_is_understood_or_refused_in_one_sentence(query: str) -> None:
    complaint(lambda: link.from_query(query))


def no_motion(plain: Any) -> None:
    """Every number under "motion" is 0, but the frequency, a sleeve's coupling, markers' places."""
    of_no_motion = ("frequency_hz", "sleeve_coupling", "markers")
    for name, value in plain.items():
        if isinstance(value, dict):
            no_motion(value)
        elif name not in of_no_motion and isinstance(value, int | float):
            assert value == 0, name


@given(benches() | PRESETS)
@settings(max_examples=25)
def test_no_power_is_no_motion_and_valid_json(scenario: Scenario) -> None:
    scenario = replace(scenario, duration=0.5)
    still = solve(with_drive(scenario, power=0.0))
    plain = json.loads(json.dumps(still.to_dict(), allow_nan=False))
    no_motion(plain["motion"])
    for marker in plain["motion"]["markers"]:
        assert (marker["stroke_um_pp"], marker["direction"]) == (0, "still")
    json.dumps(compare(still, solve(scenario)), allow_nan=False)
    json.dumps(compare(solve(scenario), still), allow_nan=False)


@given(scenarios())
@settings(max_examples=25)
def test_every_scenario_that_can_be_built_can_be_solved(scenario: Scenario) -> None:
    # Coarse and short, for speed: some draw 2,000 nodes and ten minutes.
    result = solve(replace(scenario, spacing=0.25e-3, duration=0.5))
    json.dumps(result.to_dict(), allow_nan=False)


def test_decimals_are_what_a_file_holds() -> None:
    """So that 0.9 stays 0.9: no float stands between file and text."""
    plain = to_plain(Scenario.preset("single-bend, torsional"))
    assert plain["needle"]["outer_radius_mm"] == Decimal("0.45")
    assert plain["drive"]["twist_stroke_deg"] == Decimal("7.616")
