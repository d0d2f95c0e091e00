"""The server: all pages, and the files they need."""

from __future__ import annotations

import asyncio
import errno
import signal
import sys
from collections.abc import Callable
from typing import Any

import panel as pn
from bokeh.settings import settings

from tipsim.app.framework import chart, component, compressed
from tipsim.app.framework.acts import Acts
from tipsim.app.framework.page import Page
from tipsim.app.framework.pages import PAGES
from tipsim.app.framework.template import page_template
from tipsim.paths import assets_folder
from tipsim.setup.link import renewed


def link_items() -> dict[str, str]:
    """Return the items of the query that the page was opened with; the last of each name counts."""
    arguments = pn.state.session_args or {}
    items = {
        name: values[-1].decode("utf-8", "replace")
        for name, values in arguments.items()
        if values and not name.startswith("bokeh-")
    }
    return renewed(items)


def _builder(build: Any) -> Callable[[], pn.template.Template]:
    """Return the function that builds a page for one learner."""
    if isinstance(build, type) and issubclass(build, Page | Acts):
        return lambda: page_template(build(link_items()))
    return build


def make_server(address: str, port: int, **options: Any) -> pn.io.server.Server:
    """Make the server without starting it.

    Raises
    ------
    OSError
        When the port is taken.
    """
    # The browser's console is for what goes wrong.
    settings.log_level = "error"
    server = pn.serve(
        {entry.path: _builder(entry.load()) for entry in PAGES if entry.build},
        address=address,
        port=port,
        show=False,
        start=False,
        title="tipsim",
        static_dirs={"assets": str(assets_folder())},
        extra_patterns=[*component.ROUTES, *chart.ROUTES, *(r for e in PAGES for r in e.routes())],
        location=False,
        websocket_origin=[f"{address}:{port}", f"localhost:{port}", f"127.0.0.1:{port}"],
        verbose=False,
        compress_response=True,
        websocket_compression_level=1,
        **options,
    )
    # Rules that come later stand before the application's own.
    server._tornado.add_handlers(".*", compressed.ROUTES)
    return server


def serve(address: str, port: int) -> int:
    """Serve until stopped; gives the exit code: 0, or 2 when the port cannot be had."""
    if not 1 <= port <= 65535:
        print(f"tipsim: port is {port}; allowed: 1 to 65535.", file=sys.stderr)
        return 2
    try:
        server = make_server(address, port)
    except OSError as error:
        taken = error.errno in (errno.EADDRINUSE, errno.EACCES)
        why = "in use or not allowed" if taken else str(error)
        print(f"tipsim: port {port} on {address} is {why}; choose another.", file=sys.stderr)
        return 2
    server.start()
    print(f"tipsim is at http://{address}:{port}/ (stop with Ctrl-C)", flush=True)
    loop = server.io_loop
    for name in ("SIGINT", "SIGTERM"):
        signal.signal(getattr(signal, name), lambda *_: loop.add_callback_from_signal(loop.stop))
    try:
        loop.start()
    except (KeyboardInterrupt, asyncio.CancelledError):
        pass
    finally:
        server.stop(wait=False)
    return 0
