"""What a first visit costs: compressed, kept by the browser, nothing that no page uses."""

import gzip
import http.client
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

import bokeh.server
import pytest

SCRIPTS = Path(bokeh.server.__file__).parent / "static" / "js"
LIMIT = 1_000_000
"""Bytes of a first visit, as the browser counts them."""


class Answer(NamedTuple):
    """What came, without any decoding."""

    status: int
    headers: http.client.HTTPMessage
    body: bytes


def ask(server: str, path: str, **headers: str) -> Answer:
    """Return the answer of a server to a request with some headers, such as ``If_None_Match``."""
    with closing(http.client.HTTPConnection(server.removeprefix("http://"), timeout=60)) as line:
        line.request("GET", path, headers={n.replace("_", "-"): v for n, v in headers.items()})
        answer = line.getresponse()
        return Answer(answer.status, answer.headers, answer.read())


def test_a_script_comes_compressed_and_whole(server):
    answer = ask(server, "/static/js/bokeh.min.js?v=1", Accept_Encoding="gzip")
    packed = answer.body
    contents = (SCRIPTS / "bokeh.min.js").read_bytes()
    assert answer.headers["Content-Encoding"] == "gzip"
    assert "immutable" in answer.headers["Cache-Control"]
    assert answer.headers["Content-Length"] == str(len(packed))
    assert gzip.decompress(packed) == contents
    # A third of the whole: any gzip of this text comes near it.
    assert len(packed) < len(contents) / 3


def test_a_browser_without_gzip_gets_the_plain_script(server):
    answer = ask(server, "/static/js/bokeh.min.js")
    assert "Content-Encoding" not in answer.headers
    assert answer.body == (SCRIPTS / "bokeh.min.js").read_bytes()


def test_a_script_that_has_not_changed_is_not_sent_again(server):
    path = "/static/js/bokeh-widgets.min.js"
    tag = ask(server, path, Accept_Encoding="gzip").headers["Etag"]
    again = ask(server, path, Accept_Encoding="gzip", If_None_Match=tag)
    assert (again.status, again.body) == (304, b"")


@pytest.mark.parametrize(
    "path",
    [
        "/static/js/../views/ws.py",
        "/static/js/..%2F..%2Fviews%2Fws.py",
        "/static/extensions/panel/../config.py",
        "/static/extensions/panel/..%2Fconfig.py",
        "/static/extensions/panel//etc/passwd",
        "/static/js/missing.js",
    ],
)
def test_nothing_beside_the_scripts_is_handed_out(server, path):
    assert ask(server, path, Accept_Encoding="gzip").status in (403, 404)


@pytest.mark.parametrize("path", ["", "heat", "lessons"])
def test_a_first_visit_stays_small(browser_page, server, path):
    page = browser_page("/assets/icons/favicon.svg")
    wire = page.context.new_cdp_session(page)
    wire.send("Network.enable")
    wire.send("Network.clearBrowserCache")
    bytes_of: dict[str, int] = {}
    names: list[str] = []
    wire.on(
        "Network.loadingFinished",
        lambda e: bytes_of.__setitem__(e["requestId"], e["encodedDataLength"]),
    )
    wire.on("Network.responseReceived", lambda e: names.append(e["response"]["url"]))
    page.goto(f"{server}/{path}", wait_until="networkidle")
    total = sum(bytes_of.values())
    print(f"/{path}: {total:,} bytes in {len(bytes_of)} files")
    assert 10_000 < total < LIMIT
    assert not [name for name in names if "bokeh-gl" in name or "mathjax" in name]
