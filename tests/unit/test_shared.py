"""What ``tests/conftest.py`` gives to all tests, tried in a run of its own."""

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

PRINTING = """\
import pytest
@pytest.mark.parametrize("turn", range(3))
def test_printing(turn, report_table):
    report_table(f"Turn {turn}", ["ratio 1.5", "ratio 2.5"])
"""


@pytest.mark.parametrize("workers", [["-n", "0"], ["-n", "2", "--dist", "loadfile"]])
def test_tables_stand_under_the_results_and_the_closing_line_is_last(
    tmp_path: Path, workers: list[str]
) -> None:
    shutil.copy(ROOT / "tests" / "conftest.py", tmp_path)
    (tmp_path / "pytest.ini").write_text("[pytest]\n")
    (tmp_path / "test_printing.py").write_text(PRINTING)
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", *workers],
        cwd=tmp_path,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    output = done.stdout.splitlines()
    for turn in range(3):
        (title,) = (i for i, line in enumerate(output) if line.strip("- ") == f"Turn {turn}")
        assert output[title + 1 : title + 3] == ["ratio 1.5", "ratio 2.5"]
    assert output[-1].startswith("3 passed in ")
