"""Slow work beside the event loop: the latest job of each kind runs, and nobody waits long.

A page hands over jobs by name. A job that has not begun gives way to a newer one of the same name.
A page has one job running at a time and goes to the end of the line after each, so that pages take
turns. What comes too late is told by the page's stamp; see `views`.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Hashable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache
from typing import Any, Protocol

WORKERS = 2
"""Threads that compute; more would only take turns with the event loop. See README.md."""

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
    """Threads that all sessions share.

    Parameters
    ----------
    count : int
        Jobs that run at a time.
    """

    def __init__(self, count: int = WORKERS) -> None:
        self._count = count
        self._threads = ThreadPoolExecutor(count, "slow")
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
        self._threads.shutdown(wait=True, cancel_futures=True)

    def _begin(self) -> None:
        """Begin as many jobs as there are free threads; the lock is held."""
        while len(self._running) < self._count:
            owner = next((o for o in self._waiting if o not in self._running), None)
            if owner is None:
                return
            jobs = self._waiting.pop(owner)
            name = next(iter(jobs))
            job = jobs.pop(name)
            if jobs:
                self._waiting[owner] = jobs
            self._running[owner] = job
            self._threads.submit(self._run, owner, job)

    def _run(self, owner: Hashable, job: _Job) -> None:
        outcome = _outcome(job.work)
        with self._lock:
            wanted = self._running.pop(owner) is job
            self._begin()
        if wanted:
            job.done(outcome)


def _outcome(work: Work) -> Any:
    try:
        return work()
    except Exception as error:
        return error


@cache
def workers() -> Workers:
    """Return the threads of this process."""
    return Workers()
