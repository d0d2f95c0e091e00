"""Slow work in a process of its own: results, errors, what cannot be sent, and its end."""

import os
import pickle
from collections.abc import Iterator
from typing import Any

import pytest

from tipsim.app.framework.pages import PAGES
from tipsim.app.framework.process import Process
from tipsim.app.framework.slow import Workers, _outcome
from tipsim.app.framework.views import Later
from tipsim.setup.errors import BadInput

LONG = 60
PATIENT = {"timeout": LONG}


def refuse() -> None:
    raise BadInput("power", "140 %", "0 to 100 %")


def own_process() -> int:
    return os.getpid()


@pytest.fixture(scope="module")
def process() -> Iterator[Process]:
    one = Process()
    assert one.wait(LONG)
    yield one
    one.shutdown()


def test_a_call_runs_in_another_process(process: Process) -> None:
    assert process.submit(os.getpid).result(**PATIENT) not in (0, os.getpid())
    assert process.submit(divmod, 17, 5).result(**PATIENT) == (3, 2)


def test_what_cannot_be_sent_runs_here(process: Process) -> None:
    here = os.getpid()
    assert process.submit(lambda: os.getpid() - here).result(**PATIENT) == 0


def test_an_error_keeps_its_type_and_sentence(process: Process) -> None:
    with pytest.raises(BadInput, match="140 %"):
        process.submit(refuse).result(**PATIENT)
    told = process.submit(_outcome, refuse).result(**PATIENT)
    assert isinstance(told, BadInput) and told.allowed == "0 to 100 %"
    with pytest.raises(ZeroDivisionError):
        process.submit(divmod, 1, 0).result(**PATIENT)
    assert process.submit(os.getpid).result(**PATIENT) != os.getpid()


def test_calls_are_answered_in_order_without_mixing(process: Process) -> None:
    futures = [process.submit(pow, 2, n) for n in range(200)]
    assert [f.result(**PATIENT) for f in futures] == [2**n for n in range(200)]


def test_when_the_process_dies_the_thread_goes_on() -> None:
    one = Process()
    assert one.wait(LONG)
    assert one._child is not None
    one._child.kill()
    one._child.wait()
    assert one.submit(own_process).result(**PATIENT) == os.getpid()
    one.shutdown()


def test_the_line_of_jobs_works_with_it(process: Process) -> None:
    line, seen = Workers(executor=process), []
    line.submit("page", "job", os.getpid, seen.append)
    process.submit(os.getpid).result(**PATIENT)
    process.submit(os.getpid).result(**PATIENT)
    assert seen and seen[0] != os.getpid()


def slow_fills() -> list[Any]:
    pages = [entry.load() for entry in PAGES if entry.build]
    return [
        pytest.param(page, f, id=f"{page.__name__}-{view.name}-{name}")
        for page in pages
        if hasattr(page, "views")
        for view in page.views
        for name, f in view.fills.items()
        if isinstance(f, Later)
    ]


@pytest.mark.parametrize(("page", "fill"), slow_fills())
def test_every_slow_fill_can_be_sent(page: Any, fill: Later) -> None:
    state = page.State.first()
    again, same = pickle.loads(pickle.dumps((fill.full, state)))
    assert same == state and callable(again)
