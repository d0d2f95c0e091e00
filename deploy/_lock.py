"""One process at a time, on every system. Standard library only."""

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

if sys.platform == "win32":
    import msvcrt

    def _take(file: BinaryIO) -> None:
        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _take(file: BinaryIO) -> None:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)


@contextmanager
def alone(path: Path, on_wait: Callable[[], None]) -> Iterator[None]:
    """Hold the lock on a file, after others have let it go; the system frees it if we die."""
    waiting = False
    with path.open("a+b") as file:
        while True:
            try:
                _take(file)
                break
            except OSError:  # taken; there is no waiting form that Ctrl-C can end on Windows
                if not waiting:
                    on_wait()
                waiting = True
                time.sleep(0.2)
        yield
