"""Call a function in a Python of its own.

The peers are loud guests: one keeps its model in global state, brings its own BLAS and speaks when
Python ends, another warns and prints as it is imported. In a Python of its own each is alone, and
every one, ours too, computes with one thread.
"""

import os
import pickle
import subprocess
import sys
import tempfile
from collections.abc import Callable
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
ONE_THREAD = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "NUMBA_NUM_THREADS")
MOST = 300
"""Seconds after which a call counts as stuck."""

_CHILD = """
import pickle, sys, warnings
warnings.simplefilter("ignore")
sys.path.insert(0, sys.argv[1])
with open(sys.argv[2], "rb") as file:
    function, calls = pickle.load(file)
result = [function(*call) for call in calls]
with open(sys.argv[3], "wb") as file:
    pickle.dump(result, file)
"""


def apart(function: Callable[..., Any], *calls: tuple[Any, ...]) -> list[Any]:
    """Call a function of an importable module once for each tuple of arguments, in one Python.

    Arguments and results travel as pickles.
    """
    with tempfile.TemporaryDirectory() as folder:
        asked, answer = Path(folder) / "asked", Path(folder) / "answer"
        asked.write_bytes(pickle.dumps((function, calls)))
        done = subprocess.run(
            [sys.executable, "-c", _CHILD, str(ROOT), str(asked), str(answer)],
            cwd=folder,
            env={**os.environ, **dict.fromkeys(ONE_THREAD, "1")},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            timeout=MOST,
        )
        # A peer may end with an error of its own after all is done, so the answer counts.
        if not answer.exists():
            raise RuntimeError(f"{function.__module__}.{function.__name__}:\n{done.stderr[-2000:]}")
        return pickle.loads(answer.read_bytes())


def need(package: str) -> None:
    """Skip the test, with the reason, where a peer is not installed."""
    if find_spec(package) is None:
        pytest.skip(f"{package} is not installed: the extra `peers` brings it where it has a wheel")
