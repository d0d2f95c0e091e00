"""What ``check.py`` does: prepare the test tools and peers, find a browser, hand over to pytest.

All tests run in one pytest, so that there is one closing line. Two workers share them by file
(``--dist loadfile``: a file's tests share its server and browser), in the order of
``tests/conftest.py``: first results come soon. Nothing is printed after pytest, whose exit code is
the command's.
"""

import os
import subprocess
import sys
from typing import NoReturn

from _browser import VARIABLE, BrowserError, find_browser
from _env import Environment, SetupError, ensure
from _javascript import ensure_javascript

FAILED = 1
CUT_OFF = 130
WORKERS = 2
EXTRAS = "test,peers"


def main(arguments: list[str]) -> int:
    """Run the tests: arguments go to pytest. Returns only where it could not come to that."""
    env = Environment()
    environ = dict(os.environ)
    try:
        ensure(env, EXTRAS, _say)
        ensure_javascript(env, _say)
        if not _leaves_out_browsers(arguments):
            environ[VARIABLE] = find_browser(env.python, env.log, _say)
    except (SetupError, BrowserError) as error:
        print(error, file=sys.stderr)
        return FAILED
    except KeyboardInterrupt:
        print("Stopped before the set-up was complete.", file=sys.stderr)
        return CUT_OFF
    if not environ.get(VARIABLE):
        environ.pop(VARIABLE, None)
    command = [str(env.python), "-m", "pytest", *_workers(), *arguments]
    _hand_over(command, str(env.root), environ)


def _leaves_out_browsers(arguments: list[str]) -> bool:
    return any("not browser" in argument for argument in arguments)


def _workers() -> list[str]:
    """Return the options that share the tests between two workers where two processors are."""
    if (os.cpu_count() or 1) < WORKERS:
        return []
    return ["-n", str(WORKERS), "--dist", "loadfile", "--no-loadscope-reorder"]


def _hand_over(command: list[str], folder: str, environ: dict[str, str]) -> NoReturn:
    if sys.platform == "win32":
        sys.exit(subprocess.call(command, cwd=folder, env=environ))
    # pytest takes the place of this process: signals, exit code and last word are its own.
    os.chdir(folder)
    os.execve(command[0], command, environ)


def _say(sentence: str) -> None:
    print(sentence, flush=True)
