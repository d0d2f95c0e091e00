"""Tables from other hands: read as they are meant, or refused in one sentence."""

import codecs
import json

import numpy as np
import pytest

from tipsim import Scenario, solve
from tipsim.cli import main
from tipsim.measured import table
from tipsim.measured.model import fit_model
from tipsim.measured.strokes import Strokes, strokes
from tipsim.measured.table import parse_table, read_table
from tipsim.measured.tracks import Tracks, read_tracks
from tipsim.setup.errors import BadInput

RATE, FREQUENCY = 640e3, 32e3
TIMES = np.arange(60) / RATE


def rows(marks: int = 2) -> str:
    """Return a table by hand: mark m swings 10 (m + 1) micrometres up and down, 20 to a cycle."""
    lines = ["picture,time_us,marker,x_um,y_um"]
    for i, t in enumerate(TIMES):
        lines += [
            f"{i + 1},{t * 1e6:.6f},{m},5,{5 * (m + 1) * np.cos(2 * np.pi * i / 20):.6f}"
            for m in range(marks)
        ]
    return "\n".join(lines) + "\n"


def test_strokes_of_a_table_by_hand():
    found = strokes(read_tracks(parse_table(rows(3), "a.csv")), FREQUENCY)
    assert [m.number for m in found.marks] == [0, 1, 2]
    assert [m.value for m in found.marks] == pytest.approx([10e-6, 20e-6, 30e-6], rel=1e-5)


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        (lambda t: t.replace("3,3.125000,0,5,4.045085", "3,3.125000,0,5,=SUM(A1)"),
         'line 6 of a.csv, column "y_um" is "=SUM\\(A1\\)"; allowed: a number'),
        (lambda t: t.replace("3,3.125000,0,5", "3,3.125000,0,1_000"), 'is "1_000"; allowed'),
        (lambda t: t.replace("3,3.125000,0,5", "3,,0,5"), 'column "time_us" is empty'),
        (lambda t: t.replace("3,3.125000,0,5", "3,3.125000,1,5"), "a second place of one mark"),
        (lambda t: t.replace("3,3.125000,0,5", "3,3.125000,0.5,5"), "marker is 0.5; allowed"),
        (lambda t: t + "1,2\n", "line 122 of a.csv is 2 cells long; allowed: 5 cells"),
        (lambda t: t.replace("x_um", "x"), "unit of x in a.csv is not said; allowed: m, mm, um"),
        (lambda t: t.replace("x_um", "x [in]"), 'unit of x in a.csv is "in"; allowed'),
        (lambda t: t.replace("y_um", "q"), "column y is missing"),
        (lambda t: t.replace("time_us", "a").replace("picture", "b"), "column time or picture"),
        (lambda t: t.replace("time_us", "a"), "frame rate is not said"),
        (lambda t: t.replace("x_um", "x_px"), "width of a pixel is not said"),
        (lambda t: "\n".join(t.splitlines()[:9]), "pictures in a.csv is 4; allowed: at least 8"),
        (lambda t: t.splitlines()[0], "a.csv is empty"),
        (lambda t: t.replace(",5,", ',"5,', 1), "a.csv is not a table|with line breaks"),
        (lambda t: t.replace("0,5,5.000000", "0,,"), None),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_named(change, complaint):
    changed = change(rows())
    assert changed != rows()
    if complaint is None:
        # A picture in which a mark was not found is no mistake.
        found = read_tracks(parse_table(changed, "a.csv"))
        assert np.isnan(found.places[0, 0]).all()
        return
    with pytest.raises(BadInput, match=complaint):
        read_tracks(parse_table(changed, "a.csv"))


def test_a_mark_found_in_too_few_pictures_is_refused():
    lines = rows().splitlines()
    kept = [line for i, line in enumerate(lines) if i < 21 or ",1,5," in line or i == 0]
    with pytest.raises(BadInput, match=r"mark 0 in a\.csv is found in 10 of 60 pictures"):
        read_tracks(parse_table("\n".join(kept), "a.csv"))


@pytest.mark.parametrize(
    ("data", "complaint"),
    [
        (b"\x7fELF\0\0\xff\xfe", "not readable \\(not UTF-8 text\\)"),
        (b"a,b\n1,\0\n", "zero bytes"),
        ("zeit;x\n1;2\n".encode("utf-32"), "zero bytes|not a table|not readable|cells"),
        (b"", "is empty"),
        (b"a,b\n" + b"1,2\n" * 30, "over 0 MB|rows"),
    ],
)
def test_files_that_are_no_table_are_refused(tmp_path, monkeypatch, data, complaint):
    if len(data) > 100:
        monkeypatch.setattr(table, "MOST_ROWS", 20)
    file = tmp_path / "a.csv"
    file.write_bytes(data)
    with pytest.raises(BadInput, match=complaint):
        read_table(file)


def test_a_file_beyond_the_limit_is_not_read_to_its_end(tmp_path, monkeypatch):
    monkeypatch.setattr(table, "MOST_BYTES", 1_000_000)
    file = tmp_path / "a.csv"
    file.write_bytes(b"a\n" + b"1\n" * 2_000_000)
    with pytest.raises(BadInput, match="is over 1 MB; allowed: up to 1 MB"):
        read_table(file)


