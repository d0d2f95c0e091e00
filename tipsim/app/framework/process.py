"""Slow work in a process of its own, so that the event loop need not share its interpreter.

Run as a module it is that process: it takes work over its standard input and gives back what came
of it over its standard output, both pickled. It ends when its input does.
"""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
import threading
from collections.abc import Callable
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from contextlib import suppress
from typing import Any

from tipsim import store

READY = "ready"
SHARE = 2
"""The process keeps results in a store of this part of the shared store's size."""
LOWER_BY = 5
"""Lower priority than the event loop's, where the system knows any."""
Function = Callable[..., Any]


class Process(Executor):
    """Runs one call at a time in another process, or in a thread where that is not possible.

    Calls that cannot be pickled run in the thread, as do all until the process is ready and after
    it has ended.
    """

    def __init__(self) -> None:
        self._threads = ThreadPoolExecutor(1, "slow")
        self._ready = threading.Event()
        self._child: subprocess.Popen[bytes] | None = None
        with suppress(OSError):
            command = [sys.executable, "-m", __name__]
            self._child = subprocess.Popen(
                command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, bufsize=-1
            )
            threading.Thread(target=self._await, daemon=True).start()

    def _await(self) -> None:
        with suppress(OSError, EOFError, pickle.UnpicklingError):
            if self._receive() == READY:
                self._ready.set()

    def wait(self, seconds: float) -> bool:
        """Wait until the process takes calls; return whether it does."""
        return self._ready.wait(seconds)

    def submit(self, fn: Function, /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Run a call and return what will hold its result."""
        return self._threads.submit(self._run, fn, args, kwargs)

    def _run(self, fn: Function, args: tuple[Any, ...], kwargs: dict[str, Any]) -> Any:
        if self._ready.is_set():
            try:
                call = pickle.dumps((fn, args, kwargs))
            except (pickle.PicklingError, AttributeError, TypeError):
                return fn(*args, **kwargs)
            try:
                value = self._asked(call)
            except (OSError, EOFError) as error:
                self._ready.clear()
                value = error
            except Exception as error:
                value = error
            # What failed fails again below, where its own type and its traceback are known.
            if not isinstance(value, Exception):
                return value
        return fn(*args, **kwargs)

    def _asked(self, call: bytes) -> Any:
        assert self._child is not None and self._child.stdin is not None
        self._child.stdin.write(call)
        self._child.stdin.flush()
        good, value = self._receive()
        if not good:
            raise RuntimeError(value)
        return pickle.loads(value)

    def _receive(self) -> Any:
        assert self._child is not None and self._child.stdout is not None
        return pickle.load(self._child.stdout)

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """End the process once the running call has ended."""
        self._threads.shutdown(wait=wait, cancel_futures=cancel_futures)
        self._ready.clear()
        if self._child is not None and self._child.stdin is not None:
            with suppress(OSError):
                self._child.stdin.close()
            if wait and self._child.stdout is not None:
                self._child.wait()
                self._child.stdout.close()


def main() -> None:
    """Take calls until the input ends."""
    calls, results = sys.stdin.buffer, sys.stdout.buffer
    sys.stdout = sys.stderr  # What is printed must not stand among the results.
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # It ends when the server does.
    with suppress(OSError, AttributeError):
        os.nice(LOWER_BY)
    store.resize(store.BUDGET // SHARE)
    # Most of what pages compute, so that the first call need not wait for it.
    import scipy.integrate
    import scipy.interpolate
    import scipy.optimize
    import scipy.sparse.linalg  # noqa: F401

    answer: Any = READY
    while True:
        try:
            pickle.dump(answer, results)
            results.flush()
            function, args, kwargs = pickle.load(calls)
        except (EOFError, OSError, KeyboardInterrupt):
            return
        except Exception as error:  # What cannot be read here is run over there.
            answer = (False, repr(error))
            continue
        try:
            answer = (True, pickle.dumps(function(*args, **kwargs)))
        except Exception as error:
            answer = (False, repr(error))


if __name__ == "__main__":
    main()
