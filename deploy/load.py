"""Measure how long changes take to be answered while eight learners move sliders on all pages.

    .venv/bin/python deploy/load.py [--sessions N] [--seconds S] [--pages flow,heat] [--json]

Starts a server of its own on 127.0.0.1, talks to nothing else and ends by itself: after the seconds
asked for (30 at first, at most 120) it stops, whatever is still on its way. It speaks the pages'
protocol without a browser, so that what is measured is the server: from the message of a change to
the answer that carries its number. Prints one line per page and one for all: times in milliseconds,
and for all the server's processor time for each change and its memory, with its worker's (Linux).
"""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import random
import re
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tornado.httpclient import AsyncHTTPClient, HTTPRequest
from tornado.websocket import WebSocketClientConnection, websocket_connect

from tipsim.app.framework.pages import PAGES as TABLE

HOST = "127.0.0.1"
ROOT = Path(__file__).parents[1]
PAGES = tuple(
    entry.path for entry in TABLE if entry.build and entry.path not in ("lessons", "lesson")
)
"""Where the learners are: all pages with sliders."""
MOST_SESSIONS, MOST_SECONDS = 32, 120
REACH = 0.1
"""How far one change goes, as a share of the slider."""
PAUSE_S = 0.1
"""Between an answer and the next change: somebody drags a slider."""
START_S = 60
SETTLED_S = 3
"""From the last page's opening to the first change."""
_TOKEN = re.compile(r'"token":\s*"([^"]+)"')
_MAX_MESSAGE = 64 * 1024 * 1024


@dataclass
class Learner:
    """One learner on one page, and what was measured."""

    page: str
    port: int
    chance: random.Random
    times: list[float] = field(default_factory=list)
    refused: int = 0
    foreign: int = 0
    unanswered: int = 0
    socket: WebSocketClientConnection | None = None
    count: int = 0
    last: dict[str, float] = field(default_factory=dict)

    async def open(self) -> None:
        """Fetch the page, open its socket and ask for its models."""
        address = f"http://{HOST}:{self.port}/{self.page}"
        answer = await AsyncHTTPClient().fetch(HTTPRequest(address, request_timeout=START_S))
        found = _TOKEN.search(answer.body.decode())
        if found is None:
            raise SystemExit(f"load: /{self.page} is no page with a session")
        root = f"{self.page}/" if self.page else ""
        request = HTTPRequest(
            f"ws://{HOST}:{self.port}/{root}ws",
            headers={"Sec-WebSocket-Protocol": "bokeh, " + found[1]},
        )
        self.socket = await websocket_connect(request, max_message_size=_MAX_MESSAGE)
        # As browsers do: a message goes in three pieces, and none waits for the one before.
        if self.socket.protocol is not None:
            self.socket.protocol.set_nodelay(True)
        await self.receive()
        await self.send("PULL-DOC-REQ", {})
        while True:
            kind, content = await self.receive()
            if kind == "PULL-DOC-REPLY":
                break
        self.find(content["doc"])
        await self.event("document_ready", {})

    def find(self, document: Any) -> None:
        """Find the model that takes changes, and the numbers that can be changed."""
        models = [m for m in walk(document) if "attributes" in m]
        for model in models:
            data = model["attributes"].get("data")
            values = data.get("attributes", {}) if isinstance(data, dict) else {}
            if "schema" in values and plain(values["schema"]):
                self.model = model["id"]
                controls = [c for g in plain(values["schema"]) for c in g["controls"]]
                self.controls = [c for c in controls if c["kind"] == "number"]
                return
        raise SystemExit(f"load: /{self.page} has no form")

    async def run(self, until: float) -> None:
        """Move one slider after the other, several steps each, until the time is over."""
        while time.perf_counter() < until:
            control = self.chance.choice(self.controls)
            for step in range(8):
                if time.perf_counter() >= until:
                    return
                taken = await self.change(control, step)
                await asyncio.sleep(PAUSE_S)
                if not taken:  # As a radius that does not fit: a person turns to something else.
                    self.controls.remove(control)
                    break

    async def change(self, control: dict[str, Any], step: int) -> bool:
        """Send one change, wait for its answer, and return whether the value was taken.

        The value is near the last one, as under a slider that is dragged: most such values fit.
        """
        self.count += 1
        low, high = control["min"], control["max"]
        here = self.last.get(control["id"], control.get("value"))
        start = here if isinstance(here, float | int) else (low + high) / 2
        near = start + self.chance.uniform(-REACH, REACH) * (high - low)
        value = float(f"{min(high, max(low, near)):.3g}")
        what = {"side": control["side"], "field": control["field"], "value": value}
        message = {"seq": self.count, "changes": [what], "gesture": self.count - step}
        begun = time.perf_counter()
        await self.event("data_event", {"model": {"id": self.model}, "data": message})
        while True:
            _, content = await self.receive()
            answer = answered(content, self.count)
            if answer is not None:
                if answer.get("errors"):
                    self.refused += 1
                    return False
                self.times.append(time.perf_counter() - begun)
                now = answer.get("values", {}).get(control["id"], value)
                self.foreign += abs(now - value) > 1e-6 * abs(value)
                self.last[control["id"]] = value
                return True

    def stop(self) -> None:
        """Leave the page; a change without its answer is counted."""
        self.unanswered = self.count - len(self.times) - self.refused
        if self.socket is not None:
            self.socket.close()

    async def event(self, name: str, values: dict[str, Any]) -> None:
        """Send an event, as the page's scripts do."""
        data = {"type": "event", "name": name, "values": as_map(values)}
        event = {"kind": "MessageSent", "msg_type": "bokeh_event", "msg_data": data}
        await self.send("PATCH-DOC", {"events": [event]})

    async def send(self, kind: str, content: Any) -> None:
        """Send one message of the protocol."""
        assert self.socket is not None
        for text in ({"msgid": str(self.chance.random()), "msgtype": kind}, {}, content):
            await self.socket.write_message(json.dumps(text))

    async def receive(self) -> tuple[str, Any]:
        """Return kind and content of the next message; what it carries as bytes is left out."""
        header = json.loads(await self.fragment())
        await self.fragment()
        content = json.loads(await self.fragment())
        for _ in range(2 * header.get("num_buffers", 0)):
            await self.fragment()
        return header["msgtype"], content

    async def fragment(self) -> Any:
        """Return the next piece of a message."""
        assert self.socket is not None
        text = await self.socket.read_message()
        if text is None:
            raise SystemExit(f"load: the server closed /{self.page}")
        return text


