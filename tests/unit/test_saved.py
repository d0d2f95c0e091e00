"""Saved films, read back by another library than wrote them, and made again from their settings.

Written by Pillow; read by tifffile, csv and tomllib.
"""

import csv
import io
import tomllib
import zipfile
from dataclasses import replace

import numpy as np
import pytest
import tifffile

from tipsim import Scenario, solve
from tipsim.motion.camera import Camera, measure, shoot
from tipsim.motion.camera.saving import saved
from tipsim.saved import Column, Levels, Saved, Stack, pack
from tipsim.saved.card import Instrument, card, compared
from tipsim.saved.film import MARK, MOST_BYTES
from tipsim.saved.text import parse_instrument, table_csv
from tipsim.saved.tiff import tiff
from tipsim.setup.errors import BadInput
from tipsim.setup.inputs import inputs
from tipsim.setup.units import CELSIUS, UM

CAMERA = Camera(frames=12, frame_rate=250e3, exposure=2e-6, noise="off")


def made(scenario: Scenario, camera: Camera) -> Saved:
    film = shoot(solve(scenario).motion, scenario.needle, camera)
    return saved(scenario, film, measure(film))


def contents(archive: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(archive)) as opened:
        assert opened.testzip() is None
        return {name.rpartition("/")[2]: opened.read(name) for name in opened.namelist()}


def rows(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode("utf-8"))))


@pytest.fixture(scope="module")
def scenario() -> Scenario:
    return Scenario.preset("single-bend, torsional").with_(power=0.6)


@pytest.fixture(scope="module")
def archive(scenario: Scenario) -> bytes:
    return pack(made(scenario, CAMERA))


def test_another_reader_gets_pixels_times_and_truth_back(scenario, archive):
    found = contents(archive)
    motion = solve(scenario).motion
    film = shoot(motion, scenario.needle, CAMERA)
    with tifffile.TiffFile(io.BytesIO(found["simulated-film.tif"])) as opened:
        assert np.array_equal(opened.asarray(), film.pictures)
        tags = opened.pages[-1].tags
        assert MARK in tags["ImageDescription"].value
        wide, inch = tags["XResolution"].value, 0.0254
        assert inch * wide[1] / wide[0] == pytest.approx(CAMERA.pixel, rel=1e-6)
    assert np.array_equal(tifffile.imread(io.BytesIO(found["simulated-rest.tif"])), film.stills)
    times = [float(row["time_s"]) for row in rows(found["simulated-frames.csv"])]
    # The middle of an exposure of 2 µs, one every 4 µs.
    assert times == pytest.approx([1e-6 + 4e-6 * i for i in range(12)], rel=1e-9)
    # Edge-on, the picture's height is -z: the real part of the marker's amplitude, turned on.
    for row in rows(found["simulated-truth.csv"]):
        marker = motion.markers[int(row["mark"]) - 1]
        turn = np.exp(2j * np.pi * motion.frequency * float(row["time_s"]))
        up = -(marker.amplitude[2] * turn).real
        assert float(row["y_true_um"]) == pytest.approx(up * 1e6, rel=1e-6, abs=1e-6)


def test_the_same_film_follows_from_its_settings(archive):
    found = contents(archive)
    scenario = Scenario.parse(found["scenario.toml"].decode())
    camera = parse_instrument(found["film.toml"].decode(), Camera)
    assert camera == CAMERA
    assert pack(made(scenario, camera)) == archive
    plain = tomllib.loads(found["film.toml"].decode())
    assert plain["instrument"]["exposure_us"] == 2.0
    assert plain["film"]["pixel_um"] == 12.5
    other = replace(camera, trigger=1.0)
    assert (
        contents(pack(made(scenario, other)))["simulated-film.tif"] != found["simulated-film.tif"]
    )


def test_every_file_says_that_it_is_simulated(archive):
    for name, content in contents(archive).items():
        assert name.startswith("simulated-") or b"imulated" in content or name == "scenario.toml"


