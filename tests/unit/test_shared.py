"""What ``tests/conftest.py`` gives to all tests, tried in a run of its own."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

CALM = """\
import time, pytest
@pytest.mark.parametrize("turn", range(8))
def test_calm(turn):
    with open("log", "a", buffering=1) as log:
        log.write("calm begins\\n")
        time.sleep(0.1)
        log.write("calm ends\\n")
"""
TIMED = """\
import time, pytest
@pytest.mark.speed
@pytest.mark.parametrize("turn", range(3))
def test_timed(turn, report_table):
    report_table(f"Turn {turn}", ["ratio 1.5", "ratio 2.5"])
    with open("log", "a", buffering=1) as log:
        log.write("timed begins\\n")
        time.sleep(0.2)
        log.write("timed ends\\n")
"""


def run(folder: Path, *arguments: str) -> list[str]:
    shutil.copy(ROOT / "tests" / "conftest.py", folder)
    (folder / "pytest.ini").write_text("[pytest]\nmarkers = speed: is timed\n")
    (folder / "test_calm.py").write_text(CALM)
    (folder / "test_timed.py").write_text(TIMED)
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", *arguments],
        cwd=folder,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout.splitlines()


@pytest.mark.parametrize("workers", [["-n", "0"], ["-n", "2", "--dist", "loadfile"]])
def test_tables_stand_under_the_results_and_the_closing_line_is_last(
    tmp_path: Path, workers: list[str]
) -> None:
    output = run(tmp_path, *workers)
    for turn in range(3):
        (title,) = (i for i, line in enumerate(output) if line.strip("- ") == f"Turn {turn}")
        assert output[title + 1 : title + 3] == ["ratio 1.5", "ratio 2.5"]
    assert output[-1].startswith("11 passed in ")


@pytest.mark.skipif(sys.platform == "win32", reason="there the tests run one after another")
def test_timed_tests_run_alone(tmp_path: Path) -> None:
    run(tmp_path, "-n", "2", "--dist", "loadfile")
    log = (tmp_path / "log").read_text().splitlines()
    begun = [i for i, line in enumerate(log) if line == "timed begins"]
    assert len(begun) == 3
    assert [log[i + 1] for i in begun] == ["timed ends"] * 3
    running = 0
    for line in log:
        if line == "timed begins":
            assert running == 0
        running += {"begins": 1, "ends": -1}[line.split()[1]]