def as_map(value: Any) -> Any:
    """Return plain data as Bokeh sends it."""
    if isinstance(value, dict) and set(value) != {"id"}:
        return {"type": "map", "entries": [[k, as_map(v)] for k, v in value.items()]}
    return [as_map(v) for v in value] if isinstance(value, list) else value


def plain(value: Any) -> Any:
    """Return what Bokeh sends as plain data."""
    if isinstance(value, dict) and value.get("type") == "map":
        return {k: plain(v) for k, v in value.get("entries", [])}
    if isinstance(value, list):
        return [plain(v) for v in value]
    return value


def walk(node: Any) -> Any:
    """Return every table inside a document."""
    if isinstance(node, dict):
        yield node
    for part in node.values() if isinstance(node, dict) else node if isinstance(node, list) else ():
        yield from walk(part)


def answered(content: Any, count: int) -> dict[str, Any] | None:
    """Return the answer to the message of a number, if a patch holds it."""
    for event in content.get("events", []) if isinstance(content, dict) else []:
        if event.get("kind") == "ModelChanged" and event.get("attr") == "reply":
            reply: dict[str, Any] = plain(event["new"])
            if reply.get("seq") == count:
                return reply
    return None


def percentile(values: list[float], share: float) -> float:
    """Return the value below which a share of the values lies."""
    return sorted(values)[min(len(values) - 1, int(share * len(values)))]


async def measure(
    port: int, sessions: int, seconds: float, pages: list[str], opened: Callable[[], None]
) -> list[Learner]:
    """Let learners in and measure for some seconds; `opened` is called in between."""
    learners = [Learner(pages[k % len(pages)], port, random.Random(k)) for k in range(sessions)]
    for learner in learners:
        await asyncio.wait_for(learner.open(), START_S)
    await asyncio.sleep(SETTLED_S)
    opened()
    until = time.perf_counter() + seconds
    runs = [asyncio.create_task(learner.run(until)) for learner in learners]
    done, pending = await asyncio.wait(runs, timeout=seconds + 10)
    for task in pending:
        task.cancel()
    for task in done:
        task.result()
    for learner in learners:
        learner.stop()
    return learners


