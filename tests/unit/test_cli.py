"""The command: what it prints, what it refuses, and with which exit code."""

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from tipsim.cli import load, main
from tipsim.setup.catalogue import catalogue
from tipsim.setup.errors import BadInput
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import MM
from tipsim.solve import compare, solve

ROOT = Path(__file__).parents[2]
NAME = "counter-bent, torsional"
OTHER = "single-bend, torsional"


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Run the command, which must succeed; give what it printed."""
    assert main(arguments) == 0
    out, err = capsys.readouterr()
    assert err == ""
    return out


def refused(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    """Run the command, which must refuse with one line; give that line."""
    assert main(arguments) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1 and err.endswith("\n")
    assert err.startswith("tipsim: ") and "; allowed: " in err
    assert "Traceback" not in err
    return err


# What it prints ---------------------------------------------------------------------------------


def test_solve_prints_the_numbers_with_their_units(capsys: pytest.CaptureFixture[str]) -> None:
    out = said(capsys, "solve", NAME)
    m = solve(Scenario.preset(NAME)).motion
    assert out.startswith(f"{NAME}: Counter-bent, medium\n")
    for words in (
        "32.0 kHz",
        f"{m.end_stroke * 1e6:.0f} µm peak to peak",
        f"{m.end_speed:.1f} m/s",
        "against the end",
        " W with rests",
    ):
        assert words in out
    assert out.count("with the end") == 2 and out.count("against the end") == 3


def test_solve_json_has_the_promised_keys(capsys: pytest.CaptureFixture[str]) -> None:
    data = json.loads(said(capsys, "solve", NAME, "--json"))
    assert data == solve(Scenario.preset(NAME)).to_dict()
    motion = data["motion"]
    for key in ("frequency_hz", "end_stroke_um_pp", "shaft_stroke_um_pp"):
        assert isinstance(motion[key], float)
    assert isinstance(motion["nodes_mm"], list)
    assert len(motion["markers"]) == 5
    for marker in motion["markers"]:
        assert list(marker) == ["distance_mm", "stroke_um_pp", "phase_deg", "direction"]


def test_a_preset_and_its_file_give_the_same(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "mine.toml"
    Scenario.preset(NAME).write(path)
    for more in ([], ["--json"]):
        assert said(capsys, "solve", str(path), *more) == said(capsys, "solve", NAME, *more)
    # A file needs no ending, and a name with one is a file.
    bare = path.rename(tmp_path / "mine")
    assert load(str(bare)) == Scenario.preset(NAME)


def test_compare(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    both = compare(solve(Scenario.preset(OTHER)), solve(Scenario.preset(NAME)))
    assert json.loads(said(capsys, "compare", OTHER, NAME, "--json")) == both
    out = said(capsys, "compare", OTHER, NAME)
    assert f"end stroke b over a: {both['ratios']['end_stroke_b_over_a']:.2f}" in out
    assert "markers out of step with the tip, A: 3, 4, 5" in out
    path = tmp_path / "still.toml"
    base = Scenario.preset(NAME)
    replace(base, drive=replace(base.drive, power=0.0)).write(path)
    # Nothing to divide by is a dash, and null in JSON.
    assert "end stroke b over a: -" in said(capsys, "compare", str(path), NAME)
    data = json.loads(said(capsys, "compare", str(path), NAME, "--json"))
    assert data["ratios"]["end_stroke_b_over_a"] is None


def test_needles(capsys: pytest.CaptureFixture[str]) -> None:
    out = said(capsys, "needles")
    lines = out.splitlines()
    for id, n in catalogue().needles.items():
        (line,) = (line for line in lines if line.split()[0:1] == [id])
        assert n.title in line and MM.show(n.length) in line
    data = json.loads(said(capsys, "needles", "--json"))["needles"]
    assert [n["id"] for n in data] == list(catalogue().needles)
    first = next(n for n in data if n["id"] == "counter-bent-medium")
    assert (first["outer_diameter_mm"], first["bore_diameter_mm"]) == (0.9, 0.6)
    assert first["sleeve"] == "for-0.9"
    assert {o["status"] for o in first["origins"]} >= {"fitted", "assumed"}
    assert all(set(o) == {"fields", "status", "range", "source"} for o in first["origins"])


# What it refuses --------------------------------------------------------------------------------


def test_an_unknown_name(capsys: pytest.CaptureFixture[str]) -> None:
    line = refused(capsys, "solve", "counterbent, torsional")
    assert 'scenario is "counterbent, torsional"' in line
    assert 'nearest: "counter-bent, torsional"' in line


@pytest.mark.parametrize("name", ["gone.toml", "x" * 5000, "", "a\nb", "no/such/folder.toml", "\0"])
@pytest.mark.parametrize("more", [[], ["--json"]])
def test_a_name_that_is_nothing(
    name: str, more: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    refused(capsys, "solve", name, *more)


def test_a_folder_for_a_file(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = tmp_path / "folder.toml"
    folder.mkdir()
    assert f"{folder} is not readable" in refused(capsys, "solve", str(folder))


def test_a_bad_file_is_named_with_field_value_and_what_is_allowed(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "mine.toml"
    text = Scenario.preset(NAME).to_toml()
    path.write_text(text.replace("frequency_khz = 32.0", "frequency_khz = 3.2"), encoding="utf-8")
    for more in ([], ["--json"]):
        assert refused(capsys, "solve", str(path), *more) == (
            f"tipsim: {path}: drive.frequency_khz is 3.2 kHz; allowed: 10 to 100 kHz.\n"
        )


def test_compare_prints_nothing_before_both_are_read(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("", encoding="utf-8")
    for pair in ((NAME, str(path)), (str(path), NAME)):
        assert f"{path}: format" in refused(capsys, "compare", *pair)


@pytest.mark.parametrize(
    "arguments", [[], ["solve"], ["compare", NAME], ["sing"], ["solve", NAME, "--loud"]]
)
def test_a_wrong_call_shows_how_and_ends_with_2(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as caught:
        main(arguments)
    assert caught.value.code == 2
    out, err = capsys.readouterr()
    assert out == "" and err.startswith("usage: tipsim")


def test_help_says_what_it_is_not(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main(["--help"])
    assert caught.value.code == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "not a patient" in out
    assert all(command in out for command in ("solve", "compare", "needles", "serve"))


def test_load_takes_a_preset_before_a_file_of_the_same_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path(NAME).write_text("not a scenario", encoding="utf-8")
    assert load(NAME) == Scenario.preset(NAME)
    with pytest.raises(BadInput):
        load("./" + NAME)


# As a person runs it ----------------------------------------------------------------------------


def run(*arguments: str, folder: Path) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        [sys.executable, "-m", "tipsim.cli", *arguments],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"},
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=60,
    )


def test_as_a_process_from_another_folder(tmp_path: Path) -> None:
    good = run("solve", NAME, "--json", folder=tmp_path)
    assert (good.returncode, good.stderr) == (0, "")
    assert json.loads(good.stdout) == solve(Scenario.preset(NAME)).to_dict()
    bad = run("solve", "gone.toml", folder=tmp_path)
    assert (bad.returncode, bad.stdout) == (2, "")
    assert bad.stderr == (
        "tipsim: gone.toml is not readable (No such file or directory); "
        "allowed: a TOML scenario file.\n"
    )
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="there is no head")
def test_a_reader_that_leaves_early_is_no_error(tmp_path: Path) -> None:
    done = subprocess.run(
        ["/bin/sh", "-c", f'"{sys.executable}" -m tipsim.cli needles --json | head -n 1'],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.stdout == "{\n"
    assert done.stderr == ""


def test_inputs_are_set_on_the_command_line_in_units_of_files(
    capsys: pytest.CaptureFixture[str],
) -> None:
    names = ["straight, axial", "--json"]
    assert main(["solve", *names]) == 0
    full = json.loads(capsys.readouterr().out)
    assert main(["solve", *names, "--set", "power=50", "--set", "flow.aspiration=30"]) == 0
    half = json.loads(capsys.readouterr().out)
    assert half["motion"]["end_stroke_um_pp"] == pytest.approx(
        full["motion"]["end_stroke_um_pp"] / 2, rel=1e-4
    )
    assert half["flow"]["mouth_ml_min"] == pytest.approx(30, rel=1e-3)
    assert main(["solve", *names, "--set", "powr=50"]) == 2
    assert "powr is not a known name here" in capsys.readouterr().err
