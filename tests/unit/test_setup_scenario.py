"""Sleeve, drive, duty, fluid and scenario: limits, sentences, files."""

import dataclasses
import os
import re
import sys
import tomllib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tomli_w

from tipsim.setup.catalogue import needle, sleeve
from tipsim.setup.checks import check
from tipsim.setup.drive import Drive, Duty
from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.flow import Fluid
from tipsim.setup.material import Material
from tipsim.setup.needle import Needle, Piece
from tipsim.setup.plain import from_plain, to_plain
from tipsim.setup.scenario import FORMAT, Scenario
from tipsim.setup.sleeve import Sleeve
from tipsim.setup.units import UNITS

BASE = Scenario.preset("counter-bent, elliptical")
TEXT = BASE.to_toml()
CLASSES = (Scenario, Needle, Piece, Material, Sleeve, Drive, Duty, Fluid)


def refusal(act: Callable[[], Any]) -> str:
    with pytest.raises(BadInput) as caught:
        act()
    return str(caught.value)


def with_line(pattern: str, line: str) -> str:
    """The preset's file with one line (found by pattern) replaced."""
    out, count = re.subn(f"(?m)^{pattern}.*$", line, TEXT, count=1)
    assert count == 1, pattern
    return out


def without(table: str) -> str:
    return tomli_w.dumps({k: v for k, v in tomllib.loads(TEXT).items() if k != table})


# Limits -----------------------------------------------------------------------------------------


def quantities() -> list[tuple[type, Any]]:
    return [
        (cls, f)
        for cls in CLASSES
        for f in dataclasses.fields(cls)
        if f.metadata["kind"] in ("quantity", "numbers")
    ]


class Whole:
    """An object that is right but for one field: `check` needs no more."""

    def __init__(self, cls: type, name: str, value: Any) -> None:
        self.__dataclass_fields__ = {name: cls.__dataclass_fields__[name]}  # type: ignore[attr-defined]
        setattr(self, name, value)


@pytest.mark.parametrize(
    ("cls", "f"), quantities(), ids=[f"{c.__name__}.{f.name}" for c, f in quantities()]
)
def test_a_number_is_taken_up_to_its_limits_and_no_further(cls: type, f: Any) -> None:
    unit, low, high = (f.metadata[k] for k in ("unit", "low", "high"))
    key = f"{f.name}_{unit.suffix}" if unit.suffix else f.name
    many = f.metadata["kind"] == "numbers"
    assert low < high and unit in UNITS.values()

    def put(value: Any) -> None:
        check(Whole(cls, f.name, (value,) if many else value))

    for limit in (low, high):
        put(unit.to_si(limit))
    reach = high - low
    for value in (low - 1e-3 * reach, high + 1e-3 * reach):
        sentence = refusal(lambda value=value: put(unit.to_si(value)))  # type: ignore[misc]
        assert sentence.startswith(key)
        assert f"allowed: {low:g} to {high:g} {unit.symbol}".rstrip() in sentence
    for nonsense in (float("nan"), float("inf"), True, "1", 10**5000, 1j):
        sentence = refusal(lambda nonsense=nonsense: put(nonsense))  # type: ignore[misc]
        assert sentence.startswith(key) and "allowed: a number" in sentence
        assert len(sentence) < 200
    if f.default is None:
        put(None)
    elif not many:
        refusal(lambda: put(None))


# Sentences --------------------------------------------------------------------------------------

