"""Slow work beside the event loop: the latest job of each kind runs, and nobody waits long.

A page hands over jobs by name. A job that has not begun gives way to a newer one of the same name.
A page has one job running at a time and goes to the end of the line after each, so that pages take
turns. What comes too late is told by the page's stamp; see `views`.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable, Hashable
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache, partial
from typing import Any, Protocol

from tipsim.app.framework.process import Process

WORKERS = 1
"""Jobs that run at a time: each more takes a core from somebody. Measured: see README.md."""

Work = Callable[[], Any]
Done = Callable[[Any], None]
"""Takes what the work gave, or the error that it raised."""


class Pool(Protocol):
    """Whatever takes jobs."""

    def submit(self, owner: Hashable, name: str, work: Work, done: Done, /) -> None:
        """Take a job."""

    def forget(self, owner: Hashable, /) -> None:
        """Drop all jobs of an owner."""


class AtOnce:
    """Does each job when it is handed over: for tests, files and notebooks."""

    def submit(self, _owner: Hashable, _name: str, work: Work, done: Done, /) -> None:
        """Do a job."""
        done(_outcome(work))

    def forget(self, _owner: Hashable, /) -> None:
        """Do nothing: no job is left."""


@dataclass(frozen=True, eq=False)
class _Job:
    work: Work
    done: Done


class Workers:
    """What all sessions share: a process or threads.

    Parameters
    ----------
    count : int
        Jobs that run at a time.
    """

    def __init__(self, count: int = WORKERS, executor: Executor | None = None) -> None:
        self._count = count
        self._executor = executor or ThreadPoolExecutor(count, "slow")
        self._lock = threading.Lock()
        # Owners in the order in which they are served, each with its jobs by name.
        self._waiting: dict[Hashable, dict[str, _Job]] = {}
        self._running: dict[Hashable, _Job | None] = {}

    def submit(self, owner: Hashable, name: str, work: Work, done: Done) -> None:
        """Take a job; one of the same owner and name that has not begun is dropped."""
        with self._lock:
            self._waiting.setdefault(owner, {})[name] = _Job(work, done)
        self._begin()

    def forget(self, owner: Hashable) -> None:
        """Drop all jobs of an owner, and what a running one will give."""
        with self._lock:
            self._waiting.pop(owner, None)
            if owner in self._running:
                self._running[owner] = None

    def close(self) -> None:
        """End once the running jobs have."""
        self._executor.shutdown(wait=True, cancel_futures=True)

    def _begin(self) -> None:
        """Begin as many jobs as there is room for."""
        while (chosen := self._next()) is not None:
            owner, job = chosen
            try:
                running = self._executor.submit(_outcome, job.work)
            except RuntimeError:  # The server is ending.
                return
            running.add_done_callback(partial(self._ended, owner, job))

    def _next(self) -> tuple[Hashable, _Job] | None:
        """Return whose turn it is, and take the job out of the line."""
        with self._lock:
            owner = next((o for o in self._waiting if o not in self._running), None)
            if owner is None or len(self._running) >= self._count:
                return None
            jobs = self._waiting.pop(owner)
            job = jobs.pop(next(iter(jobs)))
            if jobs:
                self._waiting[owner] = jobs
            self._running[owner] = job
            return owner, job

    def _ended(self, owner: Hashable, job: _Job, running: Future[Any]) -> None:
        with self._lock:
            wanted = self._running.pop(owner) is job
        if wanted and not running.cancelled():
            job.done(running.exception() or running.result())
        self._begin()


def _outcome(work: Work) -> Any:
    try:
        return work()
    except Exception as error:
        return error


@cache
def workers() -> Workers:
    """Return what all sessions share: a process beside this one, where there is a second core."""
    return Workers(executor=Process() if (os.cpu_count() or 1) > 1 else None)
