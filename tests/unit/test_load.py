"""The load script for a moment: each change gets its own answer, and nobody's value is another's.

How fast is measured by the script itself, on a quiet machine; see `deploy/load.py`.
"""

import json
import subprocess
import sys
from pathlib import Path

import pytest

LOAD = Path(__file__).parents[2] / "deploy" / "load.py"


def run(*options: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, str(LOAD), *options], capture_output=True, text=True, timeout=180
    )


def test_two_learners_on_one_page_each_get_their_own_answers() -> None:
    done = run("--sessions", "2", "--seconds", "3", "--pages", "flow", "--json")
    assert done.returncode == 0, done.stderr
    every, flow = json.loads(done.stdout)
    assert every["sessions"] == flow["sessions"] == 2 and flow["page"] == "/flow"
    # A learner stops at the first change that nobody answers, so these are answers of their own.
    assert every["changes"] == flow["changes"] >= 4
    assert every["unanswered"] == every["foreign"] == every["refused"] == 0
    if sys.platform == "linux":
        assert every["server_ms"] > 0 and every["memory_mb"] > 50


@pytest.mark.parametrize("options", [("--sessions", "99"), ("--seconds", "1e6"), ("--pages", "x")])
def test_it_stays_within_bounds(options: tuple[str, str]) -> None:
    done = run(*options)
    assert done.returncode == 2 and "allowed" in done.stderr
