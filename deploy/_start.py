"""What ``start.py`` does: prepare, serve on this computer, open the page, end on Ctrl-C."""

import argparse
import os
import signal
import sys
import webbrowser

from _env import Environment, SetupError, ensure
from _server import DEFAULT_PORT, HOST, PortError, Server, ServerError, choose_port

FAILED = 1
BAD_INPUT = 2
CUT_OFF = 130


def main(arguments: list[str]) -> int:
    """Run the command; the exit code is 0, 1 for a failure, 2 for bad input."""
    asked = _parse(arguments)
    _listen_for_the_end()
    env = Environment()
    try:
        port = choose_port(asked.port)
        ensure(env, say=_say)
    except PortError as error:
        return _fail(str(error), BAD_INPUT)
    except SetupError as error:
        return _fail(str(error), FAILED)
    except KeyboardInterrupt:
        return _fail("Stopped before the set-up was complete; the next start repairs it.", CUT_OFF)
    if asked.port is None and port != DEFAULT_PORT:
        _say(f"Port {DEFAULT_PORT} is taken; using {port}.")
    return _serve(env, port, with_browser=not asked.no_browser)


def _parse(arguments: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="start.py", description="Serve tipsim on this computer and open it in the browser."
    )
    parser.add_argument(
        "--port",
        type=_port,
        metavar="N",
        help=f"port to serve on (default: the first free one from {DEFAULT_PORT} on)",
    )
    parser.add_argument("--no-browser", action="store_true", help="do not open the browser")
    return parser.parse_args(arguments)


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= 65535):
        raise argparse.ArgumentTypeError(f"{text!r} is not a port; allowed are 1 to 65535")
    return int(text)


def _serve(env: Environment, port: int, *, with_browser: bool) -> int:
    command = [str(env.python), "-m", "tipsim.cli", "serve"]
    command += ["--port", str(port), "--address", HOST]
    log = env.folder / "server.log"
    server = Server(command, port, env.root, log)
    try:
        server.wait_until_it_answers()
        _say(f"tipsim is at {server.address}")
        _say(f"Ctrl-C ends it. What the server says is kept in {env.relative(log)}.")
        if with_browser and _can_show_a_page():
            webbrowser.open(server.address)
        server.wait_until_it_ends()
        raise ServerError(f"The server ended by itself: {server.last_words()}")
    except ServerError as error:
        return _fail(f"{error} (more in {env.relative(log)})", FAILED)
    except KeyboardInterrupt:
        return 0
    finally:
        _listen_no_more()
        server.end()


def _can_show_a_page() -> bool:
    """Not on a Linux without a display, where a text browser would take the terminal."""
    shown = ("DISPLAY", "WAYLAND_DISPLAY", "BROWSER")
    return sys.platform != "linux" or any(os.environ.get(name) for name in shown)


def _listen_for_the_end() -> None:
    """Let every polite request to end arrive like Ctrl-C, even where the shell had it ignored."""
    for name in ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), _interrupt)


def _listen_no_more() -> None:
    """A second Ctrl-C must not stop the stopping."""
    for name in ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK"):
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.SIG_IGN)


def _interrupt(*_: object) -> None:
    raise KeyboardInterrupt


def _say(sentence: str) -> None:
    print(sentence, flush=True)


def _fail(sentence: str, status: int) -> int:
    print(sentence, file=sys.stderr, flush=True)
    return status