THIN = Sleeve("thin", "Thin", 0.47e-3, 0.1e-3, 1e-3, 0.6e-3, 1e-3, 0.3)
SENTENCES: dict[str, tuple[Callable[[], Any], str]] = {
    "needle too thick for its sleeve": (
        lambda: replace(BASE, sleeve=THIN),
        "sleeve.inner_radius_mm is 0.47 mm around a needle of 0.45 mm; allowed: 0.48 mm or more.",
    ),
    "sleeve shorter than nothing": (
        lambda: replace(
            BASE,
            needle=replace(BASE.needle, pieces=(Piece(12e-3),), taper_length=5e-3),
            sleeve=replace(THIN, inner_radius=0.65e-3, exposed=8e-3),
        ),
        "sleeve.exposed_mm is 8 mm; allowed: less than 7 mm.",
    ),
    "marker beyond the needle": (
        lambda: replace(BASE, markers=(0.0, 18.5e-3)),
        "markers_mm[1] is 18.5 mm; allowed: 0 to 17.62 mm (the needle's length).",
    ),
    "markers out of order": (
        lambda: replace(BASE, markers=(1e-3, 0.0)),
        "markers_mm is not in order; allowed: different distances, nearest first.",
    ),
    "the same marker twice": (
        lambda: replace(BASE, markers=(1e-3, 1e-3)),
        "markers_mm is not in order; allowed: different distances, nearest first.",
    ),
    "no marker": (
        lambda: replace(BASE, markers=()),
        "markers_mm is 0 numbers; allowed: 1 to 12 numbers.",
    ),
    "thirteen markers": (
        lambda: replace(BASE, markers=tuple(i * 1e-3 for i in range(13))),
        "markers_mm is 13 numbers; allowed: 1 to 12 numbers.",
    ),
    "rest in a continuous drive": (
        lambda: Duty("continuous", 1e-3, 5e-3),
        "off_time_ms is 5 ms; allowed: 0 for a continuous drive.",
    ),
    "unknown drive": (
        lambda: replace(BASE.drive, kind="torsion"),
        'kind is "torsion"; allowed: axial, torsional, elliptical (nearest: "torsional").',
    ),
    "no name": (
        lambda: replace(BASE, name=""),
        "name is ''; allowed: one line of 1 to 120 printable characters.",
    ),
    "two lines of name": (
        lambda: replace(BASE, name="a\nb"),
        "name is 'a\\nb'; allowed: one line of 1 to 120 printable characters.",
    ),
    "too much power": (
        lambda: replace(BASE.drive, power=1.01),
        "power_percent is 101 %; allowed: 0 to 100 %.",
    ),
}


@pytest.mark.parametrize("case", SENTENCES)
def test_the_sentence_names_field_value_and_what_is_allowed(case: str) -> None:
    make, sentence = SENTENCES[case]
    assert refusal(make) == sentence


FILES: dict[str, tuple[str, str]] = {
    "unknown field": (
        with_line("power_percent", "powr_percent = 50"),
        r'drive\.powr_percent is not a known field; .* \(nearest: "power_percent"\)\.',
    ),
    "unknown table": (
        TEXT + "\n[slieve]\nwall_mm = 1\n",
        r'slieve is not a known field; allowed: .* \(nearest: "sleeve"\)\.',
    ),
    "NaN": (
        with_line("frequency_khz", "frequency_khz = nan"),
        r"drive\.frequency_khz is NaN; allowed: a finite number\.",
    ),
    "infinity": (
        with_line("frequency_khz", "frequency_khz = -inf"),
        r"drive\.frequency_khz is -Infinity; allowed: a finite number\.",
    ),
    "true for a number": (
        with_line("frequency_khz", "frequency_khz = true"),
        r"drive\.frequency_khz is True; allowed: a number, 10 to 100 kHz\.",
    ),
    "text for a number": (
        with_line("bevel_deg", 'bevel_deg = "steep"'),
        r"needle\.bevel_deg is 'steep'; allowed: a number, 0 to 60 °\.",
    ),
    "number for text": (
        with_line("title", "title = 3"),
        r"needle\.title is 3; allowed: one line of 1 to 120 printable characters\.",
    ),
    "out of range": (
        with_line("temperature_c", "temperature_c = 120"),
        r"fluid\.temperature_c is 120 °C; allowed: 0 to 95 °C\.",
    ),
    "missing field": (
        with_line("temperature_c", ""),
        r"fluid\.temperature_c is missing; allowed: temperature of the fluid .*bottle\.",
    ),
    "missing table": (
        without("fluid"),
        r"fluid is missing; allowed: fluid around and inside\.",
    ),
    "number for a table": (
        without("sleeve").replace("name =", "sleeve = 5\nname =", 1),
        r"sleeve is 5; allowed: a table with id, .*\.",
    ),
    "number for a list of tables": (
        re.sub(r"(?s)pieces = \[.*?\n\]", "pieces = 3", TEXT),
        r"needle\.pieces is 3; allowed: a list of tables\.",
    ),
    "number for a list of numbers": (
        re.sub(r"(?s)markers_mm = \[.*?\]", "markers_mm = 3", TEXT),
        r"markers_mm is 3; allowed: a list of numbers\.",
    ),
    "text among numbers": (
        re.sub(r"(?s)markers_mm = \[.*?\]", 'markers_mm = [0, "x"]', TEXT),
        r"markers_mm\[1\] is 'x'; allowed: a number, 0 to 40 mm\.",
    ),
    "a piece that is off": (
        re.sub(r"length_mm = 0\.66", "length_mm = 0.001", TEXT),
        r"needle\.pieces\[3\]\.length_mm is 0\.001 mm; allowed: 0\.02 to 40 mm\.",
    ),
    "not TOML": (
        "this is not = = TOML",
        r"file is not TOML \(.*line 1.*\); allowed: a TOML scenario\.",
    ),
    "wrong format line": (
        with_line("format", 'format = "tipsim scenario 2"'),
        r'format is missing or another one; allowed: format = "tipsim scenario 1"\.',
    ),
    "no format line": (
        with_line("format", ""),
        r'format is missing or another one; allowed: format = "tipsim scenario 1"\.',
    ),
    "empty": ("", r"format is missing or another one; .*"),
}


