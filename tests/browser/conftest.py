"""A server of our own, and pages of a real browser that note what goes wrong in them."""

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Request, expect, sync_playwright

ROOT = Path(__file__).parents[2]
DEBIAN = "/usr/bin/chromium"
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

OpenPage = Callable[..., Page]
# Only how long a broken page is waited for: a busy machine may take its time.
PATIENCE_MS = 120_000
expect.set_options(timeout=PATIENCE_MS)


class Server:
    """A server with records of its own, which can be killed and started again.

    It shows this copy's lessons, or those of another folder.
    """

    def __init__(self, folder: Path, lessons: Path | None = None) -> None:
        self.folder, self.lessons = folder, lessons
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.address = f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Start it, and wait until it answers."""
        log = self.folder / "log"
        with log.open("ab") as words:
            command = [sys.executable, "-m", "tipsim.cli", "serve", "--port", str(self.port)]
            env = {**os.environ, "TIPSIM_DATA": str(self.folder)}
            if self.lessons is not None:
                env["TIPSIM_LESSONS"] = str(self.lessons)
            self.process = subprocess.Popen(
                command, cwd=ROOT, env=env, stdout=words, stderr=subprocess.STDOUT
            )
        _wait(self.process, f"{self.address}/assets/styles/tokens.css", log)

    def stop(self) -> None:
        """End it in good order."""
        self.process.terminate()
        with suppress(subprocess.TimeoutExpired):
            self.process.wait(10)
        self.kill()

    def kill(self) -> None:
        """End it at once."""
        self.process.kill()
        self.process.wait()


def frames(page: Page, count: int = 20) -> None:
    """Wait while the browser paints so many pictures: what moves has moved by then."""
    page.evaluate(
        """n => new Promise(done => {
          const next = () => (n-- > 0 ? requestAnimationFrame(next) : done());
          next();
        })""",
        count,
    )


def unfold(page: Page) -> None:
    """Open all that a page folds: numbers, sources, settings that few want."""
    page.wait_for_function(
        """() => {
          const roots = [document];
          for (const root of roots)
            for (const e of root.querySelectorAll("*")) if (e.shadowRoot) roots.push(e.shadowRoot);
          const folds = "details:is(.fold, .group, .pace, .pieces)";
          for (const root of roots) for (const d of root.querySelectorAll(folds)) d.open = true;
          for (const part of document.querySelectorAll("[data-in-tab]")) part.hidden = false;
          return roots.some(root => root.querySelector("form"));
        }"""
    )


def at_rest(page: Page) -> None:
    """Wait until nothing fades or slides any more; what runs for ever does not count."""
    frames(page, 2)
    page.wait_for_function(
        """() => {
          const roots = [document];
          for (const root of roots)
            for (const e of root.querySelectorAll("*")) if (e.shadowRoot) roots.push(e.shadowRoot);
          const lasting = a => a.effect.getComputedTiming().iterations === Infinity;
          return roots
            .flatMap(root => root.getAnimations())
            .every(a => a.playState !== "running" || lasting(a));
        }"""
    )


def address_at_rest(page: Page) -> None:
    """Wait until the address of the page has stayed the same for some pictures."""
    page.evaluate(
        """() => new Promise(done => {
          let seen = "", same = 0;
          const next = () => {
            same = location.href === seen ? same + 1 : 0;
            seen = location.href;
            if (same > 40) done();
            else requestAnimationFrame(next);
          };
          next();
        })"""
    )


@pytest.fixture(scope="session")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Return the address of a server that runs while the tests do."""
    own = Server(tmp_path_factory.mktemp("server"))
    try:
        own.start()
        yield own.address
    finally:
        own.stop()


def _wait(process: "subprocess.Popen[bytes]", address: str, log: Path) -> None:
    for _ in range(240):
        with suppress(urllib.error.URLError, ConnectionError), urllib.request.urlopen(address):
            return
        if process.poll() is not None:
            break
        time.sleep(0.25)
    pytest.fail(f"the server did not come up:\n{log.read_text()}", pytrace=False)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Return a Chromium: the one that TIPSIM_CHROMIUM names, Debian's, or Playwright's own."""
    path = os.environ.get("TIPSIM_CHROMIUM") or (DEBIAN if Path(DEBIAN).is_file() else None)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        yield browser
        browser.close()


class Contexts:
    """Contexts of a browser by their options, kept from test to test.

    What the browser has fetched stays, so that a page opens with a sixth less work; what pages
    have stored is cleared. A test that asks twice gets two.
    """

    def __init__(self, browser: Browser) -> None:
        self.browser = browser
        self.free: dict[str, list[BrowserContext]] = {}
        self.used: list[tuple[str, BrowserContext]] = []
        self.closed: set[BrowserContext] = set()

    def take(self, **options: Any) -> BrowserContext:
        """Return a context that nobody uses."""
        key = repr(sorted(options.items()))
        free = self.free.setdefault(key, [])
        context = free.pop() if free else self.make(**options)
        self.used.append((key, context))
        return context

    def make(self, **options: Any) -> BrowserContext:
        context = self.browser.new_context(**options)
        context.on("close", lambda closed: self.closed.add(closed))
        context.set_default_timeout(PATIENCE_MS)
        return context

    def give_back(self, origin: str) -> None:
        """Close all pages, and forget what those of an address have stored."""
        for key, context in self.used:
            if context in self.closed:
                continue
            first, *more = context.pages or [context.new_page()]
            for page in more:
                page.close()
            first.goto("about:blank")
            kinds = {"origin": origin, "storageTypes": "local_storage,indexeddb,service_workers"}
            context.new_cdp_session(first).send("Storage.clearDataForOrigin", kinds)
            context.clear_cookies()
            first.close()
            self.free[key].append(context)
        self.used.clear()


@pytest.fixture(scope="session")
def contexts(browser: Browser) -> Contexts:
    """Return the contexts of all pages that `browser_page` opens."""
    return Contexts(browser)


def _left(request: Request) -> bool:
    """Return whether a request was given up because its page or frame went away.

    No script gives up a request of its own; what the server refuses or cuts has another name.
    """
    return request.failure == "net::ERR_ABORTED"


@pytest.fixture
def browser_page(contexts: Contexts, server: str) -> Iterator[OpenPage]:
    """Open pages: ``browser_page(path, **context_options)``.

    When the test is over, what a page complained of or fetched from elsewhere fails it.
    """
    troubles: list[str] = []

    def note(page: Page) -> None:
        page.on("pageerror", lambda error: troubles.append(f"error: {error}"))
        page.on(
            "requestfailed",
            lambda r: None if _left(r) else troubles.append(f"failed: {r.url}"),
        )
        page.on(
            "console",
            lambda m: troubles.append(f"{m.type}: {m.text}") if m.type == "error" else None,
        )
        page.on(
            "request",
            lambda r: (
                None
                if r.url.startswith((server, server.replace("http", "ws"), "data:", "blob:"))
                else troubles.append(f"fetched from elsewhere: {r.url}")
            ),
        )
        page.on(
            "response",
            lambda r: troubles.append(f"{r.status}: {r.url}") if r.status >= 400 else None,
        )

    def open_page(path: str = "/compare", **options: Any) -> Page:
        page = contexts.take(**options).new_page()
        note(page)
        page.goto(server + path)
        return page

    yield open_page
    contexts.give_back(server)
    assert troubles == []
