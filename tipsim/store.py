"""One store of results for pages and lessons: looked up by what they rest on, bounded in bytes.

Examples
--------
>>> from dataclasses import replace
>>> store = Store(budget=50_000_000)
>>> bench = Scenario.preset("straight, axial")
>>> floppy = replace(bench, eye=replace(bench.eye, iris_modulus=5e3))
>>> store.get(floppy, "motion") is store.get(bench, "motion")  # The iris moves no needle.
True
>>> store.get(floppy, "iris") is store.get(bench, "iris")
False
"""

import sys
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from concurrent.futures import Future
from dataclasses import dataclass
from functools import cache
from typing import Any, TypeVar
from weakref import WeakValueDictionary

import numpy as np

from tipsim.setup.scenario import Scenario
from tipsim.solve import PARTS, Result, rests_on

T = TypeVar("T")
BUDGET = 256 * 1024 * 1024
"""Most that the shared store keeps [bytes]."""


class Key:
    """A part's name with what it rests on; the hash is worked out once."""

    __slots__ = ("_hash", "value")

    def __init__(self, *value: Hashable) -> None:
        self.value = value
        self._hash = hash(value)

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Key) and self.value == other.value


@dataclass
class _Entry:
    """A kept value, its size [bytes], and whether it was handed out since it was measured."""

    value: Any
    size: int
    touched: bool = False


class Store:
    """Results by what they rest on: least recently used out first, each computed once.

    All that is kept is frozen or never written to, so callers share it. Any thread may ask: who
    asks for what another thread computes waits for that thread, and for nobody else.

    Parameters
    ----------
    budget : int
        Most that is kept [bytes]; a value larger than that is handed out, not kept.
    """

    def __init__(self, budget: int = BUDGET) -> None:
        self._budget = budget
        self._lock = threading.Lock()
        self._kept: OrderedDict[Hashable, _Entry] = OrderedDict()
        self._running: dict[Hashable, Future[Any]] = {}
        self._results: WeakValueDictionary[Scenario, Result] = WeakValueDictionary()
        self.size = 0
        self.computed = 0

    def result(self, scenario: Scenario) -> Result:
        """Return the result of a scenario, whose parts come from this store when asked for."""
        with self._lock:
            result = self._results.get(scenario)
            if result is None:
                result = self._results[scenario] = Result(scenario, self.get)
            return result

    def get(self, scenario: Scenario, part: str, *details: Hashable) -> Any:
        """Return one part of a result, such as "heat" (with a `Model` of it as a detail)."""
        details = details or PARTS[part].details
        key = self.key(scenario, part, *details)
        return self.keep(key, lambda: PARTS[part].compute(self.result(scenario), *details))

    def key(self, scenario: Scenario, part: str, *details: Hashable) -> Key:
        """Return what a part is looked up by: all of the scenario that it rests on."""
        return Key(part, *rests_on(scenario, part), *(details or PARTS[part].details))

    def keep(self, key: Hashable, compute: Callable[[], T]) -> T:
        """Return the value of a key, computing it when no thread has or does."""
        with self._lock:
            entry = self._kept.get(key)
            if entry is not None:
                self._kept.move_to_end(key)
                entry.touched = True
                value: T = entry.value
                return value
            future = self._running.get(key)
            first = future is None
            if future is None:
                future = self._running[key] = Future()
        if not first:
            waited: T = future.result()
            return waited
        try:
            value = compute()
            size = bytes_of(value)
        except BaseException as error:
            with self._lock:
                del self._running[key]
            future.set_exception(error)
            raise
        with self._lock:
            del self._running[key]
            self.computed += 1
            self._add(key, value, size)
        future.set_result(value)
        return value

    def known(self, scenario: Scenario, part: str, *details: Hashable) -> bool:
        """Return whether a part is kept already, so that asking for it costs nothing."""
        key = self.key(scenario, part, *details)
        with self._lock:
            return key in self._kept

    def resize(self, budget: int) -> None:
        """Set the most that is kept [bytes], dropping what is too much."""
        with self._lock:
            self._budget = budget
            self._drop()

    def clear(self) -> None:
        """Drop everything."""
        with self._lock:
            self._kept.clear()
            self.size = 0

    def __len__(self) -> int:
        return len(self._kept)

    def _add(self, key: Hashable, value: Any, size: int) -> None:
        if size > self._budget:  # It would push everything else out, and itself.
            return
        # What was handed out may have grown by its cached properties meanwhile.
        for entry in self._kept.values():
            if entry.touched:
                grown = bytes_of(entry.value)
                self.size += grown - entry.size
                entry.size, entry.touched = grown, False
        self._kept[key] = _Entry(value, size, touched=True)
        self.size += size
        self._drop()

    def _drop(self) -> None:
        while self.size > self._budget and self._kept:
            _, entry = self._kept.popitem(last=False)
            self.size -= entry.size


def bytes_of(value: Any) -> int:
    """Compute the memory that a value holds [bytes], arrays in full, shared parts once.

    Scenarios are left out: they are small, and shared by all that is computed from them.

    Examples
    --------
    >>> bytes_of(np.zeros(1000)) - bytes_of(np.zeros(0))
    8000
    """
    total, seen, rest = 0, set(), [value]
    while rest:
        one = rest.pop()
        if id(one) in seen or isinstance(one, _SHARED):
            continue
        seen.add(id(one))
        total += sys.getsizeof(one)
        if isinstance(one, _SIMPLE):
            continue
        if isinstance(one, np.ndarray):
            if one.base is not None:  # A view: its size is the owner's.
                rest.append(one.base)
            if one.dtype.hasobject:
                rest.extend(one.flat)
        elif isinstance(one, dict):
            rest.extend(one.keys())
            rest.extend(one.values())
        elif isinstance(one, list | tuple | set | frozenset):
            rest.extend(one)
        else:
            rest.extend(getattr(one, "__dict__", {}).values())
            kind: Any = type(one)
            rest.extend(getattr(one, s) for s in _slots(kind) if hasattr(one, s))
    return total


@cache
def _slots(kind: type) -> tuple[str, ...]:
    """Return the slots of a class; looking for them each time took most of the measuring."""
    return tuple(s for cls in kind.__mro__ for s in getattr(cls, "__slots__", ()))


_SIMPLE = (int, float, complex, str, bytes, type(None))
_SHARED = (type, type(sys), type(bytes_of), type(len), Scenario)

_shared = Store()
result = _shared.result
get = _shared.get
key = _shared.key
keep = _shared.keep
known = _shared.known
resize = _shared.resize


def shared() -> Store:
    """Return the store that pages and lessons of this process share."""
    return _shared
