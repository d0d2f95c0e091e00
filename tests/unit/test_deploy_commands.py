"""The two commands as a person runs them, in a checkout that was set up before.

The checkout is a copy of ``deploy/`` whose ``.venv`` borrows the packages that run these tests, and
the real tipsim unless a test puts a stand-in beside it: so no test needs the network, or changes
the environment it runs in.
"""

import argparse
import http.client
import os
import re
import shutil
import signal
import site
import socket
import subprocess
import sys
import time
import venv
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import _start
import pytest
from _check import EXTRAS
from _env import Environment, wanted_stamp
from _server import is_free

ROOT = Path(__file__).parents[2]
PYTHON = getattr(sys, "_base_executable", sys.executable)
SECONDS = 120

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals are sent the POSIX way")


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    ignored = shutil.ignore_patterns("__pycache__")
    shutil.copytree(ROOT / "deploy", tmp_path / "deploy", ignore=ignored)
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    env = Environment(tmp_path.resolve())
    venv.create(env.folder, symlinks=True)
    (packages,) = env.folder.glob("lib/*/site-packages")
    borrowed = [*site.getsitepackages(), str(ROOT)]
    (packages / "borrowed.pth").write_text("\n".join(borrowed))
    for extra in ("", EXTRAS):
        env.stamp(extra).write_text(wanted_stamp(env, extra))
    return tmp_path


