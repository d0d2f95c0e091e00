"""What a film costs the server: 60 pictures with their tracks, and the package that tracks."""

import subprocess
import sys
import time
from collections.abc import Callable

import pytest

from tipsim.motion.camera import Camera, measure, shoot, track
from tipsim.setup.catalogue import preset
from tipsim.solve import solve

pytestmark = pytest.mark.speed

LIMIT = 0.4
"""Asked for: 60 pictures of usual size, drawn and tracked [s of processor time]."""


def quickest(act: Callable[[], object], rounds: int = 5) -> float:
    """Least processor time of some rounds [s]."""
    out = []
    for _ in range(rounds):
        start = time.process_time()
        act()
        out.append(time.process_time() - start)
    return min(out)


def test_a_film_of_sixty_pictures(report_table: Callable[[str, list[str]], None]) -> None:
    one = preset("single-bend, torsional")
    motion = solve(one).motion
    lines = []
    for pixel in (12.5e-6, 5e-6):
        camera = Camera(frames=60, pixel=pixel)
        film = shoot(motion, one.needle, camera)
        tracks = track(film)
        drawing = quickest(lambda c=camera: shoot(motion, one.needle, c))  # type: ignore[misc]
        tracking = quickest(lambda f=film: track(f))  # type: ignore[misc]
        reading = quickest(lambda f=film, t=tracks: measure(f, t))  # type: ignore[misc]
        rows, columns = film.scene.shape
        lines.append(
            f"{pixel * 1e6:4g} µm, {columns} x {rows} px: drawn {drawing * 1e3:.0f} ms, tracked "
            f"{tracking * 1e3:.0f} ms ({len(tracks)} marks), read {reading * 1e3:.0f} ms"
        )
        if pixel == 12.5e-6:
            whole = drawing + tracking + reading
    report_table(f"A film of 60 pictures, processor time (limit asked for: {LIMIT} s)", lines)
    assert whole < LIMIT


def test_the_tracking_package_is_loaded_only_by_a_film() -> None:
    """It would add to the start of every command, of which few film anything."""
    script = (
        "import sys, tipsim.cli, tipsim.app.serve\n"
        "print([m for m in sys.modules if m.split('.')[0] == 'skimage'])"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    assert done.stdout.strip() == "[]", done.stderr
