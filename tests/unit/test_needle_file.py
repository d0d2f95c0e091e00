"""Needle files: every mistake is said with file, field, value and what is allowed."""

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import tomli_w

from tipsim.setup.catalogue import catalogue, needle
from tipsim.setup.errors import BadInput
from tipsim.setup.material import titanium
from tipsim.setup.needle import Needle, Piece
from tipsim.setup.needle_file import (
    FORMAT,
    MOST_BYTES,
    decode_needle,
    needle_to_toml,
    parse_needle,
    read_needle,
    write_needle,
)
from tipsim.setup.plain import to_plain
from tipsim.setup.scenario import Scenario

BASE = needle("counter-bent-medium")
TEXT = needle_to_toml(BASE)


def refusal(act: Callable[[], Any]) -> str:
    with pytest.raises(BadInput) as caught:
        act()
    return str(caught.value)


def with_line(key: str, line: str) -> str:
    """The needle's file with the first line of a key replaced."""
    out, count = re.subn(rf"(?m)^\s*{key} = .*$", line, TEXT, count=1)
    assert count == 1, key
    return out


@pytest.mark.parametrize("id", catalogue().needles)
def test_every_needle_of_the_catalogue_comes_back(id: str, tmp_path: Path) -> None:
    path = tmp_path / "needle.toml"
    write_needle(needle(id), path)
    assert read_needle(path) == needle(id)
    assert [p.name for p in tmp_path.iterdir()] == ["needle.toml"]


def test_cones_hole_and_metal_come_back() -> None:
    metal = replace(titanium(), name="steel", young=200e9)
    odd = replace(
        BASE,
        pieces=(Piece(12e-3), Piece(3e-3, 0.2, 0.5e-3, 0.41e-3), Piece(1 / 3e3)),
        bypass_diameter=0.2e-3,
        bypass_distance=14.1e-3,
        material=metal,
    )
    assert parse_needle(needle_to_toml(odd)) == odd


def test_the_metal_may_be_left_out() -> None:
    plain = {"format": FORMAT, **to_plain(BASE)}
    del plain["material"]
    assert parse_needle(tomli_w.dumps(plain)) == BASE


def test_a_mark_before_the_text_and_other_line_ends_do_no_harm() -> None:
    assert decode_needle(b"\xef\xbb\xbf" + TEXT.replace("\n", "\r\n").encode(), "n.toml") == BASE


REFUSED = {
    "another kind of TOML": (
        "[tool.ruff]\nline-length = 100\n",
        'format is missing; allowed: format = "tipsim needle 1".',
    ),
    "a scenario": (
        Scenario.preset("straight, axial").to_toml(),
        "format is 'tipsim scenario 1'; allowed: format = \"tipsim needle 1\".",
    ),
    "empty": ("", 'format is missing; allowed: format = "tipsim needle 1".'),
    "no TOML": ("length: 3\n", r"file is not TOML \(.*line 1.*\); allowed: a TOML needle\."),
    "unknown field": (
        with_line("outer_radius_mm", "outer_radus_mm = 0.45"),
        r"outer_radus_mm is not a known field; allowed: .* \(nearest: \"outer_radius_mm\"\)\.",
    ),
    "unknown field of a piece": (
        TEXT.replace("length_mm = 1.46", "lenght_mm = 1.46"),
        r"pieces\[1\]\.lenght_mm is not a known field; .* \(nearest: \"length_mm\"\)\.",
    ),
    "missing field": (
        with_line("bevel_deg", ""),
        "bevel_deg is missing; allowed: bevel of the opening.",
    ),
    "NaN": (
        with_line("hub_radius_mm", "hub_radius_mm = nan"),
        "hub_radius_mm is NaN; allowed: a finite number.",
    ),
    "negative": (
        with_line("hub_radius_mm", "hub_radius_mm = -1"),
        "hub_radius_mm is -1 mm; allowed: 0.3 to 3 mm.",
    ),
    "far too much": (
        with_line("taper_length_mm", "taper_length_mm = 1e9"),
        r"taper_length_mm is 1 × 10⁹ mm; allowed: 0 to 20 mm\.",
    ),
    "thin wall": (
        with_line("inner_radius_mm", "inner_radius_mm = 0.42"),
        r"wall .* is 0\.03 mm at 5 mm from the hub; allowed: 0\.05 mm or more\.",
    ),
    "metal of nothing": (
        with_line("density_kg_m3", "density_kg_m3 = 0"),
        "material.density_kg_m3 is 0 kg/m³; allowed: 500 to 25000 kg/m³.",
    ),
    "25 pieces": (
        needle_to_toml(replace(BASE, pieces=(Piece(0.5e-3),) * 24)).replace(
            "pieces = [", "pieces = [ {length_mm = 0.5},"
        ),
        "pieces is 25 pieces; allowed: 1 to 24 pieces.",
    ),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_bad_file_is_refused_with_file_and_place(case: str, tmp_path: Path) -> None:
    text, sentence = REFUSED[case]
    assert text != TEXT
    said = refusal(lambda: parse_needle(text))
    assert said == sentence or re.fullmatch(sentence, said), said
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    assert refusal(lambda: read_needle(path)) == f"{path}: {said}"
    assert refusal(lambda: decode_needle(text.encode(), "mine.toml")) == f"mine.toml: {said}"


def test_files_that_are_no_text_too_large_or_gone(tmp_path: Path) -> None:
    assert refusal(lambda: decode_needle(b"\x89PNG\r\n\x1a\n\x00", "a.toml")) == (
        "a.toml is not readable (not UTF-8 text); allowed: a TOML needle file."
    )
    padded = TEXT.encode() + b"#" * (MOST_BYTES - len(TEXT.encode()))
    assert decode_needle(padded, "a.toml") == BASE
    large = "a.toml is more than 100 kB; allowed: a TOML needle file of up to 100 kB."
    assert refusal(lambda: decode_needle(padded + b"#", "a.toml")) == large
    path = tmp_path / "large.toml"
    path.write_bytes(padded + b"# and more")
    assert "more than 100 kB" in refusal(lambda: read_needle(path))
    gone = tmp_path / "gone.toml"
    assert refusal(lambda: read_needle(gone)) == (
        f"{gone} is not readable (No such file or directory); allowed: a TOML needle file."
    )


def test_a_file_is_written_whole_or_not_at_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("before", encoding="utf-8")

    def fail(*_: object, **__: object) -> None:
        raise OSError("no space left")

    monkeypatch.setattr(Path, "replace", fail)
    with pytest.raises(OSError, match="no space left"):
        write_needle(BASE, path)
    assert path.read_text(encoding="utf-8") == "before"


def test_needles_that_are_alike_make_the_same_text() -> None:
    assert needle_to_toml(replace(BASE)) == TEXT
    assert isinstance(parse_needle(TEXT), Needle)