@pytest.mark.parametrize("case", FILES)
def test_a_bad_file_is_refused_with_file_and_place(case: str, tmp_path: Path) -> None:
    text, sentence = FILES[case]
    assert text != TEXT
    assert re.fullmatch(sentence, refusal(lambda: Scenario.parse(text)))
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    whole = refusal(lambda: Scenario.read(path))
    assert re.fullmatch(re.escape(f"{path}: ") + f"({sentence})", whole)


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    gone = tmp_path / "gone.toml"
    assert refusal(lambda: Scenario.read(gone)) == (
        f"{gone} is not readable (No such file or directory); allowed: a TOML scenario file."
    )
    assert "is not readable" in refusal(lambda: Scenario.read(tmp_path))
    binary = tmp_path / "binary.toml"
    binary.write_bytes(b"\xff\xfe\x00")
    assert "not UTF-8 text" in refusal(lambda: Scenario.read(binary))


def test_nearest() -> None:
    assert nearest("frequenzy", ["power", "frequency"]) == ' (nearest: "frequency")'
    assert nearest("qqqq", ["power", "frequency"]) == ""


# Files ------------------------------------------------------------------------------------------


def test_writing_and_reading_gives_the_same_back(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    BASE.write(path)
    assert Scenario.read(path) == BASE
    assert Scenario.read(str(path)) == BASE
    assert path.read_text(encoding="utf-8").startswith(f'format = "{FORMAT}"\n')
    assert [p.name for p in tmp_path.iterdir()] == ["mine.toml"]
    bare = replace(BASE, sleeve=None)
    bare.write(path)
    assert Scenario.read(path) == bare
    assert "sleeve" not in path.read_text(encoding="utf-8")


def test_units_stand_in_the_keys() -> None:
    plain = to_plain(BASE)
    assert plain["drive"]["frequency_khz"] == 32
    assert plain["needle"]["outer_radius_mm"] * 1000 == 450
    assert plain["fluid"]["temperature_c"] == 25
    assert from_plain(Scenario, plain) == BASE


def test_defaults_may_be_left_out() -> None:
    plain = {"format": FORMAT, **to_plain(BASE)}
    for key in ("duty", "markers_mm", "loss_factor", "spacing_mm"):
        del plain[key]
    read = Scenario.parse(tomli_w.dumps(plain))
    assert read.duty == Duty()
    assert read.markers == (0.0, 1e-3, 2e-3, 3e-3, 4e-3)


@pytest.mark.parametrize("broken", ["to_toml", "write_bytes", "replace"])
def test_a_file_is_written_whole_or_not_at_all(
    broken: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("before", encoding="utf-8")

    def fail(*_: object, **__: object) -> None:
        raise OSError("no space left")

    monkeypatch.setattr(Scenario if broken == "to_toml" else Path, broken, fail)
    with pytest.raises(OSError, match="no space left"):
        BASE.write(path)
    assert path.read_text(encoding="utf-8") == "before"


@pytest.mark.skipif(sys.platform == "win32", reason="there a pipe has no such name")
def test_reading_does_not_need_to_seek() -> None:
    read, write = os.pipe()
    os.write(write, TEXT.encode())
    os.close(write)
    try:
        assert Scenario.read(f"/dev/fd/{read}") == BASE
    finally:
        os.close(read)


# Parts ------------------------------------------------------------------------------------------


def test_everything_is_frozen() -> None:
    for cls in CLASSES:
        assert dataclasses.is_dataclass(cls)
        assert cls.__dataclass_params__.frozen, cls  # type: ignore[attr-defined]
    with pytest.raises(dataclasses.FrozenInstanceError):
        BASE.name = "other"  # type: ignore[misc]


def test_sleeve_end_and_outer_radius() -> None:
    assert BASE.sleeve is not None
    assert BASE.sleeve_end == pytest.approx(17.62e-3 - 1.25e-3)
    assert BASE.sleeve.outer_radius == pytest.approx(0.85e-3)
    assert replace(BASE, sleeve=None).sleeve_end == 0.0


def test_a_sleeve_looks_at_the_widest_place_inside_it() -> None:
    wide = replace(
        needle("straight-medium"),
        pieces=(Piece(12e-3), Piece(1e-3, outer_radius=0.63e-3), Piece(1e-3), Piece(4.4e-3)),
    )
    assert "around a needle of 0.63 mm" in refusal(lambda: sleeve("for-0.9").fits(wide))
    # The same flare outside the sleeve is nobody's business.
    flare = replace(
        needle("straight-medium"),
        pieces=(Piece(17.2e-3), Piece(1.2e-3, outer_radius=0.9e-3)),
    )
    sleeve("for-0.9").fits(flare)


def test_duty() -> None:
    assert Duty().on_fraction == 1.0
    assert Duty("pulsed", 6e-3, 6e-3).on_fraction == 0.5
    train = Duty.pulsed(rate=40, on_fraction=0.3)
    assert train.on_time + train.off_time == pytest.approx(1 / 40)
    assert train.on_fraction == pytest.approx(0.3)


def test_which_drive_moves_what() -> None:
    kinds = ("axial", "torsional", "elliptical")
    drives = [Drive(kind=k, frequency=32e3, axial_stroke=1e-5, twist_stroke=0.1) for k in kinds]
    assert [d.has_axial for d in drives] == [True, False, True]
    assert [d.has_twist for d in drives] == [False, True, True]


def test_shear_modulus() -> None:
    # Handbook: 42.4 GPa from E / 2(1 + nu) for 113.8 GPa and 0.342.
    assert needle("straight-medium").material.shear == pytest.approx(42.4e9, rel=1e-3)


def test_warm_water_is_thinner() -> None:
    cold, warm = (Fluid(273.15 + t, 1000.0).viscosity for t in (20, 37))
    assert np.isclose(cold, 1.0e-3, rtol=0.03) and np.isclose(warm, 0.69e-3, rtol=0.03)


def test_a_name_with_a_nul_is_no_file() -> None:
    with pytest.raises(BadInput, match="not a file's name"):
        Scenario.read("a\0b.toml")


def test_pulses_need_a_rate() -> None:
    with pytest.raises(BadInput, match="rate is 0 /s; allowed: a number above 0"):
        Duty.pulsed(rate=0, on_fraction=0.5)