@pytest.mark.parametrize("encode", [
    lambda t: codecs.BOM_UTF8 + t.encode(),
    lambda t: t.encode("utf-16"),
    lambda t: t.replace(",", ";").replace(".", ",").encode(),
    lambda t: t.replace(",", "\t").replace("\n", "\r\n").encode(),
    lambda t: ("# from my bench\n" + t).encode(),
])  # fmt: skip
def test_tables_of_other_programs_are_read_alike(tmp_path, encode):
    file = tmp_path / "a.csv"
    file.write_bytes(encode(rows()))
    plain = read_tracks(parse_table(rows(), "a.csv"))
    found = read_tracks(read_table(file))
    assert (found.times == plain.times).all() and (found.places == plain.places).all()


def test_a_rate_takes_the_place_of_the_times_and_pixels_count_downward():
    text = rows().replace("x_um", "x_px").replace("y_um", "y_px")
    found = read_tracks(parse_table(text, "a.csv"), rate=320e3, pixel=12e-6)
    assert found.rate == pytest.approx(320e3)
    assert found.places[1, 0] == pytest.approx([60e-6, -120e-6])


def measured(one: Scenario, noise: float, rng: np.random.Generator) -> Strokes:
    """Return strokes of a film made from amplitudes in space: x right, -z up."""
    turn = np.exp(2j * np.pi * FREQUENCY * TIMES)
    u = np.stack([m.amplitude for m in solve(one).motion.markers])
    places = np.stack([(u[:, :1] * turn).real, -(u[:, 2:] * turn).real], axis=2)
    numbers = tuple(range(1, len(u) + 1))
    film = Tracks("a.csv", TIMES, numbers, places + rng.normal(0, noise, places.shape), {})
    return strokes(film, FREQUENCY)


def test_the_model_finds_the_numbers_that_made_the_tracks():
    first = Scenario.preset("single-bend, torsional")
    true = first.with_(loss_factor=0.02, power=0.8)
    found = fit_model(measured(true, 0.3e-6, np.random.default_rng(2)), first, ["loss_factor"])
    (loss,) = found.numbers
    assert loss.low < 0.02 < loss.high < 0.03
    assert found.hub_low < 0.8 < found.hub_high
    assert found.hub == pytest.approx(0.8, rel=0.01)
    assert found.misfit < 2 and found.doubts == ()


def test_a_number_that_the_tracks_leave_open_is_said_to_be():
    """A needle far from its resonances tells next to nothing of its losses."""
    one = Scenario.preset("counter-bent, torsional")
    found = fit_model(measured(one, 3e-6, np.random.default_rng(2)), one, ["loss_factor"])
    assert "Loss factor is left open by these tracks." in found.doubts


def test_a_wrong_needle_does_not_pass_for_a_fit():
    tracks = measured(Scenario.preset("single-bend, torsional"), 1e-6, np.random.default_rng(3))
    found = fit_model(tracks, Scenario.preset("counter-bent, torsional"), ["loss_factor"])
    assert any("does not describe these tracks" in d for d in found.doubts)


def test_numbers_that_do_the_same_are_said_to():
    """Power of the drive moves the hub as the hub's own factor does."""
    one = Scenario.preset("single-bend, torsional").with_(power=0.5)
    found = fit_model(measured(one, 1e-6, np.random.default_rng(4)), one, ["power"])
    assert any("cannot be told apart" in d for d in found.doubts)


@pytest.mark.parametrize(("free", "complaint"), [
    (["los_factor"], 'nearest: "loss_factor"'),
    (["lens.mass"], "one that this scenario has|a number of the scenario"),
    (["power"] * 5, "numbers to fit is 5; allowed: up to 4"),
])  # fmt: skip
def test_what_cannot_be_fitted_is_named(free, complaint):
    one = Scenario.preset("single-bend, torsional")
    with pytest.raises(BadInput, match=complaint):
        fit_model(measured(one, 0.0, np.random.default_rng(5)), one, free)


def test_the_command_says_the_same_as_the_room(tmp_path, capsys):
    for name, marks in (("a.csv", 3), ("b.csv", 2)):
        (tmp_path / name).write_text(rows(marks), encoding="utf-8")
    files = [str(tmp_path / n) for n in ("a.csv", "b.csv")]
    command = ["fit", files[0], "--against", files[1], "--frequency-khz", "32"]
    assert main([*command, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["films"][0]["marks"][2]["stroke_um"] == pytest.approx(30, rel=1e-5)
    assert [r["ratio"] for r in found["ratios"]] == pytest.approx([1, 1])
    assert main(command) == 0
    assert "stroke 30.0 (30.0 to 30.0) µm" in capsys.readouterr().out
    assert main([*command, "--rate", "20000"]) == 2
    assert capsys.readouterr().err.startswith("tipsim: frame rate is 20000 pictures per second")
    assert main([*command, "--free", "loss_factor"]) == 2
