"""The route of the browser modules: scripts as they lie on disk, under their version only."""

import asyncio
import re
from concurrent.futures import ThreadPoolExecutor

import tornado.web
from tornado.httpclient import AsyncHTTPClient, HTTPResponse
from tornado.httpserver import HTTPServer
from tornado.netutil import bind_sockets

from tipsim.app.framework import chart, component
from tipsim.app.framework.component import ROOT, VERSION, script


def fetch(*paths: str) -> list[HTTPResponse]:
    """Ask a server of our own; in a thread, since tests of browsers run a loop in this one."""

    async def ask() -> list[HTTPResponse]:
        (socket,) = bind_sockets(0, "127.0.0.1")
        server = HTTPServer(tornado.web.Application([*component.ROUTES, *chart.ROUTES]))
        server.add_socket(socket)
        client = AsyncHTTPClient(force_instance=True)
        address = f"http://127.0.0.1:{socket.getsockname()[1]}"
        answers = [await client.fetch(address + path, raise_error=False) for path in paths]
        client.close()
        server.stop()
        return answers

    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, ask()).result()


def test_a_script_comes_as_it_lies_on_disk_and_may_be_kept() -> None:
    (answer,) = fetch(f"/modules/{VERSION}/framework/make.js")
    assert answer.code == 200
    assert answer.body == (ROOT / "framework" / "make.js").read_bytes()
    assert answer.headers["Content-Type"].startswith("text/javascript")
    assert "immutable" in answer.headers["Cache-Control"]


def test_nothing_else_is_given_away() -> None:
    paths = (
        f"/modules/{VERSION}/framework/component.py",
        f"/modules/{VERSION}/../cli.py",
        f"/modules/{VERSION}/framework/missing.js",
        f"/modules/{VERSION}/charts/no.such.json",
        "/modules/0000/framework/make.js",
    )
    assert [answer.code for answer in fetch(*paths)] == [404] * len(paths)


def test_a_component_imports_its_module_from_beside_the_page() -> None:
    text = script(ROOT / "framework" / "article.js")
    (address,) = re.findall(r'new URL\("([^"]+)", document.baseURI\)', text)
    # Relative to the page, so that a path in front of all addresses does not matter.
    assert address == f"./modules/{VERSION}/framework/article.js"