@pytest.fixture
def start(checkout: Path) -> Iterator[Callable[..., subprocess.Popen[str]]]:
    """Start the command in the checkout; it is ended with the test at the latest."""
    started: list[subprocess.Popen[str]] = []

    def run(*arguments: str, **variables: str) -> subprocess.Popen[str]:
        process = subprocess.Popen(
            [PYTHON, "deploy/start.py", "--no-browser", *arguments],
            cwd=checkout,
            env=os.environ | variables,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        started.append(process)
        return process

    yield run
    for process in started:
        process.terminate()
        process.communicate(timeout=SECONDS)


Start = Callable[..., subprocess.Popen[str]]


def stand_in(checkout: Path, code: str) -> None:
    """A tipsim of our own, found before the real one."""
    (checkout / "tipsim").mkdir()
    (checkout / "tipsim" / "__init__.py").touch()
    (checkout / "tipsim" / "cli.py").write_text(code)


SERVING = (
    "import http.server, sys\n"
    "port = int(sys.argv[sys.argv.index('--port') + 1])\n"
    "http.server.test(http.server.SimpleHTTPRequestHandler, port=port, bind='127.0.0.1')\n"
)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def get(port: int) -> tuple[int, str]:
    """Status and page, after at most one redirection."""
    where = "/"
    for _ in range(2):
        with closing(http.client.HTTPConnection("127.0.0.1", port, timeout=SECONDS)) as connection:
            connection.request("GET", where)
            answer = connection.getresponse()
            page = answer.read().decode()
        if answer.status not in {301, 302}:
            break
        where = answer.headers["Location"]
    return answer.status, page


def test_start_serves_the_page_until_ctrl_c(start: Start) -> None:
    port = free_port()
    process = start("--port", str(port))
    assert process.stdout
    assert process.stdout.readline() == f"tipsim is at http://127.0.0.1:{port}/\n"
    how_to_end = process.stdout.readline()
    assert how_to_end == "Ctrl-C ends it. What the server says is kept in .venv/server.log.\n"
    status, page = get(port)
    assert status == 200
    assert "<title>" in page
    ends(process, "SIGINT", port)


@pytest.mark.parametrize("ending", ["SIGTERM", "SIGHUP"])
def test_other_endings_end_the_server_too(start: Start, checkout: Path, ending: str) -> None:
    stand_in(checkout, SERVING)
    port = free_port()
    process = start("--port", str(port))
    assert process.stdout
    assert process.stdout.readline().startswith("tipsim is at")
    process.stdout.readline()
    assert get(port)[0] == 200
    ends(process, ending, port)


def ends(process: subprocess.Popen[str], ending: str, port: int) -> None:
    process.send_signal(getattr(signal, ending))
    output, errors = process.communicate(timeout=SECONDS)
    assert (process.returncode, output, errors) == (0, "", "")
    assert is_free(port)


def test_second_ctrl_c_does_not_stop_the_stopping(start: Start, checkout: Path) -> None:
    stopping, go_on = checkout / "stopping", checkout / "go-on"
    stand_in(
        checkout,
        "import pathlib, signal, sys, time\n"
        "def stop(*_):\n"
        f"    pathlib.Path({str(stopping)!r}).touch()\n"
        f"    while not pathlib.Path({str(go_on)!r}).exists(): time.sleep(0.01)\n"
        "    sys.exit()\n"
        "signal.signal(signal.SIGTERM, stop)\n" + SERVING,
    )
    port = free_port()
    process = start("--port", str(port))
    assert process.stdout
    process.stdout.readline()
    process.send_signal(signal.SIGINT)
    until(stopping.exists)
    process.send_signal(signal.SIGINT)
    go_on.touch()
    _, errors = process.communicate(timeout=SECONDS)
    assert (process.returncode, errors) == (0, "")
    assert is_free(port)


def until(happens: Callable[[], bool]) -> None:
    end = time.monotonic() + SECONDS
    while not happens():
        assert time.monotonic() < end
        time.sleep(0.01)


def test_port_that_was_asked_for_and_is_taken_is_refused(start: Start) -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        process = start("--port", str(port))
        output, errors = process.communicate(timeout=SECONDS)
    assert process.returncode == 2
    assert output == ""
    assert errors == f"--port: {port} is taken or not allowed; choose another port.\n"


def test_a_port_that_is_not_one_is_one_clear_line(start: Start) -> None:
    process = start("--port=65536")
    output, errors = process.communicate(timeout=SECONDS)
    assert process.returncode == 2
    assert output == ""
    wrong = "argument --port: '65536' is not a port; allowed are 1 to 65535"
    assert errors.splitlines()[-1] == f"start.py: error: {wrong}"


def test_only_whole_numbers_of_a_port_s_size_are_taken() -> None:
    assert [_start._port(text) for text in ("1", "5016", "65535")] == [1, 5016, 65535]
    for text in ("0", "65536", "-1", "http", "5_016", "²", ""):
        with pytest.raises(argparse.ArgumentTypeError, match="is not a port; allowed"):
            _start._port(text)


def test_default_port_that_is_taken_gives_way_to_the_next(start: Start, checkout: Path) -> None:
    stand_in(checkout, SERVING)
    server = checkout / "deploy" / "_server.py"
    with socket.create_server(("127.0.0.1", 0)) as other:
        taken = other.getsockname()[1]
        text = server.read_text()
        server.write_text(text.replace("DEFAULT_PORT = 5016", f"DEFAULT_PORT = {taken}"))
        process = start()
        assert process.stdout
        said = process.stdout.readline()
        port = int(said.split()[-1].rstrip("."))
        assert said == f"Port {taken} is taken; using {port}.\n"
        assert process.stdout.readline() == f"tipsim is at http://127.0.0.1:{port}/\n"
        assert taken < port
        assert get(port)[0] == 200


def test_server_that_cannot_start_is_one_sentence(start: Start, checkout: Path) -> None:
    stand_in(checkout, "raise SystemExit('assets: a file is missing')")
    process = start()
    output, errors = process.communicate(timeout=SECONDS)
    assert process.returncode == 1
    assert "tipsim is at" not in output
    assert errors == (
        "The server did not start: assets: a file is missing (more in .venv/server.log)\n"
    )


@pytest.mark.slow
def test_first_start_without_network_is_one_sentence(start: Start, checkout: Path) -> None:
    shutil.rmtree(checkout / ".venv")
    offline = {"PIP_INDEX_URL": "http://127.0.0.1:9/", "PIP_RETRIES": "1", "PIP_FIND_LINKS": ""}
    process = start(**offline)
    output, errors = process.communicate(timeout=SECONDS)
    assert process.returncode == 1
    assert output.startswith("Setting up tipsim in .venv")
    assert errors == (
        "The packages could not be installed: no package index answered, is there a network?"
        " pip's own words are in .venv/setup.log.\n"
    )
    assert (checkout / ".venv" / "setup.log").stat().st_size


@pytest.mark.slow
def test_set_up_that_is_cut_off_says_so_and_leaves_its_mark(start: Start, checkout: Path) -> None:
    env = Environment(checkout.resolve())
    shutil.rmtree(env.folder)
    with socket.create_server(("127.0.0.1", 0)) as silent:  # an index that never answers
        url = f"http://127.0.0.1:{silent.getsockname()[1]}/"
        process = start(PIP_INDEX_URL=url, PIP_FIND_LINKS="")
        silent.settimeout(SECONDS)
        connection, _ = silent.accept()  # pip is at work
        with connection:
            process.send_signal(signal.SIGINT)
            _, errors = process.communicate(timeout=SECONDS)
    assert process.returncode == 130
    assert errors == "Stopped before the set-up was complete; the next start repairs it.\n"
    assert env.mark.exists()


class TestCheck:
    @pytest.fixture(autouse=True)
    def tests_to_run(self, checkout: Path) -> None:
        (checkout / "tests").mkdir()
        shutil.copy(ROOT / "tests" / "conftest.py", checkout / "tests")
        (checkout / "tests" / "test_two.py").write_text(
            "import os\n"
            "def test_right(): pass\n"
            "def test_wrong(): assert False\n"
            "def test_browser(): assert os.environ['TIPSIM_CHROMIUM'].endswith('/mine')\n"
        )
        (checkout / "tipsim").mkdir()
        browser = checkout / "mine"
        browser.write_text("#!/bin/sh\necho Mine 1.0\n")
        browser.chmod(0o755)

    def check(self, checkout: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
        variables = {k: v for k, v in os.environ.items() if not k.startswith("PYTEST")}
        return subprocess.run(
            [PYTHON, "deploy/check.py", *arguments],
            cwd=checkout,
            env=variables | {"TIPSIM_CHROMIUM": str(checkout / "mine")},
            capture_output=True,
            text=True,
            timeout=SECONDS,
        )

    def test_exit_code_and_last_line_are_pytests(self, checkout: Path) -> None:
        done = self.check(checkout)
        assert done.returncode == 1
        assert re.fullmatch("=+ 1 failed, [0-9]+ passed in .* =+", done.stdout.splitlines()[-1])
        assert done.stderr == ""

    def test_arguments_go_to_pytest(self, checkout: Path) -> None:
        done = self.check(checkout, "-k", "right or browser")
        assert done.returncode == 0
        assert "2 passed" in done.stdout.splitlines()[-1]

    def test_browser_that_does_not_run_is_one_sentence(self, checkout: Path) -> None:
        (checkout / "mine").write_text("#!/bin/sh\nexit 1\n")
        done = self.check(checkout)
        assert (done.returncode, done.stdout) == (1, "")
        assert done.stderr.startswith("TIPSIM_CHROMIUM: ")
        assert done.stderr.count("\n") == 1
        assert self.check(checkout, "-m", "not browser", "-k", "right").returncode == 0


def test_ci_runs_the_command_of_the_readme_and_nothing_gentler() -> None:
    *_, command = (ROOT / ".ci" / "run").read_text().splitlines()
    assert command == "python3 deploy/check.py"
    readme = (ROOT / "README.md").read_text(encoding="utf-8").splitlines()
    assert command in readme
    assert "python3 deploy/start.py" in readme
