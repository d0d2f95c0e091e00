"""The parts of the two commands: ports, the server as a child, the browser for the tests."""

import os
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import _browser
import _server
import pytest
from _browser import BrowserError, find_browser
from _python import too_old
from _server import PortError, Server, ServerError, choose_port, is_free

posix_only = pytest.mark.skipif(sys.platform == "win32", reason="process groups are POSIX's")

PAGE = """\
import http.server, sys
http.server.test(http.server.SimpleHTTPRequestHandler, port=int(sys.argv[1]), bind="127.0.0.1")
"""


def any_free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture
def taken() -> Iterator[int]:
    """A port where something listens."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        yield server.getsockname()[1]


def test_old_python_is_told_what_is_needed() -> None:
    assert too_old((3, 10, 9)) == (
        "tipsim needs Python 3.11 or newer, and this is Python 3.10:"
        " install a newer one and start again."
    )
    assert too_old((3, 11, 0, "final", 0)) == ""
    assert too_old((3, 14)) == ""


def test_free_and_taken_ports_are_told_apart(taken: int) -> None:
    assert not is_free(taken)
    assert is_free(any_free_port())


def test_port_that_was_asked_for_and_is_taken_is_refused(taken: int) -> None:
    with pytest.raises(PortError, match=f"^--port: {taken} is taken"):
        choose_port(taken)


def test_default_port_that_is_taken_gives_way_to_the_next_free_one(
    taken: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(_server, "DEFAULT_PORT", taken)
    assert taken < choose_port(None) < taken + 100


def test_no_free_port_at_all_is_one_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_server, "is_free", lambda _: False)
    with pytest.raises(PortError, match="All ports from 5016 to 5115 are taken"):
        choose_port(None)


Serve = Callable[[str], Server]


@pytest.fixture
def serve(tmp_path: Path) -> Iterator[Serve]:
    """Start servers from their code; none outlives its test."""
    servers: list[Server] = []

    def start(code: str) -> Server:
        port = any_free_port()
        command = [sys.executable, "-c", code, str(port)]
        servers.append(Server(command, port, tmp_path, tmp_path / "server.log"))
        return servers[-1]

    yield start
    for server in servers:
        server.end()


def test_server_answers_and_leaves_its_port_when_ended(serve: Serve) -> None:
    server = serve(PAGE)
    server.wait_until_it_answers()
    assert server.address == f"http://127.0.0.1:{server.port}/"
    assert not is_free(server.port)
    server.end()
    assert is_free(server.port)


def test_server_that_dies_is_told_with_its_last_words(serve: Serve) -> None:
    server = serve("raise SystemExit('assets: a file is missing')")
    with pytest.raises(ServerError, match=r"did not start: assets: a file is missing$"):
        server.wait_until_it_answers()


def test_server_that_dies_in_silence_is_told_too(serve: Serve) -> None:
    server = serve("raise SystemExit(3)")
    with pytest.raises(ServerError, match="did not start: it ended without a word"):
        server.wait_until_it_answers()
    assert server.wait_until_it_ends() == 3


def test_server_that_never_answers_is_not_waited_for_forever(
    serve: Serve, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(_server, "_SECONDS_TO_ANSWER", 0.2)
    server = serve("import time; time.sleep(60)")
    with pytest.raises(ServerError, match="gave no answer"):
        server.wait_until_it_answers()


@posix_only
def test_deaf_server_is_ended_with_its_children(
    serve: Serve, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A server's workers outlive it, unless the whole group is ended."""
    monkeypatch.setattr(_server, "_SECONDS_TO_END", 0.2)
    code = (
        "import signal, subprocess, sys\n"
        "signal.signal(signal.SIGTERM, signal.SIG_IGN)\n"
        f"subprocess.Popen([sys.executable, '-c', {PAGE!r}, sys.argv[1]]).wait()\n"
    )
    server = serve(code)
    server.wait_until_it_answers()
    server.end()
    deadline = time.monotonic() + 30
    while not is_free(server.port):
        assert time.monotonic() < deadline, "the worker still serves"
        time.sleep(0.05)


