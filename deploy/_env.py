"""The project's own environment, ``.venv``: made once, trusted by its stamp, repaired when broken.

Standard library only, for it runs before anything is installed.

Three small files in ``.venv`` tell its state. A *stamp* says that everything was installed, and
from what; while it fits, a start touches neither pip nor the network. A *mark* stands while pip is
at work: found at a later start, it says that the work was cut off, and the environment is made
anew, since pip takes a half-copied package for a whole one. The *log* keeps pip's own words.
"""

import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from _lock import alone
from _python import OLDEST

ROOT = Path(__file__).resolve().parent.parent

Say = Callable[[str], None]

_NO_PIP = (
    "This Python can make no environment, for it comes without pip and ensurepip: install them"
    " (on Debian and Ubuntu: sudo apt-get install python3-venv) and start again."
)
_NO_NETWORK = ("connection broken", "ConnectionError", "ConnectTimeout", "Network is unreachable")


class SetupError(Exception):
    """The environment could not be made; the message is one sentence for the user."""


@dataclass(frozen=True)
class Environment:
    """Where the environment of one checkout lies.

    >>> Environment(Path("checkout")).log.as_posix()
    'checkout/.venv/setup.log'
    """

    root: Path = ROOT

    @property
    def folder(self) -> Path:
        """The environment itself."""
        return self.root / ".venv"

    @property
    def python(self) -> Path:
        """Its interpreter, there or not."""
        windows = os.name == "nt"
        return self.folder.joinpath(*(("Scripts", "python.exe") if windows else ("bin", "python")))

    @property
    def log(self) -> Path:
        """What pip said at the last set-up."""
        return self.folder / "setup.log"

    @property
    def mark(self) -> Path:
        """There while pip is at work."""
        return self.folder / "tipsim-unfinished"

    def stamp(self, extra: str) -> Path:
        """There when everything for this extra ("" for none) was installed."""
        return self.folder / f"tipsim-{extra or 'run'}.stamp"

    def relative(self, path: Path) -> str:
        """A path as the user sees it from the checkout, with forward slashes."""
        return path.relative_to(self.root).as_posix()


def ensure(env: Environment, extra: str = "", say: Say = print) -> None:
    """Make or repair the environment if need be, with the project and one extra installed.

    Raises
    ------
    SetupError
        With one sentence, when it could not be done.
    """
    if is_ready(env, extra):
        return
    try:
        with alone(env.root / ".venv.lock", lambda: say("Waiting for another set-up to end ...")):
            if not is_ready(env, extra):
                _set_up(env, extra, say)
    except OSError as error:
        raise SetupError(f"The environment in .venv could not be made: {error}.") from error


def is_ready(env: Environment, extra: str) -> bool:
    """Whether the stamp fits what would be installed now, and the interpreter runs."""
    stamp = env.stamp(extra)
    return (
        stamp.is_file() and not env.mark.exists() and stamp.read_text() == wanted_stamp(env, extra)
    )


def wanted_stamp(env: Environment, extra: str) -> str:
    """What the stamp must say: the project's recipe, its place, and the environment's Python."""
    recipe = hashlib.sha256((env.root / "pyproject.toml").read_bytes()).hexdigest()
    python = ".".join(map(str, python_version(env.python) or ()))
    return f"{recipe}\n{env.root}\nPython {python}\n{extra}\n"


def python_version(python: Path) -> tuple[int, int] | None:
    """Major and minor version of an interpreter, None where it does not run."""
    code = "import sys; print(*sys.version_info[:2])"
    try:
        answer = subprocess.run([python, "-I", "-S", "-c", code], capture_output=True, text=True)
        major, minor = map(int, answer.stdout.split())
    except (OSError, ValueError):
        return None
    return major, minor


def _set_up(env: Environment, extra: str, say: Say) -> None:
    why = _why_anew(env)
    if why and env.folder.exists():
        say(f"Making .venv anew: {why}.")
        shutil.rmtree(env.folder)
    say("Setting up tipsim in .venv; this needs the network and takes about a minute ...")
    if why:
        _make(env)
    env.mark.touch()
    _install(env, extra)
    for done in {extra, ""}:
        env.stamp(done).write_text(wanted_stamp(env, done))
    env.mark.unlink()


def _why_anew(env: Environment) -> str:
    """Why the environment at hand cannot be kept; nothing when it can."""
    if env.mark.exists():
        return "an earlier set-up was cut off"
    version = python_version(env.python)
    if version is None:
        return "its Python does not run"
    if version < OLDEST:
        return f"its Python is {version[0]}.{version[1]}"
    # After an upgrade of the system the same link may lead to another Python, without packages.
    if _version_at_birth(env) != version:
        return "it was made with another Python"
    return ""


def _version_at_birth(env: Environment) -> tuple[int, ...]:
    try:
        lines = (env.folder / "pyvenv.cfg").read_text().splitlines()
        told = dict(line.split(" = ", 1) for line in lines if " = " in line)
        version = told.get("version") or told["version_info"]
        return tuple(map(int, version.split(".")[:2]))
    except (OSError, KeyError, ValueError):
        return ()


def _make(env: Environment) -> None:
    """An empty environment; without pip of its own where this Python cannot give it one."""
    # From the Python below, should this one itself belong to an environment.
    python = getattr(sys, "_base_executable", sys.executable)
    for options in ((), ("--clear", "--without-pip")):
        made = _run([python, "-m", "venv", *options, str(env.folder)], env)
        if made.returncode == 0:
            return
    raise SetupError(_NO_PIP)


def _install(env: Environment, extra: str) -> None:
    target = f".[{extra}]" if extra else "."
    # What is imported is compiled then; all of it beforehand would take half a minute.
    options = ("--disable-pip-version-check", "--no-input", "--no-compile", "--editable", target)
    command = [*_pip(env), "install", *options]
    with env.log.open("wb") as log:
        status = subprocess.run(
            command,
            cwd=env.root,
            env=_environ(),
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=subprocess.STDOUT,
        ).returncode
    if status == 0:
        return
    env.mark.unlink()  # pip has tidied up behind itself: nothing is half made
    words = env.log.read_text(errors="replace")
    offline = any(sign in words for sign in _NO_NETWORK)
    reason = "no package index answered, is there a network?" if offline else "pip met an error."
    raise SetupError(
        f"The packages could not be installed: {reason} pip's own words are in"
        f" {env.relative(env.log)}."
    )


def _pip(env: Environment) -> list[str]:
    """The start of a pip command for this environment: its own pip, or the one of this Python.

    An environment that was made without pip may get one by now, after its user followed our advice.
    """
    own = [str(env.python), "-m", "pip"]
    ours = [sys.executable, "-m", "pip", "--python", str(env.python)]
    for pip in (own, ours):
        if _run([*pip, "--version"], env).returncode == 0:
            return pip
    if _run([str(env.python), "-m", "ensurepip"], env).returncode == 0:
        return own
    env.mark.unlink(missing_ok=True)
    raise SetupError(_NO_PIP)


def _run(command: list[str], env: Environment) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        command, cwd=env.root, env=_environ(), stdin=subprocess.DEVNULL, capture_output=True
    )


def _environ() -> dict[str, str]:
    """The variables of this process, less what would lead pip to another place."""
    elsewhere = {"PIP_PREFIX", "PIP_TARGET", "PIP_USER"}
    return {name: value for name, value in os.environ.items() if name not in elsewhere}
