"""Films from other hands: marks followed to a fraction of a pixel; what is no film is refused.

The films are drawn here, apart from the code under test: discs with a soft edge on a ground with a
slope of light, at places known to the last digit.
"""

import io
import json
import re
import zipfile
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tipsim import Scenario, solve
from tipsim.cli import main
from tipsim.measured import film as films
from tipsim.measured.film import Region, pictures
from tipsim.measured.follow import follow
from tipsim.motion.camera import Camera, measure, shoot
from tipsim.motion.camera.saving import saved
from tipsim.saved import pack
from tipsim.setup.errors import BadInput

COUNT, ROWS, COLUMNS = 40, 80, 120
PATH = np.stack([60 + 0.5 * np.arange(COUNT) / 10, 40 + 6 * np.cos(np.arange(COUNT) * 0.7)], axis=1)
"""Column and row of the moving disc: a slow drift to the right, a swing up and down."""
STILL = (20.0, 20.0)


def drawn(noise: float = 2.0) -> np.ndarray:
    """Return a film (f, r, c) of 8 bits: one disc that moves, one that stands still."""
    rng = np.random.default_rng(8)
    row, column = np.mgrid[:ROWS, :COLUMNS].astype(float)
    shown = []
    for x, y in PATH:
        light = 60 + 0.3 * column
        for cx, cy in ((x, y), STILL):
            light += 120 / (1 + np.exp(2 * (np.hypot(column - cx, row - cy) - 4)))
        shown.append(light + rng.normal(0, noise, light.shape))
    return np.clip(np.rint(shown), 0, 255).astype(np.uint8)


def write(folder: Path, kind: str) -> Path:
    """Write the film in one of the kinds that are read."""
    every = [Image.fromarray(p) for p in drawn()]
    if kind == "folder":
        (folder / "film").mkdir()
        for i, one in enumerate(every):
            # Without leading zeros: 10 comes behind 9.
            one.save(folder / "film" / f"p{i}.png")
        return folder / "film"
    file = folder / f"film.{kind}"
    if kind in ("tif", "gif", "png"):
        every[0].save(file, save_all=True, append_images=every[1:])
        return file
    import av

    with av.open(str(file), "w") as container:
        codec = "mpeg4" if kind == "mp4" else "mjpeg"
        stream = container.add_stream(codec, rate=25)
        stream.width, stream.height = COLUMNS, ROWS
        stream.pix_fmt = "yuv420p" if kind == "mp4" else "yuvj420p"
        stream.bit_rate = 4_000_000
        for one in every:
            frame = av.VideoFrame.from_image(one.convert("RGB"))
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return file


@pytest.mark.parametrize("kind", ["tif", "gif", "png", "folder", "mp4", "avi"])
def test_a_mark_is_followed_to_a_fraction_of_a_pixel(tmp_path, kind):
    file = write(tmp_path, kind)
    moving, still = follow(lambda: pictures(file), [tuple(PATH[0]), STILL])
    assert moving.doubtful == still.doubtful == 0
    # Moves, since where a disc's middle lies within its pattern is a matter of where one points.
    moved = moving.places - moving.places.mean(axis=0)
    lossy = kind in ("mp4", "avi")
    assert np.abs(moved - (PATH - PATH.mean(axis=0))).max() < (0.3 if lossy else 0.1)
    assert np.std(still.places, axis=0).max() < (0.15 if lossy else 0.04)


def test_marks_are_proposed_where_there_is_a_pattern(tmp_path, capsys):
    file = write(tmp_path, "tif")
    out = tmp_path / "tracks.csv"
    assert main(["track", str(file), "--corners", "2", "-o", str(out)]) == 0
    told = capsys.readouterr().err
    assert told.count("found in 40 of 40 pictures") == 2
    assert "mark" in out.read_text(encoding="utf-8").splitlines()[0]


def test_from_a_saved_film_to_strokes_by_the_command(tmp_path, capsys):
    """The film that the camera page saves goes in as a stranger's, and its own truth comes out."""
    one = Scenario.preset("single-bend, torsional")
    film = shoot(solve(one).motion, one.needle, Camera(signal_to_noise=50, exposure=0.2e-6))
    with zipfile.ZipFile(io.BytesIO(pack(saved(one, film, measure(film))))) as archive:
        (name,) = (n for n in archive.namelist() if n.endswith("film.tif"))
        (tmp_path / "film.tif").write_bytes(archive.read(name))
    dots = [d for d in film.scene.dots if film.scene.holds(d, 20 * film.scene.pixel)][:3]
    marks = [f"--mark={c:.0f},{r:.0f}" for c, r in (film.scene.to_pixels(d.place) for d in dots)]
    assert main(["track", str(tmp_path / "film.tif"), *marks, "--rate", "500000", "--pixel-um",
                 "12.5", "-o", str(tmp_path / "t.csv")]) == 0  # fmt: skip
    assert main(["fit", str(tmp_path / "t.csv"), "--frequency-khz", "32", "--json"]) == 0
    seen = json.loads(capsys.readouterr().out)["films"][0]["marks"]
    for mark, dot in zip(seen, dots, strict=True):
        # Two hundredths of a stroke, or a tenth of a pixel where little moves.
        allowed = max(0.02 * dot.stroke_in_view, 1.25e-6) * 1e6
        assert mark["stroke_um"] == pytest.approx(dot.stroke_in_view * 1e6, abs=allowed)