def lines(learners: list[Learner]) -> list[dict[str, Any]]:
    """Return what was measured, page by page and for all."""
    out = []
    names = {"all": learners}
    for page in dict.fromkeys(learner.page for learner in learners):
        names[f"/{page}"] = [learner for learner in learners if learner.page == page]
    for name, those in names.items():
        times = [1e3 * t for learner in those for t in learner.times]
        row: dict[str, Any] = {"page": name, "sessions": len(those), "changes": len(times)}
        if times:
            row |= {k: round(percentile(times, s), 1) for k, s in (("p50", 0.5), ("p95", 0.95))}
            row |= {
                "max": round(max(times), 1),
                "refused": sum(learner.refused for learner in those),
                "foreign": sum(learner.foreign for learner in those),
                "unanswered": sum(learner.unanswered for learner in those),
            }
        out.append(row)
    return out


def costs(before: Any, after: Any, changes: int) -> dict[str, float]:
    """Return processor time for each change [ms], by the server and its worker, and memory."""
    if not (before and after and changes):
        return {}
    server, worker = (1e3 * (after[k] - before[k]) / changes for k in (0, 1))
    return {
        "server_ms": round(server, 1),
        "worker_ms": round(worker, 1),
        "memory_mb": round(after[2]),
    }


def spent(pid: int) -> tuple[float, float, float] | None:
    """Return processor time [s] of a process and of its children, and memory of all [MB]."""
    ticks, megabyte = os.sysconf("SC_CLK_TCK"), 2**20 / os.sysconf("SC_PAGE_SIZE")
    times, pages = [0.0, 0.0], 0
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            number, _, rest = stat.read_text().partition(" (")
            values = rest.rpartition(") ")[2].split()
            if str(pid) in (number, values[1]):
                times[number != str(pid)] += (int(values[11]) + int(values[12])) / ticks
                pages += int(values[21])
    return (times[0], times[1], pages / megabyte) if pages else None


def main() -> int:
    """Start a server, measure, print, stop the server."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--sessions", type=int, default=8, help=f"1 to {MOST_SESSIONS}")
    parser.add_argument("--seconds", type=float, default=30, help=f"1 to {MOST_SECONDS}")
    parser.add_argument("--pages", default=",".join(PAGES), help="paths, one session each in turn")
    parser.add_argument("--json", action="store_true", help="print one object")
    given = parser.parse_args()
    if not (1 <= given.sessions <= MOST_SESSIONS and 1 <= given.seconds <= MOST_SECONDS):
        parser.error(f"allowed: 1 to {MOST_SESSIONS} sessions, 1 to {MOST_SECONDS} seconds")
    pages = given.pages.split(",")
    if not set(pages) <= set(PAGES):
        parser.error(f"pages: allowed are {', '.join(sorted(set(PAGES)))} (the first is the bench)")
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        port = probe.getsockname()[1]
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "tipsim.cli", "serve", "--port", str(port)]
        env = {**os.environ, "TIPSIM_DATA": folder}
        server = subprocess.Popen(command, cwd=ROOT, env=env, stdout=subprocess.DEVNULL)
        try:
            wait_for(port)
            before: list[Any] = []
            learners = asyncio.run(
                measure(
                    *(port, given.sessions, given.seconds, pages),
                    lambda: before.append(spent(server.pid)),
                )
            )
            rows = lines(learners)
            rows[0] |= costs(before[0], spent(server.pid), rows[0]["changes"])
        finally:
            server.terminate()
            with suppress(subprocess.TimeoutExpired):
                server.wait(10)
            server.kill()
    if given.json:
        print(json.dumps(rows))
        return 0
    for row in rows:
        print("  ".join(f"{k} {v}" for k, v in row.items()))
    return 0


def wait_for(port: int) -> None:
    """Wait until the server takes connections."""
    end = time.monotonic() + START_S
    while time.monotonic() < end:
        with suppress(OSError), socket.create_connection((HOST, port), 1):
            return
        time.sleep(0.2)
    raise SystemExit("load: the server did not start")


if __name__ == "__main__":
    sys.exit(main())
