"""Slow work beside the event loop: who begins when, by order of events, never by time."""

import threading

from tipsim.app.framework.slow import Workers

LIMIT_S = 30
"""Longest wait for something that must happen: only a failure takes so long."""


class Line:
    """Jobs that begin and end when the test says so, and what has happened, in order."""

    def __init__(self, count: int) -> None:
        self.workers = Workers(count)
        self.seen: list[str] = []
        self.changed = threading.Condition()

    def note(self, what: str) -> None:
        with self.changed:
            self.seen.append(what)
            self.changed.notify_all()

    def wait(self, *what: str) -> None:
        with self.changed:
            assert self.changed.wait_for(lambda: set(what) <= set(self.seen), LIMIT_S), self.seen

    def job(self, owner: str, name: str, mark: str, gate: threading.Event | None = None) -> None:
        def work() -> str:
            self.note(f"{mark} begins")
            assert gate is None or gate.wait(LIMIT_S)
            return mark

        self.workers.submit(owner, name, work, lambda outcome: self.note(f"{outcome} done"))


def test_a_job_that_has_not_begun_gives_way_to_a_newer_one() -> None:
    line, gate = Line(1), threading.Event()
    line.job("page", "view", "first", gate)
    line.wait("first begins")
    for mark in ("second", "third", "fourth"):
        line.job("page", "view", mark)
    gate.set()
    line.wait("fourth done")
    line.workers.close()
    assert line.seen == ["first begins", "first done", "fourth begins", "fourth done"]


def test_a_page_s_jobs_do_not_hold_up_another_page() -> None:
    line, gate = Line(2), threading.Event()
    line.job("slow page", "one", "slow", gate)
    line.wait("slow begins")
    for k in range(5):
        line.job("slow page", f"more {k}", f"more {k}")
    line.job("quick page", "one", "quick")
    line.wait("quick done")
    assert "slow done" not in line.seen and not any(s.startswith("more") for s in line.seen)
    gate.set()
    line.wait(*(f"more {k} done" for k in range(5)))
    line.workers.close()


def test_pages_take_turns() -> None:
    line, gate = Line(1), threading.Event()
    line.job("a", "0", "a0", gate)
    line.wait("a0 begins")
    for k in (1, 2, 3):
        line.job("a", str(k), f"a{k}")
    for k in (1, 2):
        line.job("b", str(k), f"b{k}")
    gate.set()
    line.wait("a3 done", "b2 done")
    line.workers.close()
    begun = [s.split()[0] for s in line.seen if s.endswith("begins")]
    assert begun == ["a0", "a1", "b1", "a2", "b2", "a3"]


def test_what_a_page_that_was_left_had_asked_for_is_dropped() -> None:
    line, gate = Line(1), threading.Event()
    line.job("left", "view", "running", gate)
    line.wait("running begins")
    line.job("left", "other", "waiting")
    line.workers.forget("left")
    gate.set()
    line.job("next", "view", "next")
    line.wait("next done")
    line.workers.close()
    assert line.seen == ["running begins", "next begins", "next done"]