def test_the_scale_of_a_known_length(tmp_path):
    file, out = write(tmp_path, "tif"), tmp_path / "t.csv"
    assert main(["track", str(file), "--mark", "60,46", "--known", "0,0,30,40=0.5", "--region",
                 "30,10,80,70", "-o", str(out)]) == 0  # fmt: skip
    last = out.read_text(encoding="utf-8").splitlines()[-1].split(",")
    # 50 pixels are 0.5 mm: 10 µm each. The last place, as drawn, from the whole picture's corner.
    assert float(last[2]) == pytest.approx(10 * PATH[-1, 0], abs=5)
    assert float(last[3]) == pytest.approx(-10 * PATH[-1, 1], abs=5)


@pytest.mark.parametrize(("name", "data", "complaint"), [
    ("a.mp4", b"no film at all, though its name says so", "a.mp4 is broken"),
    ("a.tif", b"II*\0" + b"\xff" * 40, "a.tif is (broken|not what its name says)"),
    ("a.png", b"", "a.png is not what its name says"),
    ("a.txt", b"hello", 'a.txt is of kind ".txt"; allowed: a film'),
])  # fmt: skip
def test_what_is_no_film_is_refused(tmp_path, capsys, name, data, complaint):
    file, out = tmp_path / name, tmp_path / "out.csv"
    file.write_bytes(data)
    assert main(["track", str(file), "--mark", "5,5", "-o", str(out)]) == 2
    said = capsys.readouterr().err
    assert re.match(f"tipsim: {complaint}", said), said
    assert said.count("\n") == 1 and list(tmp_path.iterdir()) == [file]


def test_a_bomb_a_cut_file_and_changing_sizes_are_refused(tmp_path, monkeypatch):
    whole = write(tmp_path, "tif").read_bytes()
    cut = tmp_path / "cut.tif"
    cut.write_bytes(whole[: len(whole) // 3])
    with pytest.raises(BadInput, match=r"cut\.tif is (broken|not what)"):
        list(pictures(cut))
    # A small file that would unfold to 400 megapixels.
    bomb = tmp_path / "bomb.png"
    Image.new("1", (20_000, 20_000)).save(bomb)
    assert bomb.stat().st_size < 100_000
    with pytest.raises(BadInput, match=r"bomb\.png is (too large|20000 by 20000 pixels)"):
        list(pictures(bomb))
    mixed = tmp_path / "mixed"
    mixed.mkdir()
    for i, size in enumerate(((30, 30), (30, 30), (31, 30))):
        Image.new("L", size).save(mixed / f"{i}.png")
    with pytest.raises(BadInput, match="picture 3 of mixed is 31 by 30 pixels; allowed: 30 by 30"):
        list(pictures(mixed))
    monkeypatch.setattr(films, "MOST_PICTURES", 10)
    with pytest.raises(BadInput, match="a film of more pictures; allowed: up to 10"):
        list(pictures(write(tmp_path, "gif")))


def test_a_part_of_a_film(tmp_path):
    file = write(tmp_path, "tif")
    found = list(pictures(file, 3, 5, Region(10, 20, 30, 40)))
    assert len(found) == 3 and found[0].shape == (40, 30)
    assert (found[1] == drawn()[3, 20:60, 10:40]).all()
    for bad, complaint in (((0, 5), "from 1"), ((5, 3), "the last not before"), ((39, 60), "40")):
        with pytest.raises(BadInput, match=complaint):
            list(pictures(file, *bad))
    with pytest.raises(BadInput, match="within 120 by 80 pixels"):
        list(pictures(file, region=Region(100, 0, 30, 10)))


@pytest.mark.parametrize(("arguments", "complaint"), [
    ([], "number of marks is 0"),
    (["--mark", "3"], '--mark is "3"; allowed: 2 numbers'),
    (["--mark", "2,40"], "mark is 2,40; allowed: inside the picture"),
    (["--mark", "60,46", "--half", "1"], "half width of the pattern is 1 pixels"),
    (["--mark", "60,46", "--known", "1,1,1,1=2"], "two different points"),
    (["--mark", "60,46", "--rate", "-1"], "--rate is -1; allowed: above 0"),
])  # fmt: skip
def test_arguments_that_cannot_be_used_are_named(tmp_path, capsys, arguments, complaint):
    file = write(tmp_path, "gif")
    assert main(["track", str(file), *arguments]) == 2
    assert complaint in capsys.readouterr().err