def command(folder: Path, name: str, script: str) -> str:
    path = folder / name
    path.write_text(f"#!/bin/sh\n{script}\n")
    path.chmod(0o755)
    return str(path)


def nothing(*_: object) -> None:
    """Where a test does not read what is said."""


def no_installer(*_: object) -> str:
    raise AssertionError("nothing needed to be installed")


@posix_only
class TestFindingABrowser:
    @pytest.fixture(autouse=True)
    def bare_path(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv("PATH", str(tmp_path))
        monkeypatch.delenv(_browser.VARIABLE, raising=False)
        self.log = tmp_path / "log"

    def find(self) -> str:
        return find_browser(Path(sys.executable), self.log, nothing, os.environ)

    def test_named_one_comes_first(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        command(tmp_path, "chromium", "echo 1")
        named = command(tmp_path, "mine", "echo Mine 1.0")
        monkeypatch.setenv(_browser.VARIABLE, named)
        assert self.find() == named

    def test_named_one_must_run(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv(_browser.VARIABLE, "absent-browser")
        with pytest.raises(BrowserError, match="TIPSIM_CHROMIUM: 'absent-browser' does not run"):
            self.find()

    def test_stub_is_passed_over(self, tmp_path: Path) -> None:
        command(tmp_path, "chromium", "echo please install another package 2 >&2; exit 1")
        command(tmp_path, "chromium-browser", "echo 'install it first'")
        real = command(tmp_path, "google-chrome", "echo Browser 120.0")
        assert self.find() == real

    def test_debian_package_is_installed_where_root_may(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        """The first install fails, as on a machine whose package lists are empty."""
        monkeypatch.setattr(os, "geteuid", lambda: 0)
        command(tmp_path, "env", 'shift; exec "$@"')
        monkeypatch.setattr(_browser, "_from_playwright", no_installer)
        browser = tmp_path / "chromium"
        command(
            tmp_path,
            "apt-get",
            f'echo "$@" >> {tmp_path}/asked\n'
            f'case "$*" in\n'
            f"*update*) : > {tmp_path}/lists;;\n"
            f"*install*chromium) [ -f {tmp_path}/lists ] || exit 100\n"
            f"  printf '#!/bin/sh\\necho 1.0\\n' > {browser}; /bin/chmod +x {browser};;\n"
            "esac",
        )
        assert self.find() == str(browser)
        assert [line.split()[3] for line in (tmp_path / "asked").read_text().splitlines()] == [
            "install",
            "update",
            "install",
        ]

    def test_playwright_is_the_last_resort(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(os, "geteuid", lambda: 1000)
        python = command(tmp_path, "python", '[ "$*" = "-m playwright install chromium" ]')
        assert find_browser(Path(python), self.log, nothing, {}) == ""

    def test_no_way_at_all_is_one_sentence(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        monkeypatch.setattr(os, "geteuid", lambda: 1000)
        python = command(tmp_path, "python", "echo refused; exit 1")
        with pytest.raises(BrowserError, match="No browser for the tests was found"):
            find_browser(Path(python), self.log, nothing, {})
        assert "refused" in self.log.read_text()


@posix_only
def test_both_commands_of_an_old_python_end_with_the_sentence(tmp_path: Path) -> None:
    """The sentence comes before anything that an old Python could not read."""
    for name in ("start.py", "check.py"):
        script = Path(__file__).parents[2] / "deploy" / name
        code = (
            "import runpy, sys; sys.version_info = (3, 9, 2);"
            f"sys.path.insert(0, {str(script.parent)!r}); runpy.run_path({str(script)!r})"
        )
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
        assert (done.returncode, done.stdout) == (2, "")
        assert done.stderr == too_old((3, 9)) + "\n"
