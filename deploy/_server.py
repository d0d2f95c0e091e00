"""A free port, and the server as a child process that answers there and ends when told to.

Standard library only.
"""

import contextlib
import http.client
import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

HOST = "127.0.0.1"
DEFAULT_PORT = 5016
_TRIED_PORTS = 100
_SECONDS_TO_ANSWER = 60.0
_SECONDS_TO_END = 5.0


class PortError(Exception):
    """No port to serve on; the message is one sentence for the user."""


class ServerError(Exception):
    """The server did not come up; the message is one sentence for the user."""


def is_free(port: int) -> bool:
    """Whether a server could listen on this port of this computer."""
    with socket.socket() as probe:
        probe.settimeout(0.5)
        if probe.connect_ex((HOST, port)) == 0:
            return False
    with socket.socket() as probe:
        # As the server itself asks: a port that only cools down after use counts as free.
        if sys.platform == "win32":
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError:
            return False
    return True


def choose_port(wanted: int | None) -> int:
    """The port that was asked for, or else the first free one from the default on.

    Raises
    ------
    PortError
        The port that was asked for is taken, or none is free.
    """
    if wanted is not None:
        if not is_free(wanted):
            raise PortError(f"--port: {wanted} is taken or not allowed; choose another port.")
        return wanted
    last = DEFAULT_PORT + _TRIED_PORTS - 1
    for port in range(DEFAULT_PORT, last + 1):
        if is_free(port):
            return port
    raise PortError(f"All ports from {DEFAULT_PORT} to {last} are taken; choose one with --port.")


class Server:
    """A server process of its own group, so that Ctrl-C reaches only who started it.

    Parameters
    ----------
    command : list of str
        What to run.
    port : int
        Where it will answer.
    folder : Path
        Where it runs.
    log : Path
        Where its words go.
    """

    def __init__(self, command: list[str], port: int, folder: Path, log: Path) -> None:
        self.port = port
        self._log = log
        group: dict[str, Any] = {"start_new_session": True}
        if sys.platform == "win32":
            group = {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP}
        with log.open("wb") as words:
            self._process = subprocess.Popen(
                command,
                cwd=folder,
                stdin=subprocess.DEVNULL,
                stdout=words,
                stderr=subprocess.STDOUT,
                **group,
            )

    @property
    def address(self) -> str:
        """What to type into a browser."""
        return f"http://{HOST}:{self.port}/"

    def wait_until_it_answers(self) -> None:
        """Return when the page is there.

        Raises
        ------
        ServerError
            The process ended, or a minute passed.
        """
        deadline = time.monotonic() + _SECONDS_TO_ANSWER
        while not self._answers():
            if self._process.poll() is not None:
                raise ServerError(f"The server did not start: {self.last_words()}")
            if time.monotonic() > deadline:
                raise ServerError(f"The server gave no answer in {_SECONDS_TO_ANSWER:.0f} seconds")
            time.sleep(0.05)

    def wait_until_it_ends(self) -> int:
        """Its exit code, once it has ended by itself."""
        # A plain wait() could not be interrupted by Ctrl-C on Windows.
        while (status := self._process.poll()) is None:
            time.sleep(0.2)
        return status

    def end(self) -> None:
        """End it and whatever it has started."""
        self._signal("SIGTERM")
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._process.wait(_SECONDS_TO_END)
        self._signal("SIGKILL")
        self._process.wait()

    def last_words(self) -> str:
        """The last line that it wrote, or that it wrote nothing."""
        lines = self._log.read_text(errors="replace").strip().splitlines()
        return lines[-1].strip() if lines else "it ended without a word"

    def _answers(self) -> bool:
        connection = http.client.HTTPConnection(HOST, self.port, timeout=10)
        try:
            connection.request("GET", "/")
            return connection.getresponse().status < 400
        except (OSError, http.client.HTTPException):
            return False
        finally:
            connection.close()

    def _signal(self, name: str) -> None:
        if sys.platform == "win32":
            self._process.kill()
            return
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self._process.pid, getattr(signal, name))
