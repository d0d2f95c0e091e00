"""The environment is made once, trusted while its stamp fits, and repaired when half made.

The project here is a stand-in that builds itself without any other package, so that pip needs no
network; the environments and pip are real.
"""

import ast
import shutil
import subprocess
import sys
import threading
import venv
from pathlib import Path

import _env
import pytest
from _env import Environment, SetupError
from _lock import alone

DEPLOY = Path(__file__).parents[2] / "deploy"

PROJECT = """\
[build-system]
requires = []
build-backend = "backend"
backend-path = ["."]

[project]
name = "standin"
version = "1"
optional-dependencies.test = []
"""

BACKEND = """\
import zipfile

ABOUT = {
    "METADATA": "Metadata-Version: 2.1\\nName: standin\\nVersion: 1\\nProvides-Extra: test\\n",
    "WHEEL": "Wheel-Version: 1.0\\nRoot-Is-Purelib: true\\nTag: py3-none-any\\n",
    "RECORD": "",
}


def build_editable(folder, config_settings=None, metadata_directory=None):
    name = "standin-1-py3-none-any.whl"
    with zipfile.ZipFile(f"{folder}/{name}", "w") as wheel:
        wheel.writestr("standin.py", "")
        for file, text in ABOUT.items():
            wheel.writestr(f"standin-1.dist-info/{file}", text)
    return name
"""


def nothing(sentence: str) -> None:
    """Where a test does not read what is said."""


@pytest.fixture
def env(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Environment:
    """An untouched checkout of the stand-in, with no package index to reach."""
    (tmp_path / "pyproject.toml").write_text(PROJECT)
    (tmp_path / "backend.py").write_text(BACKEND)
    monkeypatch.setenv("PIP_NO_INDEX", "1")
    return Environment(tmp_path)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Environment, list[str]]:
    """A checkout that was set up once for tests, to copy from, and what was said."""
    root, said = tmp_path_factory.mktemp("made"), list[str]()
    (root / "pyproject.toml").write_text(PROJECT)
    (root / "backend.py").write_text(BACKEND)
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("PIP_NO_INDEX", "1")
        _env.ensure(Environment(root), "test", said.append)
    return Environment(root), said


@pytest.fixture
def ready(made: tuple[Environment, list[str]], env: Environment) -> Environment:
    shutil.copytree(made[0].folder, env.folder, symlinks=True)
    for extra in ("", "test"):
        env.stamp(extra).write_text(_env.wanted_stamp(env, extra))
    return env


def installed(env: Environment) -> bool:
    done = subprocess.run([env.python, "-c", "import standin"], capture_output=True, cwd="/")
    return done.returncode == 0


def test_set_up_for_tests_serves_for_a_start_too_and_is_not_repeated(
    made: tuple[Environment, list[str]],
) -> None:
    env, said = made
    assert installed(env)
    assert len(said) == 1
    assert not env.mark.exists()
    assert "standin" in env.log.read_text()

    written = env.log.stat().st_mtime_ns
    _env.ensure(env, "test", said.append)
    _env.ensure(env, "", said.append)
    assert len(said) == 1
    assert env.log.stat().st_mtime_ns == written


@pytest.mark.slow
def test_cut_off_set_up_is_made_anew(ready: Environment) -> None:
    ready.mark.touch()
    half_copied = ready.folder / "half-copied"
    half_copied.touch()
    said: list[str] = []
    _env.ensure(ready, say=said.append)
    assert said[0] == "Making .venv anew: an earlier set-up was cut off."
    assert not half_copied.exists()
    assert installed(ready)
    assert _env.is_ready(ready, "")


def test_environment_whose_python_is_gone_is_not_kept(ready: Environment) -> None:
    ready.python.unlink()
    assert not _env.is_ready(ready, "")
    assert _env._why_anew(ready) == "its Python does not run"


def test_environment_of_another_python_is_not_kept(ready: Environment) -> None:
    cfg = ready.folder / "pyvenv.cfg"
    cfg.write_text(cfg.read_text().replace(f"version = 3.{sys.version_info[1]}", "version = 3.1"))
    assert _env._why_anew(ready) == "it was made with another Python"


def test_environment_that_someone_else_made_is_kept(ready: Environment) -> None:
    for extra in ("", "test"):
        ready.stamp(extra).unlink()
    theirs = ready.folder / "theirs"
    theirs.touch()
    _env.ensure(ready, say=nothing)
    assert theirs.exists()
    assert _env.is_ready(ready, "")
    assert not _env.is_ready(ready, "test")


