"""Records whose file cannot be written: held by another program, write-protected, disk full."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from sqlalchemy import event

from tipsim.lesson.records import Records


@contextmanager
def _with_pragma(records: Records, pragma: str) -> Iterator[None]:
    """Connect anew with a setting of SQLite, until the end."""
    engine = records._engine

    def connected(raw: Any, _record: Any) -> None:
        raw.execute(f"PRAGMA {pragma}").close()

    event.listen(engine, "connect", connected)
    engine.dispose()
    try:
        yield
    finally:
        event.remove(engine, "connect", connected)
        engine.dispose()


@contextmanager
def held(records: Records) -> Iterator[None]:
    """Let another connection have the lock; who waits for it gives up at once."""
    other = sqlite3.connect(str(records._engine.url.database), isolation_level=None)
    with _with_pragma(records, "busy_timeout = 1"):
        other.execute("BEGIN IMMEDIATE")
        try:
            yield
        finally:
            other.execute("ROLLBACK")
            other.close()


def protected(records: Records) -> Any:
    """Refuse every write, as for a file that may only be read."""
    return _with_pragma(records, "query_only = ON")


def full(records: Records) -> Any:
    """Let the file grow no further, as on a full disk."""
    return _with_pragma(records, "max_page_count = 1")


TROUBLES: dict[str, Callable[[Records], Any]] = {
    "database is locked": held,
    "attempt to write a readonly database": protected,
    "database or disk is full": full,
}
"""Each trouble by what SQLite says of it."""