@pytest.mark.parametrize(
    "pixels",
    [
        np.arange(2 * 5 * 7, dtype=np.uint16).reshape(2, 5, 7) * 900,
        np.arange(3 * 4 * 6 * 3, dtype=np.uint8).reshape(3, 4, 6, 3),
        np.full((1, 4, 6), 65535, dtype=np.uint16),
    ],
    ids=["16 bits", "colour", "one picture"],
)
def test_pictures_of_every_kind_come_back(pixels):
    again = tifffile.imread(io.BytesIO(tiff(pixels, "Simulated.", 1e-5)))
    assert np.array_equal(again.reshape(pixels.shape), pixels)
    assert again.dtype == pixels.dtype


def test_units_stand_in_the_heads():
    read = Column("sleeve", "reading", np.array([318.15, np.nan]), CELSIUS)
    side = Column("x, or so", "place", np.array([-0.0, 2e-6]), UM)
    assert list(csv.reader(io.StringIO(table_csv([read, side])))) == [
        ["sleeve_c", "x, or so_um"], ["45", "0"], ["", "2"],
    ]  # fmt: skip


def test_what_is_too_large_is_refused_in_a_sentence(scenario):
    one = made(scenario, CAMERA)
    huge = np.zeros((1, 1, MOST_BYTES + 1), dtype=np.uint8)
    with pytest.raises(BadInput) as refused:
        replace(one, film=Stack("film", "Too much.", huge), more=(), levels=Levels("nothing"))
    assert refused.value.sentence == (
        "This film has 64 MB of pictures; at most 64 MB are saved. "
        "Take fewer pictures, or larger pixels."
    )


# ---- the methods card ----


def test_the_card_says_all_that_was_set_in_the_units_of_the_screen(scenario):
    changed = scenario.with_(**{"loss_factor": 0.01, "duty.kind": "pulsed", "duty.off_time_ms": 40})
    changed = changed.with_(**{"duty.on_time_ms": 10, "press.force_g": 20})
    found = card(changed, Instrument("a high-speed camera", CAMERA, ("seed",)), scale="1 to 1")
    said = {row.label: row.text for row in found.rows}
    assert said["Power"] == "60 %" and said["Pulse"] == "10 ms" and said["Rest"] == "40 ms"
    assert said["Load on the sleeve"] == "20 g"
    assert said["Loss factor"] == "0.01 (first value 0.005)"
    assert said["Exposure"] == "2 µs" and "Noise seed" not in said
    assert "Stroke at the hub at 100 % power" not in said  # It turns, and does not push.
    for label, text in said.items():
        assert label.lower() in found.paragraph.lower()
        assert text[1:] in found.paragraph


def test_a_changed_input_is_on_the_card_whatever_it_is(scenario):
    """All inputs, not those of a list: each is moved, and the card must say so."""
    usual = card(scenario).rows
    missed = []
    for one in inputs(Scenario).values():
        value = one.of(scenario)
        if one.kind != "quantity" or value is None or one.path.startswith(("needle.", "fluid.d")):
            continue
        low, high = (one.unit.to_si(v) for v in (one.low, one.high))
        try:
            moved = scenario.with_(
                **{one.name: 0.999 * value + 0.001 * (low if value > low else high)}
            )
        except BadInput:
            continue  # It does not fit to the rest; another test asks why.
        if card(moved).rows == usual:
            missed.append(one.path)
    # What moves nothing under a torsional drive, in steady use, and what belongs to an instrument.
    assert {m for m in missed if not m.startswith(("thermal_camera.", "endoscope."))} == {
        "drive.axial_stroke_um", "drive.phase_deg", "duty.on_time_ms",
    }  # fmt: skip


def test_the_card_of_several_needles_says_apart_only_what_differs(scenario):
    other = Scenario.preset("counter-bent, torsional").with_(power=0.8)
    third = Scenario.preset("straight, torsional").with_(power=0.6)
    rows = compared(card(scenario), card(other), card(third)).rows
    apart = {row.label for row in rows if row.side}
    assert apart == {"Needle", "Power"}
    assert [(r.side, r.text) for r in rows if r.label == "Power"] == [
        ("A", "60 %"), ("B", "80 %"), ("C", "60 %"),
    ]  # fmt: skip