@pytest.mark.parametrize("extra", ["", "test"])
def test_another_recipe_or_place_or_a_mark_asks_for_a_set_up(
    ready: Environment, extra: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    assert _env.is_ready(ready, extra)
    moved = Environment(tmp_path_factory.mktemp("moved") / "checkout")
    shutil.copytree(ready.root, moved.root, symlinks=True)
    assert not _env.is_ready(moved, extra)
    ready.mark.touch()
    assert not _env.is_ready(ready, extra)
    ready.mark.unlink()
    (ready.root / "pyproject.toml").write_text(PROJECT + "\n# another dependency\n")
    assert not _env.is_ready(ready, extra)


@pytest.mark.slow
def test_python_without_ensurepip_borrows_the_pip_at_hand(
    env: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = _env._run

    def run(command: list[str], env: Environment) -> subprocess.CompletedProcess[bytes]:
        if "venv" in command and "--without-pip" not in command:
            return subprocess.CompletedProcess(command, 1)
        return real(command, env)

    monkeypatch.setattr(_env, "_run", run)
    _env.ensure(env, say=nothing)
    assert not any(env.folder.rglob("pip"))
    assert installed(env)


def test_python_without_any_pip_names_the_package_to_install(
    env: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    def run(command: list[str], env: Environment) -> subprocess.CompletedProcess[bytes]:
        return subprocess.CompletedProcess(command, 1)

    monkeypatch.setattr(_env, "_run", run)
    with pytest.raises(SetupError, match="sudo apt-get install python3-venv"):
        _env.ensure(env, say=nothing)


@pytest.mark.slow
def test_python_that_has_got_ensurepip_since_then_makes_use_of_it(
    env: Environment, monkeypatch: pytest.MonkeyPatch
) -> None:
    venv.create(env.folder, with_pip=False)
    without_pip = env.root / "python"
    without_pip.write_text("#!/bin/sh\nexit 1\n")
    without_pip.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(without_pip))
    _env.ensure(env, say=nothing)
    assert installed(env)


@pytest.mark.parametrize(
    ("variables", "reason"),
    [
        ({"PIP_NO_INDEX": "1"}, "pip met an error."),
        (
            {"PIP_INDEX_URL": "http://127.0.0.1:9/", "PIP_RETRIES": "1", "PIP_FIND_LINKS": ""},
            "no package index answered, is there a network?",
        ),
    ],
)
def test_failed_pip_is_one_sentence_and_its_words_are_kept(
    ready: Environment,
    monkeypatch: pytest.MonkeyPatch,
    variables: dict[str, str],
    reason: str,
) -> None:
    wants_more = PROJECT.replace("requires = []", 'requires = ["no-such-backend"]')
    (ready.root / "pyproject.toml").write_text(wants_more)
    monkeypatch.delenv("PIP_NO_INDEX")
    for name, value in variables.items():
        monkeypatch.setenv(name, value)
    with pytest.raises(SetupError) as caught:
        _env.ensure(ready, say=nothing)
    assert str(caught.value) == (
        f"The packages could not be installed: {reason} pip's own words are in .venv/setup.log."
    )
    assert "no-such-backend" in ready.log.read_text()
    assert not _env.is_ready(ready, "")
    assert _env._why_anew(ready) == ""  # the next start tries again with what is there


def test_folder_that_cannot_be_written_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(SetupError, match=r"^The environment in \.venv could not be made: .*\.$"):
        _env.ensure(Environment(tmp_path / "absent"), say=nothing)


def test_lock_is_held_by_one_at_a_time(tmp_path: Path) -> None:
    path = tmp_path / "lock"
    order: list[str] = []
    waits = threading.Event()

    def second() -> None:
        with alone(path, waits.set):
            order.append("second")

    with alone(path, lambda: None):
        thread = threading.Thread(target=second)
        thread.start()
        assert waits.wait(30)
        order.append("first")
    thread.join(30)
    assert order == ["first", "second"]


@pytest.mark.parametrize("name", ["start.py", "check.py", "_python.py"])
def test_an_old_python_can_read_as_far_as_the_sentence(name: str) -> None:
    source = (DEPLOY / name).read_bytes()
    source.decode("ascii")  # the oldest read nothing else
    tree = ast.parse(source, feature_version=(3, 4))
    newer = (ast.JoinedStr, ast.AnnAssign, ast.NamedExpr, ast.Match)
    assert not [node for node in ast.walk(tree) if isinstance(node, newer)]
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    assert not [f.name for f in functions if f.returns or any(a.annotation for a in f.args.args)]
    if name != "_python.py":
        assert source.index(b"refuse_old()") < source.index(f"from _{name[:-3]}".encode())
