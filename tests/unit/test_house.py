"""The house rules hold: one direction of imports, one style, types.

Each rule's tool runs as a test, so that one run of pytest checks everything; a failure shows what
the tool says.
"""

import ast
import graphlib
import subprocess
import sys
import tomllib
from pathlib import Path

import grimp
import pytest

ROOT = Path(__file__).parents[2]
LINT_IMPORTS = "from importlinter.cli import lint_imports_command as run; run()"


@pytest.mark.parametrize(
    "tool",
    [
        pytest.param(["-c", LINT_IMPORTS, "--no-logo"], id="imports go in one direction"),
        pytest.param(["-m", "ruff", "check"], id="ruff check"),
        pytest.param(["-m", "ruff", "format", "--check", "--diff"], id="ruff format"),
        pytest.param(["-m", "mypy"], id="mypy"),
        pytest.param(["-m", "pre_commit", "validate-config"], id="pre-commit"),
    ],
)
def test_the_house_rules_hold(tool: list[str]) -> None:
    done = subprocess.run([sys.executable, *tool], cwd=ROOT, capture_output=True, text=True)
    if done.returncode != 0:
        pytest.fail(f"{' '.join(tool)}\n{done.stdout}{done.stderr}", pytrace=False)


def test_no_module_imports_itself_by_a_detour() -> None:
    """Imports inside functions and for types count, too."""
    graph = grimp.build_graph("tipsim")
    imports = {m: graph.find_modules_directly_imported_by(m) for m in graph.modules}
    graphlib.TopologicalSorter(imports).prepare()


def test_only_setup_reads_a_number_when_it_is_imported() -> None:
    """Data files are read when a number is needed: by functions, not by the lines of a module."""
    found = []
    for path in sorted((ROOT / "tipsim").rglob("*.py")):
        if "setup" not in path.relative_to(ROOT).parts:
            waiting: list[ast.AST] = [ast.parse(path.read_text(encoding="utf-8"))]
            while waiting:
                node = waiting.pop()
                if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
                    continue
                if isinstance(node, ast.Call) and ast.unparse(node.func) in ("number", "numbers"):
                    found.append(f"{path.relative_to(ROOT)}:{node.lineno}")
                waiting.extend(ast.iter_child_nodes(node))
    assert found == []


def test_every_room_but_the_screens_is_kept_from_screens() -> None:
    """A room that is added must be added to the contract, which cannot name absent ones."""
    config = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    contracts = config["tool"]["importlinter"]["contracts"]
    (kept,) = (set(c["source_modules"]) for c in contracts if c["type"] == "forbidden")
    package = ROOT / "tipsim"
    rooms = {f"tipsim.{path.stem}" for path in package.glob("*.py") if path.stem != "__init__"}
    rooms |= {f"tipsim.{path.parent.name}" for path in package.glob("*/__init__.py")}
    assert kept == rooms - {"tipsim.__main__", "tipsim.app", "tipsim.cli", "tipsim.plot"}
