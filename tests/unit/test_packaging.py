"""The wheel holds everything that an installed copy needs, and needs what it says."""

import ast
import os
import re
import subprocess
import sys
import tomllib
import zipfile
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the built wheel unpacked, as an installer would."""
    folder = tmp_path_factory.mktemp("wheel")
    done = subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "--target", "wheel", "--directory", folder],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    (wheel,) = folder.glob("tipsim-*.whl")
    zipfile.ZipFile(wheel).extractall(folder / "site")
    return folder / "site"


def run_elsewhere(installed: Path, folder: Path, *arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, *arguments],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": str(installed)},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout.strip()


@pytest.mark.parametrize("name", ["assets", "lessons"])
def test_wheel_carries_every_file(installed: Path, name: str) -> None:
    authored = ROOT / name
    carried = installed / "tipsim" / "_data" / name
    wanted = {file.as_posix(): (authored / file).read_bytes() for file in kept_files(authored)}
    assert wanted, f"{name}/ is empty"
    assert wanted == {
        file.relative_to(carried).as_posix(): file.read_bytes()
        for file in carried.rglob("*")
        if file.is_file()
    }


def kept_files(folder: Path) -> list[Path]:
    """The files of a folder that git keeps or would keep, by their place in it."""
    listing = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    names = subprocess.run(listing, cwd=folder, capture_output=True, text=True, check=True).stdout
    return [Path(name) for name in names.split("\0") if name and (folder / name).exists()]


def test_wheel_has_the_code_its_types_and_its_licence_and_nothing_else(installed: Path) -> None:
    about = installed / f"tipsim-{PROJECT['version']}.dist-info"
    assert set(installed.iterdir()) == {installed / "tipsim", about}
    assert (installed / "tipsim" / "py.typed").is_file()
    assert (about / "licenses" / "LICENSE").is_file()
    code = {path.relative_to(ROOT) for path in (ROOT / "tipsim").rglob("*.py")}
    assert {path.relative_to(installed) for path in installed.rglob("*.py")} == code


def test_installed_copy_finds_its_files_from_any_folder(installed: Path, tmp_path: Path) -> None:
    script = "import tipsim.paths as p; print(p.assets_folder(), p.lessons_folder(), p.asset('.'))"
    data = installed / "tipsim" / "_data"
    found = run_elsewhere(installed, tmp_path, "-c", script)
    assert found == f"{data / 'assets'} {data / 'lessons'} {data / 'assets'}"


def test_installed_command_works_from_any_folder(installed: Path, tmp_path: Path) -> None:
    assert "single-bend" in run_elsewhere(installed, tmp_path, "-m", "tipsim.cli", "needles")


def test_every_import_is_a_declared_dependency_and_the_other_way_round() -> None:
    providers = packages_distributions()
    used = {
        provider.lower().replace("_", "-")
        for path in (ROOT / "tipsim").rglob("*.py")
        for name in imported(path)
        if name not in {*sys.stdlib_module_names, "tipsim", "_typeshed"}
        for provider in providers[name]
    }
    declared = bare(PROJECT["dependencies"])
    # What a person asks for beside the rest, such as films in containers.
    extra = bare(PROJECT["optional-dependencies"]["film"])
    # Tables are data frames where pandas is at hand, and our own where it is not.
    assert used - {"pandas"} == declared | extra
    assert not declared & extra


def bare(requirements: list[str]) -> set[str]:
    """Names without versions."""
    return {re.split(r"[<>=]", line)[0] for line in requirements}


def imported(path: Path) -> set[str]:
    """The top-level packages that a file imports by an absolute name."""
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names.add(node.module.split(".")[0])
    return names


def test_every_dependency_has_a_lower_and_an_upper_bound() -> None:
    lines = PROJECT["dependencies"] + PROJECT["optional-dependencies"]["test"]
    loose = [line for line in lines if not re.fullmatch(r"[a-z\d-]+>=[\d.]+,<[\d.]+", line)]
    assert loose == []


def test_packages_for_pictures_are_loaded_only_by_a_film() -> None:
    """It would add to the start of every command, of which few film anything."""
    script = (
        "import sys, tipsim.cli, tipsim.app.serve\n"
        "print([m for m in sys.modules if m.split('.')[0] in ('skimage', 'tifffile')])"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, cwd=ROOT)
    assert done.stdout.strip() == "[]", done.stderr
