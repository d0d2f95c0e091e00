"""A Chromium for the browser tests: one that is there, else one that can be had.

Standard library only. Every candidate must run before it counts: on some systems the command is a
stub that asks for another package.
"""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

VARIABLE = "TIPSIM_CHROMIUM"
COMMANDS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")

Say = Callable[[str], None]


class BrowserError(Exception):
    """No browser; the message is one sentence for the user."""


def find_browser(
    python: Path, log: Path, say: Say = print, environ: Mapping[str, str] = os.environ
) -> str:
    """The path of a browser that runs, or "" for the one that Playwright keeps for itself.

    Parameters
    ----------
    python : Path
        The interpreter of the environment that has Playwright.
    log : Path
        Gets the words of the installers at its end.

    Raises
    ------
    BrowserError
        None could be found or installed, or the one that the variable names does not run.
    """
    named = environ.get(VARIABLE)
    if named:
        if not runs(named):
            raise BrowserError(f"{VARIABLE}: {named!r} does not run; it must be a Chromium.")
        return named
    found = on_path() or _from_debian(log, say)
    if found:
        return found
    _from_playwright(python, log, say)
    return ""


def on_path() -> str:
    """The first browser among the commands that runs; "" for none."""
    paths = (shutil.which(command) for command in COMMANDS)
    return next((path for path in paths if path and runs(path)), "")


def runs(browser: str) -> bool:
    """Whether it tells its version, as a browser does and a stub does not."""
    if sys.platform == "win32":  # there it would open a window and tell nothing
        return Path(browser).is_file()
    try:
        answer = subprocess.run([browser, "--version"], capture_output=True, text=True, timeout=60)
    except (OSError, subprocess.TimeoutExpired):
        return False
    return answer.returncode == 0 and any(letter.isdigit() for letter in answer.stdout)


def _from_debian(log: Path, say: Say) -> str:
    """Debian's package, where there is apt-get and the right to use it."""
    root = _root_prefix()
    if root is None or not shutil.which("apt-get"):
        return ""
    say("Installing a browser for the tests with apt-get (package chromium) ...")
    apt = [*root, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "-qq"]
    apt += ["-o", "DPkg::Lock::Timeout=120"]
    install = [*apt, "install", "--yes", "--no-install-recommends", "chromium"]
    if not _works(install, log) and _works([*apt, "update"], log):
        _works(install, log)
    return on_path()


def _root_prefix() -> list[str] | None:
    """What to put before a command so that root runs it; None where that needs a password."""
    if sys.platform == "win32":
        return None
    if os.geteuid() == 0:
        return []
    sudo = ["sudo", "-n"]
    return sudo if shutil.which("sudo") and _works([*sudo, "true"], Path(os.devnull)) else None


def _from_playwright(python: Path, log: Path, say: Say) -> None:
    say("Getting a browser for the tests with Playwright ...")
    # Root can add the system's libraries too; where that is not known how, the browser may do.
    choices: list[list[str]] = [[]]
    if _root_prefix() == []:
        choices.insert(0, ["--with-deps"])
    install = [str(python), "-m", "playwright", "install", "chromium"]
    if not any(_works([*install, *options], log) for options in choices):
        raise BrowserError(
            "No browser for the tests was found or could be installed: install Chromium, or name"
            f" one in {VARIABLE}, or leave them out with -m 'not browser' (more in"
            f" {log.parent.name}/{log.name})."
        )


def _works(command: list[str], log: Path) -> bool:
    with log.open("ab") as words:
        done = subprocess.run(
            command, stdin=subprocess.DEVNULL, stdout=words, stderr=subprocess.STDOUT
        )
    return done.returncode == 0
